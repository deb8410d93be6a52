import { afterAll, beforeAll, expect, test } from 'vitest';
import type { Bench, BenchPass, Head, Plan, WhatIfAnswer } from '../src/lib/model.ts';
import { rulesFor } from '../src/pages/Order/order.ts';
import { fit, planned, shot, sizes, start, type Started } from './harness.ts';

let s: Started;
let id: string;
beforeAll(async () => {
  s = await start('ready');
  id = s.starter;
});
afterAll(async () => {
  await s.stop();
});

const head = (project: string): Promise<Head> => s.ask(`/api/projects/${project}`);

test.each(sizes)('the order is fit at %o', async (size) => {
  const page = await s.open(`/p/${id}/order`, { size });
  await page.locator('.sitting li').first().waitFor();
  await page.locator('.what').nth(3).click();
  await page.getByText('Why it stands here').waitFor();
  await fit(page, 'order');
});

test('another place is asked about before it is kept', async () => {
  const page = await s.open(`/p/${id}/order`);
  await page.locator('.sitting li').first().waitFor();
  await page.getByRole('button', { name: /came earlier/ }).nth(6).click();
  const dialog = page.getByRole('dialog');
  await dialog.getByText(/That takes|costs nothing|even save|rules do not allow|cannot/).first().waitFor({ timeout: 60_000 });
  await shot(page, 'order-pin', false);
  await page.keyboard.press('Escape');
});

test('a pass is dragged before another: the price is told, it is kept, and the plan follows', async () => {
  const id = await s.project();
  await planned(s, id);
  // Two passes over different areas that may stand the other way about.
  const { passes } = await s.ask<Bench>(`/api/projects/${id}/bench`);
  let pair: [BenchPass, BenchPass] | undefined;
  for (let i = 5; i < passes.length && !pair; i++) {
    const [first, then] = [passes[i - 1]!, passes[i]!];
    if (first.sitting !== then.sitting || rulesFor(then, first).length === 0) continue;
    const answer = await s.ask<WhatIfAnswer>(`/api/projects/${id}/whatif`, {
      method: 'POST',
      body: JSON.stringify({ pin: { pass: then.number, before: first.number } }),
    });
    if (answer.status !== 'infeasible') pair = [then, first];
  }
  const [dragged, onto] = pair!;
  const before = (await head(id)).project.rules?.also ?? [];
  const page = await s.open(`/p/${id}/order`);
  const line = (p: BenchPass) => page.locator('.sitting li', { has: page.locator('.n', { hasText: new RegExp(`^${p.number}$`) }) });
  await line(onto).scrollIntoViewIfNeeded();
  await line(dragged).locator('.n').dragTo(line(onto).locator('.n'));
  const dialog = page.getByRole('dialog');
  await dialog.getByText(/That takes|costs nothing|even save/).waitFor({ timeout: 60_000 });
  await fit(page, 'order-drag', false);
  await dialog.getByRole('button', { name: 'Keep it as a rule of the project' }).click();
  await expect.poll(async () => (await head(id)).project.rules?.also).toEqual([...before, ...rulesFor(dragged, onto)]);
  // The order that is made then keeps it.
  await expect.poll(async () => (await s.ask<Plan>(`/api/projects/${id}/plan`)).revision, { timeout: 60_000 }).toBe(2);
  await planned(s, id);
  const { order } = await s.ask<Plan>(`/api/projects/${id}/plan`);
  const begun = (areas: string[]): number => Math.min(...order!.passes.filter((p) => p.areas.some((a) => areas.includes(a))).map((p) => p.number));
  expect(begun(dragged.areas)).toBeLessThan(begun(onto.areas));
  await page.locator('main h1').click();
  await page.keyboard.press('Control+z');
  await expect.poll(async () => (await head(id)).project.rules?.also ?? []).toEqual(before);
});

test('other evenings, another painter and a smaller batch are tried without changing anything', async () => {
  const page = await s.open(`/p/${id}/order`);
  await page.locator('.sitting li').first().waitFor();
  const answer = async (): Promise<string[]> => {
    await page.getByRole('button', { name: 'Try it' }).click();
    await page.getByRole('columnheader', { name: 'If so' }).waitFor({ timeout: 60_000 });
    return page.locator('.whatif tbody tr').filter({ hasText: 'Done, as likely as not' }).locator('td').allInnerTexts();
  };
  await page.getByRole('textbox', { name: 'Evenings a week' }).fill('6');
  await page.keyboard.press('Tab');
  const [now, sooner] = (await answer()).map((text) => Date.parse(text));
  expect(sooner!).toBeLessThan(now!);
  await page.getByRole('button', { name: 'More: Painters' }).click();
  const [, together] = (await answer()).map((text) => Date.parse(text));
  expect(together!).toBeLessThanOrEqual(sooner!);
  await page.getByRole('textbox', { name: 'Figures on the bench at once' }).fill('4');
  await page.keyboard.press('Tab');
  await answer();
  expect((await head(id)).revision).toBe(1);
  await fit(page, 'order-whatif', false);
  await page.getByRole('button', { name: 'Take the batch size over' }).click();
  await expect.poll(async () => (await head(id)).project.rules?.batch_figures).toBe(4);
  await page.locator('main h1').click();
  await page.keyboard.press('Control+z');
  await page.getByText('Undone').waitFor();
});

test('an evening more is a revision that can be undone', async () => {
  const page = await s.open(`/p/${id}/order`);
  const before = (await head(id)).revision;
  const days = page.getByRole('group', { name: 'Days' }).first();
  if ((await days.count()) === 0) await page.getByRole('button', { name: 'Add a painter' }).click();
  await days.getByRole('checkbox', { name: 'Sun' }).check();
  await expect.poll(async () => (await head(id)).revision).toBeGreaterThan(before);
  await page.keyboard.press('Control+z');
  await page.getByText('Undone').waitFor();
});
