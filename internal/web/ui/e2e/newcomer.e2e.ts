// The whole way of somebody who comes to it for the first time, on a telephone:
// from an empty database to the first ten passes painted, with the connection
// gone in the middle.
import type { Page } from 'playwright-core';
import { afterEach, beforeEach, expect, test } from 'vitest';
import type { Bench, Head, LogAnswer, Plan } from '../src/lib/model.ts';
import { fit, phone, planned, shot, start, type Started } from './harness.ts';

let s: Started;
beforeEach(async () => {
  s = await start();
});
afterEach(async () => {
  await s.stop();
});

const long = { timeout: 60_000 };
const painted = (page: Page): Promise<number> => page.locator('.how-far').evaluate((p: HTMLProgressElement) => p.value);

async function tick(page: Page): Promise<void> {
  const before = await painted(page);
  await page.getByRole('button', { name: /^Done: / }).click(long);
  await expect.poll(() => painted(page), long).toBeGreaterThan(before);
}

test('from nothing to ten passes painted, offline in the middle, and on with another plan', async () => {
  // An empty database, and the guided way.
  const page = await s.open('/', { size: phone });
  await page.getByRole('heading', { name: 'What is on the bench?' }).waitFor(long);
  await page.getByRole('link', { name: 'Raise a unit' }).click();
  await page.getByLabel('Headgear', { exact: true }).first().waitFor(long);
  await page.getByLabel('Name of the unit').fill('Ostvale Foot');
  const fewer = page.getByRole('button', { name: /^Less: / }).last();
  for (let i = 0; i < 4; i++) await fewer.click();
  await fit(page, 'newcomer');
  await page.getByRole('button', { name: 'Muster them' }).click();
  await page.waitForURL(/\/p\/[^/]+\/muster$/, long);
  const id = page.url().split('/')[4]!;
  const head = (): Promise<Head> => s.ask(`/api/projects/${id}`);
  const log = (): Promise<LogAnswer> => s.ask(`/api/projects/${id}/log`);
  expect((await head()).findings.filter((f) => f.severity === 'fault')).toEqual([]);

  // The first plan comes by itself, and says when all is ready.
  await page.getByRole('region', { name: 'How the plan stands' }).getByText(/^Ready by/).waitFor({ timeout: 200_000 });
  await page.getByRole('link', { name: 'Order', exact: true }).click();
  await page.locator('.sitting li').first().waitFor(long);
  await page.getByRole('link', { name: 'Bench', exact: true }).click();
  await page.getByRole('button', { name: /^Done: / }).waitFor(long);

  // From now on the page opens without the server.
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
  await page.reload({ waitUntil: 'domcontentloaded', ...long });
  await page.getByRole('button', { name: /^Done: / }).waitFor(long);
  for (let i = 0; i < 4; i++) await tick(page);
  await page.getByText(/ticks? waits? on this device/).waitFor({ state: 'detached', ...long });

  await page.context().setOffline(true);
  for (let i = 1; i <= 3; i++) {
    await tick(page);
    await page.getByText(`${i} tick${i > 1 ? 's wait' : ' waits'}`).waitFor(long);
  }
  await page.reload({ waitUntil: 'domcontentloaded', ...long });
  await page.getByText('3 ticks wait').waitFor(long);
  for (let i = 4; i <= 6; i++) {
    await tick(page);
    await page.getByText(`${i} ticks wait`).waitFor(long);
  }
  expect((await log()).entries.length).toBe(4);
  await shot(page, 'newcomer-offline', false);
  const seen = await painted(page);
  await page.context().setOffline(false);
  await page.getByText(/ticks? waits? on this device/).waitFor({ state: 'detached', ...long });
  const { entries } = await log();
  expect(entries.map((e) => e.kind)).toEqual(Array.from({ length: 10 }, () => 'done'));
  expect(new Set(entries.map((e) => e.id)).size).toBe(10);
  // No pass came up twice.
  const tasks = entries.flatMap((e) => (e.tasks ?? []).map((x) => JSON.stringify(x)));
  expect(tasks.length).toBe(new Set(tasks).size);
  const told = await s.ask<Bench>(`/api/projects/${id}/bench`);
  expect(told.progress.done).toBe(seen);

  // An edit is planned around what is painted.
  await page.getByRole('link', { name: 'Muster', exact: true }).click();
  await page.getByRole('link', { name: /Ostvale Foot/ }).first().click(long);
  await page.getByRole('button', { name: /^More: Number: / }).last().click(long);
  await expect.poll(async () => (await head()).revision, long).toBe(2);
  await planned(s, id, 200);
  await expect.poll(async () => (await s.ask<Plan>(`/api/projects/${id}/plan`)).revision, { timeout: 200_000 }).toBe(2);
  const plan = await s.ask<Plan>(`/api/projects/${id}/plan`);
  expect(plan.state).toBe('ready');
  expect(plan.progress.done).toBeGreaterThan(0);
  expect(plan.progress.tasks).toBeGreaterThan(told.progress.tasks);
  await page.getByRole('link', { name: 'Bench', exact: true }).click();
  await page.getByRole('button', { name: /^Done: / }).waitFor(long);
  await expect.poll(() => page.locator('.how-far').evaluate((p: HTMLProgressElement) => p.max), long).toBe(plan.progress.tasks);
  expect(await painted(page)).toBe(plan.progress.done);
}, 600_000);
