import { expect, test } from 'vitest';
import { byTechnique, fromZero, logScale, type Factor } from './pace.ts';

const factor = (technique: string, fiddliness: string, low = 0.8, high = 1.25): Factor =>
  ({ technique, fiddliness, factor: 1, factor_p5: low, factor_p95: high, passes: 1, effective_passes: 2 }) as Factor;

test('factors of one technique stand together, in their order', () => {
  const g = byTechnique([factor('brush', 'easy'), factor('wash', 'easy'), factor('brush', 'fiddly')]);
  expect(g.map((x) => [x.technique, x.factors.map((f) => f.fiddliness)])).toEqual([
    ['brush', ['easy', 'fiddly']],
    ['wash', ['easy']],
  ]);
});

test('twice as long is as far off as half as long, and the usual time is in the middle', () => {
  const s = logScale([factor('brush', 'easy')]);
  expect(s.at(1)).toBeCloseTo(50, 9);
  expect(s.at(2) - 50).toBeCloseTo(50 - s.at(0.5), 9);
  expect(s.ticks).toEqual([0.5, 1, 2]);
});

test('every bar lies on the scale, however wide', () => {
  const s = logScale([factor('brush', 'easy', 0.2, 3)]);
  expect(s.at(0.2)).toBeGreaterThan(0);
  expect(s.at(3)).toBeLessThan(100);
  expect(s.at(0)).toBe(0);
  expect(s.at(1e6)).toBe(100);
});

test('minutes are drawn from nought', () => {
  const at = fromZero([10, 20]);
  expect(at(0)).toBe(0);
  expect(at(20)).toBe(96);
  expect(at(10)).toBe(48);
});
