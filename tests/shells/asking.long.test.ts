// What is asked at a terminal, answered by a keeper.
import { spawn, spawnSync } from 'node:child_process';
import { cpSync, mkdtempSync, readdirSync, readFileSync, realpathSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { kindOf } from '../../src/records/index.ts';
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

/** Right answers where a field must have one; of any other field nothing is right too. */
const RIGHT: Readonly<Record<string, Readonly<Record<string, string>>>> = {
  'eggs-out': { pen: 'north', eggs: '2', way: 'eaten' },
  set: { set: 'X1', pen: 'north', setter: 'cabinet', tray: '1', eggs: '9' },
  candling: { set: 'D7', pen: 'north' },
  weighing: { set: 'D7', pen: 'north', eggs: '9', mass_g: '500' },
  reading: { machine: 'cabinet', dry: '37.6' },
  transfer: { set: 'D7', pen: 'north', moved: '3' },
  hatch: { set: 'D5', pen: 'north', hatched: '1' },
  breakout: { set: 'D5', pen: 'north', from: 'clear' },
  group: { group: 'Z1', set: 'D2', pen: 'north', brooder: 'barn', chicks: '1' },
  move: { group: 'B1', to: 'out', birds: '1' },
  loss: { group: 'B1', birds: '1' },
  sexing: { group: 'B1', pullets: '1', cockerels: '1' },
  leaving: { group: 'B1', sex: 'male', birds: '1', way: 'sold' },
  bird: { bird: 'Z9', line: 'dorking', sex: 'male' },
  score: { bird: 'Z9', trait: 'mass_12w', value: '1400' },
  treatment: { group_or_pen: 'north', product: 'as labelled' },
  weather: { low: '3', high: '12' },
  money: { category: 'feed', amount: '12', quantity: '20', unit: 'kg' },
  tick: { task: 'D7/damp-up' },
  'pen-change': { pen: 'north', change: 'died', birds: '1', sex: 'male' },
  acceptance: { code: 'too-few-males', about: 'south', why: 'a spare comes' },
};

/** What is wrong in a field of any record: no number, no day, no word of a list, no name. */
const WRONG = '?!';

/** Types something wrong into each field once, then what is right; leaves instead of writing. */
function mistakesIn(record: string, right: Readonly<Record<string, string>>) {
  return new Promise<{ screen: string; told: Map<string, boolean>; status: number | null }>(
    (done) => {
      const words = `--season sheet --now 2027-04-25T08:00 add ${record}`;
      const command = `"${process.execPath}" "${join(root, 'bin', 'traybook.js')}" ${words}`;
      const child = spawn('script', ['-qefc', command, '/dev/null'], {
        cwd: folder,
        env: { PATH: process.env.PATH, HOME: folder, TZ: 'UTC', LANG: 'C.UTF-8', TERM: 'dumb' },
      });
      let screen = '';
      let seen = 0;
      const told = new Map<string, boolean>();
      let last: string | null = null;
      child.stdout.on('data', (data) => {
        screen += data;
        const fresh = screen.slice(seen).replaceAll('\r', '');
        const line = fresh.split('\n').at(-1)!;
        const asked = /^(?:(?:write it\?|y or n) |([a-z_]+)(?: \([^)]*\))?: ).*: $/.exec(line);
        if (asked === null) return;
        seen = screen.length;
        const name = asked[1];
        if (name === undefined) {
          child.stdin.write(line.startsWith('y or n') ? endOfInput : `n${enter}`);
          return;
        }
        // Nothing is wrong in a text or in the name of something new.
        if (name === last) told.set(name, /expected|is called|cannot|count again/.test(fresh));
        last = told.has(name) ? null : name;
        const answer =
          told.has(name) || name === 'note' ? (right[name] ?? (name === 'on' ? '' : '-')) : WRONG;
        told.set(name, told.get(name) ?? false);
        child.stdin.write(`${answer}${enter}`);
      });
      const stuck = setTimeout(() => child.kill(), 30_000);
      child.on('close', (status) => {
        clearTimeout(stuck);
        done({ screen, told, status });
      });
    },
  );
}

test.skipIf(!hasScript)(
  'a mistake in each field of each record is told at once, the rows are shown, and leaving writes nothing',
  { timeout: 600_000 },
  async () => {
    const logs = () => {
      const path = join(folder, 'sheet', 'log');
      return readdirSync(path).map((name) => readFileSync(join(path, name), 'utf8'));
    };
    const before = logs();
    /** Fields that take any text. */
    const anyText = ['note', 'by', 'mark', 'band', 'product', 'cause', 'why', 'about', 'code'];
    for (const [record, right] of Object.entries(RIGHT)) {
      const { screen, told, status } = await mistakesIn(record, right);
      expect(status, screen).toBe(2);
      expect(screen).toContain('nothing was written');
      // What is doubtful is asked about before the rows are shown.
      if (!screen.includes('Write it as it is?'))
        expect(screen, record).toMatch(new RegExp(`${record} of 2027-04-25`));
      for (const name of told.keys()) {
        const column = kindOf(record as 'eggs').columns[name as 'pen'];
        const takesAny = column !== undefined && 'value' in column.read(WRONG);
        if (!takesAny && !anyText.includes(name))
          expect(told.get(name), `${record} ${name}\n${screen}`).toBe(true);
      }
    }
    expect(logs()).toEqual(before);
  },
);
