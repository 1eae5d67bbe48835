import { availableParallelism } from 'node:os';
import { defineConfig } from 'vitest/config';
import { seedsForVite } from './seeds.mjs';

export default defineConfig({
  root: new URL('..', import.meta.url).pathname,
  plugins: [seedsForVite],
  define: { TRAYBOOK_VERSION: JSON.stringify('in-process') },
  test: {
    include: ['src/**/*.test.ts', 'tests/**/*.test.ts'],
    environment: 'node',
    setupFiles: ['.ci/vitest.setup.ts'],
    testTimeout: 60_000,
    hookTimeout: 120_000,
    env: { TZ: 'UTC', NO_COLOR: '1' },
    pool: 'threads',
    // Many tests wait for a program they have started: on two cores one worker leaves one idle.
    maxWorkers: Math.max(2, availableParallelism() - 1),
  },
});
