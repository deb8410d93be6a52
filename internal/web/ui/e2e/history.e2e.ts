// What was changed is seen, compared and undone from anywhere; the project file
// is read, edited, taken away and brought back.
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { Page } from 'playwright-core';
import type { Entry, Head, LogAnswer } from '../src/lib/model.ts';
import { axe, fit, planned, shot, sizes, start, type Started } from './harness.ts';

let s: Started;
beforeAll(async () => {
  s = await start('ready');
});
afterAll(async () => {
  await s.stop();
});

const long = { timeout: 30_000 };
const head = (id: string): Promise<Head> => s.ask(`/api/projects/${id}`);
const textOf = async (id: string): Promise<string> => (await fetch(`${s.url}/api/projects/${id}/text`)).text();
const privates = (h: Head): number => h.project.units[0]!.figures.find((r) => r.role === 'private')!.count;

async function patch(id: string, ops: unknown[], why = ''): Promise<void> {
  const { revision } = await head(id);
  await s.ask(`/api/projects/${id}?why=${encodeURIComponent(why)}`, {
    method: 'PATCH',
    headers: { 'content-type': 'application/json-patch+json', 'if-match': `"r${revision}"` },
    body: JSON.stringify(ops),
  });
}
const count = (id: string, n: number): Promise<void> =>
  patch(id, [{ op: 'replace', path: '/units/0/figures/2/count', value: n }], `${n} privates`);

async function typeText(page: Page, change: (text: string) => string): Promise<void> {
  const area = page.getByLabel('Text of the project file');
  await area.waitFor(long);
  await area.fill(change(await area.inputValue()));
}

test('edits on several pages are undone and done again from any page', async () => {
  const id = await s.project();
  const before = await head(id);
  const page = await s.open(`/p/${id}/muster`);
  await page.getByRole('button', { name: 'More: Number: private' }).click();
  await expect.poll(async () => privates(await head(id)), long).toBe(11);
  await page.getByRole('link', { name: 'Rack', exact: true }).click();
  const left = page.locator('.paint').first().getByRole('textbox');
  await left.fill('1.5');
  await page.keyboard.press('Tab');
  await expect.poll(async () => (await head(id)).project.rack[0]!.left_ml, long).toBe(1.5);
  await page.getByRole('link', { name: 'Sheets', exact: true }).click();
  await page.locator('main h1').waitFor(long);
  await page.keyboard.press('Control+z');
  await expect.poll(async () => (await head(id)).project.rack[0]!.left_ml, long).toBe(before.project.rack[0]!.left_ml);
  await page.getByRole('status').filter({ hasText: 'All kept' }).waitFor(long);
  await page.keyboard.press('Control+z');
  await expect.poll(async () => (await head(id)).project, long).toEqual(before.project);
  await page.getByRole('status').filter({ hasText: 'All kept' }).waitFor(long);
  await page.keyboard.press('Control+Shift+Z');
  await expect.poll(async () => privates(await head(id)), long).toBe(11);
  await page.getByRole('status').filter({ hasText: 'All kept' }).waitFor(long);
  await page.keyboard.press('Control+Shift+Z');
  await expect.poll(async () => (await head(id)).project.rack[0]!.left_ml, long).toBe(1.5);
});

test('revisions are listed, compared, and gone back to; that can be undone', async () => {
  const id = await s.project();
  await count(id, 11);
  await count(id, 12);
  const page = await s.open(`/p/${id}/muster`);
  await page.getByRole('button', { name: /history, file, downloads$/ }).click();
  await page.getByRole('link', { name: 'History', exact: true }).click();
  await page.getByText('in force').waitFor(long);
  // What the newest changed is shown unasked.
  const lines = page.locator('.diff td.text');
  await expect.poll(async () => (await page.locator('.diff tr.added').allInnerTexts()).join(), long).toContain('12');
  expect((await page.locator('.diff tr.removed').allInnerTexts()).join()).toContain('11');
  // Any two.
  await page.getByRole('radio', { name: 'Compare from revision 1' }).check();
  await page.getByRole('heading', { name: 'From revision 1 to 3' }).waitFor(long);
  await expect.poll(async () => (await page.locator('.diff tr.removed').allInnerTexts()).join(), long).toContain('10');
  expect(await lines.count()).toBeGreaterThan(2);
  // Back, and undo.
  await page.getByRole('button', { name: 'Go back to revision 1' }).click();
  await expect.poll(async () => privates(await head(id)), long).toBe(10);
  await page.getByRole('region', { name: 'Messages' }).getByText('Back to revision 1').waitFor(long);
  expect((await head(id)).revision).toBe(4);
  await page.getByRole('region', { name: 'Messages' }).getByRole('button', { name: 'Undo' }).click();
  await expect.poll(async () => privates(await head(id)), long).toBe(12);
  await page.locator('li', { hasText: 'Revision 4' }).getByText('taken back').waitFor(long);
  // By keys, from change to change.
  await page.locator('main h1').click();
  await page.keyboard.press('j');
  await page.keyboard.press('j');
  await page.getByRole('heading', { name: /What revision 2 changed/ }).waitFor(long);
});

test('a long history comes in stretches', async () => {
  const id = await s.project();
  for (let n = 2; n <= 58; n++) await patch(id, [{ op: 'add', path: '/note', value: `note ${n}` }], `note ${n}`);
  const page = await s.open(`/p/${id}/history`);
  await expect.poll(() => page.locator('ol > li').count(), long).toBe(50);
  await page.getByRole('button', { name: 'Show older ones' }).click();
  await expect.poll(() => page.locator('ol > li').count(), long).toBe(58);
  expect(await page.getByRole('button', { name: 'Show older ones' }).count()).toBe(0);
  await patch(id, [{ op: 'add', path: '/note', value: 'elsewhere' }], 'from elsewhere');
  await page.getByText('from elsewhere').first().waitFor(long);
});

test('the text is edited and keeps its comments', async () => {
  const id = await s.project();
  const before = await textOf(id);
  const comment = before.split('\n').find((l) => l.trim().startsWith('#'))!;
  const page = await s.open(`/p/${id}/file`);
  await typeText(page, (text) => `${text}# of my own\n`);
  await page.getByText('Changed, not kept yet').waitFor(long);
  await page.keyboard.press('Control+s');
  await page.getByText('As kept').waitFor(long);
  expect(await textOf(id)).toBe(`${before}# of my own\n`);
  // The name goes in by its own field, and comments stay.
  await page.getByLabel('Name of the project').fill('The War of the Two Ferries');
  await page.keyboard.press('Enter');
  await expect.poll(() => textOf(id), long).toContain('The War of the Two Ferries');
  expect(await textOf(id)).toContain(comment);
  expect(await textOf(id)).toContain('# of my own');
  await expect.poll(() => page.getByLabel('Text of the project file').inputValue(), long).toContain('Two Ferries');
  const [download] = await Promise.all([page.waitForEvent('download'), page.getByRole('link', { name: 'Download the file' }).click()]);
  expect(download.suggestedFilename()).toBe('the-war-of-the-two-ferries.yaml');
});

test('a text that cannot be read is not kept, is pointed at, and outlives the page', async () => {
  const id = await s.project();
  const before = await textOf(id);
  const page = await s.open(`/p/${id}/file`);
  await typeText(page, (text) => `${text}   wrong: [\n`);
  await page.getByRole('button', { name: 'Keep the text' }).click();
  await page.getByText('This text cannot be read as a project').waitFor(long);
  await page.getByRole('button', { name: /^Go to line/ }).first().click();
  const at = await page.getByLabel('Text of the project file').evaluate((a: HTMLTextAreaElement) => a.selectionStart);
  expect(at).toBeGreaterThan(0);
  expect(await textOf(id)).toBe(before);
  expect(await axe(page)).toEqual([]);
  await shot(page, 'file-refused', false);
  await page.reload({ waitUntil: 'domcontentloaded', ...long });
  await page.getByText('were not kept when the page was left').waitFor(long);
  expect(await page.getByLabel('Text of the project file').inputValue()).toContain('wrong: [');
  await page.getByRole('button', { name: 'Give up these changes' }).click();
  await page.getByText('As kept').waitFor(long);
  expect(await page.getByLabel('Text of the project file').inputValue()).toBe(before);
});

test('a text edited in two places: nothing is written over unasked', async () => {
  const id = await s.project();
  const page = await s.open(`/p/${id}/file`);
  await typeText(page, (text) => text.replace(/^name: .*$/m, 'name: Mine'));
  await count(id, 5);
  await page.getByRole('button', { name: 'Keep the text' }).click();
  const dialog = page.getByRole('dialog');
  await dialog.getByText('Revision 2 came about').waitFor(long);
  expect((await head(id)).project.name).not.toBe('Mine');
  expect(await axe(page)).toEqual([]);
  await dialog.getByRole('button', { name: 'Keep mine in its place' }).click();
  await expect.poll(async () => (await head(id)).project.name, long).toBe('Mine');
  expect(privates(await head(id))).toBe(10);
});

test('a broken file shows file, line, value and way out, and is mended here', async () => {
  const good = await textOf(await s.project());
  const bad = good.replace('\nunits:', '\n   astray: x\nunits:');
  expect(bad).not.toBe(good);
  const line = bad.split('\n').indexOf('   astray: x') + 1;
  const page = await s.open('/');
  await page.locator('.project').first().waitFor(long);
  const projects = await page.locator('.project').count();
  await page.locator('input[type=file]').setInputFiles({ name: 'ferries.yaml', mimeType: 'application/yaml', buffer: Buffer.from(bad) });
  const dialog = page.getByRole('dialog');
  await dialog.getByText('This file could not be taken in').waitFor(long);
  const said = await dialog.innerText();
  expect(said).toMatch(/ferries\.yaml:\d+:\d+/);
  expect(Math.abs(Number(/ferries\.yaml:(\d+)/.exec(said)![1]) - line)).toBeLessThanOrEqual(2);
  expect(await axe(page)).toEqual([]);
  await shot(page, 'import-refused', false);
  await dialog.getByRole('button', { name: 'Keep it and mend it here' }).click();
  await page.getByRole('heading', { name: 'Mend the file' }).waitFor(long);
  expect(await axe(page)).toEqual([]);
  await shot(page, 'import-mend', false);
  // It waits, also when the page is left.
  await page.goto(`${s.url}/`);
  await page.getByRole('button', { name: 'Mend it' }).click();
  await typeText(page, (text) => text.replace('   astray: x\n', ''));
  await page.getByRole('button', { name: 'Take it in' }).click();
  await page.waitForURL(/\/p\/[^/]+\/muster$/, long);
  expect(await textOf(page.url().split('/')[4]!)).toBe(good);
  await page.goto(`${s.url}/`);
  await expect.poll(() => page.locator('.project').count(), long).toBe(projects + 1);
  expect(await page.getByRole('button', { name: 'Mend it' }).count()).toBe(0);
});

test('a file that can be read but has faults is kept, and they stand beside its text', async () => {
  const good = await textOf(await s.project());
  const bad = good.replace(/private: 10\b/, 'private: -10');
  expect(bad).not.toBe(good);
  const page = await s.open('/');
  await page.locator('input[type=file]').setInputFiles({ name: 'war.yaml', mimeType: 'application/yaml', buffer: Buffer.from(bad) });
  await page.waitForURL(/\/p\/[^/]+\/file$/, long);
  const found = page.getByRole('region', { name: 'Findings' });
  await found.getByText('-10').first().waitFor(long);
  const line = bad.split('\n').findIndex((l) => l.includes('private: -10')) + 1;
  await found.getByRole('button', { name: `Go to line ${line}` }).first().click();
  const chosen = await page
    .getByLabel('Text of the project file')
    .evaluate((a: HTMLTextAreaElement) => a.value.slice(a.selectionStart, a.selectionEnd));
  expect(chosen).toContain('-10');
  await typeText(page, (text) => text.replace('private: -10', 'private: 10'));
  await page.getByRole('button', { name: 'Keep the text' }).click();
  await expect.poll(async () => (await head(page.url().split('/')[4]!)).findings.filter((f) => f.severity === 'fault'), long).toEqual([]);
});

test('the zip of everything gives the same project and log', async () => {
  const id = s.starter;
  await planned(s, id);
  const bench = await s.ask<{ passes: { tasks: Record<string, unknown>[] }[] }>(`/api/projects/${id}/bench`);
  const tasks = bench.passes.slice(0, 3).map((p) => p.tasks.map(({ figure, area, coat, medium }) => ({ figure, area, coat, medium })));
  const at = new Date().toISOString();
  const entries = tasks.map((t) => ({ id: crypto.randomUUID(), kind: 'done', at, tasks: t, seconds: 90 }));
  await s.ask(`/api/projects/${id}/log`, { method: 'POST', body: JSON.stringify({ entries }) });
  const before = await head(id);
  const page = await s.open(`/p/${id}/file`);
  const [download] = await Promise.all([
    page.waitForEvent('download'),
    page.getByRole('link', { name: 'Download all as a zip' }).first().click(),
  ]);
  expect(download.suggestedFilename()).toMatch(/\.zip$/);
  const path = await download.path();
  await page.goto(`${s.url}/`);
  await page.locator('input[type=file]').setInputFiles({ name: 'taken.zip', mimeType: 'application/zip', buffer: (await import('node:fs')).readFileSync(path) });
  await page.waitForURL(/\/p\/[^/]+\/muster$/, long);
  const other = page.url().split('/')[4]!;
  expect(other).not.toBe(id);
  const after = await head(other);
  expect(after.project).toEqual(before.project);
  expect(after.files).toEqual(before.files);
  expect(await textOf(other)).toBe(await textOf(id));
  const plain = async (p: string): Promise<Partial<Entry>[]> =>
    (await s.ask<LogAnswer>(`/api/projects/${p}/log`)).entries.map(({ id: e, kind, tasks: done, seconds }) => ({ id: e, kind, tasks: done, seconds }) as Partial<Entry>);
  expect(await plain(other)).toEqual(await plain(id));
  expect((await plain(other)).length).toBe(3);
}, 300_000);

test.each(sizes)('history, project file and menu are fit at %o', async (size) => {
  const id = await s.project();
  await count(id, 11);
  await patch(id, [
    { op: 'replace', path: '/units/0/figures/2/count', value: 12 },
    { op: 'add', path: '/note', value: 'A rather long remark on the war of the two ferries, which is said to have begun over a bell that neither side had seen.' },
  ], 'twelve privates, and a remark');
  const page = await s.open(`/p/${id}/history`, { size });
  await page.locator('.diff tr.added').first().waitFor(long);
  await fit(page, 'history');
  await page.getByRole('button', { name: /history, file, downloads$/ }).click();
  await page.getByRole('link', { name: 'All projects' }).last().waitFor(long);
  await fit(page, 'menu', false);
  await page.getByRole('link', { name: 'Project file', exact: true }).click();
  await page.getByLabel('Text of the project file').waitFor(long);
  await expect.poll(() => page.getByRole('button', { name: 'Keep the text' }).isVisible(), long).toBe(true);
  await fit(page, 'file');
});
