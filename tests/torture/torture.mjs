// npm run torture [-- SEED]: what is promised of the record, put to the test.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { bundle } from '../../.ci/bundle.mjs';

const root = join(fileURLToPath(import.meta.url), '../../..');
const seed = Number(process.argv[2] ?? 20270306);
const scratch = mkdtempSync(join(tmpdir(), 'traybook-'));

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

let passed = 0;
let failed = 0;
try {
  const load = async (entry) => import(pathToFileURL(await bundle(entry, scratch)).href);
  const runs = await load('tests/torture/runs.ts');
  const damage = await load('tests/torture/damage.ts');
  const { merged } = await load('tests/torture/merges.ts');
  const { injected, shimInjector, straceInjector } = await load('tests/torture/injected.ts');
  const shim = shimInjector(root, scratch);
  const strace = straceInjector();
  const bench = { root, scratch, appender: await bundle('tests/support/appender.ts', scratch) };
  console.log(`seed ${seed}`);
  for (const run of [
    () => runs.cutAtEveryByte(bench),
    () => runs.together(bench, 8, 200),
    () => runs.killed(bench, 200, generator(seed)),
    () => runs.fullDisk(bench),
    () => runs.rewritten(bench),
    () => runs.readOnly(bench),
    () =>
      shim === null
        ? 'faults of the system: SKIPPED, no gcc here'
        : injected({ root, scratch }, shim, 2000, generator(seed)),
    () =>
      strace === null
        ? 'faults of the system by strace: SKIPPED, it is missing or may not trace'
        : injected({ root, scratch }, strace, 500, generator(seed)),
    () => merged(10, 40, generator(seed)),
    () => damage.damaged(5000, seed),
    () => damage.damagedForReal(root, 40, seed),
  ]) {
    try {
      console.log(await run());
      passed += 1;
    } catch (error) {
      console.log(
        `BROKEN: ${error.stack}${error.cause ? `\n${error.cause.stack ?? error.cause}` : ''}`,
      );
      failed += 1;
    }
  }
} finally {
  rmSync(scratch, { recursive: true, force: true });
}
console.log(`${passed} passed, ${failed} failed`);
process.exitCode = failed === 0 ? 0 : 1;
