// Turns an imported `.yaml` seed into a plain value when the program is built, so that
// start-up never parses a reference table. The tests check every seed against its schema.
import { readFileSync } from 'node:fs';
import { parse } from 'yaml';

const TEXT = /\.md$|[\\/]starter[\\/]/;

function moduleOf(path) {
  const value = parse(readFileSync(path, 'utf8'), { maxAliasCount: 0 });
  return `export default JSON.parse(${JSON.stringify(JSON.stringify(value))});`;
}

/** From this length on, in characters, the parts of a table are parsed when somebody looks at them. */
const LARGE = 8192;

/** Code that makes a value; of a large table each part is made on its own, when first looked at. */
function codeOf(value, depth = 0) {
  const json = JSON.stringify(value);
  const isTable = typeof value === 'object' && value !== null && !Array.isArray(value);
  if (!isTable || json.length < LARGE || depth === 2) return `JSON.parse(${JSON.stringify(json)})`;
  const parts = Object.entries(value).map(
    ([key, part]) => `${JSON.stringify(key)}:()=>${codeOf(part, depth + 1)}`,
  );
  return `lazyParts({${parts.join(',')}})`;
}

const LAZY_PARTS = `const lazyParts = (makers) => {
  const out = {};
  for (const key of Object.keys(makers))
    Object.defineProperty(out, key, {
      configurable: true,
      enumerable: true,
      get() {
        const value = makers[key]();
        Object.defineProperty(out, key, { value, configurable: true, enumerable: true, writable: true });
        return value;
      },
    });
  return out;
};`;

function lazyModuleOf(path) {
  const value = parse(readFileSync(path, 'utf8'), { maxAliasCount: 0 });
  return `${LAZY_PARTS}\nexport default ${codeOf(value)};`;
}

/** A module whose value is made when the program is built: bundled, run, and kept as that value. */
const MADE = /[\\/]season-shape\.ts$/;

async function madeModuleOf(path, { build }) {
  const { outputFiles } = await build({
    entryPoints: [path],
    bundle: true,
    format: 'esm',
    platform: 'node',
    write: false,
  });
  const code = Buffer.from(outputFiles[0].contents).toString('base64');
  const { default: value } = await import(`data:text/javascript;base64,${code}`);
  return `export default JSON.parse(${JSON.stringify(JSON.stringify(value))});`;
}

/** For esbuild. */
export const seeds = {
  name: 'seeds',
  setup(build) {
    // A manual page and the files of a new season are carried as text.
    build.onLoad({ filter: TEXT }, (args) => ({
      contents: readFileSync(args.path, 'utf8'),
      loader: 'text',
    }));
    build.onLoad({ filter: MADE }, async (args) => ({
      contents: await madeModuleOf(args.path, build.esbuild),
      loader: 'js',
    }));
    build.onLoad({ filter: /\.yaml$/ }, (args) => ({
      contents: lazyModuleOf(args.path),
      loader: 'js',
    }));
  },
};

/** For vitest. */
export const seedsForVite = {
  name: 'seeds',
  enforce: 'pre',
  load(id) {
    if (TEXT.test(id)) return `export default ${JSON.stringify(readFileSync(id, 'utf8'))};`;
    if (id.endsWith('.yaml')) return moduleOf(id);
    return null;
  },
};
