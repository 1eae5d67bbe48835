// npm run bench: start-up and everyday commands as ratios to Node running an empty script, in the
// same run. Nothing here passes or fails: the figures depend on the machine, the ratios hardly.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { against, empty, peak, root, traybook } from './measure.mjs';

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

const cases = [
  { name: 'traybook --version', words: [node, traybook, '--version'], aim: 1.2 },
  { name: 'traybook today (finished season)', words: finished('today'), aim: 2 },
  { name: 'traybook check (finished season)', words: finished('check') },
  { name: 'traybook summary (finished season)', words: finished('summary') },
];

const cell = (value, width) => String(value).padStart(width);
console.log(`${process.version}, ${rounds} rounds each, median of pairwise ratios`);
console.log(`yardstick: node empty.mjs, peak ${peak(empty).toFixed(0)} MiB`);
console.log('');
console.log(
  `${'command'.padEnd(38)}${cell('yardstick s', 12)}${cell('command s', 11)}${cell('ratio', 7)}${cell('aim', 6)}${cell('MiB', 6)}`,
);
for (const { name, words, aim } of cases) {
  const { yardstick, seconds, ratio } = against(words, empty, rounds);
  console.log(
    name.padEnd(38) +
      cell(yardstick.toFixed(3), 12) +
      cell(seconds.toFixed(3), 11) +
      cell(ratio.toFixed(2), 7) +
      cell(aim ?? '', 6) +
      cell(peak(words).toFixed(0), 6),
  );
}
