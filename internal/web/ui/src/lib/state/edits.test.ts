import { expect, test } from 'vitest';
import { Edits } from './edits.ts';

interface Doc {
  name: string;
  units: { name: string; count: number; lacks?: string[] }[];
}
const start = (): Doc => ({ name: 'War', units: [{ name: 'Hussars', count: 12 }, { name: 'Foot', count: 24 }] });
const more = (unit: string) => (d: Doc) => {
  d.units.find((u) => u.name === unit)!.count++;
};

test('an edit is shown before it is kept, and its patch says only what changed', () => {
  const edits = new Edits(start());
  expect(edits.add('one more', more('Foot'))).toBe(true);
  expect(edits.shown.units[1]!.count).toBe(25);
  expect(edits.base.units[1]!.count).toBe(24);
  expect(edits.next()!.patch).toEqual([{ op: 'replace', path: '/units/1/count', value: 25 }]);
});

test('an edit that changes nothing is no edit', () => {
  const edits = new Edits(start());
  expect(edits.add('same', (d) => void (d.name = 'War'))).toBe(false);
  expect(edits.next()).toBeNull();
});

test('steps of one merge key become one edit, but not once it was sent', () => {
  const edits = new Edits(start());
  edits.add('13', more('Hussars'), 'count');
  edits.add('14', more('Hussars'), 'count');
  expect(edits.length).toBe(1);
  edits.waiting[0]!.sent = true;
  edits.add('15', more('Hussars'), 'count');
  expect(edits.length).toBe(2);
  expect(edits.shown.units[0]!.count).toBe(15);
});

test('a recipe finds its unit again where others moved it', () => {
  const edits = new Edits(start());
  edits.add('one more', more('Hussars'));
  const theirs = start();
  theirs.units.unshift({ name: 'Gun', count: 1 });
  expect(edits.rebase(theirs)).toEqual([]);
  expect(edits.shown.units.map((u) => u.count)).toEqual([1, 13, 24]);
});

test('an edit whose unit is gone is handed back, not lost silently', () => {
  const edits = new Edits(start());
  edits.add('one more', more('Foot'));
  edits.add('renamed', (d) => void (d.name = 'Peace'));
  const lost = edits.rebase({ name: 'War', units: [] });
  expect(lost.map((e) => e.why)).toEqual(['one more']);
  expect(edits.shown).toEqual({ name: 'Peace', units: [] });
});

test('clashes show all three sides of each place', () => {
  const edits = new Edits(start());
  edits.add('fewer', (d) => void (d.units[0]!.count = 8));
  const theirs = start();
  theirs.units[0]!.count = 16;
  expect(edits.clashes(theirs)).toEqual([{ at: '/units/0/count', before: 12, mine: 8, theirs: 16 }]);
});

test('an edit has arrived when everything it wants is there', () => {
  const edits = new Edits(start());
  expect(edits.arrived(start())).toBe(false);
  edits.add('one more', more('Foot'));
  expect(edits.arrived(start())).toBe(false);
  const kept = start();
  kept.units[1]!.count = 25;
  expect(edits.arrived(kept)).toBe(true);
  kept.units[1]!.count = 26;
  expect(edits.arrived(kept)).toBe(false);
  // Of a list, all of it: one unit more is no sign that it was this one.
  const listed = new Edits(start());
  listed.add('a gun', (d) => void d.units.push({ name: 'Gun', count: 1 }));
  expect(listed.arrived({ ...start(), units: [...start().units, { name: 'Other', count: 1 }] })).toBe(false);
  expect(listed.arrived({ ...start(), units: [...start().units, { name: 'Gun', count: 1 }] })).toBe(true);
});

test('waiting edits can be remembered and taken up again', () => {
  const edits = new Edits(start());
  edits.add('one more', more('Foot'));
  edits.add('renamed', (d) => void (d.name = 'Peace'));
  const again = new Edits(start());
  for (const { why, patch } of JSON.parse(JSON.stringify(edits.asPatches()))) again.add(why, patch);
  expect(again.shown).toEqual(edits.shown);
});
