import { expect, test } from 'vitest';
import { differing, inMM, progress, rowsOf, tint } from './mesh.ts';

test('runs become a label per face', () => {
  expect([...rowsOf({ faces: 6, runs: [[0, 2], [3, 3], [1, 1]] })]).toEqual([0, 0, 3, 3, 3, 1]);
});

test('progress is by surface, not by faces', () => {
  const areas = [{ area: '', faces: 900, area_mm2: 25 }, { area: 'coat', faces: 1, area_mm2: 75 }];
  expect(progress({ areas })).toEqual({ share: 0.75, left: 25 });
  expect(progress({ areas: [areas[1]!] })).toEqual({ share: 1, left: 0 });
  expect(progress({ areas: [] }).share).toBe(0);
});

test('labellings are compared by name, not by number', () => {
  const a = { faces: 3, labels: ['', 'coat'], runs: [[0, 1], [1, 2]] };
  const b = { faces: 3, labels: ['coat', ''], runs: [[1, 1], [0, 1], [1, 1]] };
  expect(differing(a, b)).toBe(1);
});

test('neighbouring areas are told apart', () => {
  const all = Array.from({ length: 40 }, (_, i) => tint(i));
  expect(new Set(all).size).toBe(40);
  expect(all.every((c) => /^#[0-9a-f]{6}$/.test(c))).toBe(true);
});

test('a place of the model is one of the mesh: metres to mm, Y up to Z up', () => {
  expect(inMM([0.001, 0.03, -0.002])).toEqual([-1, -2, 30]);
});
