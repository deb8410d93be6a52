// Edits on their way are remembered in the browser, so that closing a window or
// a crash loses none. Each window has a place of its own; what a window left
// behind is taken up by the next one that opens the project.
import type { Patch } from '../patch.ts';

export interface Waiting {
  revision: number; // that the first edit was made from
  edits: { why: string; patch: Patch }[];
}

interface Shelf {
  readonly length: number;
  key(i: number): string | null;
  getItem(key: string): string | null;
  setItem(key: string, value: string): void;
  removeItem(key: string): void;
}

/** Whether the window of that name is open: asked of the browser's locks. */
type Alive = (window: string) => Promise<boolean>;

const prefix = (project: string): string => `facings.waiting.${project}.`;

export class WaitingShelf {
  constructor(
    private readonly project: string,
    private readonly window: string,
    private readonly shelf: Shelf | undefined,
    private readonly alive: Alive,
  ) {}

  /** Remembers what waits, or forgets it when nothing does. False when there is
      no room, or storage is not allowed. */
  put(waiting: Waiting): boolean {
    try {
      const key = prefix(this.project) + this.window;
      if (waiting.edits.length === 0) this.shelf?.removeItem(key);
      else this.shelf?.setItem(key, JSON.stringify(waiting));
      return this.shelf !== undefined;
    } catch {
      return false;
    }
  }

  /** Takes what windows that are gone left behind, the oldest revision first. */
  async take(): Promise<Waiting[]> {
    const out: Waiting[] = [];
    try {
      const keys: string[] = [];
      for (let i = 0; i < (this.shelf?.length ?? 0); i++) {
        const key = this.shelf!.key(i);
        if (key?.startsWith(prefix(this.project))) keys.push(key);
      }
      for (const key of keys) {
        const window = key.slice(prefix(this.project).length);
        if (window !== this.window && (await this.alive(window))) continue;
        const left = JSON.parse(this.shelf!.getItem(key) ?? 'null') as Waiting | null;
        this.shelf!.removeItem(key);
        if (left && Array.isArray(left.edits) && left.edits.length > 0) out.push(left);
      }
    } catch {
      // What cannot be read is no edit.
    }
    return out.sort((a, b) => a.revision - b.revision);
  }
}

const lockOf = (window: string): string => `facings.window.${window}`;
let thisWindow: string | undefined;

/** The shelf of this window. */
export function shelfOf(project: string): WaitingShelf {
  if (thisWindow === undefined) {
    thisWindow = Math.random().toString(36).slice(2);
    // Held as long as the window lives; the browser lets go when it is closed.
    void globalThis.navigator?.locks?.request(lockOf(thisWindow), () => new Promise(() => undefined));
  }
  let storage: Storage | undefined;
  try {
    storage = globalThis.localStorage;
  } catch {
    storage = undefined;
  }
  return new WaitingShelf(project, thisWindow, storage, async (window) => {
    const held = await globalThis.navigator?.locks?.query();
    return held?.held?.some((lock) => lock.name === lockOf(window)) ?? false;
  });
}
