import { expect, test } from 'vitest';
import { joined, leading, type Revision } from './history.ts';

const revision = (number: number, parent = number - 1): Revision => ({ number, parent, at: '', why: '' });

test('what was undone does not lead to what is in force', () => {
  // 3 and 4 were undone, then 5 was made on top of 2.
  const list = [revision(5, 2), revision(4), revision(3), revision(2), revision(1)];
  expect([...leading(list, 5)].sort()).toEqual([1, 2, 5]);
  expect([...leading(list, 2)].sort()).toEqual([1, 2]);
});

test('a list cut short ends the way back, not the page', () => {
  expect([...leading([revision(9), revision(8)], 9)]).toEqual([9, 8, 7]);
});

test('stretches join without doubles, newest first', () => {
  expect(joined([revision(4), revision(3)], [revision(3), revision(5), revision(1)]).map((r) => r.number)).toEqual([5, 4, 3, 1]);
});
