import { expect, test } from 'vitest';
import { ago, date, duration, measured, plural, scale, whole } from './units.ts';

// NIST Handbook 44, Appendix C: 1 in = 25.4 mm, 1 fl oz (US) = 29.5735 mL,
// 1 oz = 28.3495 g; water freezes at 32 °F and boils at 212 °F.
test('imperial measures follow the handbook', () => {
  expect(measured(25.4, 'length', 'imperial')).toBe('1 in');
  expect(measured(29.5735, 'volume', 'imperial')).toBe('1 fl oz');
  expect(measured(28.3495, 'mass', 'imperial')).toBe('1 oz');
  expect(measured(645.16, 'area', 'imperial')).toBe('1 in²');
  expect(scale('temperature', 'imperial').to(0)).toBe(32);
  expect(scale('temperature', 'imperial').to(100)).toBe(212);
});

test('what is typed in either system comes back as it went', () => {
  for (const measure of ['length', 'area', 'volume', 'mass', 'temperature'] as const) {
    const s = scale(measure, 'imperial');
    expect(s.from(s.to(17))).toBeCloseTo(17, 9);
  }
});

test('durations, dates and counts read as words', () => {
  expect(duration(45)).toBe('45 min');
  expect(duration(120)).toBe('2 h');
  expect(duration(whole(74.4))).toBe('1 h 15 min'); // as on its card
  expect(whole(13.000_000_000_1)).toBe(13);
  expect(duration(125.4)).toBe('2 h 5 min');
  expect(date('2027-03-17')).toBe('17 March 2027');
  expect(date('soon')).toBe('soon');
  expect(plural(1, 'figure', 'figures')).toBe('1 figure');
  expect(ago('2027-01-01T10:00:00Z', Date.parse('2027-01-01T10:05:00Z'))).toBe('5 minutes ago');
});
