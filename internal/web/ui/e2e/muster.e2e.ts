import { afterAll, beforeAll, expect, test } from 'vitest';
import type { Head } from '../src/lib/model.ts';
import { fit, planned, sizes, start, type Started } from './harness.ts';

let s: Started;
let demo: string;
beforeAll(async () => {
  s = await start('ready');
  demo = s.demo;
});
afterAll(async () => {
  await s.stop();
});

const head = (id: string): Promise<Head> => s.ask(`/api/projects/${id}`);
const unitNamed = async (id: string, name: string) => (await head(id)).project.units.find((u) => u.name === name);

// First, since one plan is made at a time, and he waits for his.
test('a unit is shown by one of its men', async () => {
  const page = await s.open(`/p/${s.starter}/muster`);
  const man = page.getByRole('img', { name: 'A man of Third Foot as he will look' });
  await man.waitFor({ timeout: 120_000 });
  const drawn = await man.getAttribute('src');
  // What does not change his looks does not have him drawn anew.
  await page.getByLabel('Ready by').fill('2027-02-01');
  await expect.poll(async () => (await s.ask<{ revision: number }>(`/api/projects/${s.starter}/plan`)).revision, { timeout: 60_000 }).toBe(2);
  expect(await man.getAttribute('src')).toBe(drawn);
});

test('the guided way leads from nothing to a unit that plans', async () => {
  const page = await s.open('/new');
  await page.getByRole('radio', { name: 'horse and rider' }).check({ force: true });
  await page.getByLabel('Headgear', { exact: true }).first().selectOption('fur cap');
  await page.getByLabel('Coat or jacket').selectOption('green');
  await page.getByLabel('Name of the unit').fill('Ostvale Horse');
  await page.getByRole('button', { name: 'Less: Troopers' }).click();
  await page.getByRole('button', { name: 'Muster them' }).click();
  await page.waitForURL(/\/p\/[^/]+\/muster$/);
  const id = page.url().split('/')[4]!;
  const unit = await unitNamed(id, 'Ostvale Horse');
  expect(unit!.figures.find((r) => r.role === 'trooper')!.count).toBe(8);
  expect((await head(id)).findings.filter((f) => f.severity === 'fault')).toEqual([]);
  await planned(s, id);
  expect((await s.ask<{ state: string }>(`/api/projects/${id}/plan`)).state).toBe('ready');
});

test('an answer that cannot be taken is said at its place', async () => {
  const page = await s.open(`/p/${demo}/muster/add`);
  await page.getByLabel('Name of the unit').fill("Tarrenquist's Hussars");
  await page.getByRole('button', { name: 'Muster them' }).click();
  await page.getByText(/has a unit called/).first().waitFor();
});

test('a unit is added to a project by the guided way', async () => {
  const id = await s.project();
  const page = await s.open(`/p/${id}/muster/add`);
  await page.getByLabel('Name of the unit').fill('Ostvale Foot');
  await page.getByRole('button', { name: 'Muster them' }).click();
  await page.waitForURL(/muster\/unit\/Ostvale%20Foot$/);
  expect((await head(id)).project.units.length).toBe(2);
});

test('numbers, dates, areas and notes are edited, and undone', async () => {
  const id = await s.project();
  const page = await s.open(`/p/${id}/muster/unit/${encodeURIComponent('Third Foot')}`);
  await page.getByLabel('Number: private', { exact: true }).fill('30');
  await page.getByLabel('Number: private', { exact: true }).press('Enter');
  await page.getByLabel('Ready by').fill('2027-02-01');
  await page.getByLabel('Source').fill('a button');
  await page.getByLabel('Source').blur();
  await page.getByText('What these figures lack or add').first().click();
  await page.getByRole('button', { name: 'pouch', exact: true }).first().click();
  await expect
    .poll(async () => {
      const u = await unitNamed(id, 'Third Foot');
      return [u!.figures.at(-1)!.count, u!.ready_by, u!.source, u!.figures[0]!.lacks!.includes('pouch')];
    })
    .toEqual([30, '2027-02-01', 'a button', true]);
  await page.getByRole('button', { name: 'Undo' }).click();
  await expect.poll(async () => (await unitNamed(id, 'Third Foot'))!.figures[0]!.lacks!.includes('pouch')).toBe(false);
  // What is no number is said, and nothing is kept.
  await page.getByLabel('Number: private', { exact: true }).fill('many');
  await page.getByLabel('Number: private', { exact: true }).press('Enter');
  await page.getByText('“many” is not a number').waitFor();
});

test('a unit is renamed wherever it is spoken of, copied and removed', async () => {
  const id = await s.project();
  const names = async (): Promise<string[]> => (await head(id)).project.units.map((u) => u.name);
  const page = await s.open(`/p/${id}/muster`);
  await page.getByRole('button', { name: 'Duplicate' }).click();
  await page.waitForURL(/Third%20Foot%202/);
  await page.getByLabel('Name of the unit').fill('Third Foot');
  await page.getByLabel('Name of the unit').press('Enter');
  await page.getByText('is taken already').waitFor();
  await page.getByLabel('Name of the unit').fill('The Bell Foot');
  await page.getByLabel('Name of the unit').press('Enter');
  await page.waitForURL(/The%20Bell%20Foot/);
  await expect.poll(names).toEqual(['Third Foot', 'The Bell Foot']);
  await page.getByRole('button', { name: 'Duplicate' }).click();
  await page.waitForURL(/The%20Bell%20Foot%202/);
  await page.getByRole('button', { name: 'Remove the unit' }).click();
  await expect.poll(names).toEqual(['Third Foot', 'The Bell Foot']);
  expect((await head(id)).revision).toBe(5);
});

test('a finding leads to its place', async () => {
  const id = await s.project();
  const page = await s.open(`/p/${id}/muster#${encodeURIComponent('/units/Third Foot/figures/private/count')}`);
  await expect
    .poll(() => page.evaluate(() => document.activeElement?.closest('[data-at]')?.getAttribute('data-at')))
    .toBe('/units/Third Foot/figures/private/count');
  expect(await page.evaluate(() => document.activeElement?.tagName)).toBe('INPUT');
});

test.each(sizes)('muster and guided way are fit at %o', async (size) => {
  for (const [path, name, there] of [
    [`/p/${demo}/muster`, 'muster', '.list strong'],
    [`/p/${demo}/muster/unit/${encodeURIComponent("Tarrenquist's Hussars")}`, 'muster-unit', 'article h2'],
    [`/p/${demo}/muster/casting/hussar`, 'muster-casting', 'article h2'],
    ['/new', 'recruit', 'form h2'],
  ] as const) {
    const page = await s.open(path, { size });
    await page.locator(there).first().waitFor();
    await fit(page, name);
    await page.close();
  }
});
