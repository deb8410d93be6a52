import { expect, test } from 'vitest';
import type { Project } from '../../../lib/model.ts';
import { byWhom, dated, freeName, frontier, holds, steps, timeLine, type Answer, type Drop, type GameDay } from './campaign.ts';

const game = (more: Partial<GameDay>): GameDay => ({ date: '2027-02-01', name: 'g', ready: [], late: [], at_risk: [], worth: 1, worth_wanted: 1, ...more });

test('a date holds only when nobody is late or at risk', () => {
  expect(holds(game({}))).toBe('holds');
  expect(holds(game({ at_risk: ['Vey'] }))).toBe('part');
  expect(holds(game({ late: [{ units: ['Vey'], short_minutes: 5, drops: [] }], worth: 0 }))).toBe('fails');
});

test('a campaign needs a date of any kind', () => {
  const p = (calendar: object, ready?: string): Project => ({ calendar, units: [{ name: 'Vey', ready_by: ready }] }) as unknown as Project;
  expect(dated(null)).toBe(false);
  expect(dated(p({}))).toBe(false);
  expect(dated(p({ games: [{ date: '2027-02-01' }] }))).toBe(true);
  expect(dated(p({ ready_by: '2027-02-01' }))).toBe(true);
  expect(dated(p({}, '2027-02-01'))).toBe(true);
});

test('the time line goes from the first day to the last, one unit after another', () => {
  const answer = {
    sequence: [
      { units: ['Vey'], ready: '2027-01-11', planned: '2027-01-12' },
      { units: ['Foot'], ready: '2027-01-21', planned: '2027-01-19' },
    ],
    dates: [game({ date: '2027-01-21' })],
  } as unknown as Answer;
  const { lines, dates } = timeLine(answer, '2027-01-01');
  expect(lines[0]!.from).toBe(0);
  expect(lines[0]!.to).toBeCloseTo(55, 9); // 11 of 20 days
  expect(lines[1]!.from).toBeCloseTo(50, 9);
  expect(lines[1]!.to).toBeCloseTo(90, 9);
  expect(dates[0]!.at).toBe(100);
});

test('what saves more lies to the right, what costs more lies higher', () => {
  const drop = (minutes: number, loss: number): Drop => ({ cuts: [], minutes, loss_delta_e00: loss, enough: false });
  const { points, needed } = frontier([drop(10, 0.2), drop(40, 1)], 30, 200, 100);
  expect(points[1]!.x).toBeGreaterThan(points[0]!.x);
  expect(points[1]!.y).toBeLessThan(points[0]!.y);
  expect(needed).toBeGreaterThan(points[0]!.x);
  expect(needed).toBeLessThan(points[1]!.x);
  expect(points.every((p) => p.x <= 200 && p.y >= 0)).toBe(true);
  expect(steps(points, 100).startsWith('M0 100 V')).toBe(true);
});

test('what is needed stays in the frame where no choice comes near it', () => {
  const { points, needed } = frontier([{ cuts: [], minutes: 10, loss_delta_e00: 1, enough: false }], 600, 200, 100);
  expect(needed).toBe(200);
  expect(points[0]!.x).toBeGreaterThan(100);
});

test('cuts stand together by whom they are about', () => {
  expect(byWhom(['eyes on the Foot', 'lace on the Foot', 'washes on the Foot, Vey'])).toEqual([
    { what: ['eyes', 'lace'], whom: 'Foot' },
    { what: ['washes'], whom: 'Foot, Vey' },
  ]);
});

test('a new game has a name of its own', () => {
  expect(freeName([{ date: '', name: 'Game 2' }], (n) => `Game ${n}`)).toBe('Game 3');
});
