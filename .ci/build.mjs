// Bundles src/ into dist/, one chunk a command, libraries included.
import { execFileSync } from 'node:child_process';
import { cpSync, existsSync, mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { basename, dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = join(dirname(fileURLToPath(import.meta.url)), '..');
const require = createRequire(import.meta.url);

let esbuild;
try {
  esbuild = await import('esbuild');
} catch {
  // An install without development packages (`npm ci --omit=dev`): nothing to build with.
  if (existsSync(join(root, 'dist', 'cli.js'))) process.exit(0);
  console.error(
    'traybook: dist/ is not built and esbuild is not installed: run npm ci without --omit=dev',
  );
  process.exit(0);
}
const { version } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8'));
const { apiTypes } = await import('./api-types.mjs');
const { seeds } = await import('./seeds.mjs');
const { thirdParty } = await import('./third-party.mjs');

// commander loads child_process, and with it Node's streams and sockets, for commands that are programs
// of their own. There are none here, and loading it costs a tenth of Node's own start.
const noPrograms = {
  name: 'no programs of their own',
  setup(build) {
    build.onResolve({ filter: /^node:child_process$/ }, ({ importer }) =>
      /[\\/]commander[\\/]/.test(importer) ? { path: 'none', namespace: 'none' } : null,
    );
    build.onLoad({ filter: /.*/, namespace: 'none' }, () => ({ contents: 'module.exports = {};' }));
  },
};

rmSync(join(root, 'dist'), { recursive: true, force: true });
mkdirSync(join(root, 'dist'), { recursive: true });
const dist = join(root, 'dist');
const { outputFiles, metafile } = await esbuild.build({
  absWorkingDir: root,
  entryPoints: { cli: 'src/cli.ts', api: 'src/api.ts' },
  outdir: 'dist',
  bundle: true,
  splitting: true,
  minifySyntax: true,
  minifyWhitespace: true,
  format: 'esm',
  platform: 'node',
  target: 'node20',
  chunkNames: '[name]-[hash]',
  legalComments: 'linked',
  logLevel: 'warning',
  plugins: [seeds, noPrograms],
  // As a script the solver's loader finds its folder by itself; as a module it asks where it stands.
  alias: { highs: require.resolve('highs') },
  define: { TRAYBOOK_VERSION: JSON.stringify(version) },
  write: false,
  metafile: true,
});
/** How a module becomes a script. */
const asScript = {
  format: 'cjs',
  platform: 'node',
  target: 'node20',
  supported: { 'dynamic-import': false },
  minifySyntax: true,
  minifyWhitespace: true,
  // The scripts are kept byte by byte, and so take half the room, as only ASCII can be.
  charset: 'ascii',
};
/** The code of a module as a function, which is what `bin/traybook.js` runs. */
const wrapped = (code) => `(function(exports,require,module,__filename,__dirname){${code}\n})`;
// Only modules can be split, but only scripts can be compiled ahead: so the chunks become scripts,
// which bin/traybook.js loads with the compiled code kept beside each.
for (const { path, text } of outputFiles) {
  if (!path.endsWith('.js')) {
    writeFileSync(path, text);
    continue;
  }
  const { code } = await esbuild.transform(text, asScript);
  writeFileSync(path, wrapped(code));
}
// The licence texts of all that is bundled go with it, and the list of it.
const { text: licences, bill } = thirdParty(root, Object.keys(metafile.inputs), version);
writeFileSync(join(dist, 'THIRD-PARTY.txt'), licences);
writeFileSync(join(dist, 'bom.cdx.json'), `${JSON.stringify(bill, null, 2)}\n`);
// The solver reads its WebAssembly file from beside the chunk that loads it.
cpSync(require.resolve('highs/runtime'), join(dist, 'highs.wasm'));
// The shapes of `--json`, for other programs: run once, from a script that is not kept.
const shapes = join(dist, 'shapes.cjs');
await esbuild.build({
  absWorkingDir: root,
  entryPoints: ['src/tables/shapes.ts'],
  outfile: shapes,
  bundle: true,
  ...asScript,
  plugins: [seeds],
});
const { jsonSchemas } = require(shapes);
rmSync(shapes);
mkdirSync(join(dist, 'schemas'));
for (const [name, schema] of jsonSchemas())
  writeFileSync(join(dist, 'schemas', `${name}.json`), `${JSON.stringify(schema, null, 2)}\n`);
// For scripts: a module that loads what the launcher loads, and the types of what it reads.
const api = createRequire(import.meta.url)('../bin/traybook.js').load('api.js');
writeFileSync(
  join(dist, 'api.mjs'),
  `import { createRequire } from 'node:module';
const { load } = createRequire(import.meta.url)('../bin/traybook.js');
export const { ${Object.keys(api).sort().join(', ')} } = load('api.js');
`,
);
writeFileSync(join(dist, 'api.d.ts'), apiTypes(jsonSchemas(), api.documentNames));
// The page for `man`, made by the program itself.
writeFileSync(
  join(root, 'dist', 'traybook.1'),
  execFileSync(process.execPath, [join(root, 'bin', 'traybook.js'), 'guide', '--man']),
);
// What the commands of every morning load stands in one script, with the code that they compile, kept
// for the Node that builds; another Node compiles anew. Without the examples there is nothing to try.
if (existsSync(join(root, 'examples', 'now.json'))) {
  const morning = (...what) =>
    execFileSync(process.execPath, [join(root, '.ci', 'morning.mjs'), ...what], {
      stdio: ['ignore', 'ignore', 'inherit'],
    });
  const list = join(dist, 'morning.json');
  morning('names', list);
  const names = JSON.parse(readFileSync(list, 'utf8'));
  rmSync(list);
  writeFileSync(join(dist, 'morning.js'), await oneScript(names));
  for (const name of names) rmSync(join(dist, name));
  morning('keep');
}

/**
 * Some of the modules joined into one script, in which they call each other without a detour. It
 * exports, by the name of each, what makes the exports of that module for those that stand outside.
 */
async function oneScript(names) {
  const texts = new Map(outputFiles.map(({ path, text }) => [basename(path), text]));
  const lines = names.map((name, n) => {
    const exported = metafile.outputs[`dist/${name}`].exports;
    const from = (one) => JSON.stringify(one);
    return {
      imports: `import {${exported.map((one) => `${one} as e${n}_${one}`)}} from ${from(`./${name}`)};`,
      row: `${from(name)}: () => ({${exported.map((one) => `get ${one}() { return e${n}_${one}; }`)}})`,
    };
  });
  const { outputFiles: scripts } = await esbuild.build({
    ...asScript,
    stdin: {
      contents: [
        ...lines.map(({ imports }) => imports),
        `export const modules = {${lines.map(({ row }) => row)}};`,
      ].join('\n'),
      resolveDir: dist,
    },
    bundle: true,
    write: false,
    logLevel: 'warning',
    plugins: [
      {
        name: 'modules in memory',
        setup(build) {
          build.onResolve({ filter: /^\.\/[^/]+\.js$/ }, ({ path, kind }) => {
            const name = basename(path);
            // What is loaded when it is needed asks the launcher, which knows what is here.
            return kind === 'dynamic-import' || !names.includes(name)
              ? { path, external: true }
              : { path: name, namespace: 'module' };
          });
          build.onLoad({ filter: /.*/, namespace: 'module' }, ({ path }) => ({
            contents: texts.get(path),
            resolveDir: dist,
          }));
        },
      },
    ],
  });
  return wrapped(scripts[0].text);
}
