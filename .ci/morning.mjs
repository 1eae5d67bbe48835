// Runs the commands of a morning on the examples in one process, as the launcher does, for the build:
//   node .ci/morning.mjs names FILE   writes to a file which scripts of dist/ they load
//   node .ci/morning.mjs keep         keeps the compiled code of those scripts beside them
import { readFileSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = join(dirname(fileURLToPath(import.meta.url)), '..');
const { keepCompiled, load, loadedNames } = createRequire(import.meta.url)('../bin/traybook.js');

const { main } = load('cli.js');
for (const [name, now] of Object.entries(
  JSON.parse(readFileSync(join(root, 'examples', 'now.json'), 'utf8')),
))
  await main(['', '', '--season', join(root, 'examples', name), '--now', now, 'today']);
if (process.argv[2] === 'names') writeFileSync(process.argv[3], JSON.stringify(loadedNames()));
else keepCompiled();
