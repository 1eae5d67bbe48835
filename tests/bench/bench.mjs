// npm run bench: start-up and everyday commands as ratios to Node running an empty script, in the
// same run. Nothing here passes or fails: the figures depend on the machine, the ratios hardly.
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { hundredThousandEggs } from './hundred-thousand-eggs.mjs';
import { against, empty, emptyOlder, met, peak, root, traybook } from './measure.mjs';
import { tenThousandBirds } from './ten-thousand-birds.mjs';

const rounds = Number(process.argv[2] ?? 21);
const nows = JSON.parse(readFileSync(join(root, 'examples', 'now.json'), 'utf8'));
const node = process.execPath;
const on =
  (name) =>
  (...words) => [
    ...[node, traybook, '--season', join(root, 'examples', name), '--now', nows[name]],
    ...words,
  ];
const finished = on('finished');
const midseason = on('midseason');

const folder = mkdtempSync(join(tmpdir(), 'traybook-bench-'));
const wide = tenThousandBirds(join(folder, 'wide'));
const hall = hundredThousandEggs(join(folder, 'hall'));
const ofHall = (name) => ({
  name: `traybook ${name} (100 000 eggs)`,
  words: [node, traybook, '--season', hall, '--now', '2028-01-15T08:00', name],
  // A second, where an empty script takes a twentieth of it.
  aim: 20,
  most: 3,
});

const cases = [
  { name: 'an empty script, CommonJS', words: emptyOlder },
  { name: 'traybook --version', words: [node, traybook, '--version'], aim: 1.2 },
  { name: 'traybook today (finished season)', words: finished('today'), aim: 1.5 },
  { name: 'traybook today (season under way)', words: midseason('today'), aim: 1.5 },
  { name: 'traybook check (finished season)', words: finished('check') },
  { name: 'traybook occupancy', words: midseason('occupancy') },
  { name: 'traybook calendar', words: midseason('calendar') },
  { name: 'traybook brooders', words: midseason('brooders'), aim: 3 },
  { name: 'traybook flock', words: midseason('flock') },
  { name: 'traybook costs', words: midseason('costs') },
  { name: 'traybook list hatch', words: midseason('list', 'hatch') },
  { name: 'traybook summary (finished season)', words: finished('summary') },
  { name: 'traybook review', words: midseason('review'), aim: 6, most: 5 },
  { name: 'traybook diagnose', words: midseason('diagnose'), aim: 6, most: 5 },
  { name: 'traybook rates', words: midseason('rates'), aim: 4, most: 5 },
  {
    name: 'traybook eggs-for',
    words: midseason('eggs-for', '40', '--want', 'pullets', '--of', 'dorking'),
    aim: 5,
    most: 5,
  },
  { name: 'traybook forecast', words: midseason('forecast'), aim: 15, most: 3 },
  ...['rates', 'review', 'diagnose'].map(ofHall),
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
