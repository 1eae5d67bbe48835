// Bundles src/ into dist/, one chunk a command, libraries included.
import { execFileSync } from 'node:child_process';
import { cpSync, existsSync, mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
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
const { seeds } = await import('./seeds.mjs');

// commander starts other programs, which we never ask of it: what does that is loaded for nothing,
// and takes as long as half of commander's own start.
const COMMANDER_STARTS = "const childProcess = require('node:child_process');";
const leanCommander = {
  name: 'lean-commander',
  setup(build) {
    build.onLoad({ filter: /commander[\\/]lib[\\/]command\.js$/ }, ({ path }) => {
      const contents = readFileSync(path, 'utf8');
      if (!contents.includes(COMMANDER_STARTS)) throw new Error(`not as expected: ${path}`);
      return {
        contents: contents.replace(
          COMMANDER_STARTS,
          "const childProcess = { spawn: (...words) => require('node:child_process').spawn(...words) };",
        ),
        loader: 'js',
      };
    });
  },
};

rmSync(join(root, 'dist'), { recursive: true, force: true });
mkdirSync(join(root, 'dist'), { recursive: true });
const dist = join(root, 'dist');
const { outputFiles } = await esbuild.build({
  absWorkingDir: root,
  entryPoints: { cli: 'src/cli.ts' },
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
  plugins: [seeds, leanCommander],
  // As a script the solver's loader finds its folder by itself; as a module it asks where it stands.
  alias: { highs: require.resolve('highs') },
  define: { TRAYBOOK_VERSION: JSON.stringify(version) },
  write: false,
});
// Only modules can be split, but only scripts can be compiled ahead: so the chunks become scripts,
// which bin/traybook.js loads with the compiled code kept beside each.
for (const { path, text } of outputFiles) {
  if (!path.endsWith('.js')) {
    writeFileSync(path, text);
    continue;
  }
  const { code } = await esbuild.transform(text, {
    format: 'cjs',
    platform: 'node',
    target: 'node20',
    supported: { 'dynamic-import': false },
    minifySyntax: true,
    minifyWhitespace: true,
    // The scripts are read byte by byte, which only ASCII allows.
    charset: 'ascii',
  });
  writeFileSync(path, code);
}
// The solver reads its WebAssembly file from beside the chunk that loads it.
cpSync(require.resolve('highs/runtime'), join(dist, 'highs.wasm'));
// The shapes of `--json`, for other programs.
const shapes = await esbuild.build({
  absWorkingDir: root,
  entryPoints: ['src/shapes/index.ts'],
  bundle: true,
  format: 'esm',
  platform: 'node',
  write: false,
});
const { jsonSchemas } = await import(
  `data:text/javascript;base64,${Buffer.from(shapes.outputFiles[0].contents).toString('base64')}`
);
mkdirSync(join(dist, 'schemas'));
for (const [name, schema] of jsonSchemas())
  writeFileSync(join(dist, 'schemas', `${name}.json`), `${JSON.stringify(schema, null, 2)}\n`);
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
  const parts = names.map((name) => {
    const source = readFileSync(join(dist, name), 'utf8');
    rmSync(join(dist, name));
    return `${JSON.stringify(name)}:function(exports,require,module,__filename,__dirname){${source}\n}`;
  });
  writeFileSync(join(dist, 'morning.js'), `({${parts.join(',\n')}})`);
  morning('keep');
}
