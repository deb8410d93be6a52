import { expect, test } from 'vitest';
import type { AreaColours, Colours, Project, Roster, Trait } from '../../lib/model.ts';
import { alikePairs, cover, fixedBy, liftAll, menOf, pin, pinAll, resetShares, rows, setShare, sharesOf, step, swap, swatchOf, useTrait } from './ranks.ts';

const horse: Trait = {
  name: 'horse',
  values: ['bay', 'black', 'grey'].map((name) => ({ name, scheme: { 'horse coat': name } })),
};
// Two ranks of three; one place of the rear rank is empty.
const dealt = ['bay', 'black', 'bay', 'grey', 'bay'];
const roster = (): Roster => ({
  seed: 7,
  units: [
    {
      unit: 'Vey',
      ranks: 2,
      files: 3,
      status: 'feasible',
      distance: 0,
      objective: 0,
      bound: 0,
      alike: 0,
      shares: [
        { trait: 'horse', value: 'bay', wanted: 0.5, count: 3 },
        { trait: 'horse', value: 'black', wanted: 0.3, count: 1 },
        { trait: 'horse', value: 'grey', wanted: 0.2, count: 1 },
      ],
    },
  ],
  figures: dealt.map((value, i) => ({
    id: { unit: 'Vey', role: i === 1 ? 'officer' : 'trooper', number: i === 1 ? 1 : i === 0 ? 1 : i },
    rank: i < 3 ? 1 : 2,
    file: (i % 3) + 1,
    index: i,
    traits: { horse: value },
    batch: 0,
  })),
});
const project = (): Project => ({
  facings: 1,
  name: 'War',
  undercoat: { dark: 'black' },
  rack: [],
  finishes: [],
  traits: [horse],
  units: [
    {
      name: 'Vey',
      body: 'mounted',
      figures: [
        { role: 'officer', count: 1, traits: { horse: 'black' } },
        { role: 'trooper', count: 4 },
      ],
      scheme: {},
      traits: ['horse'],
    },
  ],
});
const men = (p = project()) => menOf(roster(), p.units[0]!);
const names = (r: ReturnType<typeof rows>): (string | undefined)[][] => r.map((row) => row.cells.map((m) => m?.name));

test('from behind the first rank is at the top; from the front all is turned about', () => {
  expect(names(rows(men(), 'behind'))).toEqual([
    ['trooper 1', 'officer 1', 'trooper 2'],
    ['trooper 3', 'trooper 4', undefined],
  ]);
  expect(names(rows(men(), 'front'))).toEqual([
    [undefined, 'trooper 4', 'trooper 3'],
    ['trooper 2', 'officer 1', 'trooper 1'],
  ]);
});

test('alike neighbours are found side by side, behind and corner to corner', () => {
  expect(alikePairs(men()).map(([a, b]) => [a.name, b.name])).toEqual([
    ['trooper 1', 'trooper 4'],
    ['trooper 2', 'trooper 4'],
  ]);
});

test('arrows walk over the ranks and stop at the edge or a gap', () => {
  const m = men();
  const r = rows(m, 'behind');
  expect(step(r, m[0]!, 0, 1).name).toBe('officer 1');
  expect(step(r, m[0]!, 0, -1).name).toBe('trooper 1');
  expect(step(r, m[1]!, 1, 0).name).toBe('trooper 4');
  expect(step(r, m[2]!, 1, 0).name).toBe('trooper 2');
});

test('a pin shows at once, is known as one, and goes without a trace', () => {
  const p = project();
  pin('Vey', men(p)[0]!, 'horse', 'grey')(p);
  const [first] = men(p);
  expect(first!.traits.horse).toBe('grey');
  expect(fixedBy(p.units[0]!, first!, 'horse')).toBe('figure');
  expect(fixedBy(p.units[0]!, men(p)[1]!, 'horse')).toBe('role');
  pin('Vey', first!, 'horse', null)(p);
  expect(p.units[0]!.single).toBeUndefined();
});

test('swapping pins each as the other was; alike men change nothing', () => {
  const p = project();
  const [a, , , d, e] = men(p);
  swap('Vey', a!, d!)(p);
  expect(men(p).map((m) => m.traits.horse)).toEqual(['grey', 'black', 'bay', 'bay', 'bay']);
  const q = project();
  swap('Vey', a!, e!)(q);
  expect(q).toEqual(project());
});

test('all can be pinned and let go', () => {
  const p = project();
  pinAll('Vey', men(p))(p);
  expect(men(p).every((m) => m.pinned.length === 1)).toBe(true);
  liftAll('Vey', men(p))(p);
  expect(p).toEqual(project());
});

test('the first share written carries the others with it', () => {
  const p = project();
  const lines = sharesOf(horse, p.units[0]!, roster().units[0], men(p));
  expect(lines.map((l) => [l.value, l.share, l.wanted, l.got])).toEqual([
    ['bay', 50, 2.5, 3],
    ['black', 30, 1.5, 1],
    ['grey', 20, 1, 1],
  ]);
  setShare('Vey', 'horse', lines, 'grey', 120)(p);
  expect(p.units[0]!.shares).toEqual({ horse: { bay: 50, black: 30, grey: 120 } });
  expect(sharesOf(horse, p.units[0]!, roster().units[0], men(p))[2]!.wanted).toBe(3);
  resetShares('Vey', 'horse')(p);
  expect(p).toEqual(project());
});

test('a trait given up takes its shares and pins with it', () => {
  const p = project();
  pin('Vey', men(p)[0]!, 'horse', 'grey')(p);
  useTrait('Vey', 'horse', false)(p);
  expect(p.units[0]!.traits).toBeUndefined();
  expect(p.units[0]!.figures[0]!.traits).toBeUndefined();
  expect(p.units[0]!.single).toBeUndefined();
});

test('a few men show every value', () => {
  const shown = cover(men());
  expect(shown.length).toBe(3);
  expect(new Set(shown.map((m) => m.traits.horse))).toEqual(new Set(['bay', 'black', 'grey']));
});

test('a value is shown by its largest area, one without areas by none', () => {
  const area = (name: string, area_mm2: number, hex: string): AreaColours => ({
    area: name,
    area_mm2,
    finish: '',
    from: '',
    path: '',
    exposure: 0.5,
    ramp: [],
    look: { hex, lab: [0, 0, 0], name: '' },
    metal: false,
    coats: [],
    left_out: [],
  });
  const trait: Trait = {
    name: 'horse',
    values: [
      { name: 'bay', scheme: { hooves: 'dark', 'horse coat': 'bay' } },
      { name: 'none', scheme: {} },
    ],
  };
  const colours: Colours = {
    revision: 1,
    figure: { unit: 'Vey', role: 'trooper', number: 1 },
    body: 'mounted',
    areas: [area('hooves', 40, '#111111'), area('horse coat', 1600, '#6b3a20')],
  };
  expect(swatchOf(trait, 'bay', colours)).toBe('#6b3a20');
  expect(swatchOf(trait, 'none', colours)).toBeUndefined();
});
