import { stringify } from 'csv-stringify/sync';
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { wholeRow } from '../../tests/support/whole-row.ts';
import { kindOf, recordNames } from './index.ts';
import { readLog } from './read.ts';
import { headerOf } from './record.ts';

/** Cells that may stand in any log; the first of each is as it should be. */
const usual: Readonly<Record<string, readonly string[]>> = {
  recorded: [
    '2027-03-06T18:30:00+00:00',
    '2027-03-06T18:30Z',
    '2027-02-31T23:59:59.5-11:30',
    '2027-13-06T18:30Z',
    '2027-03-06T24:00Z',
    '2027-03-06T18:30',
  ],
  on: [
    '2027-03-06',
    '2027-03-06T18:30',
    '2028-02-29',
    '2027-02-29',
    '2027-04-31T10:00',
    '2027-12-31',
    '1899-01-01',
    '2027-03-06T25:00',
    '',
  ],
  by: ['', 'kim', 'Zoë', 'a\u0007', 'x'.repeat(501), 'x'.repeat(2001)],
  note: ['', 'plain', 'with, comma', 'a "good" egg', 'two\nlines', '\u{1f423}', '\u00ad'],
  amends: ['', '0000000012', 'none'],
  state: ['', 'void', 'gone'],
};
const own = ['', '0', '1', '12', '1.5', '-3', 'north', 'D 1', 'yes', '2027-03-20', 'x'.repeat(60)];

for (const name of recordNames) {
  const kind = kindOf(name);
  const header = headerOf(kind);
  const cellOf = (column: string): fc.Arbitrary<string> => {
    const known = usual[column];
    // What is as it should be must come often, or no row would be sound.
    if (known !== undefined)
      return fc.oneof({ weight: 14, arbitrary: fc.constant(known[0]!) }, fc.constantFrom(...known));
    const words = kind.columns[column]?.words ?? [];
    return fc.oneof(
      { weight: 4, arbitrary: fc.constantFrom('', ...words, '1', 'north') },
      fc.constantFrom(...own),
    );
  };
  const someRow = fc.tuple(...header.slice(1).map(cellOf));

  test(`${name}: a log read at once says what it says row by row`, () => {
    fc.assert(
      fc.property(
        fc.array(someRow, { maxLength: 6 }),
        fc.constantFrom(...Array(12).fill('\n'), '\r\n', '\n\n') as fc.Arbitrary<string>,
        fc.constantFrom(...Array(12).fill(','), ';') as fc.Arbitrary<string>,
        fc.constantFrom(
          ...Array(12).fill('0000000010'),
          'short',
          '"000000001',
        ) as fc.Arbitrary<string>,
        (given, record_delimiter, delimiter, firstEntry) => {
          const rows = given.map((cells, n) => [
            n === 0 ? firstEntry : `00000000${10 + n}`,
            ...cells,
          ]);
          const text = stringify([[...header], ...rows], { record_delimiter, delimiter });
          const source = { path: `log/${kind.file}`, text };
          const read = readLog(kind, source);
          const slowly = readLog(kind, source, { shortTo: 0 });
          expect(read.rows.map(wholeRow)).toEqual(slowly.rows.map(wholeRow));
          expect(read.broken).toEqual(slowly.broken);
          expect(read.faults).toEqual(slowly.faults);
        },
      ),
      { numRuns: 150 },
    );
  });
}

const kind = kindOf('tick');
const header = headerOf(kind).join(',');
const row = (entry: string) => `${entry},2027-03-06T18:30:00+00:00,2027-03-06,D1/clean,kim,,,`;
const read = (text: string, shortTo?: number) => {
  const log = readLog(kind, { path: 'log/ticks.csv', text }, { shortTo });
  return { ...log, rows: log.rows.map(wholeRow) };
};

test('lines of unlike length are told, though their cells would fill the table', () => {
  const [short, long] = [
    '0000000010,2027-03-06T18:30:00+00:00',
    `${row('0000000012')},1,2,3,4,5,6`,
  ];
  for (const lines of [
    [short, long],
    [long, short],
    [row('0000000010'), short, long],
    [short, '0000000012,2027-03-06T18:30:00+00:00,2027-03-06,D1/clean,kim,'],
  ]) {
    const text = `${[header, ...lines].join('\n')}\n`;
    expect(read(text)).toEqual(read(text, 0));
    expect(read(text).faults.map((one) => one.code)).toEqual(['csv-row-length', 'csv-row-length']);
  }
});

test('a row that is too long is told', () => {
  const text = `${header}\n${row('0000000010').replace('D1/clean', 'x'.repeat(70_000))}\n${row('0000000012')}\n`;
  expect(read(text)).toEqual(read(text, 0));
  expect(read(text).faults.map((one) => one.code)).toEqual(['csv-row-too-long']);
});
