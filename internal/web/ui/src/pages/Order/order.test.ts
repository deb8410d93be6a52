import { expect, test } from 'vitest';
import type { BenchPass, LeftOut, Order, Sitting } from '../../lib/model.ts';
import { bySitting, rulesFor, spare, spared, stretches, wallTime } from './order.ts';

const sitting = { number: 1, start: '2027-01-05T19:30:00Z', begins: '2027-01-05T19:30:00Z', end: '2027-01-05T21:00:00Z', until: '2027-01-05T21:30:00Z' } as Sitting;
const pass = (start: string, end: string, setup: number, more: Partial<BenchPass> = {}): BenchPass =>
  ({ start: `2027-01-05T${start}:00Z`, end: `2027-01-05T${end}:00Z`, setup_minutes: setup, sitting: 1, areas: ['coat'], ...more }) as BenchPass;

test('a sitting is filled without holes, from sitting down to its end', () => {
  const s = stretches(sitting, [pass('19:36', '20:00', 6), pass('20:30', '21:00', 10)]);
  expect(s.map((x) => x.kind)).toEqual(['setup', 'pass', 'wait', 'setup', 'pass', 'free']);
  expect(s.reduce((sum, x) => sum + x.width, 0)).toBeCloseTo(1, 9);
  let at = 0;
  for (const x of s) {
    expect(x.from).toBeCloseTo(at, 9);
    at = x.from + x.width;
  }
});

test('a pass that goes on the next evening is cut', () => {
  const s = stretches(sitting, [pass('21:00', '23:00', 0)]);
  expect(s.at(-1)!.kind).toBe('pass');
  expect(s.at(-1)!.from + s.at(-1)!.width).toBeCloseTo(1, 9);
});

test('passes stand under the sitting they begin in, and are drawn in all they are worked on', () => {
  const order = { sittings: [{ ...sitting, passes: [1] }, { ...sitting, number: 2, passes: [2] }, { ...sitting, number: 3, passes: [2, 3] }] } as Order;
  const p = (number: number, of: number): BenchPass => pass('20:00', '20:10', 0, { number, sitting: of });
  // The first pass is done: its sitting is left out.
  const sat = bySitting(order, [{ ...p(1, 1), state: 'done' }, p(2, 2), p(3, 3)]);
  expect(sat.map((x) => [x.sitting.number, x.begun.map((b) => b.number), x.worked.map((b) => b.number)])).toEqual([
    [2, [2], [2]],
    [3, [3], [2, 3]],
  ]);
  // Done in part, it is drawn whole.
  const part = bySitting(order, [p(2, 2), { ...p(3, 3), state: 'done' }]);
  expect(part.map((x) => [x.sitting.number, x.begun.map((b) => b.number), x.worked.map((b) => b.number)])).toEqual([
    [2, [2], [2]],
    [3, [], [2, 3]],
  ]);
});

test('what was spared for one reason stands together, the most first', () => {
  const l = (area: string, d: number): LeftOut => ({ area, medium: 'black', reason: 'alike', delta_e00: d }) as LeftOut;
  const g = spared([l('reins', 1), l('tack', 2), l('tack', 3)]);
  expect(g.map((x) => [x.area, x.coats.length, x.nearest])).toEqual([['tack', 2, 3], ['reins', 1, 1]]);
});

test('no rule between areas can part two passes over the same area', () => {
  const a = pass('20:00', '20:10', 0, { areas: ['coat', 'cuffs'] });
  expect(rulesFor(a, pass('20:20', '20:30', 0, { areas: ['hat'] }))).toEqual([
    { first: 'coat', then: 'hat' },
    { first: 'cuffs', then: 'hat' },
  ]);
  expect(rulesFor(a, a)).toEqual([]);
});

test('what could still be saved is never negative', () => {
  expect(spare({ minutes: 100, lower_bound_minutes: 90 } as Order)).toBe(10);
  expect(spare({ minutes: 100, lower_bound_minutes: 100.1 } as Order)).toBe(0);
});

test('times are those of the wall where the project is painted', () => {
  expect(wallTime('2027-01-04T19:30:00+01:00')).toBe('19:30');
  expect(wallTime('2027-01-04T23:50:00-05:00', 20)).toBe('00:10');
  expect(wallTime('2027-01-04T19:30:00Z')).toBe('19:30');
});
