#!/usr/bin/env node
// Of the older kind of module, which Node starts sooner; and one file, for each costs a millisecond.
// Loads the scripts of dist/ with the compiled code kept beside them. Compiling is most of what a
// short command costs, and Node keeps compiled code for scripts only, not for modules. What every
// morning's commands load stands together in one script, MORNING.
const T0=performance.now();const marks=[];globalThis.__mark=(n)=>marks.push([n,performance.now()]);process.on('exit',()=>{console.error('MARKS'+JSON.stringify([['boot',T0],...marks,['exit',performance.now()]]))});
const { readFileSync, writeFileSync } = require('node:fs');
const { join } = require('node:path');

const MORNING = 'morning.js';
const folder = join(__dirname, '..', 'dist');
/** What has been loaded, by name. */
const modules = new Map();
/** What was run to load it, by path. */
const scripts = new Map();

function read(path, how) {
  try {
    return readFileSync(path, how);
  } catch (error) {
    if (error.code === 'ENOENT') return null;
    throw error;
  }
}

/** Runs a script of dist/ and returns what it exports; null if there is no such script. */
function run(name) {
  const path = join(folder, name);
  // ASCII all through: Node reads it as UTF-8 in one call, and as fast as by the byte.
  const source = read(path, 'utf8');
  if (source === null) return null;
  const { Script } = require('node:vm');
  // A cache of another Node is refused by V8, and the script compiled as ever.
  const script = new Script(source, {
    filename: path,
    cachedData: read(`${path}.compiled`) ?? undefined,
  });
  scripts.set(path, script);__mark('script '+name+' '+script.cachedDataRejected);
  const module = { exports: {} };
  // Before it runs: two modules may need each other.
  modules.set(name, module);
  script.runInThisContext()(module.exports, requireFrom, module, path, folder);
  return module.exports;
}

let morning = null;

/** What a module of dist/ exports; null if there is no such module. */
function load(name) {
  const known = modules.get(name);
  if (known !== undefined) return known.exports;
  morning ??= run(MORNING)?.modules ?? {};
  if (!Object.hasOwn(morning, name)) return run(name);
  const exports = morning[name]();
  modules.set(name, { exports });
  return exports;
}

/** What has been loaded of Node itself, by name: its own `require` takes longer to find it again. */
const builtins = new Map();

function requireFrom(name) {
  if (name.startsWith('./')) return load(name.slice(2));
  const known = builtins.get(name);
  if (known !== undefined) return known;
  const builtin = require(name);
  builtins.set(name, builtin);
  return builtin;
}

/** For the build: the names of what has been loaded, and keeping what has been compiled. */
function loadedNames() {
  return [...modules.keys()];
}
function keepCompiled() {
  for (const [path, script] of scripts)
    writeFileSync(`${path}.compiled`, script.createCachedData());
}

async function main() {
  // Answered before anything else is loaded, so that asking for the version costs no more than Node.
  if (process.argv.length === 3 && (process.argv[2] === '--version' || process.argv[2] === '-V')) {
    const { version } = JSON.parse(readFileSync(join(__dirname, '..', 'package.json'), 'utf8'));
    console.log(version);
    return;
  }
  __mark('main');const program = load('cli.js');__mark('loaded');
  if (program === null) {
    console.error('traybook: the program is not built: run  npm run build');
    process.exitCode = 3;
    return;
  }
  // To end at once costs less than to take everything apart.
  if (await program.main(process.argv)) process.exit();
}

main();

