// Starts a real `facings serve` on a temporary database and Vite before it:
// pages with live reload on real data. FACINGS names the program; without it
// one is built. The database is kept between runs in a folder of this machine's
// temporary directory, so that a project stays while its page is being written.
import { execFileSync, spawn } from 'node:child_process';
import { mkdirSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = join(dirname(fileURLToPath(import.meta.url)), '../../../..');
const folder = join(tmpdir(), 'facings-dev');
const port = process.env.FACINGS_PORT ?? '4381';
mkdirSync(folder, { recursive: true });
let program = process.env.FACINGS;
if (!program) {
  program = join(folder, 'facings');
  execFileSync('go', ['build', '-o', program, './cmd/facings'], { cwd: root, stdio: 'inherit' });
}
const url = `http://127.0.0.1:${port}`;
const children = [
  spawn(program, ['serve', '--db', join(folder, `dev-${port}.db`), '--addr', `127.0.0.1:${port}`], { stdio: 'inherit' }),
  spawn('npx', ['vite', ...process.argv.slice(2)], { stdio: 'inherit', env: { ...process.env, FACINGS_URL: url } }),
];
const end = () => children.forEach((child) => child.kill());
process.on('SIGINT', end);
process.on('SIGTERM', end);
children.forEach((child) => child.on('exit', end));
