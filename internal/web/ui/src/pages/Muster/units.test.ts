import { expect, test } from 'vitest';
import type { AreaSpec, Bodies, Project } from '../../lib/model.ts';
import { add, areasOf, bodyNames, rootOf, toggle, type Varies } from './bodies.ts';
import { count, duplicate, freeName, inSingle, move, remove, removeRole, text } from './units.ts';

const project = (): Project => ({
  facings: 1,
  name: 'War',
  undercoat: { dark: 'black primer' },
  rack: [],
  finishes: [],
  castings: [
    { name: 'hussar', like: 'mounted', lacks: ['lapels'], adds: [{ area: 'sash' }] },
    { name: 'old hussar', like: 'hussar', lacks: ['sash'], adds: [{ area: 'bandage', area_mm2: 34 }] },
  ],
  units: [
    {
      name: 'Vey',
      body: 'hussar',
      ranks: 2,
      figures: [
        { role: 'officer', count: 1 },
        { role: 'trooper', count: 9 },
      ],
      scheme: {},
      single: [
        { role: 'trooper', number: 4, lacks: ['hat'] },
        { role: 'trooper', number: 9, traits: { horse: 'grey' } },
      ],
    },
    { name: 'Gun', body: 'gun', figures: [{ role: 'gun', count: 1 }], scheme: {} },
  ],
});
const spec = (area: string, part = 'man'): AreaSpec => ({ area, part, area_mm2: 10, fiddly: 1, exposure: 0.5 });
const bodies: Bodies = {
  bodies: [
    { body: 'mounted', areas: [spec('jacket'), spec('lapels'), spec('horse coat', 'horse')] },
    { body: 'gun', areas: [spec('barrel', 'gun')] },
  ],
  catalogue: [spec('jacket'), spec('lapels'), spec('sash')],
  headgears: [],
  cuts: [],
};

test('fewer figures take with them what was said of those that go', () => {
  const p = project();
  count('Vey', 'trooper', 4)(p);
  expect(p.units[0]!.single).toEqual([{ role: 'trooper', number: 4, lacks: ['hat'] }]);
  count('Vey', 'trooper', 3)(p);
  expect(p.units[0]!.single).toBeUndefined();
});

test('a unit never has more ranks than figures', () => {
  const p = project();
  p.units[0]!.ranks = 5;
  removeRole('Vey', 'trooper')(p);
  expect(p.units[0]!.ranks).toBe(1);
  expect(p.units[0]!.single).toBeUndefined();
});

test('what makes a figure differ comes and goes', () => {
  const p = project();
  inSingle('Gun', 'gun', 1, (s) => void (s.traits = { hair: 'red' }))(p);
  expect(p.units[1]!.single).toEqual([{ role: 'gun', number: 1, traits: { hair: 'red' } }]);
  inSingle('Gun', 'gun', 1, (s) => void delete s.traits)(p);
  expect(p.units[1]!.single).toBeUndefined();
});

test('a copy stands after its unit under a free name; moving stays in bounds', () => {
  const p = project();
  expect(freeName('Vey', ['Vey', 'Vey 2'])).toBe('Vey 3');
  duplicate('Vey', 'Vey 2')(p);
  expect(p.units.map((u) => u.name)).toEqual(['Vey', 'Vey 2', 'Gun']);
  p.units[1]!.figures[0]!.count = 7;
  expect(p.units[0]!.figures[0]!.count).toBe(1);
  move('Gun', -1)(p);
  move('Gun', -1)(p);
  move('Gun', -1)(p);
  expect(p.units.map((u) => u.name)).toEqual(['Gun', 'Vey', 'Vey 2']);
  remove('Vey')(p);
  expect(p.units.map((u) => u.name)).toEqual(['Gun', 'Vey 2']);
});

test('an empty text takes its field away', () => {
  const p = project();
  text('Vey', 'batch', ' the horse ')(p);
  expect(p.units[0]!.batch).toBe('the horse');
  text('Vey', 'batch', ' ')(p);
  expect('batch' in p.units[0]!).toBe(false);
});

test('areas come down through castings', () => {
  const p = project();
  expect(areasOf('hussar', p, bodies).map((a) => a.area)).toEqual(['jacket', 'horse coat', 'sash']);
  const old = areasOf('old hussar', p, bodies);
  expect(old.map((a) => a.area)).toEqual(['jacket', 'horse coat', 'bandage']);
  expect(old.at(-1)!.area_mm2).toBe(34);
  expect(rootOf('old hussar', p)).toBe('mounted');
  expect(bodyNames(p, bodies, p.castings![0])).toEqual(['mounted', 'gun']);
});

test('an area is taken off and put back without a trace', () => {
  const v: Varies = {};
  toggle(v, 'lapels', true, false);
  expect(v).toEqual({ lacks: ['lapels'] });
  toggle(v, 'lapels', true, true);
  expect(v).toEqual({});
  toggle(v, 'sash', false, true);
  expect(v).toEqual({ adds: [{ area: 'sash' }] });
  add(v, { area: 'sash', area_mm2: 12 });
  expect(v).toEqual({ adds: [{ area: 'sash', area_mm2: 12 }] });
  toggle(v, 'sash', false, false);
  expect(v).toEqual({});
});
