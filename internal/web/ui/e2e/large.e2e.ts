// An army of five hundred on every page, at 390 and 1280 px: what it takes to
// the first view, to show an edit and a tick, and to scroll. Long; only with
// FACINGS_LONG=1. The limits are loose, for busy machines and software drawing;
// the times are printed, and recorded in docs/measurements/pages.md.
import { execFileSync } from 'node:child_process';
import { mkdirSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Head } from '../src/lib/model.ts';
import { overflow, planned, shot, sizes, start, type Size, type Started } from './harness.ts';
import { root } from './program.ts';

const figures = 500;
const here = dirname(fileURLToPath(import.meta.url));

// What the browser tells of itself: tasks over 50 ms, and from a touch to the
// next frame.
interface Told {
  paint: number; // ms to the first contentful paint
  ready: number; // ms until what the page is for is there
  long: number; // longest task while loading, ms
  act: number; // ms from touch to frame, the worst of one thing done
  actLong: number;
  scrollLong: number; // longest task while scrolling
  scrollFrame: number; // longest time between two frames while scrolling
  nodes: number;
}

const watch = (): void => {
  const w = window as unknown as { longest: number; slowest: number };
  w.longest = w.slowest = 0;
  new PerformanceObserver((list) => list.getEntries().forEach((e) => (w.longest = Math.max(w.longest, e.duration)))).observe({ type: 'longtask', buffered: true });
  new PerformanceObserver((list) => list.getEntries().forEach((e) => (w.slowest = Math.max(w.slowest, e.duration)))).observe({ type: 'event', buffered: true, durationThreshold: 16 } as PerformanceObserverInit);
};
// taken gives what was watched since the last time.
const taken = (page: Page): Promise<{ longest: number; slowest: number }> =>
  page.evaluate(async () => {
    await new Promise((done) => requestAnimationFrame(() => setTimeout(done, 60)));
    const w = window as unknown as { longest: number; slowest: number };
    const out = { longest: w.longest, slowest: w.slowest };
    w.longest = w.slowest = 0;
    return out;
  });

interface View {
  page: string;
  rest?: string;
  /** What the page is for. */
  there: string;
  /** One thing that is done on it. */
  act?: (page: Page) => Promise<void>;
  what?: string;
}

const views: View[] = [
  {
    page: 'muster',
    rest: '/unit/',
    there: 'article h2',
    what: 'one figure more',
    act: async (page) => {
      const count = page.getByLabel(/^Number: /).first();
      const before = await count.inputValue();
      await page.getByRole('button', { name: /^More: Number: / }).first().click();
      await expect.poll(() => count.inputValue()).not.toBe(before);
    },
  },
  {
    page: 'scheme',
    there: '.area',
    what: 'an area taken up',
    act: async (page) => {
      await page.locator('.area').nth(3).click();
      await page.locator('.area[aria-expanded="true"]').waitFor();
    },
  },
  {
    page: 'rack',
    there: '.paint',
    what: 'what is left of a paint',
    act: async (page) => {
      await page.locator('.paint').first().getByRole('textbox').fill('1.5');
      await page.keyboard.press('Tab');
    },
  },
  {
    page: 'ranks',
    there: '[data-man]',
    what: 'a man looked at',
    act: async (page) => {
      await page.locator('[data-man]').nth(2).click();
      await page.locator('[data-man][aria-pressed="true"], dialog[open]').first().waitFor();
    },
  },
  {
    page: 'order',
    there: '.sitting li',
    what: 'a pass looked at',
    act: async (page) => {
      await page.locator('.what').nth(3).click();
      await page.getByText('Why it stands here').waitFor();
    },
  },
  {
    page: 'bench',
    there: '.done',
    what: 'a tick',
    act: async (page) => {
      const title = page.locator('.how-far');
      const before = await title.getAttribute('value');
      await page.getByRole('button', { name: /^Done/ }).click();
      await expect.poll(() => title.getAttribute('value')).not.toBe(before);
    },
  },
  { page: 'sheets', there: '.sheets nav button' },
  { page: 'history', there: 'ol > li' },
  { page: 'file', there: 'textarea' },
  { page: 'order', rest: '/campaign', there: 'main h2' },
  { page: 'order', rest: '/pace', there: 'main h2' },
  { page: 'order', rest: '/record', there: 'main h2' },
];

describe.runIf(process.env.FACINGS_LONG)('an army of five hundred', () => {
  let s: Started;
  let id: string;
  let unit: string;
  let firstPlan: number;
  const rows: { view: string; size: Size; what: string; told: Told }[] = [];
  beforeAll(async () => {
    s = await start();
    const text = process.env.FACINGS_ARMY
      ? execFileSync(process.env.FACINGS_ARMY, ['-figures', String(figures), '-seed', '1', '-painters', '1'])
      : execFileSync('go', ['run', './tools/army', '-figures', String(figures), '-seed', '1', '-painters', '1'], { cwd: root });
    const head = await s.ask<Head>('/api/import', { method: 'POST', headers: { 'content-type': 'application/yaml' }, body: text });
    id = head.kept.id;
    unit = head.project.units[0]!.name;
    const from = performance.now();
    await planned(s, id, 1200);
    firstPlan = (performance.now() - from) / 1000;
    const plan = await s.ask<{ state: string }>(`/api/projects/${id}/plan`);
    expect(plan.state).toBe('ready');
  }, 1_500_000);
  afterAll(async () => {
    const table = [
      `First plan of ${figures} figures: ${firstPlan.toFixed(0)} s. Times in ms.`,
      '',
      '| page | px | first paint | ready | longest task, loading | done on it | to the next frame | longest task | longest task, scrolling | longest frame, scrolling | elements |',
      '|---|---|---|---|---|---|---|---|---|---|---|',
      ...rows.map(({ view, size, what, told: x }) =>
        `| ${[view, size.width, x.paint, x.ready, x.long, what || '–', what ? x.act : '–', what ? x.actLong : '–', x.scrollLong, x.scrollFrame, x.nodes].map((v) => (typeof v === 'number' ? Math.round(v) : v)).join(' | ')} |`,
      ),
    ].join('\n');
    console.log(table);
    const folder = process.env.SHOTS ?? join(here, 'shots');
    mkdirSync(folder, { recursive: true });
    writeFileSync(join(folder, 'large.md'), `${table}\n`);
    await s.stop();
  });

  test.each(views.flatMap((view) => sizes.map((size) => ({ ...view, size, name: `${view.page}${view.rest ?? ''}`, px: size.width }))))(
    '$name at $px',
    async ({ page: name, rest, there, act, what, size }) => {
      const page = await s.open('/', { size });
      await page.addInitScript(watch);
      const path = `/p/${id}/${name}${rest === '/unit/' ? rest + encodeURIComponent(unit) : (rest ?? '')}`;
      await page.goto(s.url + path, { waitUntil: 'commit' });
      await page.locator(there).first().waitFor({ timeout: 60_000 });
      const ready = await page.evaluate(() => performance.now());
      const paint = await page.evaluate(() => performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? 0);
      await page.waitForTimeout(1500); // pictures, and what else comes after
      const { longest: long } = await taken(page);
      expect(await overflow(page)).toBe(0);
      if (name !== 'sheets') await shot(page, `large-${name}${(rest ?? '').replace(/\//g, '-')}-${size.width}`, false);

      // Scrolling, as a wheel does it.
      await page.evaluate(() => {
        const w = window as unknown as { frames: number[]; stop: boolean };
        w.frames = [];
        w.stop = false;
        let last = performance.now();
        const frame = (): void => {
          const now = performance.now();
          w.frames.push(now - last);
          last = now;
          if (!w.stop) requestAnimationFrame(frame);
        };
        requestAnimationFrame(frame);
      });
      await page.mouse.move(size.width / 2, size.height / 2);
      for (let i = 0; i < 30; i++) {
        await page.mouse.wheel(0, 400);
        await page.waitForTimeout(30);
      }
      const scrollFrame = await page.evaluate(() => {
        const w = window as unknown as { frames: number[]; stop: boolean };
        w.stop = true;
        return Math.max(...w.frames.slice(1));
      });
      const { longest: scrollLong } = await taken(page);
      await page.evaluate(() => scrollTo(0, 0));
      await page.waitForTimeout(200);
      await taken(page);

      let done = { longest: 0, slowest: 0 };
      if (act) {
        await act(page);
        done = await taken(page);
      }
      const nodes = await page.evaluate(() => document.querySelectorAll('*').length);
      const told = { paint, ready, long, act: done.slowest, actLong: done.longest, scrollLong, scrollFrame, nodes };
      rows.push({ view: `${name}${rest ?? ''}`, size, what: what ?? '', told });
      expect(told.ready).toBeLessThan(15_000);
      expect(told.act).toBeLessThan(name === 'scheme' ? 5_000 : 1_000); // the figure is drawn without a graphics card
      expect(told.scrollLong).toBeLessThan(500);
      await page.context().close();
    },
    180_000,
  );
});
