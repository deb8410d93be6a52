import { expect, test } from 'vitest';
import type { Project } from '../../lib/model.ts';
import { changed } from '../../lib/patch.ts';
import { addCoat, changeCoat, copyFor, create, freeFinish, meaning, moveCoat, removeCoat, usesOf } from './finishes.ts';
import { bare, inForce, levelsOf, say } from './levels.ts';
import { rangeOf, traitsOf, wearer, whoOf } from './who.ts';

const project = {
  facings: 1,
  name: 'The Salt Road',
  undercoat: { dark: 'black primer' },
  rack: [
    { name: 'madder', kind: 'opaque' },
    { name: 'bay', kind: 'opaque' },
  ],
  mixes: [{ name: 'pink', parts: [{ paint: 'madder', parts: 1 }] }],
  finishes: [
    { name: 'red cloth', coats: [{ paint: 'madder' }, { paint: 'pink', technique: 'drybrush' }] },
    { name: 'bay coat', coats: [{ paint: 'bay' }] },
  ],
  traits: [
    { name: 'horse', values: [{ name: 'bay', scheme: { 'horse coat': 'bay coat', tail: 'bay' } }, { name: 'grey', scheme: {} }] },
    { name: 'mane', values: [{ name: 'dark', scheme: { tail: 'bay coat' } }] },
  ],
  units: [
    {
      name: 'Vey',
      body: 'mounted',
      scheme: { jacket: 'red cloth', 'horse coat': 'leave' },
      traits: ['horse', 'mane'],
      figures: [
        { role: 'officer', count: 1, scheme: { jacket: 'pink' } },
        { role: 'trooper', count: 5 },
      ],
      single: [{ role: 'trooper', number: 2, traits: { horse: 'grey' } }],
    },
    { name: 'Ost', body: 'mounted', scheme: { cuffs: 'red cloth' }, figures: [{ role: 'private', count: 3 }] },
  ],
} as unknown as Project;
const trooper = { unit: 'Vey', role: 'trooper', number: 3 };
const dealt = { horse: 'bay', mane: 'dark' };

test('an address means the first unit and its largest role where it says nothing', () => {
  expect(whoOf(project, [], new URLSearchParams())).toEqual({ unit: 'Vey', role: 'trooper', number: 1 });
  expect(whoOf(project, ['unit', 'Vey'], new URLSearchParams('role=trooper&number=9'))).toEqual({ ...trooper, number: 1 });
  const roster = { figures: [{ id: { unit: 'Ost', role: 'private', number: 3 }, index: 7, traits: {} }] } as never;
  expect(whoOf(project, ['unit', 'Vey'], new URLSearchParams('figure=7'), roster)).toEqual({ unit: 'Ost', role: 'private', number: 3 });
  expect(whoOf({ ...project, units: [] }, [], new URLSearchParams())).toBeNull();
});

test('a unit’s figures stand together in the roster', () => {
  expect(rangeOf(project, 'Vey')).toEqual([0, 6]);
  expect(rangeOf(project, 'Ost')).toEqual([6, 9]);
});

test('what is fixed since stands above what was dealt', () => {
  const roster = { figures: [{ id: { ...trooper, number: 2 }, index: 3, traits: { horse: 'bay', mane: 'dark' } }] } as never;
  expect(traitsOf(project, { ...trooper, number: 2 }, roster)).toEqual({ horse: 'grey', mane: 'dark' });
});

test('figure stands above role, role above trait, the first trait above the next, all above the unit', () => {
  const force = (area: string, who = trooper) => inForce(levelsOf(project, who, dealt, area));
  expect(force('jacket')).toMatchObject({ kind: 'unit', says: 'red cloth' });
  expect(force('jacket', { unit: 'Vey', role: 'officer', number: 1 })).toMatchObject({ kind: 'role', says: 'pink' });
  expect(force('horse coat')).toMatchObject({ kind: 'trait', says: 'bay coat', at: '/traits/horse/values/bay/scheme/horse coat' });
  expect(force('tail')).toMatchObject({ trait: 'horse', says: 'bay' });
  expect(force('hat')).toBeUndefined();
  const single = changed(project, say(trooper, { kind: 'figure' }, 'jacket', 'leave'));
  expect(inForce(levelsOf(single, trooper, dealt, 'jacket'))).toMatchObject({ kind: 'figure', at: '/units/Vey/single/trooper 3/scheme/jacket' });
});

test('a word taken back leaves nothing behind', () => {
  const single = changed(project, say(trooper, { kind: 'figure' }, 'jacket', 'leave'));
  expect(changed(single, say(trooper, { kind: 'figure' }, 'jacket', undefined))).toEqual(project);
  const role = changed(project, say(trooper, { kind: 'role' }, 'jacket', 'pink'));
  expect(role.units[0]!.figures[1]!.scheme).toEqual({ jacket: 'pink' });
  expect(changed(role, say(trooper, { kind: 'role' }, 'jacket', undefined))).toEqual(project);
});

test('the undercoat alone leaves every area and keeps the man’s traits', () => {
  const naked = changed(project, bare({ ...trooper, number: 2 }, ['jacket', 'tail']));
  expect(naked.units[0]!.single).toEqual([{ role: 'trooper', number: 2, traits: { horse: 'grey' }, scheme: { jacket: 'leave', tail: 'leave' } }]);
});

test('a name means a finish before a mix before a paint', () => {
  expect(meaning(project, 'red cloth')).toMatchObject({ kind: 'finish' });
  expect(meaning(project, 'pink')).toEqual({ kind: 'mix', coats: [{ paint: 'pink' }] });
  expect(meaning(project, 'leave').kind).toBe('leave');
  expect(meaning(project, 'no such').kind).toBe('unknown');
});

test('uses count every unit, by traits too', () => {
  expect(usesOf(project, 'red cloth')).toEqual({ units: ['Vey', 'Ost'], places: 2 });
  expect(usesOf(project, 'bay coat')).toEqual({ units: ['Vey'], places: 2 });
});

test('coats are added, changed, moved and taken away', () => {
  const paints = (p: Project): string[] => p.finishes[0]!.coats.map((c) => c.paint);
  expect(paints(changed(project, addCoat('red cloth', 'bay')))).toEqual(['madder', 'pink', 'bay']);
  expect(paints(changed(project, moveCoat('red cloth', 0, 1)))).toEqual(['pink', 'madder']);
  expect(paints(changed(project, moveCoat('red cloth', 1, 2)))).toEqual(['madder', 'pink']);
  expect(paints(changed(project, removeCoat('red cloth', 0)))).toEqual(['pink']);
  const coat = changed(project, changeCoat('red cloth', 1, { technique: '', always: true, cover_percent: 40 })).finishes[0]!.coats[1];
  expect(coat).toEqual({ paint: 'pink', always: true, cover_percent: 40 });
});

test('a copy for one unit leaves the other unit its own', () => {
  const p = changed(project, copyFor('Ost', 'red cloth', 'red cloth, Ost'));
  expect(p.units[1]!.scheme).toEqual({ cuffs: 'red cloth, Ost' });
  expect(p.units[0]!.scheme).toMatchObject({ jacket: 'red cloth' });
  expect(p.finishes.map((f) => f.name)).toEqual(['red cloth', 'red cloth, Ost', 'bay coat']);
});

test('a new finish takes a name that nothing has', () => {
  expect(freeFinish(project, 'pink')).toBe('pink 2');
  expect(changed(project, create('lace', [{ paint: 'bay' }])).finishes.at(-1)).toEqual({ name: 'lace', coats: [{ paint: 'bay' }] });
});

test('a finish leads to a figure that wears it', () => {
  expect(wearer(project, 'red cloth')).toEqual({ who: { unit: 'Vey', role: 'trooper', number: 1 }, area: 'jacket' });
  expect(wearer(project, 'pink')).toEqual({ who: { unit: 'Vey', role: 'officer', number: 1 }, area: 'jacket' });
  const roster = { figures: [{ id: trooper, index: 2, traits: dealt }] } as never;
  expect(wearer(project, 'bay coat', roster)).toEqual({ who: trooper, area: 'horse coat' });
  expect(wearer(project, 'bay coat')).toBeNull();
});
