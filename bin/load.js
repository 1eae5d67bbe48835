// Loads the scripts of dist/ with the compiled code kept beside them. Compiling is most of what a
// short command costs, and Node keeps compiled code for scripts only, not for modules.
import { readFileSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Script } from 'node:vm';

const require = createRequire(import.meta.url);
const folder = join(dirname(fileURLToPath(import.meta.url)), '..', 'dist');
const loaded = new Map();

function read(path, encoding) {
  try {
    return readFileSync(path, encoding);
  } catch (error) {
    if (error.code === 'ENOENT') return null;
    throw error;
  }
}

/** What a script of dist/ exports; null if there is no such script. */
export function load(name) {
  const known = loaded.get(name);
  if (known !== undefined) return known.module.exports;
  const path = join(folder, name);
  const source = read(path, 'latin1');
  if (source === null) return null;
  // A cache of another Node is refused by V8, and the script compiled as ever.
  const script = new Script(
    `(function(exports,require,module,__filename,__dirname){${source}\n})`,
    { filename: path, cachedData: read(`${path}.compiled`) ?? undefined },
  );
  const module = { exports: {} };
  loaded.set(name, { module, script, path });
  script.runInThisContext()(module.exports, requireFrom, module, path, folder);
  return module.exports;
}

function requireFrom(name) {
  return name.startsWith('./') ? load(name.slice(2)) : require(name);
}

// For the build: what has been compiled by the end of a run is kept.
if (process.env.TRAYBOOK_KEEP_COMPILED)
  process.on('exit', () => {
    for (const { script, path } of loaded.values())
      writeFileSync(`${path}.compiled`, script.createCachedData());
  });
