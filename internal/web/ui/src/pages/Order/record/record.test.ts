import { expect, test } from 'vitest';
import { coats, search, type Laid, type UnitRecord } from './record.ts';

const laid = (medium: string, more: Partial<Laid> = {}): Laid =>
  ({ medium, coat: 0, areas: ['jacket'], figures: [], figures_words: 'troopers 1–4', first: '', last: '', ...more }) as Laid;
const units: UnitRecord[] = [
  { unit: 'Vey Hussars', figures: 4, laid: [laid('glass blue', { lot: 'B7' }), laid('buff', { areas: ['lace'], planned: 'straw' })], remarks: [] },
  { unit: 'Third Foot', figures: 8, laid: [laid('buff', { mix: [{ paint: 'raw umber', parts: 1 }] })], remarks: [{ at: '', text: 'Très pâle' }] },
] as unknown as UnitRecord[];

test('every word must be found, in whatever place', () => {
  expect(coats(search(units, 'buff'))).toBe(2);
  expect(search(units, 'BUFF vey').map((u) => [u.unit, u.laid.length])).toEqual([['Vey Hussars', 1]]);
  expect(coats(search(units, 'b7'))).toBe(1);
  expect(coats(search(units, 'umber'))).toBe(1);
  expect(coats(search(units, 'straw'))).toBe(1);
  expect(search(units, 'scarlet')).toEqual([]);
});

test('accents need not be typed', () => {
  expect(search(units, 'tres pale').map((u) => u.unit)).toEqual(['Third Foot']);
});

test('without words everything is there, units without paint too', () => {
  expect(search(units, '  ')).toEqual(units);
});
