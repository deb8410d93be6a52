import { svelte } from '@sveltejs/vite-plugin-svelte';
import { createHash } from 'node:crypto';
import type { Plugin } from 'vite';
import { defineConfig } from 'vitest/config';

// Where the program's own server listens while pages are being written.
const server = process.env.FACINGS_URL ?? 'http://127.0.0.1:4380';
// To the server, requests by way of Vite look like its own pages'.
const proxy = { target: server, changeOrigin: true, headers: { origin: server, 'sec-fetch-site': 'same-origin' } };

// The service worker is told which files there are, and a number that changes
// with them. What only the turning figure needs is left to be fetched with it.
function tellWorker(): Plugin {
  return {
    name: 'tell-worker',
    apply: 'build',
    generateBundle: {
      order: 'post',
      handler(_, bundle) {
        const worker = bundle['sw.js'];
        if (worker?.type !== 'chunk') throw new Error('the service worker was not built');
        const files = Object.keys(bundle)
          .filter((name) => /\.(js|css)$/.test(name) && name !== 'sw.js' && !/three/.test(name))
          .concat('icon.svg', 'theme.js')
          .sort()
          .map((name) => `/${name}`);
        const version = createHash('sha256').update(files.join('\n')).digest('hex').slice(0, 12);
        worker.code = worker.code.replace('__FILES__', JSON.stringify(files)).replace('__VERSION__', version);
      },
    },
  };
}

export default defineConfig({
  plugins: [svelte(), tellWorker()],
  build: {
    outDir: '../dist',
    emptyOutDir: true,
    target: 'es2022',
    cssTarget: ['chrome123', 'firefox120', 'safari17.5'],
    // The files are embedded in the program: no source maps, no inlined data.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    reportCompressedSize: false,
    chunkSizeWarningLimit: 800, // kB: three, which only the turning figure loads
    rollupOptions: {
      input: { index: 'index.html', sw: 'src/sw.ts' },
      output: { entryFileNames: (chunk) => (chunk.name === 'sw' ? 'sw.js' : 'assets/[name]-[hash].js') },
    },
  },
  server: { proxy: { '/api': proxy, '/pair': proxy } },
  test: { include: ['src/**/*.test.ts'], environment: 'node' },
});
