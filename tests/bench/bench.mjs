// npm run bench: start-up and everyday commands as ratios to Node running an empty script, in the
// same run. Nothing here passes or fails: the figures depend on the machine, the ratios hardly.
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { against, empty, emptyOlder, met, peak, root, traybook } from './measure.mjs';
import { tenThousandBirds } from './ten-thousand-birds.mjs';

const rounds = Number(process.argv[2] ?? 21);
const nows = JSON.parse(readFileSync(join(root, 'examples', 'now.json'), 'utf8'));
const node = process.execPath;
const finished = (...words) => [
  node,
  traybook,
  '--season',
  join(root, 'examples', 'finished'),
  '--now',
  nows.finished,
  ...words,
];

const folder = mkdtempSync(join(tmpdir(), 'traybook-bench-'));
const wide = tenThousandBirds(join(folder, 'wide'));

const cases = [
  { name: 'an empty script, CommonJS', words: emptyOlder },
  { name: 'traybook --version', words: [node, traybook, '--version'], aim: 1.2 },
  { name: 'traybook today (finished season)', words: finished('today'), aim: 2 },
  { name: 'traybook check (finished season)', words: finished('check') },
  { name: 'traybook summary (finished season)', words: finished('summary') },
  {
    name: 'traybook breeders (10 000 birds)',
    words: [node, traybook, '--season', wide, '--now', '2027-03-01', 'breeders'],
    most: 3,
  },
  {
    name: 'traybook breeders --mate (60 birds)',
    words: finished('breeders', '--mate', '--line', 'dorking'),
    most: 3,
  },
];

const cell = (value, width) => String(value).padStart(width);
console.log(`${process.version}, ${rounds} rounds each, median of pairwise ratios`);
console.log(`yardstick: node empty.mjs, peak ${peak(empty).toFixed(0)} MiB`);
console.log('');
console.log(
  `${'command'.padEnd(38)}${cell('yardstick s', 12)}${cell('command s', 11)}${cell('ratio', 7)}${cell('MiB', 5)}  aim`,
);
for (const { name, words, aim, most = rounds } of cases) {
  const { yardstick, seconds, ratio } = against(words, empty, Math.min(most, rounds));
  console.log(
    name.padEnd(38) +
      cell(yardstick.toFixed(3), 12) +
      cell(seconds.toFixed(3), 11) +
      cell(ratio.toFixed(2), 7) +
      cell(peak(words).toFixed(0), 5) +
      met(ratio, aim, 'times'),
  );
}
rmSync(folder, { recursive: true, force: true });
