// The colours of the figure that is looked at: as the project stands, and as it
// would be with something tried on.
import { api } from '../../lib/api.ts';
import type { AreaColours, Colours } from '../../lib/model.ts';
import { changed, diff } from '../../lib/patch.ts';
import type { Ramps } from '../../lib/figure/lut.ts';
import type { ProjectState } from '../../lib/state/project.svelte.ts';
import type { Recipe } from '../Muster/units.ts';
import { rangeOf, same, whoKey, type Who } from './who.ts';

const atOnce = 2; // questions at the same time

interface Question {
  key: string;
  recipe: Recipe;
}

export class Shown {
  /** The figure's place in the roster; undefined until it is found. */
  index = $state<number>();
  kept = $state.raw<Colours | null>(null);
  failed = $state.raw<unknown>(null);
  working = $state(true);
  /** What is tried on, by key; null for the project as it stands. */
  trying = $state<string | null>(null);
  /** Answers to what was tried, by key. */
  trials = $state.raw<ReadonlyMap<string, Colours>>(new Map());
  /** When the colours now shown came, by performance.now(). */
  since = $state(0);

  #found = new Map<string, number>();
  #stop = new AbortController();
  #trials = new AbortController();
  #queue: Question[] = [];
  #asked = new Set<string>();
  #running = 0;

  constructor(readonly project: ProjectState) {}

  get colours(): Colours | null {
    const trial = this.trying === null ? undefined : this.trials.get(this.trying);
    return trial ?? this.kept;
  }

  /** Fetches a figure's colours as the project stands; until they are there, what
      was shown stays. */
  async follow(who: Who): Promise<void> {
    this.#stop.abort();
    const stop = (this.#stop = new AbortController());
    this.#forget();
    this.working = true;
    try {
      const { index, colours } = await this.#find(who, stop.signal);
      if (stop.signal.aborted) return;
      this.#found.set(whoKey(who), index);
      this.index = index;
      this.take(colours);
      this.failed = null;
      this.working = false;
    } catch (cause) {
      if (stop.signal.aborted) return;
      this.failed = cause;
      this.working = false;
    }
  }

  // #find asks for the figure where it is thought to stand; the unit's places are
  // gone through only when it is not there.
  async #find(who: Who, signal: AbortSignal): Promise<{ index: number; colours: Colours }> {
    const project = this.project.doc!;
    const [from, to] = rangeOf(project, who.unit);
    const listed = this.project.plan?.roster?.figures.find((f) => same(f.id, who))?.index;
    const first = [listed, this.#found.get(whoKey(who))].filter((n) => n !== undefined);
    const rest = Array.from({ length: to - from }, (_, i) => from + i);
    let last: unknown = new Error(`${who.role} ${who.number}`);
    for (const index of new Set([...first, ...rest])) {
      try {
        const colours = await api.colours(this.project.id, index, signal);
        if (same(colours.figure, who)) return { index, colours };
      } catch (cause) {
        if (signal.aborted || !(cause as { status?: number }).status || (cause as { status?: number }).status !== 404) throw cause;
        last = cause;
      }
    }
    throw last;
  }

  take(colours: Colours): void {
    this.kept = colours;
    this.since = performance.now();
  }

  /** Shows something tried on, as soon as it is known; null shows what is kept. */
  wear(key: string | null, recipe?: Recipe): void {
    this.trying = key;
    if (key === null) this.since = performance.now();
    else if (this.trials.has(key)) this.since = performance.now();
    else if (recipe) this.ask(key, recipe, true);
  }

  /** Asks what the figure would show; the answer comes into `trials`. */
  ask(key: string, recipe: Recipe, first = false): void {
    if (this.trials.has(key)) return;
    if (first) this.#queue = this.#queue.filter((q) => q.key !== key);
    else if (this.#asked.has(key)) return;
    this.#asked.add(key);
    if (first) this.#queue.unshift({ key, recipe });
    else this.#queue.push({ key, recipe });
    this.#next();
  }

  /** Gives up questions that nobody waits for any more. */
  quiet(): void {
    for (const q of this.#queue) this.#asked.delete(q.key);
    this.#queue = [];
  }

  #next(): void {
    const { head, doc } = this.project;
    while (this.#running < atOnce && this.#queue.length > 0 && this.index !== undefined && head && doc) {
      const { key, recipe } = this.#queue.shift()!;
      const { signal } = this.#trials;
      this.#running++;
      void api
        .tryOn(this.project.id, this.index, diff(head.project, changed(doc, recipe)), signal)
        .then((colours) => {
          if (signal.aborted) return;
          this.trials = new Map(this.trials).set(key, colours);
          if (this.trying === key) this.since = performance.now();
        })
        .catch(() => {
          if (!signal.aborted) this.#asked.delete(key);
        })
        .finally(() => {
          this.#running--;
          this.#next();
        });
    }
  }

  /** Changes the project, and shows what comes of it before it is kept. */
  change(recipe: Recipe, why: string, options: { merge?: string; key?: string } = {}): void {
    const known = options.key ? this.trials.get(options.key) : undefined;
    const { head, doc } = this.project;
    this.trying = null;
    if (known) this.take(known);
    else if (this.index !== undefined && head && doc) {
      void api
        .tryOn(this.project.id, this.index, diff(head.project, changed(doc, recipe)), this.#stop.signal)
        .then((colours) => this.take(colours))
        .catch(() => undefined);
    }
    this.project.edit(recipe, why, options.merge ? { merge: options.merge } : {});
  }

  #forget(): void {
    this.#trials.abort();
    this.#trials = new AbortController();
    this.#queue = [];
    this.#asked.clear();
    this.trials = new Map();
    this.trying = null;
  }

  close(): void {
    this.#stop.abort();
    this.#forget();
  }
}

/** The ramps of a figure's areas, for the turning figure. */
export function rampsOf(areas: readonly AreaColours[]): Ramps {
  return new Map(areas.map((a) => [a.area, a.ramp]));
}
