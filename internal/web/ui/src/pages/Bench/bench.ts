// What the bench works out: the passes as they stand once the ticks that are
// not kept yet are counted in, drops, and what a clock may be believed.
import { api } from '../../lib/api.ts';
import type { Bench, BenchPass, Entry, Schemas } from '../../lib/model.ts';

export type BenchTask = Schemas['BenchTask'];
export type TaskKey = Schemas['TaskKey'];

/** One text for one task, whatever the order of its fields. */
export function keyOf(task: TaskKey): string {
  const f = task.figure;
  return JSON.stringify([f.unit, f.role, f.number, task.area, task.coat, task.medium]);
}

/** The bare key of a task: what an entry names. */
export function bare(task: TaskKey): TaskKey {
  const { figure, area, coat, medium } = task;
  return { figure: { unit: figure.unit, role: figure.role, number: figure.number }, area, coat, medium };
}

/** The bench with entries counted in that the server has not answered yet.
    They are counted in their order; one that is already in the bench changes
    nothing. */
export function fold(bench: Bench, waiting: Entry[]): Bench {
  if (waiting.length === 0) return bench;
  const undone = new Set(waiting.filter((e) => e.kind === 'undo').map((e) => e.undoes));
  const state = new Map<string, { state: 'done' | 'skipped'; at: string }>();
  for (const e of waiting) {
    if ((e.kind !== 'done' && e.kind !== 'skip') || undone.has(e.id)) continue;
    for (const t of e.tasks ?? []) state.set(keyOf(t), { state: e.kind === 'done' ? 'done' : 'skipped', at: e.at });
  }
  let next = -1;
  let [done, skipped, seconds] = [0, 0, 0]; // tasks, newly so, and what they were to take
  const taken = new Set<number>();
  const passes = bench.passes.map((pass, i): BenchPass => {
    let changed = false;
    const tasks = pass.tasks.map((task) => {
      const now = state.get(keyOf(task));
      if (!now || task.state !== 'open') return task;
      changed = true;
      seconds += task.seconds;
      if (now.state === 'done') done++;
      else skipped++;
      return { ...task, state: now.state, done_at: now.at };
    });
    const open = tasks.filter((t) => t.state === 'open').length;
    let now = pass.state;
    if (open === 0 && tasks.length > 0) now = tasks.every((t) => t.state === 'skipped') ? 'skipped' : 'done';
    else if (now === 'next' || now === 'waiting') {
      now = taken.has(pass.painter) ? 'waiting' : 'next';
      taken.add(pass.painter);
    }
    if (now === 'next' && next < 0) next = i;
    if (!changed && now === pass.state) return pass;
    return { ...pass, tasks, state: now, done: tasks.length - open };
  });
  const minutes_left = Math.max(0, bench.progress.minutes_left - seconds / 60);
  const progress = { ...bench.progress, done: bench.progress.done + done, skipped: bench.progress.skipped + skipped, minutes_left };
  return { ...bench, passes, next, progress };
}

/** Who has a pass to do, where several paint; '' of one who paints alone. */
export function painterOf(bench: Bench, pass: BenchPass): string {
  if (new Set(bench.sittings.map((s) => s.painter)).size < 2) return '';
  return bench.sittings.find((s) => s.number === pass.sitting)?.painter ?? '';
}

/** A pass's figures, each with its tasks of the pass. */
export interface Man {
  index: number;
  tasks: BenchTask[];
  state: 'open' | 'done' | 'skipped' | 'part';
}

export function menOf(pass: BenchPass): Man[] {
  const men = new Map<number, BenchTask[]>();
  for (const t of pass.tasks) men.set(t.index, [...(men.get(t.index) ?? []), t]);
  const order = pass.figures.filter((f) => men.has(f));
  return order.map((index) => {
    const tasks = men.get(index)!;
    const states = new Set(tasks.map((t) => t.state));
    const state = states.size > 1 ? (states.has('open') ? 'part' : 'done') : ([...states][0] as Man['state']);
    return { index, tasks, state };
  });
}

/** The tasks of a pass still to be done. */
export function openTasks(pass: BenchPass): BenchTask[] {
  return pass.tasks.filter((t) => t.state === 'open');
}

/** Drops of each paint of a mix for at least so many drops in whole parts. */
export function dropsOf(mix: { paint: string; parts: number }[], drops: number): { paint: string; drops: number }[] {
  const sum = mix.reduce((n, p) => n + p.parts, 0);
  if (sum === 0) return [];
  const times = Math.max(1, Math.ceil(drops / sum));
  return mix.map((p) => ({ paint: p.paint, drops: p.parts * times }));
}

/** Whether a measured time can be believed: a clock that ran more than thrice
    as long as planned and ten minutes longer was forgotten. */
export function believable(measured: number, planned: number): boolean {
  return measured <= 3 * planned + 600;
}

/** What can be undone last: the newest tick or skip that was not undone. */
export function lastTick(entries: Entry[]): Entry | undefined {
  const undone = new Set(entries.filter((e) => e.kind === 'undo').map((e) => e.undoes));
  return entries.findLast((e) => (e.kind === 'done' || e.kind === 'skip') && !undone.has(e.id));
}

/** A countdown as "1:05:00" or "4:59"; "0:00" when it is over. */
export function countdown(seconds: number): string {
  const left = Math.max(0, Math.ceil(seconds));
  const two = (n: number): string => String(n).padStart(2, '0');
  const h = Math.floor(left / 3600);
  const m = Math.floor(left / 60) % 60;
  return h > 0 ? `${h}:${two(m)}:${two(left % 60)}` : `${m}:${two(left % 60)}`;
}

/** A UUID (RFC 9562, version 4), also where the page is not in a secure context. */
export function uuid(): string {
  if (typeof crypto.randomUUID === 'function') return crypto.randomUUID();
  const b = crypto.getRandomValues(new Uint8Array(16));
  b[6] = (b[6]! & 0x0f) | 0x40;
  b[8] = (b[8]! & 0x3f) | 0x80;
  const hex = [...b].map((x) => x.toString(16).padStart(2, '0')).join('');
  return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-${hex.slice(12, 16)}-${hex.slice(16, 20)}-${hex.slice(20)}`;
}

/** The picture of a pass, from its own side or turned on by some degrees. */
export function pictureOf(project: string, pass: BenchPass, turn = 0): string {
  const query = Object.fromEntries(new URLSearchParams(pass.picture));
  return api.url.picture(project, { ...query, azimuth: query.close ? turn : 40 + turn, width: 640, height: 640 });
}
