import { afterAll, beforeAll, expect, test } from 'vitest';
import { fit, sizes, start, type Started } from './harness.ts';

let s: Started;
let id: string;
beforeAll(async () => {
  s = await start('ready');
  id = s.starter;
});
afterAll(async () => {
  await s.stop();
});

test.each(sizes)('the sheets are fit at %o', async (size) => {
  const page = await s.open(`/p/${id}/sheets`, { size });
  await page.locator('img[alt^="Flags"]').waitFor({ timeout: 60_000 });
  await fit(page, 'sheets');
});

test('pages are turned as far as there are any, and the file is a PDF', async () => {
  const page = await s.open(`/p/${id}/sheets/cards`);
  await page.locator('img[alt$="page 1"]').waitFor({ timeout: 60_000 });
  await page.getByRole('button', { name: 'Next page' }).click();
  await page.locator('img[alt$="page 2"]').waitFor({ timeout: 60_000 });
  const link = await page.getByRole('link', { name: 'Download PDF' }).getAttribute('href');
  const answer = await fetch(s.url + link!);
  expect(answer.headers.get('content-type')).toBe('application/pdf');
  expect(new TextDecoder('latin1').decode((await answer.arrayBuffer()).slice(0, 5))).toBe('%PDF-');
});

test('every kind can be had', async () => {
  const { sheets } = await s.ask<{ sheets: { kind: string; formats: string[]; ready: boolean }[] }>(`/api/projects/${id}/sheets`);
  for (const kind of sheets) {
    expect(kind.ready).toBe(true);
    const answer = await fetch(`${s.url}/api/projects/${id}/sheets/${kind.kind}?format=${kind.formats[0]}`);
    expect([kind.kind, answer.status]).toEqual([kind.kind, 200]);
    expect((await answer.arrayBuffer()).byteLength).toBeGreaterThan(100);
  }
});
