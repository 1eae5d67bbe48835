import fc from 'fast-check';
import { expect, test } from 'vitest';
import { kindOf, recordNames } from './index.ts';
import { readCells } from './read.ts';
import { headerOf } from './record.ts';
import { RowReader } from './row-reader.ts';

const usual: Readonly<Record<string, readonly string[]>> = {
  entry: ['0123456789', 'abcdefghjk', 'short', 'ABCDEFGHJK'],
  recorded: ['2027-03-06T18:30:00+00:00', '2027-03-06T18:30Z', '2027-13-06T18:30Z', 'now'],
  on: ['2027-03-06', '2027-03-06T18:30', '2027-02-30', '', '2027-03-06T25:00'],
  by: ['', 'kim', 'Zoë', 'a\u0007', 'x'.repeat(2001)],
  note: ['', 'a "good" egg', 'two\nlines', '\u{1f423}', '\ud800'],
  amends: ['', '0123456789', 'none'],
  state: ['', 'void', 'gone'],
};
const cells = [
  '',
  '0',
  '1',
  '7',
  '12',
  '-3',
  '1.5',
  '37.5',
  '1000001',
  'north',
  'D 1',
  'x'.repeat(60),
];
const words = ['yes', 'no', '2027-03-20', '2027-02-29', 'é', ' a', 'sire'];

for (const name of recordNames) {
  const kind = kindOf(name);
  const header = headerOf(kind);
  const someCell = (column: string): fc.Arbitrary<string> => {
    const known = usual[column];
    const own = kind.columns[column]?.words ?? [];
    // What is as it should be must come often, or no row would be sound.
    if (known !== undefined)
      return fc.oneof({ weight: 12, arbitrary: fc.constant(known[0]!) }, fc.constantFrom(...known));
    return fc.oneof(
      { weight: 3, arbitrary: fc.constantFrom('', ...own, '1', 'north') },
      fc.constantFrom(...cells, ...words),
    );
  };

  test(`${name}: a row read with what is remembered is the row that its cells say`, () => {
    const reader = new RowReader(kind, (column) => header.indexOf(column));
    fc.assert(
      fc.property(fc.tuple(...header.map(someCell)), (row) => {
        const at = { file: 'log/x.csv', line: 2, column: 1 };
        const read = reader.read(row, at);
        const whole = readCells(kind, (column) => row[header.indexOf(column)]!);
        if (read !== null) expect(read).toEqual('row' in whole && { ...whole.row, at });
        // What is sound and plain is read here, or all the remembering would be for nothing.
        else if ('row' in whole)
          expect(whole.row.isVoid || /[^\x20-\x7e]/.test(whole.row.note + whole.row.by)).toBe(true);
      }),
      { numRuns: 150 },
    );
  });
}
