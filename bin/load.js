// Loads the scripts of dist/ with the compiled code kept beside them. Compiling is most of what a
// short command costs, and Node keeps compiled code for scripts only, not for modules. The scripts
// of every morning's commands stand together in one, MORNING: opening many files costs too.
const { readFileSync, writeFileSync } = require('node:fs');
const { join } = require('node:path');
const { Script } = require('node:vm');

const MORNING = 'morning.js';
const folder = join(__dirname, '..', 'dist');
/** What has been loaded, by name. */
const modules = new Map();
/** What was run to load it, by path. */
const scripts = new Map();

function read(path, encoding) {
  try {
    return readFileSync(path, encoding);
  } catch (error) {
    if (error.code === 'ENOENT') return null;
    throw error;
  }
}

/** Runs a script of dist/ and returns what it exports; null if there is no such script. */
function run(name) {
  const path = join(folder, name);
  const source = read(path, 'latin1');
  if (source === null) return null;
  // A cache of another Node is refused by V8, and the script compiled as ever.
  const script = new Script(source, {
    filename: path,
    cachedData: read(`${path}.compiled`) ?? undefined,
  });
  scripts.set(path, script);
  const module = { exports: {} };
  script.runInThisContext()(module.exports, requireFrom, module, path, folder);
  return module.exports;
}

let morning = null;

/** What a module of dist/ exports; null if there is no such module. */
function load(name) {
  const known = modules.get(name);
  if (known !== undefined) return known;
  morning ??= run(MORNING)?.modules ?? {};
  const exported = Object.hasOwn(morning, name) ? morning[name]() : run(name);
  if (exported !== null) modules.set(name, exported);
  return exported;
}

function requireFrom(name) {
  return name.startsWith('./') ? load(name.slice(2)) : require(name);
}

/** For the build: the names of what has been loaded, and keeping what has been compiled. */
function loadedNames() {
  return [...modules.keys()];
}
function keepCompiled() {
  for (const [path, script] of scripts)
    writeFileSync(`${path}.compiled`, script.createCachedData());
}

module.exports = { MORNING, load, loadedNames, keepCompiled };
