// The tests that `npm run mutate` runs over each planted fault: those of the core, in this process.
import { fileURLToPath } from 'node:url';
import { defaultExclude, defineConfig } from 'vitest/config';
import { seedsForVite } from './seeds.mjs';

export default defineConfig({
  root: fileURLToPath(new URL('..', import.meta.url)),
  plugins: [seedsForVite],
  define: { TRAYBOOK_VERSION: JSON.stringify('in-process') },
  test: {
    include: (
      process.env.MUTATE_TESTS ??
      'src/{text,records,season,facts,judge}/**/*.test.ts tests/agreement/*.test.ts tests/sources/brooding.test.ts'
    ).split(' '),
    exclude: [...defaultExclude, '**/*.long.test.ts'],
    setupFiles: ['.ci/vitest.setup.ts'],
    testTimeout: 600_000,
    // A fault is switched on by a global: modules need not be loaded anew for each.
    isolate: false,
    env: { TZ: 'UTC', NO_COLOR: '1' },
  },
});
