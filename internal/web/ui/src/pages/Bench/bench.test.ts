import { expect, test } from 'vitest';
import type { Bench, BenchPass, Entry } from '../../lib/model.ts';
import { bare, believable, countdown, dropsOf, fold, lastTick, menOf, openTasks, painterOf, uuid } from './bench.ts';

const look = { hex: '#884422', lab: [40, 20, 30] as number[], name: 'brown' };
const task = (n: number, area: string) => ({
  figure: { unit: 'Vey', role: 'trooper', number: n }, area, coat: 0, medium: 'brown', index: n - 1, look, seconds: 60, state: 'open',
});
const pass = (key: string, state: string, tasks: ReturnType<typeof task>[]): BenchPass =>
  ({ key, state, tasks, figures: [...new Set(tasks.map((t) => t.index))], painter: 0, done: 0 }) as unknown as BenchPass;
const bench = (): Bench =>
  ({ next: 0, progress: { tasks: 4, done: 0, skipped: 0, minutes_left: 4 }, passes: [pass('a', 'next', [task(1, 'coat'), task(1, 'cuffs'), task(2, 'coat')]), pass('b', 'waiting', [task(1, 'hat')])] }) as unknown as Bench;
let n = 0;
const entry = (kind: string, tasks: ReturnType<typeof task>[], more: Partial<Entry> = {}): Entry =>
  ({ id: `e${++n}`, kind, at: '2027-01-05T19:00:00Z', tasks: tasks.map(bare), ...more }) as Entry;

test('a pass names its painter where several paint', () => {
  const sittings = [{ number: 1, painter: 'Ana' }, { number: 2, painter: 'Bo' }];
  const b = { sittings } as unknown as Bench;
  expect(painterOf(b, { sitting: 2 } as BenchPass)).toBe('Bo');
  expect(painterOf(b, { sitting: 0 } as BenchPass)).toBe(''); // done before this plan
  expect(painterOf({ sittings: sittings.slice(1) } as unknown as Bench, { sitting: 2 } as BenchPass)).toBe('');
});

test('ticks that wait are counted in, and the next pass comes up', () => {
  const b = bench();
  const part = fold(b, [entry('done', [task(1, 'coat'), task(1, 'cuffs')])]);
  expect(part.passes[0]!.state).toBe('next');
  expect(part.passes[0]!.done).toBe(2);
  expect(part.progress.done).toBe(2);
  expect(part.progress.minutes_left).toBe(2);
  expect(menOf(part.passes[0]!).map((m) => m.state)).toEqual(['done', 'open']);
  expect(openTasks(part.passes[0]!).map((t) => t.area)).toEqual(['coat']);
  const all = fold(b, [entry('done', b.passes[0]!.tasks as never)]);
  expect(all.passes.map((p) => p.state)).toEqual(['done', 'next']);
  expect(all.next).toBe(1);
  expect(b.passes[0]!.state).toBe('next');
});

test('an undone tick does not count, nor does the same one twice', () => {
  const b = bench();
  const tick = entry('done', b.passes[0]!.tasks as never);
  const undo = entry('undo', [], { undoes: tick.id });
  expect(fold(b, [tick, undo]).passes[0]!.state).toBe('next');
  expect(fold(fold(b, [tick]), [tick])).toEqual(fold(b, [tick]));
  expect(lastTick([tick, undo])).toBeUndefined();
  expect(lastTick([tick])).toBe(tick);
});

test('a skipped pass is told from a painted one', () => {
  const b = bench();
  const skipped = fold(b, [entry('skip', b.passes[0]!.tasks as never)]);
  expect(skipped.passes[0]!.state).toBe('skipped');
  expect([skipped.progress.done, skipped.progress.skipped]).toEqual([0, 3]);
});

test('drops keep the parts of a mix whole', () => {
  expect(dropsOf([{ paint: 'red', parts: 3 }, { paint: 'white', parts: 1 }], 5)).toEqual([
    { paint: 'red', drops: 6 },
    { paint: 'white', drops: 2 },
  ]);
  expect(dropsOf([{ paint: 'red', parts: 3 }], 0)).toEqual([{ paint: 'red', drops: 3 }]);
  expect(dropsOf([], 5)).toEqual([]);
});

test('a clock that ran all night is not believed', () => {
  expect(believable(900, 600)).toBe(true);
  expect(believable(9 * 3600, 600)).toBe(false);
});

test('countdowns', () => {
  expect(countdown(3905)).toBe('1:05:05');
  expect(countdown(59.2)).toBe('1:00');
  expect(countdown(-3)).toBe('0:00');
});

test('ids are UUIDs of version 4 (RFC 9562)', () => {
  expect(uuid()).toMatch(/^[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
  expect(new Set(Array.from({ length: 100 }, uuid)).size).toBe(100);
});
