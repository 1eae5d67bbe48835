// Runs a TypeScript entry of this project from a clean clone: bundled in memory of a temporary
// file, so that development commands need no build and leave nothing behind.
//   node .ci/run-source.mjs src/vectors/main.ts DIR
// The entry exports main(words, folder it was called from) and gets to say the exit code.
import { cpSync, mkdtempSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { build } from 'esbuild';
import { seeds } from './seeds.mjs';

const root = join(dirname(fileURLToPath(import.meta.url)), '..');
const [entry, ...words] = process.argv.slice(2);
const folder = mkdtempSync(join(tmpdir(), 'traybook-'));
try {
  const outfile = join(folder, 'entry.mjs');
  await build({
    absWorkingDir: root,
    entryPoints: [entry],
    outfile,
    bundle: true,
    format: 'esm',
    platform: 'node',
    target: 'node20',
    logLevel: 'warning',
    plugins: [seeds],
    banner: {
      js: "import{createRequire as traybookRequire}from'node:module';const require=traybookRequire(import.meta.url);",
    },
  });
  // The solver reads its WebAssembly file from beside the code that loads it.
  cpSync(createRequire(import.meta.url).resolve('highs/runtime'), join(folder, 'highs.wasm'));
  const { main } = await import(pathToFileURL(outfile).href);
  process.exitCode = await main(words, process.env.INIT_CWD ?? process.cwd());
} finally {
  rmSync(folder, { recursive: true, force: true });
}
