import { expect, test } from 'vitest';
import type { AreaColours, Project } from '../../lib/model.ts';
import { meaning } from './finishes.ts';
import { coverOf, findingsOn, missing } from './warn.ts';

const project = {
  rack: [
    { name: 'madder', kind: 'opaque' },
    { name: 'lake', kind: 'translucent', owned: false },
    { name: 'white', kind: 'opaque' },
  ],
  mixes: [{ name: 'pink', parts: [{ paint: 'lake', parts: 1 }, { paint: 'white', parts: 3 }] }],
  finishes: [{ name: 'cloth', coats: [{ paint: 'pink' }, { paint: 'lake' }] }],
} as unknown as Project;

test('what the server doubts of the cover is said with both colours', () => {
  const area = (cover?: object): AreaColours => ({ area: 'jacket', cover }) as unknown as AreaColours;
  const both = { dark: '#401010', light: '#b04040', delta_e00: 30, paint: 'lake' };
  expect(coverOf(area({ kind: 'shows-through', ...both }))).toEqual([{ kind: 'shows-through', dark: '#401010', light: '#b04040', deltaE: 30 }]);
  expect(coverOf(area({ kind: 'over-dark', ...both }))).toEqual([{ kind: 'over-dark', here: '#401010', overLight: '#b04040', deltaE: 30, paint: 'lake' }]);
  expect(coverOf(area())).toEqual([]);
});

test('paints of mixes that are not owned or run short are named once', () => {
  const needs = [
    { paint: 'white', kind: 'opaque', area_mm2: 1, short: 2, buy: 1, owned: true },
    { paint: 'lake', kind: 'translucent', area_mm2: 1, short: 9, buy: 1, owned: false },
  ];
  expect(missing(project, meaning(project, 'cloth'), needs).map((w) => w.kind)).toEqual(['not-owned', 'short']);
});

test('findings belong to an area by their place or the area they name', () => {
  const f = (path: string, value = ''): { id: string; severity: string; path: string; message: string; value: string } => ({ id: 'x', severity: 'warning', path, message: '', value });
  const all = [f('/units/Vey/scheme/jacket'), f('/units/Vey', 'jacket'), f('/units/Vey', 'hat'), f('/finishes/cloth/coats/0'), f('/units/Ost', 'jacket')];
  expect(findingsOn(all, 'Vey', 'jacket', 'cloth', '/units/Vey/scheme/jacket')).toEqual([all[0], all[1], all[3]]);
});
