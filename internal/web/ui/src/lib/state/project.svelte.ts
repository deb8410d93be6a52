import { api, Problem } from '../api.ts';
import type { Finding, Head, Plan, Project } from '../model.ts';
import type { Change, Patch } from '../patch.ts';
import { inWords } from '../problem.ts';
import { t } from '../text/index.ts';
import { Edits, type Clash } from './edits.ts';
import { listen, type News } from './events.ts';
import { toasts } from './toasts.svelte.ts';
import { shelfOf, type Waiting, type WaitingShelf } from './waiting.ts';

/** kept: all is on the disk; keeping: on its way; offline: will be tried again;
    failed: refused, `trouble` says why; conflict: a person must choose. */
export type Saving = 'kept' | 'keeping' | 'offline' | 'failed' | 'conflict';

export interface Conflict {
  why: string;
  clashes: Clash[];
  theirs: Head;
}

const mergeWait = 350; // ms in which steps of one merge key gather
const longestRetry = 30_000; // ms

/** One project as the pages see it: what is kept, what is shown, the newest
    plan, and every edit on its way. Made by `open`, ended by `close`. */
export class ProjectState {
  /** The revision in force, as last heard. */
  head = $state.raw<Head | null>(null);
  /** The project as shown: the head with the edits that are not kept yet. */
  doc = $state.raw<Project | null>(null);
  plan = $state.raw<Plan | null>(null);
  saving = $state<Saving>('kept');
  waiting = $state(0); // edits not kept yet
  trouble = $state.raw<Problem | null>(null);
  conflict = $state.raw<Conflict | null>(null);
  /** Why the project could not be opened. */
  failed = $state.raw<unknown>(null);
  connected = $state(true);
  /** The last line of the log that was heard of; pages refetch when it grows. */
  logSeq = $state(0);

  #edits: Edits<Project> | null = null;
  #sending = false;
  #timer: ReturnType<typeof setTimeout> | undefined;
  #retry = 1000;
  #heard = 0; // the revision in force as last heard of; an undo counts back
  #fetching: 'no' | 'asked' | 'again' = 'no'; // the head, after news of it
  #takes = 0; // heads taken so far
  #planning: 'no' | 'asked' | 'again' = 'no';
  #stop: (() => void) | undefined;
  #closed = false;
  readonly #shelf: WaitingShelf;
  #shelved = false; // whether something of this window lies there
  /** Projects being closed in this window, until what waits is handed over. */
  static readonly #closing = new Map<string, Promise<void>>();

  constructor(readonly id: string) {
    this.#shelf = shelfOf(id);
  }

  /** Loads the project and starts to listen. */
  async open(): Promise<void> {
    // What the one before still hands over must not be taken up and sent again.
    await ProjectState.#closing.get(this.id);
    if (this.#closed) return;
    try {
      this.#take(await api.head(this.id));
      this.#recall(await this.#shelf.take());
    } catch (cause) {
      this.failed = cause;
      return;
    }
    if (this.#closed) return;
    void this.refreshPlan();
    this.#stop = listen(
      api.url.events(this.id),
      (kind, news) => this.#news(kind, news),
      (yes, again) => {
        this.connected = yes;
        if (yes && again) this.#catchUp();
      },
    );
    addEventListener('beforeunload', this.#leaving);
  }

  close(): void {
    this.#closed = true;
    clearTimeout(this.#timer);
    this.#stop?.();
    if (typeof removeEventListener !== 'undefined') removeEventListener('beforeunload', this.#leaving);
    if (this.waiting === 0) return;
    const last = this.#send().finally(() => {
      if (ProjectState.#closing.get(this.id) === last) ProjectState.#closing.delete(this.id);
    });
    ProjectState.#closing.set(this.id, last);
  }

  get project(): Project | null {
    return this.doc;
  }
  get revision(): number {
    return this.head?.revision ?? 0;
  }
  get name(): string {
    return this.doc?.name ?? this.head?.kept.name ?? '';
  }
  get findings(): Finding[] {
    return this.head?.findings ?? [];
  }
  get canUndo(): boolean {
    return this.waiting > 0 || (this.head?.kept.can_undo ?? false);
  }
  get canRedo(): boolean {
    return this.waiting === 0 && (this.head?.kept.can_redo ?? false);
  }

  /** Changes the project: shown at once, kept as one revision, undone as one.
      `why` says what was done in a few words ("one trooper more"). Best is a
      recipe that finds things by name, since it may be applied again to what
      others made meanwhile. Steps with the same `merge` become one revision.
      False when nothing changed. */
  edit(change: Change<Project>, why: string, options: { merge?: string } = {}): boolean {
    if (!this.#edits) return false;
    try {
      if (!this.#edits.add(why, change, options.merge)) return false;
    } catch (cause) {
      toasts.say(inWords(cause), { kind: 'fault' });
      return false;
    }
    this.#show();
    clearTimeout(this.#timer);
    if (options.merge) this.#timer = setTimeout(() => void this.#send(), mergeWait);
    else void this.#send();
    return true;
  }

  /** Says what was just done, with the way to undo it. */
  did(what: string): void {
    toasts.say(what, { action: { label: t('undo'), run: () => void this.undo() } });
  }

  async undo(): Promise<void> {
    await this.#step(() => api.undo(this.id, { base: this.revision }), t('undo.done'), () => this.canUndo || t('undo.none'));
  }

  async redo(): Promise<void> {
    await this.#step(() => api.redo(this.id, { base: this.revision }), t('redo.done'), () => this.canRedo || t('redo.none'));
  }

  /** Any other call that answers with a new head (rename, restore, a file …). */
  async step(call: (base: number) => Promise<Head>, done = ''): Promise<Head | null> {
    return this.#step(() => call(this.revision), done);
  }

  /** A head that came by another way, such as the text, is the one in force. */
  took(head: Head): void {
    this.#take(head);
  }

  /** Waits until every edit is kept; false when one is not. */
  async settled(): Promise<boolean> {
    await this.#send();
    return this.waiting === 0;
  }

  /** Tries again what was not kept. */
  retry(): void {
    this.trouble = null;
    void this.#send();
  }

  /** Gives up the edits that are not kept. */
  drop(): void {
    if (!this.#edits || !this.head) return;
    this.#edits.waiting = [];
    this.trouble = null;
    this.#take(this.head);
    this.#catchUp();
  }

  /** Ends a conflict: with mine applied again to theirs, or with theirs. */
  resolve(how: 'mine' | 'theirs'): void {
    const conflict = this.conflict;
    if (!conflict || !this.#edits) return;
    this.conflict = null;
    if (how === 'theirs') this.#edits.waiting = [];
    this.#take(conflict.theirs);
    if (how === 'mine') void this.#send();
    else this.#catchUp();
  }

  /** Fetches the newest plan; calls that come while one runs are one more. */
  async refreshPlan(): Promise<void> {
    if (this.#planning !== 'no') {
      this.#planning = 'again';
      return;
    }
    this.#planning = 'asked';
    try {
      this.plan = await api.plan(this.id);
    } catch {
      // The next event or reconnection asks again.
    }
    const again = (this.#planning as string) === 'again';
    this.#planning = 'no';
    if (again && !this.#closed) await this.refreshPlan();
  }

  // #step makes one call after the edits and steps before it, if it may then;
  // keys pressed faster than the server answers count each.
  #step(call: () => Promise<Head>, done: string, may: () => true | string = () => true): Promise<Head | null> {
    const step = this.#steps.then(async () => {
      if (!(await this.settled())) return null;
      const said = may();
      if (said !== true) {
        toasts.say(said);
        return null;
      }
      const calling = this.#call(call, done);
      this.#calling = calling.finally(() => (this.#calling = null));
      return calling;
    });
    this.#steps = step.catch(() => null);
    return step;
  }
  #steps: Promise<unknown> = Promise.resolve();
  #calling: Promise<unknown> | null = null; // edits made meanwhile go to what it answers

  async #call(call: () => Promise<Head>, done: string): Promise<Head | null> {
    this.saving = 'keeping';
    try {
      const head = await call();
      this.#take(head);
      if (done) toasts.say(done);
      return head;
    } catch (cause) {
      this.saving = 'kept';
      if (cause instanceof Problem && cause.status === 412 && cause.current) this.#take(cause.current);
      toasts.say(inWords(cause), { kind: 'fault' });
      return null;
    }
  }

  // #take makes a head the one in force and puts waiting edits on top.
  #take(head: Head): void {
    this.head = head;
    this.#takes++;
    if (!this.#edits) this.#edits = new Edits(head.project);
    const lost = this.#edits.rebase(head.project);
    for (const edit of lost) toasts.say(`${edit.why}: ${t('conflict.unfit')}`, { kind: 'fault' });
    this.#show();
  }

  #show(): void {
    if (!this.#edits) return;
    this.doc = this.#edits.shown;
    this.waiting = this.#edits.length;
    if (this.conflict) this.saving = 'conflict';
    else if (this.trouble) this.saving = this.trouble.offline ? 'offline' : 'failed';
    else this.saving = this.waiting > 0 ? 'keeping' : 'kept';
    if (this.#edits.length > 0 || this.#shelved) {
      this.#shelf.put({ revision: this.revision, edits: this.#edits.asPatches() });
      this.#shelved = this.#edits.length > 0;
    }
  }

  // #send hands over waiting edits one by one, until none is left or one is refused.
  #sendRun: Promise<void> | null = null;
  #send(): Promise<void> {
    this.#sendRun ??= this.#sendAll().finally(() => (this.#sendRun = null));
    return this.#sendRun;
  }

  async #sendAll(): Promise<void> {
    clearTimeout(this.#timer);
    this.#sending = true;
    try {
      for (;;) {
        if (this.#calling) await this.#calling;
        const next = this.conflict ? null : this.#edits?.next();
        if (!next || !this.head) break;
        next.edit.sent = true;
        if (!(await this.#sendOne(next.edit.why, next.patch))) break;
      }
    } finally {
      this.#sending = false;
    }
    this.#show();
    if (this.waiting === 0 && this.#heard !== 0 && this.#heard !== this.revision) this.#catchUp();
    this.#heard = 0;
  }

  async #sendOne(why: string, patch: Patch): Promise<boolean> {
    const edits = this.#edits!;
    try {
      const head = await api.patch(this.id, { base: this.head!.revision, why }, patch);
      this.trouble = null;
      this.#retry = 1000;
      this.head = head;
      this.#takes++;
      edits.kept(head.project);
      this.#show();
      return true;
    } catch (cause) {
      const problem = cause instanceof Problem ? cause : new Problem(500, 'error', inWords(cause));
      if (problem.status === 412) return this.#clash(why, problem);
      if (problem.status === 400 || problem.status === 422) this.#refused(problem);
      else this.#delayed(problem);
      return problem.status === 400 || problem.status === 422;
    }
  }

  // #clash: somebody was before; true when that was this very edit, whose answer
  // never came, and the next may be sent.
  async #clash(why: string, problem: Problem): Promise<boolean> {
    try {
      const theirs = problem.current ?? (await api.head(this.id));
      if (theirs.revision === this.head!.revision + 1 && this.#edits!.arrived(theirs.project)) {
        this.trouble = null;
        this.head = theirs;
        this.#takes++;
        this.#edits!.kept(theirs.project);
        this.#show();
        return true;
      }
      this.conflict = { why, clashes: this.#edits!.clashes(theirs.project), theirs };
    } catch (cause) {
      this.#delayed(cause instanceof Problem ? cause : problem);
    }
    this.#show();
    return false;
  }

  // #refused: the edit can never be kept, so it is taken back and its reason said.
  #refused(problem: Problem): void {
    this.#edits!.waiting.shift();
    this.#take(this.head!);
    toasts.say(inWords(problem), { kind: 'fault' });
  }

  #delayed(problem: Problem): void {
    this.trouble = problem;
    this.#show();
    if (!problem.offline || this.#closed) return;
    this.#timer = setTimeout(() => void this.#send(), this.#retry);
    this.#retry = Math.min(this.#retry * 2, longestRetry);
  }

  #news<K extends keyof News>(kind: K, news: News[K]): void {
    if (kind === 'log') {
      this.logSeq = Math.max(this.logSeq, (news as News['log']).seq);
    } else if (kind === 'head') {
      const { revision } = news as News['head'];
      if (this.#sending || this.waiting > 0) this.#heard = revision;
      else if (revision !== this.revision) this.#catchUp();
    } else {
      const said = news as News['plan'];
      if (said.state === 'working' && this.plan) {
        this.plan = { ...this.plan, state: 'working', stage: said.stage ?? '', share: said.share ?? 0 };
      } else {
        void this.refreshPlan();
      }
    }
  }

  #catchUp(): void {
    if (this.#closed) return;
    void this.#refreshHead();
    void this.refreshPlan();
    if (this.waiting > 0) void this.#send();
  }

  // #refreshHead fetches what is in force, again if something was kept meanwhile.
  async #refreshHead(): Promise<void> {
    if (this.#fetching !== 'no') {
      this.#fetching = 'again';
      return;
    }
    this.#fetching = 'asked';
    const takes = this.#takes;
    try {
      const head = await api.head(this.id);
      if (takes !== this.#takes) this.#fetching = 'again';
      else if (this.waiting === 0 && !this.#sending) this.#take(head);
    } catch {
      // The next news or reconnection asks again.
    }
    const again = (this.#fetching as string) === 'again';
    this.#fetching = 'no';
    if (again && !this.#closed && this.waiting === 0 && !this.#sending) await this.#refreshHead();
  }

  // #recall takes up what windows that are gone left behind.
  #recall(left: Waiting[]): void {
    for (const { why, patch } of left.flatMap((l) => l.edits)) {
      try {
        this.#edits!.add(why, patch);
      } catch {
        toasts.say(`${why}: ${t('conflict.unfit')}`, { kind: 'fault' });
      }
    }
    if (this.#edits!.length === 0) return;
    if (left.some((l) => l.revision !== this.revision)) {
      const theirs = this.head!;
      this.conflict = { why: this.#edits!.waiting[0]!.why, clashes: this.#edits!.clashes(theirs.project), theirs };
    }
    this.#show();
    void this.#send();
  }

  #leaving = (event: BeforeUnloadEvent): void => {
    if (this.waiting > 0) event.preventDefault();
  };
}
