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
/** What was evaluated to load it, by name. */
const scripts = new Map();

function read(path, encoding) {
  try {
    return readFileSync(path, encoding);
  } catch (error) {
    if (error.code === 'ENOENT') return null;
    throw error;
  }
}

/** The value of a script of dist/ between a head and a tail; null if there is no such script. */
function evaluated(name, head = '', tail = '') {
  const path = join(folder, name);
  const source = read(path, 'latin1');
  if (source === null) return null;
  // A cache of another Node is refused by V8, and the script compiled as ever.
  const script = new Script(head + source + tail, {
    filename: path,
    cachedData: read(`${path}.compiled`) ?? undefined,
  });
  scripts.set(path, script);
  return script.runInThisContext();
}

let morning = null;

/** What a script of dist/ exports; null if there is no such script. */
function load(name) {
  const known = modules.get(name);
  if (known !== undefined) return known.exports;
  morning ??= evaluated(MORNING) ?? {};
  const run =
    morning[name] ??
    evaluated(name, '(function(exports,require,module,__filename,__dirname){', '\n})');
  if (run === null) return null;
  const module = { exports: {} };
  modules.set(name, module);
  run(module.exports, requireFrom, module, join(folder, name), folder);
  return module.exports;
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
