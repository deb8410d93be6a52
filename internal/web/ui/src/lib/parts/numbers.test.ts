import { expect, test } from 'vitest';
import { readNumber } from './numbers.ts';

const any = { digits: 3, min: 0, max: 100 };

test('a comma is a point, and spaces do not matter', () => {
  expect(readNumber(' 2,5 ', any)).toEqual({ value: 2.5 });
  expect(readNumber('1e1', any)).toEqual({ value: 10 });
});

test('what is no number, broken or out of bounds is said', () => {
  expect(readNumber('a dozen', any)).toEqual({ said: '“a dozen” is not a number' });
  expect(readNumber('', any)).toHaveProperty('said');
  expect(readNumber('1.5', { ...any, digits: 0 })).toEqual({ said: 'A whole number, please' });
  expect(readNumber('-1', any)).toEqual({ said: 'At least 0' });
  expect(readNumber('101', any)).toEqual({ said: 'At most 100' });
});
