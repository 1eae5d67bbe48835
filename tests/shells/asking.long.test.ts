// What is asked at a terminal, answered by a keeper.
import { spawnSync } from 'node:child_process';
import { cpSync, mkdtempSync, readFileSync, realpathSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { root } from '../harness/console.ts';
import { atTerminal, hasScript } from '../support/at-terminal.ts';

const folder = realpathSync(mkdtempSync(join(tmpdir(), 'traybook-asking-')));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const enter = '\r';
const endOfInput = '\u0004';

beforeAll(() => {
  if (!hasScript) console.warn('skipped: `script` is not installed');
});

test.skipIf(!hasScript)(
  'new asks for place, bird, pen and machine',
  { timeout: 60_000 },
  async () => {
    const { screen, status } = await atTerminal(
      folder,
      'new --year 2027 --zone Europe/London asked',
      [
        [/name of your place \[asked\]/, `Hollin Bank${enter}`],
        [/kind of bird.*\[chicken\]/, `gose${enter}`],
        [/did you mean goose\?[\s\S]*kind of bird/, `duck${enter}`],
        [/hens in the breeding pen \[10\]/, `<${enter}`],
        [/kind of bird/, `goose${enter}`],
        [/hens in the breeding pen/, `7${enter}`],
        [/males with them \[2\]/, enter],
        [/males joined.*\[2027-02-01\]/, enter],
        [/trays of your setter \[3\]/, `four${enter}`],
        [/expected a whole number[\s\S]*trays of your setter/, `4${enter}`],
        [/eggs of this kind on one tray/, `12${enter}`],
        [/eggs of this kind in the hatcher/, `24${enter}`],
      ],
    );
    expect(status, screen).toBe(0);
    const file = readFileSync(join(folder, 'asked', 'season.yaml'), 'utf8');
    expect(file).toContain('place: {name: "Hollin Bank", timezone: Europe/London, altitude_m: 0}');
    expect(file).toContain('main: {line: flock, hens: 7, males: 2, joined: 2027-02-01}');
    expect(file).toContain('cabinet: {trays: 4, tray_holds: {goose: 12}, turns: automatic}');
    expect(file).toContain('lower: {holds: {goose: 24}');
  },
);

test.skipIf(!hasScript)(
  'add asks field by field, and leaving writes nothing',
  { timeout: 60_000 },
  async () => {
    const season = '--season asked --now 2027-03-10T18:00';
    const log = join(folder, 'asked', 'log', 'eggs.csv');
    const before = readFileSync(log, 'utf8');
    const left = await atTerminal(folder, `${season} add eggs`, [
      [/pen: pen the eggs come from.*\[main\]/, enter],
      [/on: .*:/, endOfInput],
    ]);
    expect(left.status).toBe(2);
    expect(left.screen).toContain('left before the end: nothing was written');
    expect(readFileSync(log, 'utf8')).toBe(before);

    // A mistake in every field; each is told at once, and every answer before it is kept.
    const count = 'expected a whole number from 0';
    const wrong = (field: string, typed: string, told: string, then: string) =>
      [
        [new RegExp(`${field}.*: `), `${typed}${enter}`],
        [new RegExp(`${told}[\\s\\S]*${field}.*: `), `${then}${enter}`],
      ] as const;
    const { screen, status } = await atTerminal(folder, `${season} add eggs`, [
      ...wrong('pen: ', 'mian', 'no pen is called "mian"; did you mean main', '1'),
      ...wrong('on: ', 'tomorow', 'expected today', '2027-03-11'),
      [/is to come: today is 2027-03-10[\s\S]*on: .*: /, enter],
      ...wrong('laid', 'l5', count, '5'),
      ...wrong('kept', '4.5', 'eggs and birds are whole', '4'),
      ...wrong('small', '-1', 'cannot be negative', ''),
      ...wrong('large', 'O', 'letter O for zero', '<'),
      [/small.*: /, enter],
      [/large.*: /, enter],
      ...wrong('misshapen', 'x', count, ''),
      ...wrong('thin', '1,5', 'a decimal point', ''),
      ...wrong('cracked', 'one', count, '2'),
      ...wrong('dirty', '?', count, ''),
      ...wrong('other', '1 2', count, ''),
      ...wrong('hens', '0', 'expected a whole number from 1', '7'),
      [/note: .*: /, `first${enter}`],
      // What the answers say together: back to the field, its answer kept.
      [/4 kept and 2 left out are more than 5 laid[\s\S]*laid.*\[5\]: /, `6${enter}`],
      [/kept.*\[4\]: /, enter],
      ...[
        'small',
        'large',
        'misshapen',
        'thin',
        'cracked.*\\[2\\]',
        'dirty',
        'other',
        'hens.*\\[7\\]',
        'note.*\\[first\\]',
      ].map((field) => [new RegExp(`${field}.*: `), enter] as const),
      [/pen main, laid 6, kept 4, cracked 2[\s\S]*write it.*\[y\]: /, `c${enter}`],
      [/pen: .*\[main\]: /, enter],
      [/on: .*\[2027-03-10\]: /, enter],
      ...['laid.*\\[6\\]', 'kept.*\\[4\\]', 'small', 'large', 'misshapen', 'thin'].map(
        (field) => [new RegExp(`${field}.*: `), enter] as const,
      ),
      [/cracked.*\[2\]: /, `1${enter}`],
      ...['dirty', 'other', 'hens', 'note'].map(
        (field) => [new RegExp(`${field}.*: `), enter] as const,
      ),
      [/cracked 1[\s\S]*write it.*\[y\]: /, `z${enter}`],
      [/expected y, c or n[\s\S]*write it.*: /, `y${enter}`],
    ]);
    expect(status, screen).toBe(0);
    const row = readFileSync(log, 'utf8').trimEnd().split('\n').at(-1)!;
    expect(row.split(',').slice(2, 14)).toEqual([
      '2027-03-10',
      'main',
      '6',
      '4',
      '0',
      '0',
      '0',
      '0',
      '1',
      '0',
      '0',
      '7',
    ]);
  },
);

test.skipIf(!hasScript)(
  'add --ask walks down a sheet: each share of the set, its day, its counts, its note',
  { timeout: 60_000 },
  async () => {
    cpSync(join(root, 'examples', 'midseason'), join(folder, 'sheet'), { recursive: true });
    cpSync(join(root, 'examples', 'finished'), join(folder, 'finished'), { recursive: true });
    const log = join(folder, 'sheet', 'log', 'candlings.csv');
    const before = readFileSync(log, 'utf8');
    const season = '--season sheet --now 2027-04-25T08:00';
    // The blanks of the printed sheet, in its order.
    const page = spawnSync(
      process.execPath,
      [join(root, 'bin', 'traybook.js'), ...season.split(' '), 'sheet', 'candling'],
      { cwd: folder, encoding: 'utf8' },
    ).stdout;
    const headings = [...page.matchAll(/<th scope="col"[^>]*>([^<]*)<\/th>/g)].map(
      (one) => one[1]!,
    );
    const blanks = headings.slice(headings.indexOf('eggs in') + 1);
    expect(blanks).toEqual(['clear', 'quit', 'cracked', 'rotten', 'doubtful', 'note']);

    const row = (
      day: string,
      counts: readonly string[],
      note: string,
    ): (readonly [RegExp, string])[] => [
      [/on: when it was.*: /, `${day}${enter}`],
      ...counts.map((count, index): readonly [RegExp, string] => [
        new RegExp(`${blanks[index]}.*: `),
        `${count}${enter}`,
      ]),
      [/note: .*: /, `${note}${enter}`],
    ];
    const left = await atTerminal(folder, `${season} add candling D7 --ask`, [
      ...row('yesterday', ['1', '', '', '', ''], ''),
      [/candling of D7 south[\s\S]*on: /, endOfInput],
    ]);
    expect(left.status, left.screen).toBe(2);
    expect(readFileSync(log, 'utf8')).toBe(before);

    const { screen, status } = await atTerminal(folder, `${season} add candling D7 --ask`, [
      [/candling of D7 north[\s\S]*on: when it was.*\[2027-04-25\]: /, `yesterday${enter}`],
      ...row('', ['2', '1', '', '', '1'], 'dark shells').slice(1),
      [/candling of D7 south[\s\S]*on: when it was.*\[2027-04-24\]: /, enter],
      ...row('', ['3', '', '1', '', ''], '').slice(1),
      [/write it.*\[y\]: /, enter],
    ]);
    expect(status, screen).toBe(0);
    expect(screen).toContain('2 rows written');
    const rows = readFileSync(log, 'utf8').slice(before.length).trimEnd().split('\n');
    expect(rows.map((one) => one.split(',').slice(2, 10).join(','))).toEqual([
      '2027-04-24,D7,north,2,1,0,0,1',
      '2027-04-24,D7,south,3,0,1,0,0',
    ]);
    expect(rows[0]).toContain(',dark shells,');
  },
);
