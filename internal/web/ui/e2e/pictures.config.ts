import { defineConfig } from 'vitest/config';

// The pictures of docs/pages.md: not a test, but made as one is.
export default defineConfig({
  test: { include: ['e2e/pictures.ts'], testTimeout: 600_000, hookTimeout: 600_000, fileParallelism: false, globalSetup: ['e2e/prepare.ts'] },
});
