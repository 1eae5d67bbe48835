// Text from a keeper's files, or from anyone who sent them a table, acts on nothing: not on the
// terminal, not in a spreadsheet, on a page, in a calendar, on the file system.
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
import { parse } from 'csv-parse/sync';
import { stringify } from 'csv-stringify/sync';
import * as fc from 'fast-check';
import ICAL from 'ical.js';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { parseDocument } from 'yaml';
import { kindOf, recordNames } from '../../src/records/index.ts';
import { readingLines } from '../support/every-command.ts';
import { type Answer, answer } from '../support/in-process.ts';
import { BOOK_NOW, wholeBook } from '../support/whole-book.ts';

let home: string;
let book: string;
beforeAll(async () => {
  home = mkdtempSync(join(tmpdir(), 'traybook-'));
  book = join(home, 'book');
  await wholeBook(book);
});
afterAll(() => rmSync(home, { recursive: true, force: true }));

const HARMS = [
  '\u001b[2J',
  '\u001b]0;title\u0007',
  '\u009b31m',
  '\u0000',
  '\r',
  '\n',
  '\b',
  '\u202e',
  '\u2066',
  '\u200b',
  '\u2028',
  '\ufeff',
  '\ud800',
  '\udc00',
  '\u00ad',
  '\u{e0041}',
  '=cmd()|x',
  '+1+1',
  '-2+3',
  '@SUM(A1)',
  '\t=1',
  '=HYPERLINK("http://x")',
  '<zzz onload=1>',
  '"><zzz>',
  "' zzz='1",
  '&lt;zzz&gt;',
  '`zzz`',
  '</script><zzz>',
  ']]><zzz>',
  'BEGIN:VALARM',
  '\r\nEND:VEVENT\r\nBEGIN:VEVENT',
  ';,\\n:',
  '\\',
  '__proto__',
  'constructor',
  '../',
  '..\\',
  '/etc/x',
  'C:\\x',
  'CON',
  'nul.txt',
  '$(zzz)',
  '|x|',
  '[x](javascript:zzz)',
  '%{x}',
  '%s',
  'é',
  '🐣',
  "it's",
] as const;
/** What a log or a season file lets in as text: no control characters, no half characters. */
const readable = (text: string): boolean =>
  !/[\u0000-\u001f\u007f-\u009f]|\p{Surrogate}/u.test(text);
const harm = fc.constantFrom(...HARMS);
const hostile = fc
  .array(fc.oneof(harm, fc.string({ unit: 'binary', maxLength: 5 })), {
    minLength: 1,
    maxLength: 4,
  })
  .map((parts) => parts.join(''));
const accepted = fc
  .array(
    fc.oneof(
      fc.constantFrom(...HARMS.filter(readable)),
      fc.string({ maxLength: 5 }).filter(readable),
    ),
    { minLength: 1, maxLength: 4 },
  )
  .map((parts) => parts.join(''))
  // A product or category of nothing but space is none.
  .filter((text) => text.trim() !== '');

const UNSEEN =
  /[\u00ad\u061c\u180e\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb]|[\u{e0000}-\u{e007f}]|\p{Surrogate}/u;
const CONTROL = /[\u0000-\u0008\u000b-\u001f\u007f-\u009f]/;

/** Nothing that a terminal obeys, nor what makes text look other than it is. */
function expectInert(text: string, about: string): void {
  const seen = CONTROL.exec(text) ?? UNSEEN.exec(text);
  if (seen === null) return;
  const from = Math.max(0, seen.index - 40);
  throw new Error(`${about}: ${JSON.stringify(text.slice(from, seen.index + 20))}`);
}

/** Colours and bold of our own are the only sequences that may reach a terminal. */
const withoutColours = (text: string): string => text.replace(/\u001b\[\d{1,3}(?:;\d{1,3})*m/g, '');

function expectHarmless(words: readonly string[], told: Answer, isTerminal = false): void {
  const about = words.join(' ');
  if (/fault of the program/.test(told.stderr)) throw new Error(`${about}: ${told.stderr}`);
  expectInert(told.stderr, about);
  if (words.includes('--html') || words[0] === 'sheet') {
    expectInert(told.stdout, about);
    expect(told.stdout, about).not.toMatch(/<\/?zzz|["'] zzz=|<\/script><|`zzz/);
  } else if (words[0] === 'calendar' && !words.includes('--as') && !words.includes('--json')) {
    expectInert(told.stdout.replaceAll('\r\n', '\n'), about);
  } else if (words.includes('--md')) {
    expectInert(told.stdout, about);
    expect(told.stdout, about).not.toMatch(/<\/?zzz|(?<!\\)\]\(javascript/);
  } else expectInert(isTerminal ? withoutColours(told.stdout) : told.stdout, about);
  if (words.includes('--json') && /^[{[]/.test(told.stdout)) JSON.parse(told.stdout);
}

type Texts = readonly string[];
/** The season with texts put into everything that holds text: the season file, and each row of each log. */
function written(folder: string, texts: Texts, names: Texts): void {
  rmSync(folder, { recursive: true, force: true });
  cpSync(book, folder, { recursive: true });
  let turn = 0;
  const next = (): string => texts[turn++ % texts.length]!;
  const renamed = [
    ...['north', 'A1', 'A3', 'G1', 'G2', 'M1', 'K1'],
    ...['cabinet', 'lower', 'barn', 'shed', 'orchard'],
  ];
  const nameOf = new Map(
    renamed.map((name, index) => [name, names[index % names.length]! + index]),
  );
  let text = readFileSync(join(book, 'season.yaml'), 'utf8');
  for (const [name, other] of nameOf)
    text = text.replace(new RegExp(`(?<![\\w/'-])${name}(?![\\w'-])`, 'g'), () =>
      JSON.stringify(other),
    );
  const document = parseDocument(text);
  for (const path of [
    ['place', 'name'],
    ['units', 'currency'],
    ['lines', 'sussex', 'class'],
    ['lines', 'sussex', 'down'],
    ['lines', 'pekin', 'down'],
    ['traits', 'mass_12w', 'unit'],
  ])
    document.setIn(path, next().slice(0, 200));
  writeFileSync(join(folder, 'season.yaml'), String(document));
  for (const record of recordNames) {
    const kind = kindOf(record);
    const path = join(folder, 'log', kind.file);
    const [header, ...rows] = parse(readFileSync(path, 'utf8')) as string[][];
    const free = new Set([
      'by',
      'note',
      ...Object.entries(kind.columns).flatMap(([name, column]) =>
        column.type === 'string' &&
        column.words === null &&
        column.refers === null &&
        /text/.test(column.expected)
          ? [name]
          : [],
      ),
    ]);
    const out = rows.map((cells) =>
      cells.map((cell, index) =>
        // What only some rows may say stays empty where it is.
        free.has(header![index]!) && !['task', 'result'].includes(header![index]!)
          ? next()
          : (nameOf.get(cell) ?? cell),
      ),
    );
    writeFileSync(path, stringify([header!, ...out]));
  }
}

const names = fc.array(
  fc.constantFrom(
    'constructor',
    'toString',
    'hasOwnProperty',
    'valueOf',
    'CON',
    'nul.txt',
    '1e3',
    '007',
    "O'Hara",
    'x..y',
    'Ünï x',
    'com1',
    'true',
    'é - x',
    '2027-03-01',
  ),
  { minLength: 3, maxLength: 8 },
);
const lines = () => readingLines({ set: 'A1', line: 'sussex' });
const LIGHT = 4;

test('text that a season may hold acts on nothing, whatever is asked', async () => {
  const folder = join(home, 'accepted');
  await fc.assert(
    fc.asyncProperty(
      fc.array(accepted, { minLength: 4, maxLength: 12 }),
      names,
      fc.array(fc.nat(), { minLength: LIGHT, maxLength: LIGHT }),
      fc.boolean(),
      async (texts, called, picks, isTerminal) => {
        written(folder, texts, called);
        const all = lines();
        const asked = [
          ['check'],
          ['summary', '--html'],
          ['calendar'],
          ...picks.map((pick) => all[pick % all.length]!),
        ];
        const last = asked.at(-1)!;
        // A sheet is for paper alone.
        const forPrograms = last[0] === 'sheet' ? [] : [[...last, '--json']];
        for (const words of [...asked, ...forPrograms]) {
          const told = await answer(folder, words, { now: BOOK_NOW, isTerminal });
          expectHarmless(words, told, isTerminal);
          // All that is told is true of the season: it is read, and nothing in it is a fault of form.
          if (words[0] !== 'history')
            expect([0, 1], `${words.join(' ')}: ${told.stderr}`).toContain(told.code);
        }
      },
    ),
    { numRuns: Number(process.env.TRAYBOOK_RUNS ?? 25) },
  );
}, 600_000);

test('an export holds no formula, and the rows of the season as they are', async () => {
  const folder = join(home, 'exported');
  await fc.assert(
    fc.asyncProperty(
      fc.array(accepted, { minLength: 4, maxLength: 12 }),
      names,
      async (texts, called) => {
        written(folder, texts, called);
        const told = await answer(folder, ['export', 'out'], { now: BOOK_NOW });
        expect(told.code, told.stderr).toBe(0);
        const made = readdirSync(join(folder, 'out')).sort();
        expect(made.every((name) => /^[a-z_-]+\.(csv|ndjson|json)$/.test(name))).toBe(true);
        for (const name of made.filter((one) => one.endsWith('.csv'))) {
          const [header, ...rows] = parse(
            readFileSync(join(folder, 'out', name), 'utf8'),
          ) as string[][];
          for (const cell of rows.flat()) {
            expectInert(cell, name);
            if (/^\s*[=+\-@|%]/.test(cell)) expect(cell).toMatch(/^[+-]?\d+(\.\d+)?$/);
          }
          const json = readFileSync(join(folder, 'out', name.replace('.csv', '.ndjson')), 'utf8')
            .split('\n')
            .slice(0, -1);
          expect(json).toHaveLength(rows.length);
          for (const line of json) expect(Object.keys(JSON.parse(line) as object)).toEqual(header);
        }
      },
    ),
    { numRuns: Number(process.env.TRAYBOOK_RUNS ?? 10) },
  );
}, 600_000);

test('a calendar holds the dates of the season, each once, and nothing that rings', async () => {
  const folder = join(home, 'calendar');
  await fc.assert(
    fc.asyncProperty(
      fc.array(accepted, { minLength: 4, maxLength: 12 }),
      names,
      async (texts, called) => {
        written(folder, texts, called);
        const { stdout } = await answer(folder, ['calendar'], { now: BOOK_NOW });
        const json = await answer(folder, ['calendar', '--json'], { now: BOOK_NOW });
        const dates = Object.values(JSON.parse(json.stdout) as object).find(Array.isArray) as {
          title: string;
        }[];
        const calendar = new ICAL.Component(ICAL.parse(stdout) as [string, unknown[], unknown[]]);
        const parts = calendar.getAllSubcomponents();
        expect(parts.map((one) => one.name)).toEqual(dates.map(() => 'vevent'));
        expect(parts.every((one) => one.getAllSubcomponents().length === 0)).toBe(true);
        expect(new Set(parts.map((one) => one.getFirstPropertyValue('uid'))).size).toBe(
          dates.length,
        );
        for (const line of stdout.split('\r\n'))
          expect(Buffer.byteLength(line)).toBeLessThanOrEqual(75);
      },
    ),
    { numRuns: Number(process.env.TRAYBOOK_RUNS ?? 10) },
  );
}, 600_000);

test('anything at all in any file, as a file name or as a word is told without acting', async () => {
  const folder = join(home, 'raw');
  const where = fc.constantFrom(
    'season.yaml',
    ...recordNames.map((name) => `log/${kindOf(name).file}`),
  );
  await fc.assert(
    fc.asyncProperty(
      fc.array(fc.tuple(where, fc.double({ min: 0, max: 1, noNaN: true }), hostile), {
        minLength: 1,
        maxLength: 3,
      }),
      hostile,
      fc.nat(),
      fc.nat(),
      async (puts, word, pick, other) => {
        rmSync(folder, { recursive: true, force: true });
        cpSync(book, folder, { recursive: true });
        for (const [name, at, text] of puts) {
          const path = join(folder, name);
          const old = readFileSync(path, 'utf8');
          const from = Math.floor(at * old.length);
          writeFileSync(path, old.slice(0, from) + text + old.slice(from));
        }
        const plain = word.replaceAll(/[\0/]/g, '').toWellFormed().slice(0, 40);
        try {
          mkdirSync(join(folder, 'log', `x${plain}.csv.torn-20270301T000000Z`));
          writeFileSync(join(folder, 'log', `y${plain}.csv.torn-20270301T000000Z`), word);
        } catch (error) {
          if (!/ENAMETOOLONG|EEXIST/.test(String(error))) throw error;
        }
        const before = readdirSync(home).sort();
        const kept = readdirSync(folder).sort();
        const all = lines();
        const record = recordNames[other % recordNames.length]!;
        const given = word.startsWith('-') ? `x${word}` : word;
        for (const words of [
          ['check'],
          ['check', '--json'],
          all[pick % all.length]!,
          [given],
          ['history', given],
          ['list', given],
          ['list', record, '--set', given, '--since', given],
          ['add', record, given, `--note=${given}`, `--on=${given}`],
          ['add', 'eggs', 'north', '--kept=1', `--note=${word}`, `--by=${word}`],
          ['amend', given, given],
          ['amend', '0000000000', `note=${given}`],
          ['void', given],
          ['import', given, '--as', record],
          ['guide', given],
          ['sheet', given],
          ['completion', 'words', '--', 'history', given],
          ['--season', given, 'today'],
          ['--now', given, 'today'],
        ])
          expectHarmless(words, await answer(folder, words, { now: BOOK_NOW }));
        expect(readdirSync(home).sort()).toEqual(before);
        expect(readdirSync(folder).sort()).toEqual(kept);
      },
    ),
    { numRuns: Number(process.env.TRAYBOOK_RUNS ?? 25) },
  );
}, 600_000);

test('a table from elsewhere is shown, and taken or refused, without acting', async () => {
  const folder = join(home, 'table');
  cpSync(book, folder, { recursive: true });
  await fc.assert(
    fc.asyncProperty(
      fc.array(hostile, { minLength: 3, maxLength: 9 }),
      fc.boolean(),
      async (texts, write) => {
        const header = ['on', 'pen', 'kept', 'note', texts[0]!];
        const rows = texts.map((text, index) => [
          index % 3 ? '2027-03-29' : text,
          index % 4 ? 'north' : text,
          '3',
          text,
          text,
        ]);
        writeFileSync(join(folder, 'theirs.csv'), stringify([header, ...rows], { quoted: true }));
        const words = ['import', 'theirs.csv', '--as', 'eggs', ...(write ? ['--write'] : [])];
        expectHarmless(words, await answer(folder, words, { now: BOOK_NOW }));
        expect((await answer(folder, ['check'], { now: BOOK_NOW })).code).not.toBe(3);
        expectHarmless(['list', 'eggs'], await answer(folder, ['list', 'eggs'], { now: BOOK_NOW }));
      },
    ),
    { numRuns: Number(process.env.TRAYBOOK_RUNS ?? 25) },
  );
}, 600_000);

test('a megabyte in any field, cell, key, name or word is refused in a few words', async () => {
  const folder = join(home, 'long');
  const long = 'x'.repeat(1024 * 1024);
  const told = async (...words: string[]) => {
    const answered = await answer(folder, words, { now: BOOK_NOW });
    expectHarmless(
      words.map((word) => word.slice(0, 20)),
      answered,
    );
    expect(answered.stderr.length).toBeLessThan(4000);
    expect(answered.stdout.length).toBeLessThan(100_000);
    return answered.code;
  };
  cpSync(book, folder, { recursive: true });
  for (const record of recordNames) {
    const kind = kindOf(record);
    for (const [name, column] of Object.entries(kind.columns)) {
      if (name === kind.naming) continue;
      const words = [
        'add',
        record,
        ...(kind.naming === null ? [] : ['A1']),
        `--${name.replaceAll('_', '-')}=${long}`,
      ];
      expect(await told(...words), `${record} ${name} ${column.expected}`).toBe(2);
    }
  }
  for (const words of [
    ['add', 'eggs', 'north', '--kept=1', `--note=${long}`],
    ['add', 'eggs', 'north', '--kept=1', `--by=${long}`],
    ['add', 'eggs', long, '--kept=1'],
    ['amend', long, 'kept=1'],
    ['void', long],
    ['history', long],
    ['list', long],
    [long],
    ['import', 'theirs.csv', '--as', long],
  ])
    expect(await told(...words)).toBe(2);
  expect(await told('--season', long, 'today')).toBe(3);
  expect(await told('check')).toBeLessThan(2);
  for (const [name, text] of [
    ['season.yaml', `format: traybook/1\nplace: {name: ${long}}\n`],
    ['season.yaml', `${long}: 1\n`],
    ['season.yaml', `format: ${long}\nseason: {${'a: {'.repeat(30)}`],
    ['log/eggs.csv', `entry,recorded,on,${long}\n`],
    ['log/eggs.csv', readFileSync(join(book, 'log/eggs.csv'), 'utf8').replace('Ane', long)],
    ['log/eggs.csv', readFileSync(join(book, 'log/eggs.csv'), 'utf8').replace('Ane', `"${long}`)],
  ] as const) {
    rmSync(folder, { recursive: true });
    cpSync(book, folder, { recursive: true });
    writeFileSync(join(folder, name), text);
    expect(await told('check')).toBe(3);
    expect(await told('today')).toBe(3);
  }
});
