// `npm run mutate` plants small faults in the core, one at a time, and asks which tests see them:
// `MUTATE=records npm run mutate` for one folder, `npm run mutate -- --mutate 'src/facts/tally.ts'`
// for one file; `MUTATE_TESTS='src/records tests/alarms/alarms.test.ts'` names folders and files of
// tests other than all of the core, and `MUTATE_ONE_IN=20` plants one in twenty. The report names
// each fault that no test saw. Words are left out: the pages and screens that print them hold them.
import { fileURLToPath } from 'node:url';

const folders = (process.env.MUTATE ?? 'records season facts judge').split(' ');

export default {
  testRunner: 'in-process',
  plugins: [fileURLToPath(new URL('mutate-runner.mjs', import.meta.url))],
  mutate: folders.flatMap((folder) => [`src/${folder}/**/*.ts`, `!src/${folder}/**/*.test.ts`]),
  ignorers: ['words'],
  mutator: { excludedMutations: ['StringLiteral'] },
  concurrency: 1,
  dryRunTimeoutMinutes: 30,
  reporters: ['clear-text', 'json', 'by-folder'],
  clearTextReporter: { allowColor: false, allowEmojis: false, logTests: false, reportTests: false },
  jsonReporter: { fileName: process.env.MUTATE_REPORT ?? 'coverage/mutants.json' },
  thresholds: { high: 95, low: 85, break: 85 },
  tempDirName: '.stryker-tmp',
  cleanTempDir: 'always',
  ignorePatterns: ['dist', 'coverage', 'tests/faults', 'tests/terminal', 'tests/bench'],
};
