// Once for all files: the program, and a database with the demo and the starter
// project planned, which each file may start from a copy of. The program
// remembers orders, so none of them plans these two again. READY names a folder
// to keep that database in from one run to the next.
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { TestProject } from 'vitest/node';
import { answers, ended, freePort, program, serve } from './program.ts';

declare module 'vitest' {
  export interface ProvidedContext {
    prepared: { program: string; ready: { db: string; demo: string; starter: string } };
  }
}

export default async function prepare(project: TestProject): Promise<() => void> {
  const bin = program();
  const keep = process.env.READY;
  if (keep) mkdirSync(keep, { recursive: true });
  const folder = keep ?? mkdtempSync(join(tmpdir(), 'facings-ready-'));
  const note = join(folder, 'ready.json');
  if (existsSync(note)) {
    project.provide('prepared', { program: bin, ready: JSON.parse(readFileSync(note, 'utf8')) });
    return () => undefined;
  }
  const db = join(folder, 'facings.db');
  const port = await freePort();
  const url = `http://127.0.0.1:${port}`;
  const child = serve(bin, db, port);
  await answers(url);
  const made = async (from: string): Promise<string> => {
    const answer = await fetch(`${url}/api/projects`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ from }),
    });
    const { kept } = (await answer.json()) as { kept: { id: string } };
    for (let i = 0; i < 1200; i++) {
      const plan = (await (await fetch(`${url}/api/projects/${kept.id}/plan`)).json()) as { state: string; stale: boolean };
      if (plan.state === 'ready' && !plan.stale) return kept.id;
      await new Promise((done) => setTimeout(done, 100));
    }
    throw new Error(`no plan of the ${from} project`);
  };
  const starter = await made('starter');
  const demo = await made('demo');
  await ended(child, 'SIGTERM');
  const ready = { db, demo, starter };
  project.provide('prepared', { program: bin, ready });
  if (keep) writeFileSync(note, JSON.stringify(ready));
  return () => {
    if (!keep) rmSync(folder, { recursive: true, force: true });
  };
}
