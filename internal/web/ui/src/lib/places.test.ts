import { expect, test } from 'vitest';
import { addressOf, byNames, pageOf, placeInWords } from './places.ts';

const project = {
  units: [{ name: 'A/B', figures: [{ role: 'trooper', count: 9 }], single: [{ role: 'trooper', number: 4, lacks: ['hat'] }] }],
};

test('places by indexes get their names', () => {
  expect(byNames('/units/0/figures/0/count', project)).toBe('/units/A~1B/figures/trooper/count');
  expect(byNames('/units/0/single/0/lacks/0', project)).toBe('/units/A~1B/single/trooper 4/lacks/0');
  expect(placeInWords('/units/0/figures/0/count', project)).toBe('units › A/B › figures › trooper › count');
  expect(byNames('/units/7/name', project)).toBe('/units/7/name');
});

test('every place has a page to edit it on', () => {
  expect(pageOf('/units/Vey/scheme/jacket')).toBe('scheme');
  expect(pageOf('/units/Vey/figures/trooper')).toBe('muster');
  expect(pageOf('/units/Vey/shares/horse')).toBe('ranks');
  expect(pageOf('/rack/steel/left_ml')).toBe('rack');
  expect(pageOf('/calendar/painters')).toBe('order');
  expect(pageOf('')).toBe('file');
  expect(addressOf('k1', '/rack/red oxide')).toBe('/p/k1/rack#%2Frack%2Fred%20oxide');
});
