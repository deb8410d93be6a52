import { expect, test } from 'vitest';
import type { RecruitChoices, StarterPaint } from '../../lib/model.ts';
import { areasFor, coloursFor, colourOf, hexOf, toRecruit, usual, withBody } from './recruit.ts';

const choices: RecruitChoices = {
  bodies: [
    { value: 'foot', about: '' },
    { value: 'mounted', about: '' },
  ],
  headgears: ['cocked hat', 'shako'],
  cuts: ['long coat'],
  horses: [{ value: 'mixed', about: '' }],
  areas: [
    { key: 'coat', label: 'Coat', default: 'dark blue', areas: ['jacket'], bodies: ['foot', 'mounted'] },
    { key: 'facing', label: 'Facings', default: 'red', areas: ['collar'], bodies: ['foot', 'mounted'] },
    { key: 'horse_cloth', label: 'Saddle cloth', default: '=facing', areas: ['saddle cloth'], bodies: ['mounted'] },
    { key: 'metal', label: 'Buttons', default: 'brass', areas: ['buttons'], bodies: ['foot'], metal: true },
  ],
  figures: {
    foot: [
      { role: 'officer', count: 1 },
      { role: 'private', count: 21 },
    ],
    mounted: [
      { role: 'officer', count: 1 },
      { role: 'standard-bearer', count: 1 },
      { role: 'trooper', count: 9 },
    ],
  },
  bases: { foot: [{ width_mm: 20, depth_mm: 20 }], mounted: [{ width_mm: 25, depth_mm: 50 }] },
  colours: [{ name: 'red', hex: '#b3202a' }],
  divisions: [],
};
const look = (hex: string): StarterPaint['over_white'] => ({ hex, lab: [0, 0, 0], name: '' });
const starter: StarterPaint[] = [
  { name: 'dark blue', kind: 'opaque', basis: 'memory', over_black: look('#1a2340'), over_white: look('#1b2444') },
  { name: 'brass', kind: 'metallic', basis: 'memory', over_black: look('#a08030'), over_white: look('#a88838') },
  { name: 'black wash', kind: 'wash', basis: 'memory', over_black: look('#000000'), over_white: look('#555555') },
];

test('a colour follows another area until it is chosen itself', () => {
  const answers = usual(choices, 'mounted');
  expect(colourOf(answers, choices, 'horse_cloth')).toBe('red');
  answers.colours.facing = 'yellow';
  expect(colourOf(answers, choices, 'horse_cloth')).toBe('yellow');
  answers.colours.horse_cloth = 'green';
  expect(colourOf(answers, choices, 'horse_cloth')).toBe('green');
});

test('another body brings its own numbers, bases and areas, and keeps the colours', () => {
  const answers = { ...usual(choices), colours: { coat: 'green' } };
  const mounted = withBody(answers, choices, 'mounted');
  expect(mounted.figures.map((r) => r.count)).toEqual([1, 1, 9]);
  expect(mounted.base).toEqual({ width_mm: 25, depth_mm: 50 });
  expect(mounted.colours).toEqual({ coat: 'green' });
  expect(areasFor(choices, 'mounted').map((a) => a.key)).toEqual(['coat', 'facing', 'horse_cloth']);
  mounted.figures[0]!.count = 5;
  expect(choices.figures.mounted![0]!.count).toBe(1);
});

test('metals are offered for metal, cloth colours for cloth, washes for neither', () => {
  expect(coloursFor(choices, starter, true).map((c) => c.name)).toEqual(['brass']);
  expect(coloursFor(choices, starter, false).map((c) => c.name)).toEqual(['red', 'dark blue']);
  expect(hexOf('Dark Blue', coloursFor(choices, starter, false))).toBe('#1b2444');
  expect(hexOf('#123456', [])).toBe('#123456');
});

test('roles without figures and a flag without a bearer are not asked for', () => {
  const answers = { ...usual(choices, 'mounted'), flag: true, name: ' Vey ' };
  answers.figures[1]!.count = 0;
  const told = toRecruit(answers, 'UTC', '2027-01-04');
  expect(told.figures!.map((r) => r.role)).toEqual(['officer', 'trooper']);
  expect(told.flag).toBeUndefined();
  expect(told.name).toBe('Vey');
  expect(told.ready_by).toBeUndefined();
});
