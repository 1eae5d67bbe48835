// Folders made to cost much: none may take more than twenty times the work of a sound one, nor more
// than a gigabyte, nor end in a fault of the program. Processor time is compared, never the clock.
import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { root } from '../harness/console.ts';
import { SEASON } from '../support/season-folder.ts';

const TIMES = 20;
const MEMORY_KIB = 1024 * 1024;

const times = (count: number, make: (index: number) => string) =>
  Array.from({ length: count }, (_, index) => make(index)).join('');

const HEADER =
  'entry,recorded,on,pen,laid,kept,small,large,misshapen,thin,cracked,dirty,other,hens,by,note,amends,state\n';
const DIGITS = '0123456789abcdefghjkmnpqrstvwxyz';
const entry = (index: number) => {
  let rest = index;
  let text = '';
  for (let place = 0; place < 9; place += 1) {
    text = DIGITS[rest % 32]! + text;
    rest = Math.floor(rest / 32);
  }
  return `a${text}`;
};
const row = (index: number, { on = '2027-03-06', counts = '9,8', amends = '' } = {}) =>
  `${entry(index)},2027-03-06T18:30:00+00:00,${on},north,${counts},,,,,,,,,Ane,,${amends},\n`;

const goal = (by: string) =>
  SEASON.replace(
    'plan: []',
    `plan: []\ngoals:\n  - {line: sussex, want: pullets, at: point-of-lay, count: 5, by: ${by}}`,
  );
const planned = (index: number) =>
  `  - {set: D${index}, on: 2027-03-06, setter: cabinet, trays: [1], shares: {north: 20}}\n`;

/** `season.yaml`, and the log of eggs where it matters, by what is hostile in them. */
const cases: Readonly<Record<string, readonly [string, string?]>> = {
  'fifty thousand aliases': [`${SEASON}a: &b 1\nc: [${'*b,'.repeat(50_000)}]\n`],
  'eighty thousand keys': [SEASON + times(80_000, (n) => `k${n}: 1\n`)],
  'as many keys as are read': [SEASON + times(6000, (n) => `k${n}: 1\n`)],
  'keys in one line': [`${SEASON}y: {${times(6000, (n) => `k${n}: 1,`)}}\n`],
  'brackets and line feeds': [`${SEASON}a:\n${'[\n'.repeat(200_000)}`],
  'half a million brackets': [`${SEASON}a: ${'['.repeat(500_000)}`],
  'dashes in a line': [`${SEASON}a:\n  ${'- '.repeat(200_000)}1\n`],
  'a goal in 2299': [goal('2299-01-01')],
  'a goal in 9999': [goal('9999-12-31')],
  'unknown lines': [
    SEASON.replace('lines:\n', `lines:\n${times(2000, (n) => `  l${n}: {species: x${n}}\n`)}`),
  ],
  'eight hundred sets in one tray': [SEASON.replace('plan: []', `plan:\n${times(800, planned)}`)],
  'a row a hundred and fifty thousand times': [SEASON, HEADER + row(1).repeat(150_000)],
  'ten thousand bad rows': [SEASON, HEADER + times(10_000, (n) => row(n, { counts: 'x,y' }))],
  'a chain of amendments': [
    SEASON,
    HEADER + times(9000, (n) => row(n, n === 0 ? {} : { amends: entry(n - 1) })),
  ],
  'a chain the other way round': [
    SEASON,
    HEADER + times(9000, (n) => row(n, n === 8999 ? {} : { amends: entry(n + 1) })),
  ],
  'amendments of one row': [
    SEASON,
    HEADER + times(9000, (n) => row(n, n === 0 ? {} : { amends: entry(0) })),
  ],
  'a row in 9999': [SEASON, HEADER + row(1, { on: '9999-12-31' })],
  'a header without a column': [SEASON, HEADER.replace('laid,', '') + times(9000, (n) => row(n))],
};

let place: string;
beforeAll(() => {
  place = mkdtempSync(join(tmpdir(), 'traybook-hostile-'));
});
afterAll(() => rmSync(place, { recursive: true }));

function run(yaml: string, eggs: string | undefined, words: readonly string[]) {
  const folder = join(place, 'season');
  rmSync(folder, { recursive: true, force: true });
  mkdirSync(join(folder, 'log'), { recursive: true });
  writeFileSync(join(folder, 'season.yaml'), yaml);
  if (eggs !== undefined) writeFileSync(join(folder, 'log', 'eggs.csv'), eggs);
  const usage = join(place, 'usage');
  const { status, stdout, stderr } = spawnSync(
    process.execPath,
    [
      ...['--require', join(root, 'tests/torture/usage.cjs'), join(root, 'bin/traybook.js')],
      ...['--season', folder, '--now', '2027-03-20T09:00', ...words],
    ],
    { encoding: 'utf8', maxBuffer: 1e9, env: { ...process.env, USAGE: usage } },
  );
  const took = JSON.parse(readFileSync(usage, 'utf8')) as { cpu: number; memory: number };
  return { status, said: stdout + stderr, ...took };
}

const commands = [['check'], ['today'], ['summary']] as const;

test.each(Object.entries(cases))('%s', (_, [yaml, eggs]) => {
  for (const words of commands) {
    const sound = run(SEASON, HEADER + times(3000, (n) => row(n, { counts: '9,1' })), words);
    const hostile = run(yaml, eggs, words);
    expect([0, 1, 3]).toContain(hostile.status);
    expect(hostile.said).not.toMatch(/fault of the program|\n {4}at /);
    expect(hostile.said.length).toBeLessThan(200_000);
    expect(hostile.memory).toBeLessThan(MEMORY_KIB);
    expect(hostile.cpu / sound.cpu).toBeLessThan(TIMES);
  }
});
