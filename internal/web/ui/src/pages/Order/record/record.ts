// What the record panel works out: search through what was laid.
import type { Schemas } from '../../../lib/model.ts';

export type UnitRecord = Schemas['UnitRecord'];
export type Laid = Schemas['LaidCoat'];
export type Remark = Schemas['Remark'];

/** Letters without accents and case, for searching. */
function plain(text: string): string {
  return text.normalize('NFD').replace(/\p{M}/gu, '').toLowerCase();
}

function wordsOf(unit: UnitRecord, laid: Laid): string {
  return plain(
    [
      unit.unit,
      laid.medium,
      laid.planned ?? '',
      laid.lot ?? '',
      laid.technique ?? '',
      laid.figures_words,
      ...laid.areas,
      ...(laid.mix ?? []).map((p) => p.paint),
      ...laid.figures.map((f) => f.role),
      ...(laid.remarks ?? []).map((r) => r.text ?? ''),
    ].join(' '),
  );
}

/** The coats that hold every word typed, by unit; units without any are left
    out, unless nothing was typed. Remarks of a unit stay if they hold the words. */
export function search(units: readonly UnitRecord[], typed: string): UnitRecord[] {
  const wanted = plain(typed).split(/\s+/).filter(Boolean);
  if (wanted.length === 0) return [...units];
  const holds = (text: string): boolean => wanted.every((w) => text.includes(w));
  return units
    .map((u) => ({
      ...u,
      laid: u.laid.filter((l) => holds(wordsOf(u, l))),
      remarks: u.remarks.filter((r) => holds(plain(`${u.unit} ${r.text ?? ''}`))),
    }))
    .filter((u) => u.laid.length > 0 || u.remarks.length > 0);
}

/** How many coats there are. */
export function coats(units: readonly UnitRecord[]): number {
  return units.reduce((sum, u) => sum + u.laid.length, 0);
}
