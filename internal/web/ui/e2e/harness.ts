// Pages against the real thing: the built program on a temporary database, and
// the system's Chromium. FACINGS names the program (else prepare.ts builds it,
// with the pages in internal/web/dist), CHROMIUM the browser.
import { AxeBuilder } from '@axe-core/playwright';
import { copyFileSync, mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { chromium, type Browser, type Page } from 'playwright-core';
import { expect, inject, onTestFinished } from 'vitest';
import { answers, ended, freePort, serve } from './program.ts';

const here = dirname(fileURLToPath(import.meta.url));

export type Theme = 'light' | 'dark';
export interface Size {
  width: number;
  height: number;
}
export const phone: Size = { width: 390, height: 844 };
export const desk: Size = { width: 1280, height: 860 };
/** For test.each: the sizes that every page must fit. */
export const sizes = [phone, desk];

export interface Started {
  url: string; // of the program, "http://127.0.0.1:39871"
  browser: Browser;
  /** A new window of its own until the end of the test; errors on its console fail
      `stop`. */
  open(path: string, options?: { size?: Size; theme?: Theme }): Promise<Page>;
  /** Asks the API from outside the browser. */
  ask<T>(path: string, init?: RequestInit): Promise<T>;
  /** The projects of the `ready` database, each planned already. */
  demo: string;
  starter: string;
  /** A new project from the starter file, or from the demo, which takes ten times
      as long to plan; its id. */
  project(from?: 'demo' | 'starter'): Promise<string>;
  /** Ends the program (kill: without warning), does what is to be done without
      it, and starts it again on the same database. */
  restart(kill?: boolean, meanwhile?: () => Promise<void>): Promise<void>;
  stop(): Promise<void>;
}

/** Starts the program and a browser; the database is empty, or holds the demo and
    the starter project with their plans (`ready`). */
export async function start(database: 'empty' | 'ready' = 'empty'): Promise<Started> {
  const folder = mkdtempSync(join(tmpdir(), 'facings-e2e-'));
  const { program, ready } = inject('prepared');
  const db = join(folder, 'facings.db');
  if (database === 'ready') copyFileSync(ready.db, db);
  const port = await freePort();
  const url = `http://127.0.0.1:${port}`;
  let child = serve(program, db, port);
  await answers(url);
  const browser = await chromium.launch({
    executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
    args: ['--no-sandbox', '--use-angle=swiftshader', '--enable-unsafe-swiftshader', '--lang=en-GB'],
  });
  const complaints: string[] = [];

  const ask = async <T>(path: string, init: RequestInit = {}): Promise<T> => {
    const response = await fetch(url + path, { ...init, headers: { 'content-type': 'application/json', ...init.headers } });
    if (!response.ok) throw new Error(`${path}: ${response.status} ${await response.text()}`);
    return (await response.json()) as T;
  };

  return {
    url,
    browser,
    ask,
    demo: ready.demo,
    starter: ready.starter,
    async open(path, { size = desk, theme = 'light' } = {}) {
      const context = await browser.newContext({ viewport: size, colorScheme: theme, locale: 'en-GB', reducedMotion: 'reduce' });
      // A window goes with its test: the next shall not wait for what it asked.
      onTestFinished(() => context.close());
      const page = await context.newPage();
      page.on('pageerror', (error) => complaints.push(`${path}: ${error.message}`));
      page.on('console', (message) => {
        if (/Content Security Policy|Refused to/.test(message.text())) complaints.push(`${path}: ${message.text()}`);
      });
      // Pictures may take their time on a busy machine.
      await page.goto(url + path, { waitUntil: 'domcontentloaded', timeout: 60_000 });
      await page.locator('main h1').waitFor({ state: 'attached', timeout: 60_000 });
      return page;
    },
    async project(from = 'starter') {
      const head = await ask<{ kept: { id: string } }>('/api/projects', { method: 'POST', body: JSON.stringify({ from }) });
      return head.kept.id;
    },
    async restart(kill = false, meanwhile) {
      await ended(child, kill ? 'SIGKILL' : 'SIGTERM');
      await meanwhile?.();
      child = serve(program, db, port);
      await answers(url);
    },
    async stop() {
      await browser.close();
      await ended(child, 'SIGTERM');
      rmSync(folder, { recursive: true, force: true });
      if (complaints.length > 0) throw new Error(`the pages complained:\n${complaints.join('\n')}`);
    },
  };
}

/** Waits until the first plan of a project is there, at most so many seconds. */
export async function planned(s: Started, id: string, seconds = 60): Promise<void> {
  for (let i = 0; i < seconds * 4; i++) {
    const plan = await s.ask<{ state: string; stale: boolean }>(`/api/projects/${id}/plan`);
    if (plan.state !== 'working' && !plan.stale) return;
    await new Promise((done) => setTimeout(done, 250));
  }
  throw new Error(`no plan of ${id} within ${seconds} s`);
}

/** Everything axe finds wrong on a page, one line each; [] is what a test wants. */
export async function axe(page: Page, rules?: string[]): Promise<string[]> {
  const builder = new AxeBuilder({ page }).setLegacyMode(); // there are no frames
  if (rules) builder.withRules(rules);
  const { violations } = await builder.analyze();
  return violations.flatMap((v) => v.nodes.map((n) => `${v.id}: ${n.target.join(' ')}: ${n.failureSummary?.split('\n')[1]?.trim()}`));
}

/** By how many pixels a page is wider than its window. */
export async function overflow(page: Page): Promise<number> {
  return page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
}

/** What every page must be as it is shown now: axe finds nothing in light or dark,
    nothing scrolls sideways. Takes a picture of both, for looking at. */
export async function fit(page: Page, name: string, full = true): Promise<void> {
  const { width } = page.viewportSize()!;
  // What is not drawn while it is out of sight is looked at too.
  await page.evaluate(() => {
    const all = new CSSStyleSheet();
    all.replaceSync('* { content-visibility: visible !important }');
    document.adoptedStyleSheets = [all];
  });
  await colours(page, 'light');
  expect([name, await axe(page)]).toEqual([name, []]);
  expect([name, 'too wide by', await overflow(page)]).toEqual([name, 'too wide by', 0]);
  await shot(page, `${name}-${width}-light`, full);
  await colours(page, 'dark');
  // Only colours differ.
  expect([name, 'dark', await axe(page, ['color-contrast'])]).toEqual([name, 'dark', []]);
  await shot(page, `${name}-${width}-dark`, full);
  await colours(page, 'light');
  await page.evaluate(() => void (document.adoptedStyleSheets = []));
}

/** Changes a page to light or dark, and waits until all of it is drawn so. */
async function colours(page: Page, theme: Theme): Promise<void> {
  await page.emulateMedia({ colorScheme: theme });
  await page.evaluate(async () => {
    for (let i = 0; i < 3; i++) await new Promise((done) => requestAnimationFrame(done));
    await Promise.allSettled(document.getAnimations().map((a) => a.finished));
  });
}

/** A picture of the page in e2e/shots (or SHOTS), for looking at. */
export async function shot(page: Page, name: string, full = true): Promise<void> {
  const folder = process.env.SHOTS ?? join(here, 'shots');
  mkdirSync(folder, { recursive: true });
  await page.screenshot({ path: join(folder, `${name}.png`), fullPage: full });
}
