// How much an ordinary week of writing costs a keeper of three pens. The farm is invented; the two
// ways must leave the same rows.
import {
  cpSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { noteLines } from '../../src/commands/entries.ts';
import { answer } from '../support/in-process.ts';

const MOST_COMMANDS = 20;
const MOST_KEYS = 900;

const root = mkdtempSync(join(tmpdir(), 'traybook-week-'));
afterAll(() => rmSync(root, { recursive: true, force: true }));

const farm = `format: traybook/1
season: 2027
place: {name: Three Pens, timezone: Europe/London}
lines:
  sussex: {species: chicken, class: dual-purpose}
pens:
  north: {line: sussex, hens: 11, males: 2, joined: 2027-01-04}
  south: {line: sussex, hens: 11, males: 2, joined: 2027-01-04}
  east: {line: sussex, hens: 9, males: 1, joined: 2027-01-04}
setters:
  cabinet: {trays: 8, tray_holds: {chicken: 60}}
hatchers:
  lower: {holds: {chicken: 120}}
brooders:
  barn: {area: 8}
plan:
  - {set: D7, on: 2027-04-10, trays: [3], shares: {north: 20, south: 20, east: 16}}
`;

/** Day and minute of a command, and what is typed after the prompt. */
type Typed = readonly [when: string, line: string];

const days = Array.from({ length: 7 }, (_, n) => `2027-04-${String(n + 5).padStart(2, '0')}`);
/** What the season knows before the week. */
const before: readonly Typed[] = [
  ...['2027-04-02', '2027-04-03', '2027-04-04'].map(
    (day): Typed => [`${day}T18:00`, 'traybook add eggs north=10/9 south=9/9 east=8/7'],
  ),
  ['2027-03-17T10:00', 'traybook add set D3 north=18/1 south=18/1 east=12/1'],
  ['2027-03-24T10:00', 'traybook add candling D3 north=1 south=1 east=1'],
  ['2027-04-04T10:00', 'traybook add transfer D3 north=17 south=17 east=11'],
  ['2027-03-20T10:00', 'traybook add set D4 north=18/2 south=18/2 east=12/2'],
  ['2027-03-27T10:00', 'traybook add candling D4 north=1 south=1 east=1'],
  ['2027-04-01T10:00', 'traybook add set D6 north=18/4 south=18/4 east=12/4'],
];

const quick: readonly Typed[] = [
  ...days.map(
    (day, n): Typed => [
      `${day}T18:00`,
      `traybook add eggs n=5/5 s=4/4 n=${4 + (n % 2)}/3 s=5/5 e=7/7`,
    ],
  ),
  ...days.map((day, n): Typed => [`${day}T08:00`, `traybook add reading c=37.${5 + (n % 3)}//54`]),
  ['2027-04-10T10:00', 'traybook add set D7 --as-planned'],
  ['2027-04-08T10:00', 'traybook add candling D6 n=2/1 s=1 e=0'],
  ['2027-04-07T10:00', 'traybook add transfer D4 n=16 s=17 e=10'],
  ['2027-04-08T09:00', 'traybook add hatch D3 --final yes n=15 s=16 e=9'],
  ['2027-04-08T10:00', 'traybook add group G3 --set D3 --brooder barn n=15 s=16 e=9'],
  ['2027-04-10T11:00', 'traybook add loss G3=1/chilled'],
];

const slow: readonly Typed[] = [
  ...days.flatMap((day, n): Typed[] =>
    [
      'north --laid 5 --kept 5',
      'south --laid 4 --kept 4',
      `north --laid ${4 + (n % 2)} --kept 3`,
      'south --laid 5 --kept 5',
      'east --laid 7 --kept 7',
    ].map((row): Typed => [`${day}T18:00`, `traybook add eggs ${row}`]),
  ),
  ...days.map(
    (day, n): Typed => [
      `${day}T08:00`,
      `traybook add reading cabinet --dry 37.${5 + (n % 3)} --rh 54`,
    ],
  ),
  ...['north --eggs 20', 'south --eggs 20', 'east --eggs 16'].map(
    (row): Typed => [
      '2027-04-10T10:00',
      `traybook add set D7 --setter cabinet --tray 3 --pen ${row}`,
    ],
  ),
  ...['north --clear 2 --quit 1', 'south --clear 1', 'east'].map(
    (row): Typed => ['2027-04-08T10:00', `traybook add candling D6 --pen ${row}`],
  ),
  ...['north --moved 16', 'south --moved 17', 'east --moved 10'].map(
    (row): Typed => ['2027-04-07T10:00', `traybook add transfer D4 --hatcher lower --pen ${row}`],
  ),
  ...['north --hatched 15', 'south --hatched 16', 'east --hatched 9'].map(
    (row): Typed => ['2027-04-08T09:00', `traybook add hatch D3 --final yes --pen ${row}`],
  ),
  ...['north --chicks 15', 'south --chicks 16', 'east --chicks 9'].map(
    (row): Typed => [
      '2027-04-08T10:00',
      `traybook add group G3 --set D3 --brooder barn --pen ${row}`,
    ],
  ),
  ['2027-04-10T11:00', 'traybook add loss G3 --birds 1 --cause chilled'],
];

async function rowsAfter(name: string, week: readonly Typed[]): Promise<Record<string, string[]>> {
  const folder = join(root, name);
  mkdirSync(folder, { recursive: true });
  writeFileSync(join(folder, 'season.yaml'), farm);
  for (const [now, line] of [...before, ...week]) {
    const { words } = noteLines(line)[0]!;
    const { code, stderr } = await answer(folder, words.slice(1), { now });
    expect(code, `${line}\n${stderr}`).toBe(0);
  }
  return Object.fromEntries(
    readdirSync(join(folder, 'log')).map((file) => [
      file,
      readFileSync(join(folder, 'log', file), 'utf8')
        .split('\n')
        // Without the entry, which chance gives, and the second it was written down.
        .map((row) => row.split(',').slice(2).join(','))
        .sort(),
    ]),
  );
}

test('an ordinary week: at most 20 commands and 900 keys, the same rows as one by one', {
  timeout: 120_000,
}, async () => {
  // Each line ends with the key that sends it.
  const keys = quick.reduce((sum, [, line]) => sum + line.length + 1, 0);
  expect(quick.length).toBeLessThanOrEqual(MOST_COMMANDS);
  expect(keys).toBeLessThanOrEqual(MOST_KEYS);
  expect(slow.length).toBeGreaterThan(2.5 * quick.length);
  expect(await rowsAfter('quick', quick)).toEqual(await rowsAfter('slow', slow));
});

test('a whole set over three pens in one command, by pairs or by a repeated --pen', {
  timeout: 60_000,
}, async () => {
  await rowsAfter('pens', []);
  const folder = join(root, 'pens');
  const other = join(root, 'pens-2');
  cpSync(folder, other, { recursive: true });
  const log = (of: string) =>
    readFileSync(join(of, 'log', 'candlings.csv'), 'utf8').replaceAll(/^[a-z0-9]{10},/gm, '');
  const now = { now: '2027-04-08T10:00' };
  const pairs = await answer(
    folder,
    ['add', 'candling', 'D6', 'north=2/1', 'south=1', 'east=0'],
    now,
  );
  const flags = await answer(
    other,
    'add candling D6 --pen north --clear 2 --quit 1 --pen south --clear 1 --pen east'.split(' '),
    now,
  );
  expect([pairs.code, flags.code]).toEqual([0, 0]);
  expect(pairs.stdout).toContain('3 rows written');
  expect(log(folder)).toBe(log(other));
});
