import { applyPatch, createPatch, type Operation } from 'rfc6902';

/** A JSON Patch (RFC 6902). */
export type Patch = Operation[];

/** A change to a project: a recipe that alters the draft it is given (best: it
    can be applied again to somebody else's version), or a patch. */
export type Change<T> = ((draft: T) => void) | Patch;

/** A deep copy of a JSON value. */
export function copy<T>(value: T): T {
  return JSON.parse(JSON.stringify(value)) as T;
}

/** What turns one JSON value into another. */
export function diff(from: unknown, to: unknown): Patch {
  return createPatch(from, to);
}

/** The value after a change; throws when a patch does not fit. */
export function changed<T>(value: T, change: Change<T>): T {
  const draft = copy(value);
  if (typeof change === 'function') {
    change(draft);
    return copy(draft); // drops what is undefined
  }
  const faults = applyPatch(draft, copy(change)).filter((fault) => fault !== null);
  if (faults.length > 0) throw new Error(faults[0]!.message);
  return draft;
}

/** The parts of a JSON Pointer (RFC 6901). */
export function pointerParts(pointer: string): string[] {
  return pointer
    .split('/')
    .slice(1)
    .map((part) => part.replace(/~1/g, '/').replace(/~0/g, '~'));
}

/** Joins names into a JSON Pointer. */
export function pointer(...parts: (string | number)[]): string {
  return parts.map((part) => '/' + String(part).replace(/~/g, '~0').replace(/\//g, '~1')).join('');
}

/** The value at a pointer, undefined when there is none. */
export function valueAt(value: unknown, at: string): unknown {
  let here: unknown = value;
  for (const part of pointerParts(at)) {
    if (here === null || typeof here !== 'object') return undefined;
    here = (here as Record<string, unknown>)[part];
  }
  return here;
}
