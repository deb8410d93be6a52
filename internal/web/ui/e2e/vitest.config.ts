import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['e2e/**/*.e2e.ts'],
    environment: 'node',
    testTimeout: 150_000,
    hookTimeout: 120_000,
    fileParallelism: false,
    globalSetup: ['e2e/prepare.ts'],
    expect: { poll: { interval: 100, timeout: 20_000 } },
  },
});
