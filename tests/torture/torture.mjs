// npm run torture [-- SEED]: what is promised of the record, put to the test, by as many processes at
// once as there are processors.
import { spawn } from 'node:child_process';
import { mkdtempSync, realpathSync, rmSync } from 'node:fs';
import { availableParallelism, tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { bundle } from '../../.ci/bundle.mjs';

const DEFAULT_SEED = 20270306;
const ENTRIES = ['runs', 'damage', 'merges', 'injected'].map((name) => `tests/torture/${name}.ts`);
const APPENDER = 'tests/support/appender.ts';

const root = join(fileURLToPath(import.meta.url), '../../..');
/** Given to a process that is to do one run: its name, and where the bundles are. */
const [given = DEFAULT_SEED, only, bundles] = process.argv.slice(2);
const seed = Number(given);

/** A small generator with a seed (mulberry32), for the moments of the kills. */
function generator(start) {
  let state = start >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
}

/** The same run in so many parts, each a process of its own. */
const inParts = (name, parts, run) =>
  Array.from({ length: parts }, (_, rest) => [
    `${name}, part ${rest + 1} of ${parts}`,
    (tools) => run(tools, { parts, rest }),
  ]);

const FAULTS = 2000;
const TRACED = 500;
const DAMAGED = 5000;
const PARTS = 4;

/** By name; what depends on moments comes first, then what takes longest. */
const runs = new Map([
  ['a cut at every byte', ({ runs, bench }) => runs.cutAtEveryByte(bench)],
  ['processes together', ({ runs, bench }) => runs.together(bench, 8, 200)],
  ['kills', ({ runs, bench }) => runs.killed(bench, 200, generator(seed))],
  ['a full disk', ({ runs, bench }) => runs.fullDisk(bench)],
  ['a rewrite', ({ runs, bench }) => runs.rewritten(bench)],
  ['a read-only folder', ({ runs, bench }) => runs.readOnly(bench)],
  ...inParts('faults of the system', PARTS, ({ injected, scratch }, part) => {
    const shim = injected.shimInjector(root, scratch);
    if (shim === null) return 'SKIPPED, no gcc here';
    return injected.injected({ root, scratch }, shim, FAULTS / PARTS, generator(seed), part);
  }),
  ...inParts('faults of the system by strace', 2, ({ injected, scratch }, part) => {
    const strace = injected.straceInjector();
    if (strace === null) return 'SKIPPED, it is missing or may not trace';
    return injected.injected({ root, scratch }, strace, TRACED / 2, generator(seed), part);
  }),
  ...inParts('damage', PARTS, ({ damage }, { rest }) =>
    damage.damaged(DAMAGED / PARTS, seed + rest),
  ),
  ['damage read by processes', ({ damage }) => damage.damagedForReal(root, 40, seed)],
  ['git merges', ({ merges }) => merges.merged(10, 40, generator(seed))],
]);

/** One run, in this process; says what it found, and ends with 1 where a promise is broken. */
async function alone(name, scratch) {
  const loaded = {};
  for (const entry of ENTRIES)
    loaded[entry.replace(/.*\/(.*)\.ts/, '$1')] = await import(
      pathToFileURL(bundled(entry, bundles)).href
    );
  try {
    const bench = { root, scratch, appender: bundled(APPENDER, bundles) };
    console.log(await runs.get(name)({ ...loaded, bench, scratch }));
  } catch (error) {
    console.log(
      `BROKEN: ${error.stack}${error.cause ? `\n${error.cause.stack ?? error.cause}` : ''}`,
    );
    process.exitCode = 1;
  }
}

const bundled = (entry, folder) =>
  join(folder, `${entry.replaceAll('/', '-').replace(/\.ts$/, '')}.mjs`);

async function all(scratch) {
  for (const entry of [...ENTRIES, APPENDER]) await bundle(entry, scratch);
  console.log(`seed ${seed}`);
  const waiting = [...runs.keys()];
  let failed = 0;
  const worker = async () => {
    for (let name = waiting.shift(); name !== undefined; name = waiting.shift()) {
      const words = [fileURLToPath(import.meta.url), `${seed}`, name, scratch];
      const child = spawn(process.execPath, words, { stdio: ['ignore', 'pipe', 'inherit'] });
      let said = '';
      child.stdout.setEncoding('utf8').on('data', (text) => {
        said += text;
      });
      const code = await new Promise((ended) => child.on('close', ended));
      if (code !== 0) failed += 1;
      process.stdout.write(`${name}: ${said || `ended with ${code}\n`}`);
    }
  };
  await Promise.all(Array.from({ length: availableParallelism() }, worker));
  console.log(`${runs.size - failed} passed, ${failed} failed`);
  process.exitCode = failed === 0 ? 0 : 1;
}

const scratch = realpathSync(mkdtempSync(join(tmpdir(), 'traybook-')));
try {
  await (only === undefined ? all(scratch) : alone(only, scratch));
} finally {
  rmSync(scratch, { recursive: true, force: true });
}
