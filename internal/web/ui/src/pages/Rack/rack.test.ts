import { expect, test } from 'vitest';
import type { Paint, Shopping, StarterPaint } from '../../lib/model.ts';
import { basisOf, facesOf, freeName, mixWords, rowsOf, shown } from './rack.ts';

const paint = (more: Partial<Paint>): Paint => ({ name: 'red', kind: 'opaque', ...more }) as Paint;

test('the best way to know a colour counts', () => {
  expect(basisOf(paint({ like: 'madder', over_black: '#000000', over_white: '#ffffff' }))).toBe('like');
  expect(basisOf(paint({ over_black: '#000000', over_white: '#ffffff' }))).toBe('swatch');
  expect(basisOf(paint({ colour: '#aa0000' }))).toBe('one');
  expect(basisOf(paint({}))).toBe('none');
});

test('a paint like a starter one shows its faces', () => {
  const starter = new Map([['madder', { over_black: { hex: '#300000' }, over_white: { hex: '#a00000' } } as StarterPaint]]);
  expect(facesOf(paint({ like: 'madder' }), starter)).toEqual({ black: '#300000', white: '#a00000' });
  expect(facesOf(paint({ colour: '#aa0000' }), starter)).toEqual({ black: '#aa0000', white: '#aa0000' });
});

test('what is short is to be bought, and what is nearly empty runs low', () => {
  const shopping = { paints: [{ paint: 'red', buy: 1 }], materials: [] } as unknown as Shopping;
  const rows = rowsOf([paint({ pot_ml: 17, left_ml: 9 }), paint({ name: 'blue', pot_ml: 17, left_ml: 2 }), paint({ name: 'buff', pot_ml: 17, left_ml: 17 })], shopping);
  expect(shown(rows, 'buy', '').map((r) => r.paint.name)).toEqual(['red']);
  expect(shown(rows, 'low', '').map((r) => r.paint.name)).toEqual(['red', 'blue']);
  expect(shown(rows, 'needed', '').map((r) => r.paint.name)).toEqual(['red']);
  expect(shown(rows, 'all', 'BU').map((r) => r.paint.name)).toEqual(['buff']);
});

test('new names are free, and mixes are written as people do', () => {
  expect(freeName([{ name: 'paint 1' }], (n) => `paint ${n}`)).toBe('paint 2');
  expect(mixWords([{ paint: 'sky blue', parts: 3 }, { paint: 'white', parts: 1 }])).toBe('3 sky blue + 1 white');
});
