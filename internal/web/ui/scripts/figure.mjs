// How long a change of colours takes to the figure drawn anew, from the server's
// answer being read to the frame: our own work until the colours are in the
// texture, the wait for the browser's next frame, our calls that draw it, and
// the renderer's drawing until a pixel can be read back. Prints a table for
// docs/measurements/pages.md.
//
//   FACINGS=/path/to/facings node scripts/figure.mjs
import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';

const changes = 30;
const bin = process.env.FACINGS;
if (!bin) throw new Error('FACINGS must name the built program');
const folder = mkdtempSync(join(tmpdir(), 'facings-figure-'));
const url = 'http://127.0.0.1:4397';
const program = spawn(bin, ['serve', '--db', join(folder, 'facings.db'), '--addr', '127.0.0.1:4397'], { stdio: ['ignore', 'ignore', 'inherit'] });
const ended = new Promise((done) => program.once('exit', done));
try {
  for (let i = 0; i < 200; i++) {
    if (await fetch(`${url}/api/about`).then((r) => r.ok, () => false)) break;
    await new Promise((done) => setTimeout(done, 100));
  }
  const made = await fetch(`${url}/api/projects`, { method: 'POST', headers: { 'content-type': 'application/json' }, body: '{"from":"demo"}' });
  const { id } = (await made.json()).kept;
  const browser = await chromium.launch({
    executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
    args: ['--no-sandbox', '--use-angle=swiftshader', '--enable-unsafe-swiftshader', '--lang=en-GB'],
  });
  const page = await browser.newPage({ viewport: { width: 1280, height: 860 } });
  await page.addInitScript(() => {
    window.splits = [];
    let frame = 0;
    let buffer = 0;
    const raf = requestAnimationFrame.bind(window);
    window.requestAnimationFrame = (run) =>
      raf((t) => {
        frame = performance.now();
        run(t);
      });
    const measure = performance.measure.bind(performance);
    performance.measure = (name, options) => {
      const m = measure(name, options);
      if (name === 'colours to texture') buffer = m.startTime + m.duration;
      if (name === 'colours to figure') {
        const calls = m.startTime + m.duration;
        const gl = document.querySelector('.stage canvas').getContext('webgl2');
        gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, new Uint8Array(4));
        window.splits.push({ ours: buffer - m.startTime + (calls - frame), toTexture: buffer - m.startTime, wait: frame - buffer, calls: calls - frame, drawing: performance.now() - calls, all: performance.now() - m.startTime });
      }
      return m;
    };
  });
  await page.goto(`${url}/p/${id}/scheme`);
  await page.locator('.area').first().waitFor({ timeout: 120_000 });
  await page.waitForFunction(() => document.querySelector('.stage') && !document.querySelector('.stage .state'), null, { timeout: 120_000 });
  const pixels = await page.evaluate(() => {
    const canvas = document.querySelector('.stage canvas');
    return `${canvas.width} × ${canvas.height}`;
  });
  const renderer = await page.evaluate(() => {
    const gl = document.createElement('canvas').getContext('webgl2');
    const info = gl?.getExtension('WEBGL_debug_renderer_info');
    return info ? gl.getParameter(info.UNMASKED_RENDERER_WEBGL) : 'unknown';
  });
  await page.locator('[data-area="jacket"] .area').click();
  await page.getByRole('button', { name: /^Change what the jacket/ }).click();
  await page.evaluate(() => performance.clearMeasures());
  for (let i = 0; i < changes; i++) {
    await page.keyboard.press('ArrowDown');
    await page.waitForFunction((n) => performance.getEntriesByName('colours to figure').length > n, i, { timeout: 20_000 });
  }
  const splits = await page.evaluate(() => window.splits.slice(-performance.getEntriesByName('colours to figure').length));
  console.log(`${splits.length} changes, canvas ${pixels}\n\n| ms | median | p90 | most |\n|---|---|---|---|`);
  for (const [key, words] of Object.entries({
    toTexture: 'from the answer to the colours in the texture',
    calls: 'the calls that draw the frame',
    ours: 'our own work: these two',
    wait: 'waiting for the next frame of the browser',
    drawing: 'the renderer drawing it',
    all: 'all',
  })) {
    const ms = splits.map((x) => x[key]).sort((a, b) => a - b);
    const at = (share) => ms[Math.min(ms.length - 1, Math.floor(share * ms.length))].toFixed(1);
    console.log(`| ${words} | ${at(0.5)} | ${at(0.9)} | ${at(1)} |`);
  }
  console.log(`\n${renderer}`);
  await browser.close();
} finally {
  program.kill('SIGTERM');
  await ended;
  rmSync(folder, { recursive: true, force: true });
}
