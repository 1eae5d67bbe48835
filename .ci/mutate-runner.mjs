// What `npm run mutate` runs the tests with: sources and tests bundled into one script, evaluated
// anew for each planted fault in this process, and only the tests that reach the fault, quickest
// first, until one fails. A runner that starts a worker for each fault takes seconds for each.
import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { Script } from 'node:vm';
import { declareClassPlugin, declareValuePlugin, PluginKind } from '@stryker-mutator/api/plugin';
import {
  DryRunStatus,
  determineHitLimitReached,
  MutantRunStatus,
  TestStatus,
  toMutantRunResult,
} from '@stryker-mutator/api/test-runner';
import { chai, JestAsymmetricMatchers, JestChaiExpect, JestExtend } from '@vitest/expect';
import { build } from 'esbuild';
import { seeds } from './seeds.mjs';

/** Files of tests, or folders with them beneath. */
const TESTS = process.env.MUTATE_TESTS ?? 'src/records src/season src/facts src/judge';
/** How long each test took in the run without faults, by its name. */
const TIMES = '.mutate-times.json';

/** Of so many faults one is drawn, by the number it has; without one each is. */
const ONE_IN = Number(process.env.MUTATE_ONE_IN ?? 1);
/** True for a fault that is drawn: the remainder of a multiplication spreads neighbours. */
const isDrawn = (id) => (((Number(id) + 1) * 7_919) % 1_000_003) % ONE_IN === 0;

/** The test files in a folder and beneath it but the long ones, or the file itself. */
function testsIn(path) {
  if (path.endsWith('.ts')) return [path];
  return readdirSync(path, { recursive: true })
    .filter((name) => /(?<!\.long)\.test\.ts$/.test(name))
    .map((name) => `${path}/${name}`);
}

for (const plugin of [JestExtend, JestChaiExpect, JestAsymmetricMatchers]) chai.use(plugin);
const expect = Object.assign((value, message) => chai.expect(value, message), chai.expect);
expect.extend = (matchers) => chai.expect.extend(expect, matchers);

/** The tests of the file that is being loaded, and what runs before and after them. */
let gathered;

/** The part of vitest that the tests of the core use. */
function vitest() {
  const test = (title, options, run = options) => gathered.tests.push({ title, run });
  const describe = (_title, run) => run();
  for (const call of [test, describe])
    call.each =
      (rows) =>
      (title, options, body = options) => {
        for (const row of rows) call(title, () => (Array.isArray(row) ? body(...row) : body(row)));
      };
  const beforeAll = (run) => gathered.before.push(run);
  const afterAll = (run) => gathered.after.push(run);
  const beforeEach = (run) => gathered.beforeEach.push(run);
  const afterEach = (run) => gathered.afterEach.push(run);
  return { test, it: test, describe, expect, beforeAll, afterAll, beforeEach, afterEach };
}

/** Packages that sources and tests import, each loaded once and not for every fault. */
const packages = new Map([['vitest', vitest()]]);

/** Resolves a package to a module that hands on what is loaded of it. */
const packagesLoaded = {
  name: 'packages',
  setup(building) {
    building.onResolve({ filter: /^[@\w]/ }, ({ path }) => ({ path, namespace: 'package' }));
    building.onLoad({ filter: /./, namespace: 'package' }, async ({ path }) => {
      if (!packages.has(path)) packages.set(path, await import(path));
      const names = Object.keys(packages.get(path)).map((name) => JSON.stringify(name));
      const contents = [
        `const all = packages.get(${JSON.stringify(path)});`,
        ...names.map((name, index) => `const n${index} = all[${name}];`),
        `export { ${names.map((name, index) => `n${index} as ${name}`).join(', ')} };`,
      ].join('\n');
      return { contents };
    });
  },
};

/** Tests that read files know their place: esbuild has none for a module within a script. */
const placesOfModules = {
  name: 'places',
  setup(building) {
    building.onLoad({ filter: /\.ts$/ }, ({ path }) => ({
      contents: readFileSync(path, 'utf8')
        .replaceAll('import.meta.url', JSON.stringify(pathToFileURL(path).href))
        .replaceAll('import.meta.dirname', JSON.stringify(dirname(path))),
      loader: 'ts',
    }));
  },
};

/** Sources and tests in one script: an object of what loads each file of tests. */
async function bundled(files) {
  const loaders = ['.ci/vitest.setup.ts', ...files].map((file) => JSON.stringify(`./${file}`));
  const { outputFiles } = await build({
    stdin: {
      contents: `module.exports={${loaders.map((file) => `${file}:()=>require(${file})`)}}`,
      resolveDir: process.cwd(),
    },
    bundle: true,
    write: false,
    format: 'cjs',
    platform: 'node',
    target: 'node20',
    logLevel: 'error',
    define: { TRAYBOOK_VERSION: '"in-process"' },
    plugins: [seeds, packagesLoaded, placesOfModules],
  });
  return `(function(require,module,packages){${outputFiles[0].text}\n})`;
}

class InProcessRunner {
  static inject = [];
  #files = TESTS.split(' ').flatMap(testsIn);
  /** Where the planted faults look which of them is on, and count who reaches them. */
  #ns = {};
  #script;
  #times;

  capabilities() {
    return { reloadEnvironment: true };
  }

  async init() {
    globalThis.__stryker__ = this.#ns;
    Object.assign(process.env, { TZ: 'UTC', NO_COLOR: '1', TRAYBOOK_TESTS: 'test' });
    this.#script = new Script(await bundled(this.#files), { filename: resolve('mutate.cjs') });
    this.#times = existsSync(TIMES) ? JSON.parse(readFileSync(TIMES, 'utf8')) : {};
  }

  /** What loads each file of tests, with every module as it is before it is first loaded. */
  #evaluated() {
    const module = { exports: {} };
    this.#script.runInThisContext()(createRequire(import.meta.url), module, packages);
    module.exports['./.ci/vitest.setup.ts']();
    return module.exports;
  }

  /** Runs the tests of one file that are wanted. `seen` hears of each; it returns true to stop. */
  async #runFile(loaders, file, isWanted, seen) {
    gathered = { tests: [], before: [], after: [], beforeEach: [], afterEach: [] };
    const { tests, before, after, beforeEach, afterEach } = gathered;
    /** Runs a part and says how it went, under an id and a title. */
    const tried = async (id, title, run) => {
      const started = performance.now();
      this.#ns.currentTestId = id;
      let failed = { status: TestStatus.Success };
      try {
        await run();
      } catch (error) {
        failed = { status: TestStatus.Failed, failureMessage: String(error?.message ?? error) };
      }
      const timeSpentMs = performance.now() - started;
      return { id, name: `${file} ${title}`, fileName: resolve(file), timeSpentMs, ...failed };
    };
    const loading = await tried(`${file}#`, 'while loading', async () => {
      loaders[`./${file}`]();
      for (const run of before) await run();
    });
    if (loading.status === TestStatus.Failed) return seen(loading);
    let isOver = false;
    for (const [index, { title, run }] of tests.entries()) {
      const id = `${file}#${index}`;
      if (isOver || !isWanted(id)) continue;
      for (const each of beforeEach) await each();
      isOver = seen(await tried(id, title, () => run({}))) === true;
      for (const each of afterEach) await each();
    }
    for (const run of after) await run();
    return isOver;
  }

  async dryRun() {
    const all = [];
    const perTest = {};
    Object.assign(this.#ns, { activeMutant: undefined, mutantCoverage: { static: {}, perTest } });
    for (const file of this.#files) {
      const tests = [];
      const seen = (test) => void tests.push(test);
      await this.#runFile(this.#evaluated(), file, () => true, seen);
      // What a file reaches while it is loaded, each of its tests may depend on.
      const { [`${file}#`]: loading } = perTest;
      delete perTest[`${file}#`];
      for (const { id } of tests) perTest[id] = { ...loading, ...perTest[id] };
      all.push(...tests);
    }
    const mutantCoverage = { static: {}, perTest };
    Object.assign(this.#ns, { currentTestId: undefined, mutantCoverage: undefined });
    this.#times = Object.fromEntries(all.map(({ id, timeSpentMs }) => [id, timeSpentMs]));
    writeFileSync(TIMES, JSON.stringify(this.#times));
    return { status: DryRunStatus.Complete, tests: all, mutantCoverage };
  }

  async mutantRun({ activeMutant, testFilter, hitLimit }) {
    // An error counts neither as seen nor as unseen.
    if (!isDrawn(activeMutant.id))
      return { status: MutantRunStatus.Error, errorMessage: 'not drawn' };
    Object.assign(this.#ns, { activeMutant: activeMutant.id, hitCount: 0, hitLimit });
    const wanted = new Set(testFilter ?? Object.keys(this.#times));
    const costs = new Map();
    for (const id of wanted) {
      const file = id.slice(0, id.indexOf('#'));
      costs.set(file, (costs.get(file) ?? 0) + (this.#times[id] ?? 0));
    }
    const tests = [];
    const seen = (test) => tests.push(test) > 0 && test.status === TestStatus.Failed;
    const loaders = this.#evaluated();
    for (const [file] of [...costs].sort((a, b) => a[1] - b[1]))
      if (await this.#runFile(loaders, file, (id) => wanted.has(id), seen)) break;
    const timeOut = determineHitLimitReached(this.#ns.hitCount, hitLimit);
    return toMutantRunResult(timeOut ?? { status: DryRunStatus.Complete, tests });
  }
}

/** Words for the keeper, which screens and pages hold: the sentence of a fault, and every hint. */
const words = {
  shouldIgnore({ node, parent, listKey, key }) {
    const isSaid =
      parent?.type === 'CallExpression' &&
      parent.callee.name === 'fault' &&
      listKey === 'arguments';
    const isHint =
      node.type === 'ObjectExpression' &&
      node.properties.length > 0 &&
      node.properties.every((property) => property.key?.name === 'hint');
    return (isSaid && key >= 2) || isHint ? 'words' : undefined;
  },
};

/** Tells by folder how many faults were seen; of those drawn, with what holds it 19 times in 20. */
class ByFolder {
  static inject = [];
  onMutationTestReportReady({ files }) {
    const folders = new Map();
    for (const [path, { mutants }] of Object.entries(files)) {
      const folder = dirname(path);
      const counts = folders.get(folder) ?? { seen: 0, unseen: 0, unreached: 0 };
      for (const { status } of mutants) {
        if (status === 'Killed' || status === 'Timeout') counts.seen += 1;
        if (status === 'Survived') counts.unseen += 1;
        if (status === 'NoCoverage') counts.unreached += 1;
      }
      folders.set(folder, counts);
    }
    for (const [folder, { seen, unseen, unreached }] of [...folders].sort()) {
      const run = seen + unseen;
      const [low, high] = wilson(seen, run).map((rate) => Math.round(100 * rate));
      const all = `${seen} of ${run} seen`;
      const drawn = ONE_IN === 1 ? '' : `, one drawn of ${ONE_IN}: ${low} to ${high} %`;
      console.log(`${folder}: ${all}${drawn}; ${unreached} more that no test reaches`);
    }
  }
}

/** Wilson's interval of a proportion (Journal of the American Statistical Association 22, 1927). */
function wilson(x, n) {
  const z = 1.96;
  const middle = x + z ** 2 / 2;
  const half = z * Math.sqrt((x * (n - x)) / n + z ** 2 / 4);
  return [(middle - half) / (n + z ** 2), (middle + half) / (n + z ** 2)];
}

export const strykerPlugins = [
  declareClassPlugin(PluginKind.Reporter, 'by-folder', ByFolder),
  declareClassPlugin(PluginKind.TestRunner, 'in-process', InProcessRunner),
  declareValuePlugin(PluginKind.Ignore, 'words', words),
];
