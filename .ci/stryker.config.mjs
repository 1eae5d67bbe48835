// `npm run mutate` plants small faults in the core, one at a time, and asks which tests see them:
// `npm run mutate -- --mutate 'src/facts/tally.ts'` for one file. The report names each that no test saw.
// Texts are left out: words are held by the pages and screens that print them.
const folders = (process.env.MUTATE ?? 'records season facts judge').split(' ');

export default {
  testRunner: 'vitest',
  plugins: ['@stryker-mutator/vitest-runner'],
  vitest: { configFile: '.ci/vitest.mutate.config.ts' },
  mutate: folders.flatMap((folder) => [`src/${folder}/**/*.ts`, `!src/${folder}/**/*.test.ts`]),
  mutator: { excludedMutations: ['StringLiteral'] },
  // What runs once when a module is loaded would need a run of all tests for each of its faults.
  ignoreStatic: true,
  concurrency: 1,
  reporters: ['clear-text', 'json', 'progress-append-only'],
  clearTextReporter: { allowColor: false, allowEmojis: false, logTests: false, reportTests: false },
  jsonReporter: { fileName: 'coverage/mutants.json' },
  thresholds: { high: 95, low: 85, break: 85 },
  tempDirName: '.stryker-tmp',
  cleanTempDir: 'always',
  ignorePatterns: ['dist', 'examples', 'coverage', 'tests/faults', 'tests/terminal', 'tests/bench'],
};
