// Measures the scripts of the first view, gzipped, and fails above the limit:
// what index.html loads at once, with everything that imports statically.
import { readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { gzipSync } from 'node:zlib';

const limit = 100 * 1000; // bytes
const dist = join(dirname(fileURLToPath(import.meta.url)), '../../dist');
const index = readFileSync(join(dist, 'index.html'), 'utf8');
const todo = [...index.matchAll(/<script[^>]*src="\/([^"]+\.js)"/g)].map((m) => m[1]);
const seen = new Set();
let total = 0;
while (todo.length > 0) {
  const file = todo.pop();
  if (seen.has(file)) continue;
  seen.add(file);
  const source = readFileSync(join(dist, file));
  const size = gzipSync(source, { level: 9 }).length;
  total += size;
  console.log(`${String(size).padStart(8)}  ${file}`);
  const text = source.toString('utf8');
  for (const m of text.matchAll(/(?:from|import)\s*["'](\.\.?\/[^"']+\.js)["']/g)) {
    todo.push(join(dirname(file), m[1]));
  }
}
console.log(`${String(total).padStart(8)}  bytes gzipped for the first view; at most ${limit}`);
if (total > limit) {
  console.error('The first view loads too much script. Load what is not needed at once by import().');
  process.exit(1);
}
