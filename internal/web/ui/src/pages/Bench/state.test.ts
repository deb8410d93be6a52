import { beforeEach, expect, test, vi } from 'vitest';
import type { Bench, BenchPass, Entry } from '../../lib/model.ts';
import { bare } from './bench.ts';
import { BenchState } from './bench.svelte.ts';

const task = (n: number) => ({
  figure: { unit: 'Vey', role: 'trooper', number: n }, area: 'coat', coat: 0, medium: 'brown', index: n - 1, seconds: 60, state: 'open',
});

/** What the server has: its log, and the bench worked out from it. */
let log: Entry[];
let gate: { bench?: Promise<void>; log?: Promise<void>; gone?: boolean };

function told(): Bench {
  const done = new Set(log.flatMap((e) => (e.kind === 'done' ? e.tasks!.map((x) => x.figure.number) : [])));
  const passes = [1, 2, 3].map((n) => {
    const state = done.has(n) ? 'done' : 'open';
    return { key: `p${n}`, title: `Pass ${n}`, state: state === 'done' ? 'done' : 'waiting', tasks: [{ ...task(n), state }], figures: [n - 1], painter: 0, done: 0 } as unknown as BenchPass;
  });
  const next = passes.findIndex((p) => p.state !== 'done');
  return { seq: log.length, now: '2027-01-05T19:00:00Z', next, passes, progress: { tasks: 3, done: done.size, skipped: 0 } } as unknown as Bench;
}

vi.mock('../../lib/api.ts', () => {
  class Problem extends Error {
    offline = true;
  }
  const api = {
    bench: async () => {
      if (gate.gone) throw new Problem();
      const now = told();
      await gate.bench;
      return now;
    },
    log: async (_: string, from: number) => {
      await gate.log;
      return { seq: log.length, entries: log.slice(from) };
    },
    addToLog: async (_: string, entries: Entry[]) => {
      log.push(...entries.filter((e) => !log.some((l) => l.id === e.id)));
      return { seq: log.length, entries };
    },
  };
  return { Problem, api };
});

// What a page listens to.
vi.stubGlobal('addEventListener', () => undefined);
vi.stubGlobal('removeEventListener', () => undefined);

const settle = () => new Promise((done) => setTimeout(done, 5));
const shown = (s: BenchState) => s.bench!.progress.done;
const all = (s: BenchState) => s.pass!.tasks.filter((x) => x.state === 'open');

beforeEach(() => {
  log = [];
  gate = {};
});

test('an answer from before a tick never takes the tick off the page', async () => {
  const s = new BenchState('one');
  await s.refresh();
  let open = () => {};
  gate.log = new Promise((done) => (open = done));
  const refreshed = s.refresh(); // has the bench from before the tick, waits for the log
  await settle();
  await s.done(all(s));
  await settle();
  expect(shown(s)).toBe(1);
  const seen: number[] = [];
  open();
  await refreshed;
  seen.push(shown(s));
  await settle();
  seen.push(shown(s));
  expect(seen).toEqual([1, 1]);
  expect(s.pass!.key).toBe('p2');
});

test('an older answer that comes late does not replace a newer one', async () => {
  const s = new BenchState('two');
  await s.refresh();
  let late = () => {};
  gate.bench = new Promise((done) => (late = done));
  const first = s.refresh();
  await settle();
  gate.bench = undefined;
  log.push({ id: 'theirs', kind: 'done', at: '2027-01-05T19:00:00Z', tasks: [bare(task(1) as never)] } as Entry); // another device
  const second = s.refresh();
  await settle();
  late();
  await Promise.all([first, second]);
  expect(shown(s)).toBe(1);
});

test('two entries made at once are both kept', async () => {
  const s = new BenchState('three');
  await s.refresh();
  await Promise.all([s.start(), s.mixed(s.pass!), s.done(all(s))]);
  await settle();
  expect(log.map((e) => e.kind)).toEqual(['start', 'mix', 'done']);
  expect(s.waiting).toEqual([]);
});

test('what was acknowledged is done on the next visit too, when the server is gone since', async () => {
  const s = new BenchState('four');
  await s.refresh();
  gate.gone = true; // after the tick was taken: nothing is told anew
  await s.done(all(s));
  await settle();
  s.close();
  expect(log.length).toBe(1);
  const again = new BenchState('four');
  await again.open();
  again.close();
  expect([again.offline, again.remembered, again.waiting.length]).toEqual([true, true, 0]);
  expect(shown(again)).toBe(1);
  expect(again.pass!.key).toBe('p2');
});
