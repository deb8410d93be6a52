// The program that serves the pages, started and ended.
import { execFileSync, spawn, type ChildProcess } from 'node:child_process';
import { mkdtempSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

export const root = join(dirname(fileURLToPath(import.meta.url)), '../../../..');

/** The program that FACINGS names, else it is built. */
export function program(): string {
  if (process.env.FACINGS) return process.env.FACINGS;
  const out = join(mkdtempSync(join(tmpdir(), 'facings-build-')), 'facings');
  execFileSync('go', ['build', '-o', out, './cmd/facings'], { cwd: root, stdio: 'inherit' });
  return out;
}

export function serve(bin: string, db: string, port: number): ChildProcess {
  return spawn(bin, ['serve', '--db', db, '--addr', `127.0.0.1:${port}`], { stdio: ['ignore', 'ignore', 'inherit'] });
}

export async function freePort(): Promise<number> {
  const { createServer } = await import('node:net');
  return new Promise((done, fail) => {
    const server = createServer();
    server.once('error', fail);
    server.listen(0, '127.0.0.1', () => {
      const { port } = server.address() as { port: number };
      server.close(() => done(port));
    });
  });
}

/** Waits until the program at an address answers. */
export async function answers(url: string): Promise<void> {
  for (let i = 0; i < 400; i++) {
    try {
      if ((await fetch(`${url}/api/about`)).ok) return;
    } catch {
      // Not yet.
    }
    await new Promise((done) => setTimeout(done, 50));
  }
  throw new Error(`${url} does not answer`);
}

export async function ended(child: ChildProcess, signal: NodeJS.Signals): Promise<void> {
  if (child.exitCode !== null || child.signalCode !== null) return;
  const exit = new Promise((done) => child.once('exit', done));
  child.kill(signal);
  await exit;
}
