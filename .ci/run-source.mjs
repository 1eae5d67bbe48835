// Runs a TypeScript entry of this project from a clean clone: bundled in memory of a temporary
// file, so that development commands need no build and leave nothing behind.
//   node .ci/run-source.mjs tests/vectors/main.ts DIR
// The entry exports main(words, folder it was called from) and gets to say the exit code.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { bundle } from './bundle.mjs';

const [entry, ...words] = process.argv.slice(2);
const folder = mkdtempSync(join(tmpdir(), 'traybook-'));
try {
  const { main } = await import(pathToFileURL(await bundle(entry, folder)).href);
  process.exitCode = await main(words, process.env.INIT_CWD ?? process.cwd());
} finally {
  rmSync(folder, { recursive: true, force: true });
}
