import { stringify } from 'csv-stringify/sync';
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { wholeRow } from '../../tests/support/whole-row.ts';
import { kindOf } from './index.ts';
import { readLog } from './read.ts';
import { headerOf } from './record.ts';

const eggs = kindOf('eggs');
const header = headerOf(eggs);

const someRow = fc.record({
  on: fc.constantFrom('2027-03-06', '2027-03-07', '2027-03-07T18:30', '2027-02-30'),
  laid: fc.constantFrom('0', '12', ''),
  kept: fc.constantFrom('0', '9', 'x'),
  note: fc.constantFrom('', 'plain', 'with, comma', 'in "quotes"', 'two\nlines'),
  state: fc.constantFrom('', 'void'),
});

test('rows that are read again when looked at say what rows that are kept say, in any order', () => {
  fc.assert(
    fc.property(
      fc.array(someRow, { maxLength: 8 }),
      fc.constantFrom('\n', '\r\n') as fc.Arbitrary<'\n' | '\r\n'>,
      fc.infiniteStream(fc.nat()),
      (given, lineEnd, order) => {
        const cells = given.map((row, index) =>
          header.map((name) => {
            if (name === 'entry') return `00000000${10 + index}`;
            if (name === 'recorded') return '2027-03-07T18:30:00+00:00';
            if (name === 'pen') return 'north';
            return (row as Record<string, string>)[name] ?? '';
          }),
        );
        const text = stringify([[...header], ...cells], { record_delimiter: lineEnd });
        const source = { path: 'log/eggs.csv', text };
        const kept = readLog(eggs, source);
        const again = readLog(eggs, source, { longFrom: 0 });
        expect(again.faults).toEqual(kept.faults);
        expect(again.broken).toEqual(kept.broken);
        expect(again.rows.map(wholeRow)).toEqual(kept.rows.map(wholeRow));
        for (let looks = 0; looks < 10 && kept.rows.length > 0; looks += 1) {
          const index = order.next().value % kept.rows.length;
          expect(wholeRow(again.rows[index]!)).toEqual(wholeRow(kept.rows[index]!));
        }
      },
    ),
  );
});
