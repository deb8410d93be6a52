import { api, Problem } from '../../lib/api.ts';
import type { Bench, BenchPass, Entry } from '../../lib/model.ts';
import { inWords } from '../../lib/problem.ts';
import { toasts } from '../../lib/state/toasts.svelte.ts';
import { texts } from '../../lib/text/index.ts';
import { bench as words } from '../../lib/text/en.bench.ts';
import { bare, believable, fold, lastTick, openTasks, uuid, type BenchTask } from './bench.ts';
import { amend, drop, keep, kept, recall, remember } from './shelf.ts';

const t = texts(words);
const longestWait = 30_000; // ms between tries
const tail = 80; // entries of the log kept at hand, for undo

/** The bench of one project on this device: the passes, the ticks on their way
    to the server, and the clock of the pass in hand. A tick is on this device's
    disk before it shows, and goes to the server as soon as that can be reached;
    sent twice it counts once. */
export class BenchState {
  /** As the server last told, or as remembered when it cannot be reached. */
  told = $state.raw<Bench | null>(null);
  waiting = $state.raw<Entry[]>([]);
  /** The newest entries the server has. */
  recent = $state.raw<Entry[]>([]);
  offline = $state(false);
  remembered = $state(false); // told is from an earlier visit
  trouble = $state('');
  /** The pass in hand, by key; '' follows the order. */
  chosen = $state('');
  now = $state(Date.now());

  // The clock: seconds counted up to `since`, running when that is not 0.
  counted = $state(0);
  since = $state(0);
  #clockOf = '';

  bench = $derived(this.told ? fold(this.told, this.waiting) : null);
  pass = $derived.by((): BenchPass | null => {
    const b = this.bench;
    if (!b) return null;
    const chosen = b.passes.find((p) => p.key === this.chosen);
    if (chosen && chosen.state !== 'done' && chosen.state !== 'skipped') return chosen;
    return b.passes[b.next] ?? null;
  });
  /** The pass after the one in hand. */
  after = $derived.by((): BenchPass | null => {
    const b = this.bench;
    if (!b || !this.pass) return null;
    const at = b.passes.indexOf(this.pass);
    return b.passes.slice(at + 1).find((p) => (p.state === 'waiting' || p.state === 'next') && p.painter === this.pass!.painter) ?? null;
  });
  running = $derived(this.since > 0);
  measured = $derived(this.counted + (this.since > 0 ? Math.max(0, (this.now - this.since) / 1000) : 0));
  lastTick = $derived(lastTick([...this.recent, ...this.waiting]));

  #sending = false;
  #timer: ReturnType<typeof setTimeout> | undefined;
  #wait = 1000;
  #tick: ReturnType<typeof setInterval> | undefined;
  #skew = 0; // server's clock less ours, ms
  #closed = false;
  #kept = 0; // the last line of the log that the server acknowledged to us
  #refreshing: Promise<void> | undefined;
  #again = false;

  constructor(readonly project: string) {}

  /** Starts: what was left on this device first, then the server. */
  async open(): Promise<void> {
    this.#tick = setInterval(() => (this.now = Date.now()), 500);
    addEventListener('online', this.#online);
    const left = await kept(this.project);
    const here = new Set(this.waiting.map((e) => e.id));
    if (left.length > 0) this.waiting = [...left.filter((e) => !here.has(e.id)), ...this.waiting];
    const before = await recall(this.project);
    if (before && !this.told) {
      this.told = before;
      this.remembered = true;
    }
    await this.send();
    await this.refresh();
  }

  close(): void {
    this.#closed = true;
    clearInterval(this.#tick);
    clearTimeout(this.#timer);
    removeEventListener('online', this.#online);
  }

  #online = (): void => {
    this.#wait = 1000;
    void this.send().then(() => this.refresh());
  };

  /** An instant of the server by this device's clock, in ms. */
  here(instant: string): number {
    return Date.parse(instant) - this.#skew;
  }

  /** Fetches the bench anew; keeps what it has when that fails. One fetch runs
      at a time: asked meanwhile, another follows it, so that an older answer
      never comes after a newer one. */
  refresh(): Promise<void> {
    if (this.#refreshing) {
      this.#again = true;
      return this.#refreshing;
    }
    this.#refreshing = (async () => {
      do {
        this.#again = false;
        await this.#fetch();
      } while (this.#again && !this.offline);
    })().finally(() => (this.#refreshing = undefined));
    return this.#refreshing;
  }

  async #fetch(): Promise<void> {
    if (this.#closed) return;
    try {
      const told = await api.bench(this.project);
      const log = await api.log(this.project, Math.max(0, told.seq - tail));
      // An answer from before a tick that was kept meanwhile would take it off the page.
      if (told.seq < this.#kept) {
        this.#again = true;
        return;
      }
      this.recent = log.entries;
      this.#skew = Date.parse(told.now) - Date.now();
      this.told = told;
      this.offline = this.remembered = false;
      this.trouble = '';
      this.#takeUp(told);
      void remember(this.project, told);
    } catch (cause) {
      const problem = cause instanceof Problem ? cause : null;
      if (problem?.offline) {
        this.offline = true;
        this.#later();
      } else this.trouble = inWords(cause);
    }
  }

  // The clock goes on from what the log says, unless this page has its own.
  #takeUp(told: Bench): void {
    const u = told.underway;
    if (!u || this.#clockOf || this.since > 0) return;
    this.#clockOf = u.key;
    this.chosen = u.key;
    this.counted = u.seconds;
    this.since = u.paused ? 0 : this.here(u.since);
    if (!believable(this.measured, 3600)) this.since = 0;
  }

  async #add(entry: Omit<Entry, 'id' | 'at'>): Promise<Entry> {
    const whole: Entry = $state.snapshot({ id: uuid(), at: new Date().toISOString(), ...entry });
    await keep(this.project, whole);
    this.waiting = [...this.waiting, whole];
    void this.send();
    return whole;
  }

  /** Hands over what waits. */
  async send(): Promise<void> {
    if (this.#sending || this.waiting.length === 0 || this.#closed) return;
    this.#sending = true;
    try {
      while (this.waiting.length > 0) {
        const batch = this.waiting.slice(0, 500);
        const answer = await api.addToLog(this.project, batch);
        this.#kept = Math.max(this.#kept, answer.seq);
        const sent = new Set(batch.map((e) => e.id));
        this.recent = [...this.recent, ...answer.entries.filter((e) => !this.recent.some((r) => r.id === e.id))].slice(-tail);
        const told = this.told && fold(this.told, batch);
        this.waiting = this.waiting.filter((e) => !sent.has(e.id));
        if (told) this.told = told;
        // Without the server, what it acknowledged must not come up again.
        await amend(this.project, (bench) => fold(bench, batch));
        await drop(this.project, sent);
      }
      this.offline = false;
      this.#wait = 1000;
    } catch (cause) {
      if (cause instanceof Problem && !cause.offline && cause.status < 500) this.trouble = inWords(cause);
      else this.offline = true;
      this.#later();
    } finally {
      this.#sending = false;
    }
  }

  #later(): void {
    clearTimeout(this.#timer);
    if (this.#closed) return;
    this.#timer = setTimeout(() => void this.send().then(() => (this.offline ? this.refresh() : undefined)), this.#wait);
    this.#wait = Math.min(this.#wait * 2, longestWait);
  }

  /** Takes another pass in hand; the clock begins anew. */
  choose(key: string): void {
    if (key === this.pass?.key) return;
    if (this.running) void this.pause();
    this.chosen = key;
    this.#reset();
  }

  #reset(): void {
    this.counted = this.since = 0;
    this.#clockOf = '';
  }

  async start(): Promise<void> {
    const pass = this.pass;
    if (!pass || this.running) return;
    this.#clockOf = this.chosen = pass.key;
    this.since = this.now = Date.now();
    await this.#add({ kind: 'start', tasks: openTasks(pass).map(bare), painter: pass.painter });
  }

  async pause(): Promise<void> {
    if (!this.running || !this.pass) return;
    this.counted = this.measured;
    this.since = 0;
    await this.#add({ kind: 'pause', tasks: openTasks(this.pass).map(bare), painter: this.pass.painter });
  }

  /** Ticks tasks of the pass in hand, with the time since the tick before. */
  async done(tasks: BenchTask[]): Promise<void> {
    const pass = this.pass;
    const open = tasks.filter((x) => x.state === 'open');
    if (!pass || open.length === 0) return;
    const planned = open.reduce((n, x) => n + x.seconds, 0);
    const measured = Math.round(this.measured);
    const clocked = this.running || this.counted > 0;
    const believed = clocked && measured > 0 && believable(measured, planned);
    const last = open.length === openTasks(pass).length;
    const entry = await this.#add({
      kind: 'done',
      tasks: open.map(bare),
      painter: pass.painter,
      ...(believed ? { seconds: measured } : {}),
    });
    this.#reset();
    if (last) this.chosen = '';
    else if (clocked) {
      this.#clockOf = this.chosen = pass.key;
      this.since = this.now = Date.now();
    }
    if (clocked && !believed && measured > 0) {
      toasts.say(t('clock.forgotten', measured / 60), {
        action: { label: t('clock.count'), run: () => void this.#countAfterAll(entry, measured) },
      });
    }
  }

  async #countAfterAll(entry: Entry, seconds: number): Promise<void> {
    await this.#add({ kind: 'undo', undoes: entry.id });
    await this.#add({ kind: 'done', tasks: entry.tasks ?? [], painter: entry.painter ?? 0, seconds });
  }

  async skip(): Promise<void> {
    const pass = this.pass;
    if (!pass) return;
    const entry = await this.#add({ kind: 'skip', tasks: openTasks(pass).map(bare), painter: pass.painter });
    this.#reset();
    this.chosen = '';
    toasts.say(t('skipped', pass.title), { action: { label: t('undo'), run: () => void this.undo(entry) } });
  }

  /** Takes back the newest tick or skip, or a given one. */
  async undo(entry = this.lastTick): Promise<void> {
    if (!entry) return toasts.say(t('undo.none'));
    await this.#add({ kind: 'undo', undoes: entry.id });
    const back = new Set((entry.tasks ?? []).map((x) => JSON.stringify(x)));
    // What this page already counted in is told anew by the server.
    if (!this.waiting.some((e) => e.id === entry.id) && this.told) {
      this.told = reopened(this.told, back);
    }
    await this.send();
    await this.refresh();
    toasts.say(t('undone'));
  }

  async mixed(pass: BenchPass): Promise<void> {
    await this.#add({ kind: 'mix', used: { medium: pass.medium, mix: pass.mix ?? [] } });
  }

  async remark(note: string, used: Entry['used'], file: string): Promise<void> {
    const tasks = this.pass ? this.pass.tasks.map(bare) : [];
    await this.#add({ kind: used ? 'used' : 'note', tasks, note, ...(used ? { used } : {}), ...(file ? { file } : {}) });
  }

  /** When the mix of a pass was last made, in ms; 0 for never. */
  mixedAt(medium: string): number {
    const made = [...this.recent, ...this.waiting].findLast((e) => e.kind === 'mix' && e.used?.medium === medium);
    return made ? Date.parse(made.at) : 0;
  }
}

// reopened takes tasks back in the bench at hand until the server tells anew.
function reopened(told: Bench, keys: Set<string>): Bench {
  const passes = told.passes.map((p) => {
    if (!p.tasks.some((x) => keys.has(JSON.stringify(bare(x))))) return p;
    const tasks = p.tasks.map((x) => (keys.has(JSON.stringify(bare(x))) ? { ...x, state: 'open' } : x));
    return { ...p, tasks, state: 'waiting', done: tasks.filter((x) => x.state !== 'open').length } as BenchPass;
  });
  const next = passes.findIndex((p) => p.state === 'waiting' || p.state === 'next');
  return { ...told, next, passes: passes.map((p, i) => (i === next ? { ...p, state: 'next' } : p)) };
}
