// npm run demo: one morning of the example season, on a copy, each command before what it prints.
import { spawnSync } from 'node:child_process';
import { cpSync, existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const here = dirname(fileURLToPath(import.meta.url));
const program = join(here, '..', 'bin', 'traybook.js');
const now = JSON.parse(readFileSync(join(here, 'now.json'), 'utf8')).midseason;

const steps = JSON.parse(readFileSync(join(here, 'demo.json'), 'utf8'));
const season = join(here, 'midseason');
if (!existsSync(season)) throw new Error(`the example season is missing: ${season}`);

const place = mkdtempSync(join(tmpdir(), 'traybook-demo-'));
const copy = join(place, 'midseason');
let worst = 0;
try {
  cpSync(season, copy, { recursive: true });
  // The season before it, which it is compared with.
  cpSync(join(here, 'finished'), join(place, 'finished'), { recursive: true });
  console.log(`A copy of examples/midseason, as if it were ${now.replace('T', ' ')}.`);
  for (const { say, words, accept = [0], lines } of steps) {
    console.log(`\n# ${say}\n$ traybook ${words.map(quoted).join(' ')}`);
    const shown = lines === undefined ? 'inherit' : 'pipe';
    const child = spawnSync(process.execPath, [program, '--now', now, ...words], {
      cwd: copy,
      stdio: ['ignore', shown, 'inherit'],
      encoding: 'utf8',
    });
    if (lines !== undefined) {
      const all = child.stdout.trimEnd().split('\n');
      console.log(all.slice(0, lines).join('\n'));
      if (all.length > lines) console.log(`… ${all.length - lines} lines more`);
    }
    if (!accept.includes(child.status)) {
      console.error(`that ended with exit code ${child.status}, not ${accept.join(' or ')}`);
      worst = 1;
    }
  }
} finally {
  rmSync(place, { recursive: true, force: true });
}
process.exitCode = worst;

function quoted(word) {
  return /^[\w./:=-]+$/.test(word) ? word : `'${word}'`;
}
