import { execFileSync } from 'node:child_process';
import { mkdtempSync, readdirSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { axe, fit, shot, sizes, start, type Started } from './harness.ts';

const root = join(dirname(fileURLToPath(import.meta.url)), '../../../..');

interface Head {
  revision: number;
  project: { rack: { name: string; left_ml?: number; over_black?: string; over_white?: string }[]; mixes?: { name: string }[] };
}

let s: Started;
let id: string;
beforeAll(async () => {
  s = await start('ready');
  id = s.starter;
});
afterAll(async () => {
  await s.stop();
});
const head = (): Promise<Head> => s.ask<Head>(`/api/projects/${id}`);

test.each(sizes)('the rack is fit at %o', async (size) => {
  const page = await s.open(`/p/${id}/rack`, { size });
  await page.locator('.paint .what').first().click();
  await page.getByRole('button', { name: /off the rack$/ }).waitFor();
  await fit(page, 'rack');
});

test('what is left of a paint is counted down, and undone', async () => {
  const page = await s.open(`/p/${id}/rack`);
  const before = (await head()).project.rack[0]!;
  const row = page.locator('.paint').first();
  await row.getByRole('textbox').fill('1.5');
  await page.keyboard.press('Tab');
  await expect.poll(async () => (await head()).project.rack[0]!.left_ml).toBe(1.5);
  await page.keyboard.press('Control+z');
  await expect.poll(async () => (await head()).project.rack[0]!.left_ml).toBe(before.left_ml);
});

test('a colour is mixed, and the mix kept', async () => {
  const page = await s.open(`/p/${id}/rack`);
  const mixer = page.locator('#mix');
  await mixer.getByRole('combobox', { name: 'or by name: a paint, mix or finish' }).or(mixer.getByRole('textbox', { name: 'or by name: a paint, mix or finish' })).fill('#6b2f33');
  await page.keyboard.press('Tab');
  await mixer.getByRole('button', { name: 'Find the mix' }).click();
  await mixer.getByRole('heading', { name: 'Best' }).waitFor({ timeout: 60_000 });
  expect(await axe(page)).toEqual([]);
  await shot(page, 'rack-mix');
  await mixer.getByRole('button', { name: 'Keep as a mix' }).first().click();
  await page.getByRole('dialog').getByRole('textbox').fill('wine');
  await page.getByRole('dialog').getByRole('button', { name: 'Keep as a mix' }).click();
  await expect.poll(async () => (await head()).project.mixes?.some((m) => m.name === 'wine')).toBe(true);
});

test('paints called white and black are mixed over and with like any others', async () => {
  const own = await s.project();
  const { revision } = await s.ask<Head>(`/api/projects/${own}`);
  await s.ask(`/api/projects/${own}`, {
    method: 'PATCH',
    headers: { 'content-type': 'application/json-patch+json', 'if-match': `"r${revision}"` },
    body: JSON.stringify(['white', 'black'].map((name) => ({ op: 'add', path: '/rack/-', value: { name, kind: 'opaque', colour: name === 'white' ? '#f0f0ec' : '#202022' } }))),
  });
  const page = await s.open(`/p/${own}/rack`);
  await page.locator('.paint', { hasText: 'white' }).first().waitFor();
  const over = page.locator('#mix').getByRole('combobox', { name: 'Over' });
  expect(await over.locator('option', { hasText: /^(white|black)$/ }).count()).toBe(2);
});

test('a photographed card becomes swatches', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'facings-card-'));
  execFileSync('go', ['run', './tools/swatches', '--n', '1', '--seed', '3', '--out', folder], { cwd: root });
  const photo = join(folder, readdirSync(folder).find((f) => /\.(jpe?g|png)$/.test(f))!);
  const page = await s.open(`/p/${id}/rack`);
  await page.locator('.card input[type=file]').setInputFiles(photo);
  const take = page.getByRole('button', { name: /^Take \d+ swatch/ });
  await take.waitFor({ timeout: 60_000 });
  expect(await axe(page)).toEqual([]);
  await shot(page, 'rack-card');
  const before = (await head()).revision;
  await take.click();
  await expect.poll(async () => (await head()).revision).toBeGreaterThan(before);
  expect((await head()).project.rack.some((p) => p.over_black && p.over_white)).toBe(true);
});

test('a picture that is no card is refused with a way out', async () => {
  const page = await s.open(`/p/${id}/rack`);
  await page.locator('.card input[type=file]').setInputFiles({ name: 'x.png', mimeType: 'image/png', buffer: Buffer.from('not a picture') });
  await page.locator('.card .failed').waitFor();
});
