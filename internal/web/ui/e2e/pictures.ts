// Draws the pictures of docs/pages.md: every page with the demo, at a desk and
// on a phone, in light and dark by turns. With SHOTS_ALL=1, all of them at both
// sizes and in both, whole pages; SHOTS names another folder.
import { mkdirSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { test } from 'vitest';
import { desk, phone, planned, start, type Size, type Theme } from './harness.ts';

const folder = process.env.SHOTS ?? join(dirname(fileURLToPath(import.meta.url)), '../../../../docs/pages');

interface Task {
  figure: unknown;
  area: string;
  coat: number;
  medium: string;
}
interface Bench {
  passes: { state: string; seconds: number; painter: number; tasks: Task[] }[];
}

test('pictures of every page', async () => {
  mkdirSync(folder, { recursive: true });
  const nobody = await start();
  const empty = await nobody.open('/');
  await empty.screenshot({ path: join(folder, 'projects.png') });
  await empty.context().close();
  await nobody.stop();
  const s = await start('ready');
  const id = s.demo;
  await planned(s, id, 240);

  // Some way into the work there is more to see.
  const { passes } = await s.ask<Bench>(`/api/projects/${id}/bench`);
  const entries = passes.slice(0, 30).map((p, i) => ({
    id: `00000000-0000-4000-8000-${String(i).padStart(12, '0')}`,
    kind: 'done',
    painter: p.painter,
    seconds: Math.round(p.seconds * (0.8 + 0.06 * (i % 7))),
    at: new Date(Date.now() - (31 - i) * 15 * 60_000).toISOString(),
    tasks: p.tasks.map(({ figure, area, coat, medium }) => ({ figure, area, coat, medium })),
  }));
  await s.ask(`/api/projects/${id}/log`, { method: 'POST', body: JSON.stringify({ entries }) });
  await new Promise((done) => setTimeout(done, 1500));
  await planned(s, id, 240);

  const panels = ['order/air', 'order/pace', 'order/campaign', 'order/record', 'history', 'file'];
  const every = ['muster', 'scheme', 'rack', 'ranks', 'order', 'bench', 'sheets', ...panels];
  const all = !!process.env.SHOTS_ALL;
  const views: (readonly [string, string, Size, Theme])[] = all
    ? every.flatMap((name) => [desk, phone].flatMap((size) => (['light', 'dark'] as const).map((theme) => [name, `-${size.width}-${theme}`, size, theme] as const)))
    : [
        ['muster', '', desk, 'light'],
        ['scheme', '', desk, 'light'],
        ['rack', '', desk, 'light'],
        ['ranks', '', desk, 'dark'],
        ['order', '', desk, 'light'],
        ['muster', '-phone', phone, 'light'],
        ['bench', '', phone, 'light'],
        ['bench', '-dark', phone, 'dark'],
        ['scheme', '-phone', phone, 'dark'],
        ['order', '-phone', phone, 'light'],
        ['sheets', '', desk, 'light'],
        ...panels.map((name, i) => [name, '', desk, i % 2 ? 'dark' : 'light'] as const),
      ];
  for (const [name, more, size, theme] of views) {
    const page = await s.open(`/p/${id}/${name}`, { size, theme });
    await page.waitForLoadState('networkidle', { timeout: 20_000 }).catch(() => undefined); // the news never end
    if (name === 'muster') await page.waitForFunction(() => [...document.querySelectorAll<HTMLElement>('.portrait')].every((p) => p.offsetParent === null || p.querySelector('img')), null, { timeout: 120_000 });
    if (name === 'scheme') await page.waitForFunction(() => document.querySelector('.stage') && !document.querySelector('.stage .state'), null, { timeout: 60_000 }).catch(() => undefined);
    await page.waitForTimeout(3000);
    await page.screenshot({ path: join(folder, `${name.replace('/', '-')}${more}.png`), fullPage: all });
    await page.context().close();
  }
  const raise = await s.open('/new');
  await raise.locator('main input').first().waitFor();
  await raise.waitForTimeout(3000);
  await raise.screenshot({ path: join(folder, 'new.png') });
  await s.stop();
});
