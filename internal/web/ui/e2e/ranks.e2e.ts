import { afterAll, beforeAll, expect, test } from 'vitest';
import type { Head, Plan } from '../src/lib/model.ts';
import { alikePairs, menOf } from '../src/pages/Ranks/ranks.ts';
import { fit, planned, sizes, start, type Started } from './harness.ts';

let s: Started;
let demo: string;
beforeAll(async () => {
  s = await start('ready');
  demo = s.demo;
  await planned(s, demo);
});
afterAll(async () => {
  await s.stop();
});

const head = (id: string): Promise<Head> => s.ask(`/api/projects/${id}`);
const plan = (id: string): Promise<Plan> => s.ask(`/api/projects/${id}/plan`);
const pins = async (id: string, role: string, number: number): Promise<Record<string, string>> =>
  (await head(id)).project.units[0]!.single?.find((x) => x.role === role && x.number === number)?.traits ?? {};

test('alike neighbours are counted as the engine counts them', async () => {
  const { roster } = await plan(demo);
  const { project } = await head(demo);
  for (const unit of project.units) {
    const dealt = roster!.units.find((u) => u.unit === unit.name)!;
    expect(alikePairs(menOf(roster!, unit)).length).toBe(dealt.alike);
  }
});

test('every man of the unit stands in his rank, and turns about', async () => {
  const page = await s.open(`/p/${demo}/ranks`);
  const men = page.locator('[data-man]');
  await expect.poll(() => men.count()).toBe(12);
  const first = await men.first().getAttribute('data-man');
  await page.getByRole('radio', { name: 'from the front' }).check({ force: true });
  await expect.poll(() => men.last().getAttribute('data-man')).toBe(first);
});

test('two men swap by the keyboard alone, and undo puts them back', async () => {
  const id = demo;
  const page = await s.open(`/p/${id}/ranks`);
  const { roster } = await plan(id);
  const [a, b] = [1, 2].map((n) => roster!.figures.find((f) => f.id.role === 'trooper' && f.id.number === n)!);
  const before = await head(id);
  await page.locator(`[data-man="${a!.index}"]`).focus();
  await page.keyboard.press('s');
  await page.getByText('trooper 1 taken up').first().waitFor();
  for (let file = a!.file; file < b!.file; file++) await page.keyboard.press('ArrowRight');
  await page.keyboard.press('s');
  await expect.poll(() => pins(id, 'trooper', 1)).not.toEqual({});
  const got = await pins(id, 'trooper', 1);
  for (const [trait, value] of Object.entries(got)) expect(b!.traits[trait]).toBe(value);
  await page.getByRole('button', { name: 'Undo' }).first().click();
  await expect.poll(async () => (await head(id)).project).toEqual(before.project);
});

test('a man dragged onto another swaps what he was dealt with him', async () => {
  const page = await s.open(`/p/${demo}/ranks`);
  const { roster } = await plan(demo);
  const trooper = (n: number) => roster!.figures.find((f) => f.id.role === 'trooper' && f.id.number === n)!;
  const [a, b] = [trooper(5), trooper(8)];
  const before = await head(demo);
  await page.locator(`[data-man="${a.index}"]`).dragTo(page.locator(`[data-man="${b.index}"]`));
  await page.getByRole('region', { name: 'Messages' }).getByText(/trooper 5.*trooper 8/).waitFor();
  await expect.poll(() => pins(demo, 'trooper', 5)).not.toEqual({});
  for (const [trait, value] of Object.entries(await pins(demo, 'trooper', 5))) expect(b.traits[trait]).toBe(value);
  for (const [trait, value] of Object.entries(await pins(demo, 'trooper', 8))) expect(a.traits[trait]).toBe(value);
  // Let go beside the ranks, nothing is taken up any more.
  await page.locator(`[data-man="${a.index}"]`).dragTo(page.locator('main h1'));
  expect(await page.locator('.taken').count()).toBe(0);
  await page.getByRole('button', { name: 'Undo', exact: true }).first().click();
  await expect.poll(async () => (await head(demo)).project).toEqual(before.project);
});

test('a trait is pinned and its pin lifted', async () => {
  const page = await s.open(`/p/${demo}/ranks`);
  await page.getByRole('button', { name: /^trooper 3:/ }).click();
  await page.getByRole('combobox', { name: 'hair' }).selectOption('red');
  await expect.poll(() => pins(demo, 'trooper', 3)).toEqual({ hair: 'red' });
  await page.getByRole('button', { name: 'Lift his pins' }).click();
  await expect.poll(() => pins(demo, 'trooper', 3)).toEqual({});
});

test.each(sizes)('ranks are fit at %o', async (size) => {
  const page = await s.open(`/p/${demo}/ranks`, { size });
  await page.locator('[data-man]').first().waitFor();
  await page.waitForFunction(() => [...document.querySelectorAll<HTMLElement>('[data-man] .colour')].some((c) => c.style.background), null, { timeout: 60_000 });
  await fit(page, 'ranks');
  await page.getByRole('button', { name: /^trooper 3:/ }).click();
  await page.getByRole('combobox', { name: 'hair' }).waitFor();
  await fit(page, 'ranks-man', false);
});

test('a new seed deals anew, a share written is kept', async () => {
  const id = demo;
  const page = await s.open(`/p/${id}/ranks`);
  await page.locator('[data-man]').first().waitFor();
  await page.getByRole('button', { name: 'Deal anew' }).click();
  await expect.poll(async () => (await head(id)).project.seed).not.toBe(7);
  await page.getByLabel('Share of skin pale').fill('80');
  await page.getByLabel('Share of skin pale').press('Enter');
  await expect.poll(async () => (await head(id)).project.units[0]!.shares!.skin).toEqual({ pale: 80, ruddy: 35, weathered: 25 });
});
