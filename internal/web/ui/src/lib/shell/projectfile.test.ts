import { expect, test } from 'vitest';
import { asBefore, byLine, lineCount, lineSpan, plainLines, stem } from './projectfile.ts';

test('a line is found in a text, and a line too far is the last', () => {
  const text = 'one\ntwo\n\nfour';
  expect([1, 2, 3, 4, 9].map((n) => text.slice(...lineSpan(text, n)))).toEqual(['one', 'two', '', 'four', 'four']);
  expect(lineCount(text)).toBe(4);
  expect(lineCount('')).toBe(1);
});

test('a line with a fault and a warning is a faulty one', () => {
  const f = (severity: 'fault' | 'warning', line: number) => ({ id: 'x', severity, path: '', message: '', line });
  expect([...byLine([f('fault', 3), f('warning', 3), f('warning', 5)])]).toEqual([[3, 'fault'], [5, 'warning']]);
});

test('a file with lines ended by CR LF keeps them', () => {
  const before = 'a\r\nb\r\n';
  expect(asBefore(plainLines(before), before)).toBe(before);
  expect(asBefore('a\nc\n', 'a\nb\n')).toBe('a\nc\n');
});

test('names of files are plain', () => {
  expect(stem('The War of the Élan Bells')).toBe('the-war-of-the-elan-bells');
  expect(stem('…')).toBe('project');
});
