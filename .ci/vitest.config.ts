import { availableParallelism } from 'node:os';
import { fileURLToPath } from 'node:url';
import { defaultExclude, defineConfig } from 'vitest/config';
import { seedsForVite } from './seeds.mjs';

/** What takes long: the solver over many seasons, simulations, a browser, torture, other Nodes. */
const LONG = '**/*.long.test.ts';

// `vitest --mode all` runs the long tests too.
export default defineConfig(({ mode }) => ({
  root: fileURLToPath(new URL('..', import.meta.url)),
  plugins: [seedsForVite],
  define: { TRAYBOOK_VERSION: JSON.stringify('in-process') },
  test: {
    include: ['src/**/*.test.ts', 'tests/**/*.test.ts'],
    exclude: mode === 'all' ? defaultExclude : [...defaultExclude, LONG],
    environment: 'node',
    globalSetup: ['.ci/vitest.examples.ts'],
    setupFiles: ['.ci/vitest.setup.ts'],
    reporters: ['default', fileURLToPath(new URL('skipped.mjs', import.meta.url))],
    // Guards against a test that hangs, far above what any takes on a busy machine.
    testTimeout: 600_000,
    hookTimeout: 600_000,
    env: { TZ: 'UTC', NO_COLOR: '1', TRAYBOOK_TESTS: mode },
    pool: 'threads',
    // The program's modules are loaded once a worker and not once a file: a quarter of the whole.
    isolate: false,
    // Many long tests wait for a program they have started: on two cores one worker leaves one idle.
    // The short ones take a seventh less of the processors with one, and a seventh more time.
    maxWorkers: mode === 'all' ? Math.max(2, availableParallelism() - 1) : 1,
  },
}));
