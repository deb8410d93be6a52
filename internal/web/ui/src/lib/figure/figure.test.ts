import { expect, test } from 'vitest';
import { pack, rgb } from './lut.ts';
import { around, between, byKey, front, Pointers, turned, zoomed } from './orbit.ts';

test('ramps become rows of sixteen in the order of the areas', () => {
  const ramp = Array.from({ length: 16 }, (_, i) => `#0000${(i * 16).toString(16).padStart(2, '0')}`);
  const rows = pack(['hat', 'boots'], new Map([['boots', ramp], ['hat', ['#ff8000']]]));
  expect(rows.length).toBe(2 * 16 * 4);
  expect([...rows.slice(0, 4)]).toEqual([255, 128, 0, 255]);
  expect([...rows.slice(60, 64)]).toEqual([255, 128, 0, 255]);
  expect(rows[64 + 4 * 15 + 2]).toBe(240);
});

test('an area without a ramp stays as it was', () => {
  const before = pack(['hat'], new Map([['hat', ['#112233']]]));
  expect(pack(['hat'], new Map(), before)).toBe(before);
  expect(before[0]).toBe(0x11);
  expect(rgb('none')).toEqual([128, 128, 128]);
});

test('turning goes around, looking up and down has its ends', () => {
  expect(around(190)).toBe(-170);
  expect(turned({ ...front, azimuth: 175 }, 15).azimuth).toBe(-170);
  expect(turned(front, 0, 500).elevation).toBe(80);
  expect(zoomed(front, 0.1).zoom).toBe(1);
  expect(zoomed(front, 100).zoom).toBe(8);
});

test('the way from one side to another is the shorter one', () => {
  const half = between({ ...front, azimuth: 170 }, { ...front, azimuth: -170 }, 0.5);
  expect(Math.abs(half.azimuth)).toBeCloseTo(180);
  expect(between(front, zoomed(front, 2), 1).zoom).toBe(2);
});

test('keys turn, come nearer, and leave others alone', () => {
  expect(byKey(front, 'ArrowRight')?.azimuth).toBe(45);
  expect(byKey(front, '+')!.zoom).toBeGreaterThan(1);
  expect(byKey(turned(front, 50), 'Home')).toEqual(front);
  expect(byKey(front, 'x')).toBeNull();
});

test('one pointer turns, two pinch, and a still one is a click', () => {
  const p = new Pointers();
  p.down(1, 100, 100);
  expect(p.move(front, 1, 90, 100)?.azimuth).toBe(35);
  expect(p.up(1)).toBe(false);
  p.down(1, 100, 100);
  expect(p.up(1)).toBe(true);
  p.down(1, 0, 0);
  p.down(2, 100, 0);
  expect(p.move(front, 2, 200, 0)?.zoom).toBe(2);
  expect(p.up(2)).toBe(false);
  expect(p.up(1)).toBe(false);
  expect(p.move(front, 1, 5, 5)).toBeNull();
});
