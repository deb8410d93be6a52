import { afterAll, beforeAll, expect, test } from 'vitest';
import type { Bench, LogAnswer } from '../src/lib/model.ts';
import { axe, fit, phone, planned, shot, sizes, start, type Started } from './harness.ts';

let s: Started;
let id: string;
beforeAll(async () => {
  s = await start('ready');
  id = s.starter;
});
afterAll(async () => {
  await s.stop();
});

const bench = (): Promise<Bench> => s.ask(`/api/projects/${id}/bench`);
const log = (): Promise<LogAnswer> => s.ask(`/api/projects/${id}/log`);

test.each(sizes)('the bench is fit at %o', async (size) => {
  const page = await s.open(`/p/${id}/bench`, { size });
  await page.getByRole('button', { name: /^Done/ }).waitFor();
  await page.locator('.picture img').evaluate((img: HTMLImageElement) => img.decode().catch(() => undefined));
  await fit(page, 'bench', false);
});

test('figures are ticked one by one or all at once, and a tick can be undone', async () => {
  const page = await s.open(`/p/${id}/bench`, { size: phone });
  const title = page.locator('.pass h2');
  const open = page.locator('.man.open');
  await open.first().waitFor();
  // A pass over one man alone shows nothing of this.
  while ((await open.count()) === 1) {
    const alone = await title.textContent();
    await page.getByRole('button', { name: /^Done: / }).click();
    await expect.poll(() => title.textContent()).not.toBe(alone);
  }
  const ticks = (await log()).entries.filter((e) => e.kind === 'done').length;
  const first = await title.textContent();
  const before = await open.count();
  await open.first().click();
  // He is done, or gone from the pass where the rest was planned anew meanwhile.
  await expect.poll(() => open.count()).toBe(before - 1);
  await page.getByRole('button', { name: /^Done: / }).click();
  await expect.poll(() => title.textContent()).not.toBe(first);
  await expect.poll(async () => (await log()).entries.filter((e) => e.kind === 'done').length).toBe(ticks + 2);
  await page.getByRole('button', { name: 'Undo the last tick' }).click();
  await expect.poll(async () => (await log()).entries.at(-1)?.kind).toBe('undo');
  await expect.poll(() => title.textContent(), { timeout: 20_000 }).toBe(first);
  await page.keyboard.press('d');
  await expect.poll(() => title.textContent(), { timeout: 20_000 }).not.toBe(first);
});

test('ticks made without a connection outlive a reload and count once', async () => {
  const page = await s.open(`/p/${id}/bench`, { size: phone });
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
  await page.reload();
  await page.getByRole('button', { name: /^Done/ }).waitFor();
  await planned(s, id);
  const before = await bench();
  await page.context().setOffline(true);
  for (let i = 1; i <= 4; i++) {
    await page.getByRole('button', { name: /^Done/ }).click();
    await page.getByText(`${i} tick${i > 1 ? 's' : ''} wait`).waitFor();
  }
  await shot(page, 'bench-offline', false);
  await page.reload();
  await page.getByText('4 ticks wait').waitFor();
  expect(await axe(page)).toEqual([]);
  await page.context().setOffline(false);
  await page.getByText(/ticks? wait/).waitFor({ state: 'detached' });
  const entries = (await log()).entries;
  expect(new Set(entries.map((e) => e.id)).size).toBe(entries.length);
  expect((await bench()).progress.done).toBeGreaterThan(before.progress.done);
});

test('what two pages of one device ticked is all there when both were closed before it was sent', async () => {
  const one = await s.open(`/p/${id}/bench`, { size: phone });
  const context = one.context();
  const other = await context.newPage();
  await other.goto(`${s.url}/p/${id}/bench`);
  await planned(s, id);
  const before = (await log()).entries.length;
  await context.setOffline(true);
  for (const page of [one, other, one]) {
    const waits = await page.getByText(/ticks? waits? on/).textContent({ timeout: 500 }).catch(() => '0');
    await page.getByRole('button', { name: /^Done/ }).click();
    await page.getByText(`${parseInt(waits ?? '0') + 1} tick`).waitFor();
  }
  await one.close();
  await other.close();
  await context.setOffline(false);
  const later = await context.newPage();
  await later.goto(`${s.url}/p/${id}/bench`);
  await expect.poll(async () => (await log()).entries.length).toBe(before + 3);
  await later.getByText(/ticks? waits?/).waitFor({ state: 'detached' });
});

test('ticks that an older page of the program left waiting are sent', async () => {
  const page = await s.open('/', { size: phone });
  const { passes, next } = await bench();
  const { figure, area, coat, medium } = passes[next]!.tasks.find((x) => x.state === 'open')!;
  const left = [{ id: crypto.randomUUID(), kind: 'done', at: new Date().toISOString(), painter: 0, tasks: [{ figure, area, coat, medium }] }];
  await page.evaluate(
    ([id, left]) =>
      new Promise<void>((done, failed) => {
        const opening = indexedDB.open('facings-bench', 1);
        opening.onerror = () => failed(opening.error!);
        opening.onupgradeneeded = () => {
          opening.result.createObjectStore('benches');
          opening.result.createObjectStore('entries').put(left, id);
        };
        opening.onsuccess = () => {
          opening.result.close();
          done();
        };
      }),
    [id, left] as const,
  );
  await page.goto(`${s.url}/p/${id}/bench`);
  await expect.poll(async () => (await log()).entries.some((e) => e.id === left[0]!.id)).toBe(true);
});

test('the clock runs, pauses, and gives its time to the tick', async () => {
  const page = await s.open(`/p/${id}/bench`, { size: phone });
  await page.getByRole('button', { name: 'Start', exact: true }).click();
  await page.waitForTimeout(2200);
  await page.getByRole('button', { name: 'Pause' }).click();
  await page.getByRole('button', { name: 'Go on' }).click();
  await page.waitForTimeout(1200);
  await page.getByRole('button', { name: /^Done/ }).click();
  await expect.poll(async () => (await log()).entries.some((e) => e.kind === 'done' && ((e as { seconds?: number }).seconds ?? 0) >= 2)).toBe(true);
});
