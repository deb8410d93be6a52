// The project file as text: lines, places, and what was typed but is not kept.
import type { Finding } from '../model.ts';

/** Where a line (from 1) begins and ends in a text, as offsets; the last line
    where there are not so many. */
export function lineSpan(text: string, line: number): [number, number] {
  let start = 0;
  for (let i = 1; i < line; i++) {
    const next = text.indexOf('\n', start);
    if (next < 0) break;
    start = next + 1;
  }
  const end = text.indexOf('\n', start);
  return [start, end < 0 ? text.length : end];
}

/** How many lines a text has; an empty one has one. */
export function lineCount(text: string): number {
  let n = 1;
  for (let at = text.indexOf('\n'); at >= 0; at = text.indexOf('\n', at + 1)) n++;
  return n;
}

/** The worst finding of each line that has any. */
export function byLine(findings: readonly Finding[]): Map<number, Finding['severity']> {
  const out = new Map<number, Finding['severity']>();
  for (const f of findings) {
    if (f.line && out.get(f.line) !== 'fault') out.set(f.line, f.severity);
  }
  return out;
}

/** A name for a downloaded file, from a project's name. */
export function stem(name: string): string {
  const plain = name
    .toLowerCase()
    .normalize('NFD')
    .replace(/\p{M}/gu, '')
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '');
  return plain.slice(0, 60) || 'project';
}

/** A text field gives lines back with \n alone; a file that had \r\n keeps it. */
export function asBefore(typed: string, before: string): string {
  return before.includes('\r\n') ? typed.replace(/\r?\n/g, '\r\n') : typed;
}
export const plainLines = (text: string): string => text.replace(/\r\n?/g, '\n');

/** What was typed and is not kept yet. */
export interface Draft {
  name: string; // of the file that was opened, '' for a project's own
  base: number; // the revision it was made from
  text: string;
  findings: Finding[];
}

const shelf = (place: string): string => `facings.text.${place}`;

/** Remembers a draft by place (a project's id, or "import"); null forgets it.
    False when there is no room. */
export function putDraft(place: string, draft: Draft | null): boolean {
  try {
    if (draft) localStorage.setItem(shelf(place), JSON.stringify(draft));
    else localStorage.removeItem(shelf(place));
    return true;
  } catch {
    return false;
  }
}

export function getDraft(place: string): Draft | null {
  try {
    const draft = JSON.parse(localStorage.getItem(shelf(place)) ?? 'null') as Draft | null;
    return draft && typeof draft.text === 'string' && Array.isArray(draft.findings) ? draft : null;
  } catch {
    return null;
  }
}
