// Nothing is lost: two windows on one project, and a program that is killed.
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { Head } from '../src/lib/model.ts';
import { start, type Started } from './harness.ts';

let s: Started;
beforeAll(async () => {
  s = await start();
});
afterAll(async () => {
  await s.stop();
});

const privates = (head: Head): number => head.project.units[0]!.figures.find((r) => r.role === 'private')!.count;
const head = (id: string): Promise<Head> => s.ask(`/api/projects/${id}`);

// An edit by somebody else, as another program would make it.
async function elsewhere(id: string, patch: unknown[]): Promise<void> {
  const { revision } = await head(id);
  await s.ask(`/api/projects/${id}`, {
    method: 'PATCH',
    headers: { 'content-type': 'application/json-patch+json', 'if-match': `"r${revision}"` },
    body: JSON.stringify(patch),
  });
}

test('an edit is kept, undone and done again by keys', async () => {
  const id = await s.project();
  const page = await s.open(`/p/${id}/muster`);
  await page.getByRole('button', { name: 'More: Number: private' }).click();
  await expect.poll(async () => privates(await head(id))).toBe(11);
  await page.getByRole('status').filter({ hasText: 'All kept' }).waitFor();
  await page.locator('main h1').click();
  await page.keyboard.press('Control+z');
  await expect.poll(async () => privates(await head(id))).toBe(10);
  await page.keyboard.press('Control+Shift+Z');
  await expect.poll(async () => privates(await head(id))).toBe(11);
});

test('keys pressed faster than the server answers count each', async () => {
  const id = await s.project();
  const page = await s.open(`/p/${id}/muster`);
  for (const n of [11, 12]) {
    await page.getByRole('button', { name: 'More: Number: private' }).click();
    await expect.poll(async () => privates(await head(id))).toBe(n);
  }
  await page.route(/\/api\/projects\/[^/]+\/(undo|redo)/, async (route) => {
    await new Promise((done) => setTimeout(done, 700));
    await route.continue();
  });
  await page.locator('main h1').click();
  for (const key of ['z', 'z', 'Shift+Z']) await page.keyboard.press(`Control+${key}`);
  // An edit made meanwhile goes onto what the steps leave.
  await page.getByRole('button', { name: 'More: Number: officer' }).click();
  const officers = (h: Head): number => h.project.units[0]!.figures.find((r) => r.role === 'officer')!.count;
  await expect.poll(async () => officers(await head(id))).toBe(2);
  await expect.poll(async () => privates(await head(id))).toBe(11);
});

test('what another window changes appears here by itself', async () => {
  const id = await s.project();
  const page = await s.open(`/p/${id}/muster`);
  const other = await s.open(`/p/${id}/muster`);
  await other.getByRole('button', { name: 'More: Number: private' }).click();
  await expect.poll(() => page.getByLabel('Number: private', { exact: true }).inputValue()).toBe('11');
});

test('two edits at once: both sides are shown, and mine is applied again', async () => {
  const id = await s.project();
  const page = await s.open(`/p/${id}/muster`);
  // Hold the page's own edit back until somebody else's is in.
  let free = (): void => undefined;
  const gate = new Promise<void>((done) => (free = done));
  await page.route(`**/api/projects/${id}?why=*`, async (route) => {
    await gate;
    await route.continue();
  });
  await page.getByRole('button', { name: 'More: Number: private' }).click();
  await elsewhere(id, [
    { op: 'replace', path: '/units/0/figures/2/count', value: 5 },
    { op: 'replace', path: '/name', value: 'The Other War' },
  ]);
  free();
  const dialog = page.getByRole('dialog');
  await dialog.getByText('This was changed elsewhere meanwhile').first().waitFor();
  const cells = await dialog.locator('tbody td').allInnerTexts();
  expect(cells.slice(1)).toEqual(['10', '11', '5']);
  await dialog.getByRole('button', { name: 'Apply mine again' }).click();
  await expect.poll(async () => privates(await head(id))).toBe(11);
  expect((await head(id)).project.name).toBe('The Other War');
});

test('an edit made while the program is down is kept when it is back', async () => {
  const id = await s.project();
  const page = await s.open(`/p/${id}/muster`);
  const more = page.getByRole('button', { name: 'More: Number: private' });
  await more.waitFor();
  await s.restart(true, async () => {
    await more.click();
    await page.getByText('Not reached: 1 change waits').waitFor();
  });
  await expect.poll(async () => privates(await head(id)), { timeout: 40_000 }).toBe(11);
  await page.getByRole('status').filter({ hasText: 'All kept' }).waitFor();
});

test('an edit whose answer is lost is known again, and no conflict', async () => {
  const id = await s.project();
  const page = await s.open(`/p/${id}/muster`);
  let lost = 0;
  await page.route(`**/api/projects/${id}?why=*`, async (route) => {
    if (lost++ > 0) return route.continue();
    await route.fetch(); // it is kept,
    await route.abort(); // and nobody hears of it
  });
  await page.getByRole('button', { name: 'Duplicate' }).click();
  await expect.poll(async () => (await head(id)).revision).toBe(2);
  await page.getByRole('status').filter({ hasText: 'All kept' }).waitFor();
  expect(await page.getByRole('dialog').count()).toBe(0);
  expect((await head(id)).project.units.map((u) => u.name)).toEqual(['Third Foot', 'Third Foot 2']);
});

test('an edit that was not kept when the window closed is taken up again', async () => {
  const id = await s.project();
  const page = await s.open(`/p/${id}/muster`);
  await page.route(`**/api/projects/${id}?why=*`, (route) => route.abort());
  await page.getByRole('button', { name: 'More: Number: private' }).click();
  await page.getByText('Not reached: 1 change waits').waitFor();
  await page.unroute(`**/api/projects/${id}?why=*`);
  const again = await page.context().newPage();
  await page.close({ runBeforeUnload: false });
  await again.goto(`${s.url}/p/${id}/muster`);
  await expect.poll(async () => privates(await head(id))).toBe(11);
});

test('an edit on its way is sent once, whatever page is gone to meanwhile', async () => {
  const id = await s.project();
  const page = await s.open(`/p/${id}/muster`);
  let free = (): void => undefined;
  const gate = new Promise<void>((done) => (free = done));
  let sent = 0;
  await page.route(`**/api/projects/${id}?why=*`, async (route) => {
    sent++;
    await gate;
    await route.continue();
  });
  await page.getByRole('button', { name: 'Duplicate' }).click();
  await page.waitForURL(/muster\/unit\//);
  await page.getByRole('link', { name: 'Rack', exact: true }).click();
  await page.locator('.paint').first().waitFor();
  // Out of the project and back in.
  await page.goBack();
  await page.evaluate(() => {
    const to = document.querySelector<HTMLAnchorElement>('a[href="/"]')!;
    to.click();
  });
  await page.locator('.project').first().waitFor();
  await page.goBack();
  free();
  await page.locator('article h2').waitFor();
  await page.getByRole('status').filter({ hasText: 'All kept' }).waitFor();
  expect(sent).toBe(1);
  expect((await head(id)).revision).toBe(2);
  expect(await page.getByRole('dialog').count()).toBe(0);
});
