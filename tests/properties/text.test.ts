// What holds for any text and any day, whatever a keeper writes.
import { parse } from 'csv-parse/sync';
import { stringify } from 'csv-stringify/sync';
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { overlaps } from '../../src/facts/spans.ts';
import { readCsv } from '../../src/text/csv.ts';
import { eachRecord } from '../../src/text/csv-records.ts';
import {
  addDays,
  dayOfNumber,
  daysBetween,
  daysIn,
  numberOfDay,
  parseDay,
  weekdayOf,
} from '../../src/text/day.ts';

const someDay = fc.integer({ min: 0, max: 60_000 }).map(dayOfNumber);

// RFC 4180: commas, quotes and line breaks inside quoted cells come back as they went in.
const cell = fc
  .string({ unit: fc.constantFrom(...'ab é,;"\n\t0'), maxLength: 12 })
  .filter((text) => !text.startsWith('\ufeff'));
const table = fc
  .integer({ min: 2, max: 6 })
  .chain((width) =>
    fc.array(fc.array(cell, { minLength: width, maxLength: width }), {
      minLength: 1,
      maxLength: 8,
    }),
  )
  .filter((rows) => rows.every((row) => row.some((one) => one !== '')));

type Row = { cells: readonly string[]; lineNo: number };

function rowsOf(text: string): { rows: Row[]; faults: readonly unknown[] } {
  const rows: Row[] = [];
  const faults = readCsv({ path: 'log/x.csv', text }, () => (cells, lineNo) => {
    rows.push({ cells, lineNo });
  });
  return { rows, faults };
}

// The strict reader of logs against a kept general one, on texts that are tables and texts that are not.
test('any text is read, and refused, as csv-parse reads and refuses it', () => {
  const anyText = fc.string({ unit: fc.constantFrom(...'ab,,"""\n\n\r'), maxLength: 30 });
  const options = {
    relax_column_count: true,
    skip_empty_lines: true,
    record_delimiter: ['\r\n', '\n'],
  };
  fc.assert(
    fc.property(anyText, (text) => {
      const ours: string[][] = [];
      const trouble = eachRecord(text, 1000, (cells) => ours.push(cells));
      const theirs: string[][] = [];
      let refused: string | null = null;
      try {
        parse(text, {
          ...options,
          on_record: (record: string[]) => {
            theirs.push(record);
            return null;
          },
        });
      } catch (error) {
        refused = (error as { code: string }).code;
      }
      const codes = {
        'quote-not-closed': 'CSV_QUOTE_NOT_CLOSED',
        'quote-inside': 'INVALID_OPENING_QUOTE',
        'behind-quote': 'CSV_INVALID_CLOSING_QUOTE',
        'too-long': 'CSV_MAX_RECORD_SIZE',
      };
      expect(trouble === null ? null : codes[trouble.what]).toBe(refused);
      expect(ours).toEqual(theirs);
    }),
    { numRuns: 2000 },
  );
});

test('a table written and read again is the same, and a second reader agrees', () => {
  fc.assert(
    fc.property(table, (rows) => {
      const header = rows[0]!.map((_, index) => `column${index}`);
      const text = stringify([header, ...rows]);
      const read = rowsOf(text);
      expect(read.faults).toEqual([]);
      expect(read.rows.map((row) => row.cells)).toEqual(rows);
      expect(parse(text)).toEqual([header, ...rows]);
    }),
  );
});

test('the line told for a row is the line it begins on', () => {
  fc.assert(
    fc.property(table, (rows) => {
      const text = stringify([rows[0]!.map((_, index) => `column${index}`), ...rows]);
      let line = 2;
      for (const row of rowsOf(text).rows) {
        expect(row.lineNo).toBe(line);
        line += 1 + row.cells.join('').split('\n').length - 1;
      }
    }),
  );
});

test('days add, subtract and count as whole numbers do, and agree with Date in UTC', () => {
  fc.assert(
    fc.property(someDay, fc.integer({ min: -9999, max: 9999 }), (day, count) => {
      const other = addDays(day, count);
      expect(parseDay(other)).toBe(other);
      expect(daysBetween(day, other)).toBe(count);
      expect(addDays(other, -count)).toBe(day);
      expect(dayOfNumber(numberOfDay(day))).toBe(day);
      expect(day < other).toBe(count > 0);
      const names = ['sun', 'mon', 'tue', 'wed', 'thu', 'fri', 'sat'];
      expect(weekdayOf(day)).toBe(names[new Date(`${day}T00:00:00Z`).getUTCDay()]);
    }),
  );
});

const span = fc
  .tuple(fc.integer({ min: 0, max: 30 }), fc.integer({ min: 0, max: 12 }))
  .map(([from, length]) => ({ from: dayOfNumber(from), to: dayOfNumber(from + length) }));

test('spans overlap each other or neither, and just when they share a day', () => {
  fc.assert(
    fc.property(span, span, (a, b) => {
      fc.pre(a.from < a.to && b.from < b.to);
      expect(overlaps(a, b)).toBe(overlaps(b, a));
      const days = new Set<string>(daysIn(a.from, a.to));
      expect(overlaps(a, b)).toBe(daysIn(b.from, b.to).some((day) => days.has(day)));
    }),
  );
});
