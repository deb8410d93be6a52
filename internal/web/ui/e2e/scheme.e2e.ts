import type { Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { axe, fit, shot, sizes, start, type Started } from './harness.ts';

let s: Started;
let id: string;
beforeAll(async () => {
  s = await start('ready');
  id = s.starter;
});
afterAll(async () => {
  await s.stop();
});

interface Head {
  revision: number;
  project: { units: { scheme: Record<string, string> }[]; finishes: { name: string; coats: { paint: string }[] }[]; mixes?: { name: string }[] };
}
const head = (): Promise<Head> => s.ask<Head>(`/api/projects/${id}`);

async function open(options: Parameters<Started['open']>[1] = {}): Promise<Page> {
  const page = await s.open(`/p/${id}/scheme`, options);
  await page.locator('.area').first().waitFor({ timeout: 60_000 });
  await page.waitForFunction(() => document.querySelector('.stage') && !document.querySelector('.stage .state'), null, { timeout: 60_000 });
  return page;
}
const row = (page: Page, area: string) => page.locator(`[data-area="${area}"]`);

test.each(sizes)('the scheme is fit at %o', async (size) => {
  const page = await open({ size });
  await shot(page, `scheme-${size.width}-light`, false);
  await row(page, 'face').locator('.area').click();
  await row(page, 'face').getByRole('button', { name: 'Change its coats' }).click();
  await page.locator('.right summary').first().click();
  await fit(page, 'scheme-open', false);
  await page.getByRole('button', { name: 'Change what the face gets' }).click();
  await page.locator('.option').first().waitFor();
  await fit(page, 'scheme-pick', false);
});

test('a finish is tried on, taken with Enter, and undone', async () => {
  const page = await open();
  const before = await head();
  await row(page, 'jacket').locator('.area').click();
  await page.getByRole('button', { name: 'Change what the jacket gets' }).click();
  await page.getByRole('combobox', { name: /What it gets/ }).fill('carbon black');
  await page.keyboard.press('ArrowDown');
  await page.getByText(/Trying carbon black on the jacket/).waitFor();
  expect((await head()).revision).toBe(before.revision);
  await page.keyboard.press('Enter');
  await expect.poll(async () => (await head()).project.units[0]!.scheme.jacket).toBe('carbon black');
  await row(page, 'jacket').locator('.finish', { hasText: 'carbon black' }).waitFor();
  await page.keyboard.press('Control+z');
  await expect.poll(async () => (await head()).project.units[0]!.scheme.jacket).toBe(before.project.units[0]!.scheme.jacket);
});

test('a click on the figure takes up the area under it', async () => {
  const page = await open();
  const box = (await page.locator('.stage canvas').boundingBox())!;
  await page.mouse.click(box.x + box.width / 2, box.y + box.height / 2);
  await page.locator('.area[aria-expanded="true"]').waitFor();
  // By keyboard the area in the middle is taken up; a hair's breadth off it may be its neighbour.
  await page.reload();
  await page.locator('.area').first().waitFor();
  await page.waitForFunction(() => document.querySelector('.stage') && !document.querySelector('.stage .state'));
  await page.locator('.stage').focus();
  await page.keyboard.press('Enter');
  await page.locator('.area[aria-expanded="true"]').waitFor();
});

test('a coat is added, moved and taken away, each an undo', async () => {
  const page = await open();
  await row(page, 'face').locator('.area').click();
  const finish = (await row(page, 'face').locator('.finish').textContent())!;
  const coats = async (): Promise<string[]> => (await head()).project.finishes.find((f) => f.name === finish)!.coats.map((c) => c.paint);
  const before = await coats();
  await page.getByRole('button', { name: 'Change its coats' }).click();
  await page.getByRole('button', { name: 'Add a coat' }).click();
  await page.getByLabel('Paint or mix').last().selectOption('carbon black');
  await expect.poll(coats).toEqual([...before, 'carbon black']);
  await page.getByRole('button', { name: `Lay coat ${before.length + 1} earlier` }).click();
  await expect.poll(coats).toEqual([...before.slice(0, -1), 'carbon black', before.at(-1)]);
  await page.getByRole('button', { name: `Take coat ${before.length} away` }).click();
  await expect.poll(coats).toEqual(before);
  await page.keyboard.press('Control+z');
  await expect.poll(coats).toHaveLength(before.length + 1);
});

test('a mix for a colour is found, and becomes the area’s finish', async () => {
  const page = await open();
  await row(page, 'collar').locator('.area').click();
  await page.getByRole('button', { name: 'Change what the collar gets' }).click();
  await page.getByRole('button', { name: 'Mix for a colour' }).click();
  const dialog = page.getByRole('dialog');
  await dialog.getByLabel('Wanted colour').fill('#5a7f9c');
  await dialog.getByRole('button', { name: 'Find it' }).click();
  await dialog.getByText(/Put out/).waitFor({ timeout: 60_000 });
  expect(await axe(page)).toEqual([]);
  await shot(page, 'scheme-mix', false);
  await dialog.getByLabel('Name of the mix').fill('washed-out blue');
  await dialog.getByRole('button', { name: 'as a finish of the area' }).click();
  await expect.poll(async () => (await head()).project.units[0]!.scheme.collar).toBe('washed-out blue');
  expect((await head()).project.mixes?.some((m) => m.name === 'washed-out blue')).toBe(true);
});

test('without WebGL a picture and the list remain', async () => {
  const page = await s.open(`/p/${id}/order`);
  await page.addInitScript(() => {
    HTMLCanvasElement.prototype.getContext = (() => null) as never;
  });
  await page.goto(`${s.url}/p/${id}/scheme`);
  await page.getByText('draws no figures that turn').waitFor();
  await page.locator('.view img').waitFor();
  await page.locator('.area').first().waitFor();
  expect(await axe(page)).toEqual([]);
});
