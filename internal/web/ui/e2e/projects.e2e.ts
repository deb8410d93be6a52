import { afterAll, beforeAll, expect, test } from 'vitest';
import { axe, fit, shot, sizes, start, type Started } from './harness.ts';

let s: Started;
beforeAll(async () => {
  s = await start();
});
afterAll(async () => {
  await s.stop();
});

test('an empty database shows ways to begin, and the demo opens by one of them', async () => {
  const page = await s.open('/');
  await page.getByRole('heading', { name: 'What is on the bench?' }).waitFor();
  expect(await axe(page)).toEqual([]);
  await shot(page, 'projects-empty');
  await page.getByRole('button', { name: 'Look at the demo' }).click();
  await page.waitForURL(/\/p\/[^/]+\/muster$/);
});

test('a project thrown away can be taken back', async () => {
  await s.project('starter');
  const page = await s.open('/');
  await page.locator('.project').first().waitFor();
  const before = await page.locator('.project').count();
  await page.getByRole('button', { name: /^Throw away/ }).first().click();
  await expect.poll(() => page.locator('.project').count()).toBe(before - 1);
  await page.getByRole('button', { name: 'Take it back' }).click();
  await expect.poll(() => page.locator('.project').count()).toBe(before);
});

test.each(sizes)('the list of projects is fit at %o', async (size) => {
  const page = await s.open('/', { size });
  await page.locator('.project').first().waitFor();
  await fit(page, 'projects');
});
