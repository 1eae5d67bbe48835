// Bundles a TypeScript entry of this project into one module that Node runs by itself, for what
// runs from the sources: development commands, and tests that start processes.
import { cpSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';
import { seeds } from './seeds.mjs';

const root = join(dirname(fileURLToPath(import.meta.url)), '..');

/** Writes the module of an entry such as `tests/vectors/main.ts` into a folder; returns its path. */
export async function bundle(entry, folder) {
  const outfile = join(folder, `${entry.replaceAll('/', '-').replace(/\.ts$/, '')}.mjs`);
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
    define: { TRAYBOOK_VERSION: '"from source"' },
    // Names of its own only: a bundled library may declare any other.
    banner: {
      js: "import{createRequire as traybookRequire}from'node:module';import{fileURLToPath as traybookPath}from'node:url';const require=traybookRequire(import.meta.url);const __filename=traybookPath(import.meta.url);",
    },
  });
  // The solver reads its WebAssembly file from beside the code that loads it.
  cpSync(createRequire(import.meta.url).resolve('highs/runtime'), join(folder, 'highs.wasm'));
  return outfile;
}
