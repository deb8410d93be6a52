// The queue of edits that are shown already and not yet kept. No screen and no
// network here: see project.svelte.ts.
import { changed, copy, diff, pointerParts, valueAt, type Change, type Patch } from '../patch.ts';

export interface Edit<T> {
  why: string;
  changes: Change<T>[];
  /** Edits of one merge key that follow each other are kept as one step. */
  merge?: string | undefined;
  sent?: boolean;
}

/** One place that an edit changes, as it was, as it wants it, as others left it. */
export interface Clash {
  at: string; // JSON Pointer
  before: unknown;
  mine: unknown;
  theirs: unknown;
}

export class Edits<T> {
  waiting: Edit<T>[] = [];

  constructor(public base: T) {}

  get length(): number {
    return this.waiting.length;
  }

  /** What is shown: the base with all waiting edits. */
  get shown(): T {
    let value = this.base;
    for (const edit of this.waiting) value = apply(value, edit);
    return value;
  }

  /** Adds an edit; false when it changes nothing. Throws when it does not fit. */
  add(why: string, change: Change<T>, merge?: string): boolean {
    const before = this.shown;
    const after = changed(before, change);
    if (diff(before, after).length === 0) return false;
    const last = this.waiting.at(-1);
    if (merge && last && !last.sent && last.merge === merge) {
      last.changes.push(change);
      last.why = why;
    } else {
      this.waiting.push({ why, changes: [change], merge });
    }
    return true;
  }

  /** The patch of the first edit that changes anything; edits that no longer do are dropped. */
  next(): { edit: Edit<T>; patch: Patch } | null {
    for (;;) {
      const edit = this.waiting[0];
      if (!edit) return null;
      const patch = diff(this.base, apply(this.base, edit));
      if (patch.length > 0) return { edit, patch };
      this.waiting.shift();
    }
  }

  /** The first edit is kept: what came back is the new base. */
  kept(base: T): void {
    this.base = base;
    this.waiting.shift();
  }

  /** Puts the waiting edits onto another base; those that do not fit are dropped and returned. */
  rebase(base: T): Edit<T>[] {
    this.base = base;
    const lost: Edit<T>[] = [];
    let value = base;
    this.waiting = this.waiting.filter((edit) => {
      try {
        value = apply(value, edit);
        edit.sent = false;
        return true;
      } catch {
        lost.push(edit);
        return false;
      }
    });
    return lost;
  }

  /** Where the waiting edits touch the project, against what others made of it. */
  clashes(theirs: T): Clash[] {
    const mine = this.shown;
    const places = new Set(diff(this.base, mine).map((op) => place(op.path, this.base)));
    return [...places].map((at) => ({
      at,
      before: valueAt(this.base, at),
      mine: valueAt(mine, at),
      theirs: valueAt(theirs, at),
    }));
  }

  /** Whether everything the first edit wants is there already: it was kept, and the
      answer that said so was lost. */
  arrived(theirs: T): boolean {
    const first = this.waiting[0];
    if (!first) return false;
    const mine = apply(this.base, first);
    const places = new Set(diff(this.base, mine).map((op) => place(op.path, this.base)));
    return [...places].every((at) => diff(valueAt(mine, at) ?? null, valueAt(theirs, at) ?? null).length === 0);
  }

  /** The waiting edits as patches, to be remembered in case the page is closed. */
  asPatches(): { why: string; patch: Patch }[] {
    let value = this.base;
    return this.waiting.map((edit) => {
      const after = apply(value, edit);
      const patch = diff(value, after);
      value = after;
      return { why: edit.why, patch };
    });
  }
}

function apply<T>(value: T, edit: Edit<T>): T {
  return edit.changes.reduce((v, change) => changed(v, change), copy(value));
}

// place is a pointer without a trailing list index: additions to and removals
// from a list are about the list.
function place(path: string, within: unknown): string {
  const parts = pointerParts(path);
  const last = parts.at(-1);
  if (last === undefined) return path;
  const parent = path.slice(0, path.lastIndexOf('/'));
  const list = valueAt(within, parent);
  return last === '-' || (Array.isArray(list) && typeof list[Number(last)] !== 'object') ? parent : path;
}
