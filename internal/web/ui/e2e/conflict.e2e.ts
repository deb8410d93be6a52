// Two devices at once, and a program that dies: nobody's work is lost or
// written over unasked.
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { Bench, Head, LogAnswer, Schemas } from '../src/lib/model.ts';
import { desk, fit, phone, sizes, start, type Started } from './harness.ts';

let s: Started;
let worked: string; // a project with a plan, for the bench
beforeAll(async () => {
  s = await start('ready');
  worked = s.starter;
});
afterAll(async () => {
  await s.stop();
});

const long = { timeout: 60_000 };
const head = (id: string): Promise<Head> => s.ask(`/api/projects/${id}`);
const log = (): Promise<LogAnswer> => s.ask(`/api/projects/${worked}/log`);
const privates = async (id: string): Promise<number> =>
  (await head(id)).project.units[0]!.figures.find((r) => r.role === 'private')!.count;
const shown = (page: Page): Promise<string> => page.getByLabel('Number: private', { exact: true }).inputValue();
const more = (page: Page): Promise<void> => page.getByRole('button', { name: 'More: Number: private' }).click(long);
const fewer = (page: Page): Promise<void> => page.getByRole('button', { name: 'Less: Number: private' }).click(long);
const painted = (page: Page): Promise<number> => page.locator('.how-far').evaluate((p: HTMLProgressElement) => p.value);

// clash lets two devices change the same number, the second before the first's
// change has reached the program.
async function clash(id: string, size = desk): Promise<{ mine: Page; theirs: Page }> {
  const unit = (await head(id)).project.units[0]!.name;
  const at = `/p/${id}/muster/unit/${encodeURIComponent(unit)}`;
  const mine = await s.open(at, { size });
  const theirs = await s.open(at, { size });
  let free = (): void => undefined;
  const gate = new Promise<void>((done) => (free = done));
  await mine.route(`**/api/projects/${id}?why=*`, async (route) => {
    await gate;
    await route.continue();
  });
  await more(mine);
  await fewer(theirs);
  await expect.poll(() => privates(id), long).toBe(9);
  free();
  const dialog = mine.getByRole('dialog');
  await dialog.getByText('This was changed elsewhere meanwhile').first().waitFor(long);
  const cells = await dialog.locator('tbody td').allInnerTexts();
  expect(cells.slice(1)).toEqual(['10', '11', '9']);
  return { mine, theirs };
}

test('both sides of a conflict are shown; theirs is taken', async () => {
  const id = await s.project();
  const { mine } = await clash(id);
  await mine.getByRole('dialog').getByRole('button', { name: 'Take theirs' }).click();
  await expect.poll(() => shown(mine), long).toBe('9');
  await mine.getByRole('status').filter({ hasText: 'All kept' }).waitFor(long);
  expect(await privates(id)).toBe(9);
  expect((await head(id)).revision).toBe(2);
  // And work goes on from there.
  await more(mine);
  await expect.poll(() => privates(id), long).toBe(10);
}, 120_000);

test('both sides of a conflict are shown; mine is applied again, and they hear of it', async () => {
  const id = await s.project();
  const { mine, theirs } = await clash(id);
  await mine.getByRole('dialog').getByRole('button', { name: 'Apply mine again' }).click();
  await expect.poll(() => privates(id), long).toBe(11);
  await expect.poll(() => shown(theirs), long).toBe('11');
  // Nothing is gone: theirs is in the history.
  expect((await head(id)).revision).toBe(3);
}, 120_000);

test.each(sizes)('the choice between two sides is fit at %o', async (size) => {
  const { mine } = await clash(await s.project(), size);
  await fit(mine, 'conflict', false);
}, 120_000);

test('what one device undoes and does again is shown on the other', async () => {
  const id = await s.project();
  const one = await s.open(`/p/${id}/muster`);
  const other = await s.open(`/p/${id}/muster`);
  await more(one);
  await expect.poll(() => shown(other), long).toBe('11');
  await one.getByRole('status').filter({ hasText: 'All kept' }).waitFor(long);
  await one.getByRole('button', { name: 'Undo', exact: true }).click();
  await expect.poll(() => shown(other), long).toBe('10');
  await other.getByRole('button', { name: 'Redo', exact: true }).click(long);
  await expect.poll(() => shown(one), long).toBe('11');
  // An edit on top of what was heard is no conflict.
  await more(other);
  await expect.poll(() => privates(id), long).toBe(12);
}, 120_000);

test('ticks from two devices both arrive, also of the same pass', async () => {
  const one = await s.open(`/p/${worked}/bench`, { size: phone });
  const other = await s.open(`/p/${worked}/bench`, { size: phone });
  const done = (page: Page): Promise<void> => page.getByRole('button', { name: /^Done: / }).click(long);
  await other.getByRole('button', { name: /^Done: / }).waitFor(long);
  const from = await painted(one);
  await done(one);
  await expect.poll(() => painted(other), long).toBeGreaterThan(from);
  const then = await painted(other);
  await done(other);
  await expect.poll(() => painted(one), long).toBeGreaterThan(then);
  // Both at once, without the other's tick.
  const before = (await log()).entries.length;
  await one.context().setOffline(true);
  await other.context().setOffline(true);
  await done(one);
  await done(other);
  await one.getByText('1 tick waits').waitFor(long);
  await other.getByText('1 tick waits').waitFor(long);
  await one.context().setOffline(false);
  await other.context().setOffline(false);
  await expect.poll(async () => (await log()).entries.length, long).toBe(before + 2);
  const { progress } = await s.ask<Bench>(`/api/projects/${worked}/bench`);
  await expect.poll(() => painted(one), long).toBe(progress.done);
  await expect.poll(() => painted(other), long).toBe(progress.done);
  await one.getByText(/ticks? waits? on this device/).waitFor({ state: 'detached', ...long });
}, 240_000);

test('the program is killed amid edits and ticks: what it acknowledged is there, the rest follows', async () => {
  const id = await s.project();
  const muster = await s.open(`/p/${id}/muster`);
  const bench = await s.open(`/p/${worked}/bench`, { size: phone });
  await bench.getByRole('button', { name: /^Done: / }).waitFor(long);
  const before = (await log()).entries.length;
  const revisions = new Set<number>();
  const entries = new Set<string>();
  muster.on('response', (answer) => {
    if (answer.request().method() === 'PATCH' && answer.ok())
      void answer.json().then((h: Head) => revisions.add(h.revision), () => undefined);
  });
  bench.on('response', (answer) => {
    if (answer.request().method() === 'POST' && answer.url().endsWith('/log') && answer.ok())
      void answer.json().then((a: LogAnswer) => a.entries.forEach((e) => entries.add(e.id)), () => undefined);
  });
  const rounds = 12;
  const edits = (async () => {
    for (let i = 0; i < rounds; i++) await more(muster);
  })();
  let ticks = 0;
  const work = (async () => {
    for (; ticks < rounds; ticks++) {
      const was = await painted(bench);
      await bench.getByRole('button', { name: /^Done: / }).click(long);
      await expect.poll(() => painted(bench), long).toBeGreaterThan(was);
    }
  })();
  // Both are waited for below; a test that fails before must not leave them unheard.
  for (const run of [edits, work]) run.catch(() => undefined);
  await expect.poll(() => ticks, { timeout: 120_000 }).toBeGreaterThan(rounds / 3);
  let said = { revisions: [] as number[], entries: [] as string[] };
  await s.restart(true, async () => {
    said = { revisions: [...revisions], entries: [...entries] };
    await work;
    await edits;
  });
  const kept = (await s.ask<Schemas['HistoryBody']>(`/api/projects/${id}/history`)).revisions.map((r) => r.number);
  for (const n of said.revisions) expect(kept).toContain(n);
  const logged = new Set((await log()).entries.map((e) => e.id));
  for (const e of said.entries) expect(logged).toContain(e);
  expect(said.entries.length).toBeGreaterThan(0);
  // The pages catch up by themselves.
  await expect.poll(() => privates(id), { timeout: 90_000 }).toBe(10 + rounds);
  await muster.getByRole('status').filter({ hasText: 'All kept' }).waitFor(long);
  expect(await shown(muster)).toBe(String(10 + rounds));
  await expect.poll(async () => (await log()).entries.length, { timeout: 90_000 }).toBe(before + rounds);
  await bench.getByText(/ticks? waits? on this device/).waitFor({ state: 'detached', ...long });
  expect(new Set((await log()).entries.map((e) => e.id)).size).toBe(before + rounds);
  // And news comes again.
  await s.ask(`/api/projects/${id}/undo`, { method: 'POST', headers: { 'if-match': `"r${(await head(id)).revision}"` } });
  await expect.poll(() => shown(muster), { timeout: 90_000 }).not.toBe(String(10 + rounds));
}, 400_000);
