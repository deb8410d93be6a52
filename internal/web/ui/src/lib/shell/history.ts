// The revisions of a project as a person reads them.
import type { Schemas } from '../model.ts';

export type Revision = Schemas['Revision'];

/** The revisions that led to the one in force, as far as the list goes back.
    What is in the list and not among them was taken back by undo. */
export function leading(list: readonly Revision[], inForce: number): Set<number> {
  const byNumber = new Map(list.map((r) => [r.number, r]));
  const out = new Set<number>();
  for (let n = inForce; n > 0 && !out.has(n); n = byNumber.get(n)?.parent ?? 0) out.add(n);
  return out;
}

/** Joins a newly fetched stretch to what was fetched before, newest first. */
export function joined(before: readonly Revision[], more: readonly Revision[]): Revision[] {
  const byNumber = new Map([...before, ...more].map((r) => [r.number, r]));
  return [...byNumber.values()].sort((a, b) => b.number - a.number);
}
