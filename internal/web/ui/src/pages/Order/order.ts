// What the order page works out of a plan: sittings cut into stretches, what was
// left out put together, and rules that a drag would make.
import type { BenchPass, LeftOut, Order, Sitting } from '../../lib/model.ts';

/** A stretch of a sitting, in shares of it from 0 to 1. */
export interface Stretch {
  kind: 'pass' | 'setup' | 'wait' | 'free';
  from: number;
  width: number;
  pass?: BenchPass;
}

/** What fills a sitting, from where the painter sits down to its end. */
export function stretches(sitting: Sitting, passes: BenchPass[]): Stretch[] {
  const begin = Date.parse(sitting.begins || sitting.start);
  const end = Math.max(Date.parse(sitting.until), Date.parse(sitting.end));
  const whole = end - begin;
  if (!(whole > 0)) return [];
  const out: Stretch[] = [];
  const add = (kind: Stretch['kind'], from: number, to: number, pass?: BenchPass): void => {
    const a = Math.max(from, begin);
    const b = Math.min(to, end);
    if (b - a <= 0) return;
    out.push({ kind, from: (a - begin) / whole, width: (b - a) / whole, ...(pass ? { pass } : {}) });
  };
  let at = begin;
  const here = passes
    .filter((p) => Date.parse(p.start) < end && Date.parse(p.end) > begin)
    .sort((p, q) => Date.parse(p.start) - Date.parse(q.start));
  for (const p of here) {
    const start = Date.parse(p.start);
    if (start > at) {
      const setup = Math.min(start - at, p.setup_minutes * 60_000);
      add('wait', at, start - setup);
      add('setup', start - setup, start);
    }
    add('pass', Math.max(start, at), Date.parse(p.end), p);
    at = Math.max(at, Date.parse(p.end));
  }
  add('free', Math.max(at, Date.parse(sitting.end)), end);
  return out;
}

/** Whether a pass is still to be painted. */
export const open = (p: BenchPass): boolean => p.state !== 'done' && p.state !== 'skipped';

/** What is worked on in a sitting, done or not, and what begins in it and is still
    to be painted. */
export interface Sat {
  sitting: Sitting;
  worked: BenchPass[];
  begun: BenchPass[];
}

/** The sittings of an order with their passes; those with nothing to paint are
    left out. */
export function bySitting(order: Order, passes: BenchPass[]): Sat[] {
  const byNumber = new Map(passes.map((p) => [p.number, p]));
  return order.sittings.flatMap((sitting) => {
    const worked = (sitting.passes ?? []).flatMap((n) => byNumber.get(n) ?? []);
    return worked.some(open) ? [{ sitting, worked, begun: worked.filter((p) => open(p) && p.sitting === sitting.number) }] : [];
  });
}

/** Coats left out for one reason: the same area, paint and cause. */
export interface Spared {
  area: string;
  medium: string;
  reason: string;
  coats: LeftOut[];
  nearest: number; // the greatest distance among them
}

export function spared(list: LeftOut[]): Spared[] {
  const groups = new Map<string, Spared>();
  for (const l of list) {
    const key = JSON.stringify([l.area, l.medium, l.reason]);
    const group = groups.get(key) ?? { area: l.area, medium: l.medium, reason: l.reason, coats: [], nearest: 0 };
    group.coats.push(l);
    group.nearest = Math.max(group.nearest, l.delta_e00);
    groups.set(key, group);
  }
  return [...groups.values()].sort((a, b) => b.coats.length - a.coats.length);
}

/** The rules that put every area of one pass before every area of another;
    none when both paint the same area, which rules cannot part. */
export function rulesFor(first: BenchPass, then: BenchPass): { first: string; then: string }[] {
  if (first.areas.some((a) => then.areas.includes(a))) return [];
  return first.areas.flatMap((a) => then.areas.map((b) => ({ first: a, then: b })));
}

/** Set-up and waiting that are not proved to be needed, in minutes. */
export function spare(order: Order): number {
  return Math.max(0, order.minutes - order.lower_bound_minutes);
}

/** The time of day of an instant, so many minutes on, as a clock on the wall of
    the project's zone shows it: RFC 3339 texts carry their offset. */
export function wallTime(instant: string, minutes = 0): string {
  const offset = /([+-])(\d\d):(\d\d)$/.exec(instant);
  const shift = offset ? (offset[1] === '-' ? -1 : 1) * (Number(offset[2]) * 60 + Number(offset[3])) : 0;
  return new Date(Date.parse(instant) + (minutes + shift) * 60_000).toISOString().slice(11, 16);
}
