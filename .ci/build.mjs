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

rmSync(join(root, 'dist'), { recursive: true, force: true });
mkdirSync(join(root, 'dist'), { recursive: true });
await esbuild.build({
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
  chunkNames: 'chunks/[name]-[hash]',
  legalComments: 'linked',
  logLevel: 'warning',
  plugins: [seeds],
  define: { TRAYBOOK_VERSION: JSON.stringify(version) },
  // Names of its own only: a bundled library may declare a class `URL` in the same chunk.
  banner: {
    js: "import{createRequire as traybookRequire}from'node:module';import{dirname as traybookDirectory}from'node:path';import{fileURLToPath as traybookPath}from'node:url';const require=traybookRequire(import.meta.url);const __filename=traybookPath(import.meta.url);const __dirname=traybookDirectory(__filename);",
  },
});
// The solver reads its WebAssembly file from beside the chunk that loads it.
const wasm = require.resolve('highs/runtime');
mkdirSync(join(root, 'dist', 'chunks'), { recursive: true });
cpSync(wasm, join(root, 'dist', 'chunks', 'highs.wasm'));
// The page for `man`, made by the program itself.
writeFileSync(
  join(root, 'dist', 'traybook.1'),
  execFileSync(process.execPath, [join(root, 'bin', 'traybook.js'), 'guide', '--man']),
);
