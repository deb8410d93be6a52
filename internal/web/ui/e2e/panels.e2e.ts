import { afterAll, beforeAll, expect, test } from 'vitest';
import type { Head as Whole, LogAnswer } from '../src/lib/model.ts';
import { fit, phone, planned, sizes, start, type Started } from './harness.ts';

interface Task { figure: unknown; area: string; coat: number; medium: string }
interface Bench { passes: { medium: string; tasks: Task[]; state: string; work_minutes?: number; minutes?: number }[] }
interface Head { revision: number; project: { air?: { temperature_c: number; humidity_percent: number }; units: { name: string; worth?: number }[]; calendar: { forecast?: unknown[]; games?: { date: string; name?: string }[] } } }

let s: Started;
let id: string;
beforeAll(async () => {
  s = await start('ready');
  id = s.starter;
  await planned(s, id);
});
afterAll(async () => {
  await s.stop();
});
const head = (): Promise<Head> => s.ask<Head>(`/api/projects/${id}`);

// Paints the first passes, timed, in the words of the bench.
async function paint(passes: number): Promise<void> {
  const bench = await s.ask<Bench>(`/api/projects/${id}/bench`);
  const begin = Date.parse('2027-01-05T19:30:00Z');
  const entries = bench.passes.slice(0, passes).map((p, i) => ({
    id: crypto.randomUUID(),
    kind: 'done',
    at: new Date(begin + i * 26 * 60_000).toISOString(),
    tasks: p.tasks.map(({ figure, area, coat, medium }) => ({ figure, area, coat, medium })),
    seconds: 600 + 120 * i,
    ...(i === 2 ? { used: { medium: p.medium, lot: 'B7' }, note: 'thinned a little more than usual' } : {}),
  }));
  await s.ask(`/api/projects/${id}/log`, { method: 'POST', body: JSON.stringify({ entries }) });
}

test.each(sizes)('before anything is painted the panels say what belongs there, at %o', async (size) => {
  for (const part of ['pace', 'record', 'campaign', 'air']) {
    const page = await s.open(`/p/${id}/order/${part}`, { size });
    await page.locator('main h2').first().waitFor();
    await fit(page, `panel-${part}-empty`);
    await page.close();
  }
});

test('damp air is said to be unfit, and is used for the plan and undone', async () => {
  const page = await s.open(`/p/${id}/order`);
  await page.getByRole('navigation', { name: 'Parts of the order' }).getByRole('link', { name: 'Air' }).click();
  await page.getByText('Fit', { exact: true }).first().waitFor();
  await page.getByRole('textbox', { name: 'Humidity' }).fill('80');
  await page.keyboard.press('Tab');
  await page.getByText('Not fit', { exact: true }).first().waitFor();
  await page.getByRole('checkbox', { name: /cold room/ }).check();
  await page.getByText(/Let the castings stand/).first().waitFor();
  await page.getByRole('button', { name: 'Use these for the plan' }).click();
  await expect.poll(async () => (await head()).project.air?.humidity_percent).toBe(80);
  await fit(page, 'panel-air-unfit');
  await page.keyboard.press('Control+z');
  await page.getByText('Undone').waitFor();
});

test('temperatures are typed and told in °F where they are wanted so', async () => {
  const page = await s.open(`/p/${id}/order/air`);
  await page.evaluate(() => localStorage.setItem('facings.measures', 'imperial'));
  await page.reload();
  await expect.poll(() => page.getByRole('textbox', { name: 'Air', exact: true }).inputValue()).toBe('68');
  await page.getByText(/59 to 77 °F/).waitFor();
  expect(await page.getByText('°C').count()).toBe(0);
});

test('a forecast moves spraying, and a wrong line is named', async () => {
  const page = await s.open(`/p/${id}/order/air`);
  await page.getByRole('radio', { name: 'As a table' }).check({ force: true });
  const text = page.getByRole('textbox', { name: 'Forecast as CSV' });
  await text.fill('time,temp_c,rh\n2027-01-05 19:00,cold,55\n');
  await page.keyboard.press('Tab');
  await page.getByRole('button', { name: 'Try the plan in this weather' }).click();
  await page.getByText(/forecast:2/).waitFor({ timeout: 60_000 });
  const lines = [5, 7, 12, 14, 19, 21].map((d, i) => `2027-01-${String(d).padStart(2, '0')} 19:00,18,${i < 2 ? 88 : 50}`);
  await text.fill(['time,temp_c,rh', ...lines, ''].join('\n'));
  await page.keyboard.press('Tab');
  await page.getByRole('button', { name: 'Try the plan in this weather' }).click();
  await page.getByRole('heading', { name: 'Spraying in this weather' }).waitFor({ timeout: 120_000 });
  await page.getByRole('radio', { name: 'Row by row' }).check({ force: true });
  await page.getByRole('textbox', { name: 'Humidity, row 1', exact: true }).waitFor();
  await fit(page, 'panel-air-forecast');
  await page.setViewportSize(phone);
  await fit(page, 'panel-air-forecast');
  // Kept with the project the plan itself moves its spraying; and back.
  const sprayed = async (): Promise<string[]> => {
    await planned(s, id);
    const { order } = await s.ask<{ order: { passes: { technique: string; start: string }[] } }>(`/api/projects/${id}/plan`);
    return order.passes.filter((p) => p.technique === 'spray').map((p) => p.start.slice(0, 10));
  };
  const damp = ['2027-01-05', '2027-01-07'];
  expect((await sprayed()).some((d) => damp.includes(d))).toBe(true);
  await page.getByRole('button', { name: 'Plan by this forecast' }).click();
  await page.getByText('The plan keeps to a forecast of 6 lines.', { exact: true }).waitFor();
  await expect.poll(async () => (await head()).project.calendar.forecast?.length).toBe(6);
  await expect.poll(async () => (await sprayed()).some((d) => damp.includes(d)), { timeout: 120_000 }).toBe(false);
  await page.getByRole('button', { name: 'Plan without it' }).click();
  await expect.poll(async () => (await head()).project.calendar.forecast?.length ?? 0).toBe(0);
  await expect.poll(async () => (await sprayed()).some((d) => damp.includes(d)), { timeout: 120_000 }).toBe(true);
}, 300_000);

test('games and worths are typed where they stand, and the campaign is worked out', async () => {
  const page = await s.open(`/p/${id}/order/campaign`);
  await page.getByRole('button', { name: 'Add a game' }).click();
  await page.getByRole('textbox', { name: 'Name of First game' }).fill('Fording the Ald');
  await page.keyboard.press('Tab');
  await page.getByLabel('Day of Fording the Ald').fill('2027-01-06');
  await page.keyboard.press('Tab');
  const unit = (await head()).project.units[0]!.name;
  await page.getByRole('textbox', { name: `Worth, ${unit}` }).fill('3');
  await page.keyboard.press('Tab');
  await expect.poll(async () => (await head()).project.units[0]!.worth).toBe(3);
  expect((await head()).project.calendar.games).toEqual([{ date: '2027-01-06', name: 'Fording the Ald' }]);
  await page.getByRole('button', { name: 'Work it out' }).click();
  await page.getByRole('heading', { name: 'What to paint first' }).waitFor({ timeout: 120_000 });
  await page.getByRole('heading', { name: /What could be dropped/ }).waitFor();
  for (const size of sizes) {
    await page.setViewportSize(size);
    await fit(page, 'panel-campaign');
  }
}, 180_000);

test('a campaign is stopped, and the demo army is worked out to its end', async () => {
  const demo = s.demo;
  await planned(s, demo);
  const page = await s.open(`/p/${demo}/order/campaign`);
  await page.getByRole('button', { name: 'Work it out' }).click();
  await page.getByRole('button', { name: 'Stop', exact: true }).click({ timeout: 60_000 });
  await page.getByText('Stopped; nothing was lost').waitFor();
  await page.getByRole('button', { name: 'Stop', exact: true }).waitFor({ state: 'detached' });
  expect(await page.getByRole('heading', { name: 'What to paint first' }).count()).toBe(0);
  expect((await s.ask<{ state: string }>(`/api/projects/${demo}/campaign`)).state).not.toBe('working');
  expect((await s.ask<{ revision: number }>(`/api/projects/${demo}`)).revision).toBe(1);

  await page.getByRole('button', { name: 'Work it out' }).click();
  await page.getByRole('heading', { name: 'What to paint first' }).waitFor({ timeout: 280_000 });
  const { units } = (await s.ask<Whole>(`/api/projects/${demo}`)).project;
  const sequence = await page.locator('main').innerText();
  for (const u of units) expect(sequence).toContain(u.name);
  for (const size of sizes) {
    await page.setViewportSize(size);
    await fit(page, 'panel-campaign-demo');
  }
}, 400_000);

test.each(sizes)('what was painted is learned from and found again, at %o', async (size) => {
  if (size === phone) await paint(12);
  const page = await s.open(`/p/${id}/order/pace`, { size });
  await page.getByRole('heading', { name: 'Your times beside the usual ones' }).waitFor();
  await fit(page, 'panel-pace');
  await page.goto(`${s.url}/p/${id}/order/record`);
  await page.getByRole('searchbox').fill('b7');
  await page.getByText('pot B7').first().waitFor();
  await page.getByText(/coats? found/).waitFor();
  await fit(page, 'panel-record-found');
  await page.getByRole('searchbox').fill('');
  await fit(page, 'panel-record');
});

test('a photograph taken at the bench stands in the record', async () => {
  const page = await s.open(`/p/${id}/bench`, { size: phone });
  // Two pixels by two, in a colour to know them by.
  const photo = Buffer.from(
    'iVBORw0KGgoAAAANSUhEUgAAAAIAAAACCAIAAAD91JpzAAAAEElEQVR4nGPQzw4FIgYIBQAZmgO9bEUaJAAAAABJRU5ErkJggg==',
    'base64',
  );
  await page.getByRole('button', { name: 'Note', exact: true }).click();
  const dialog = page.getByRole('dialog');
  await dialog.getByRole('textbox').first().fill('the green came out darker');
  await dialog.locator('input[type=file]').setInputFiles({ name: 'bench.png', mimeType: 'image/png', buffer: photo });
  await fit(page, 'bench-note', false);
  await dialog.getByRole('button', { name: 'Keep', exact: false }).click();
  await dialog.waitFor({ state: 'detached' });
  await expect.poll(async () => (await s.ask<LogAnswer>(`/api/projects/${id}/log`)).entries.some((e) => e.file && e.note === 'the green came out darker')).toBe(true);
  await page.goto(`${s.url}/p/${id}/order/record`);
  const image = page.locator('main img[alt*="the green came out darker"]');
  await image.scrollIntoViewIfNeeded();
  await expect.poll(() => image.evaluate((i: HTMLImageElement) => i.naturalWidth)).toBe(2);
  await fit(page, 'panel-record-photo');
  // The page knows of the revision the file made: an edit on it is no conflict.
  await page.getByRole('link', { name: 'Muster', exact: true }).click();
  await page.getByRole('link', { name: /^Third Foot/ }).click();
  await page.getByRole('button', { name: 'More: Number: private' }).click();
  await page.getByRole('status').filter({ hasText: 'All kept' }).waitFor();
  expect(await page.getByRole('dialog').count()).toBe(0);
});

test('more of a unit are made, and what is missing is said before', async () => {
  const page = await s.open(`/p/${id}/order/record`);
  await page.getByRole('button', { name: /^Paint more of/ }).first().click();
  const dialog = page.getByRole('dialog');
  await dialog.getByRole('textbox', { name: 'How many' }).fill('400');
  await page.keyboard.press('Tab');
  await dialog.getByText(/missing or short/).waitFor({ timeout: 60_000 });
  await fit(page, 'panel-more', false);
  await dialog.getByRole('textbox', { name: 'How many' }).fill('3');
  await page.keyboard.press('Tab');
  await dialog.getByRole('button', { name: 'Make the project' }).click();
  await page.getByText(/is made/).waitFor({ timeout: 60_000 });
  expect(page.url()).not.toContain(id);
});
