import { stringify } from 'csv-stringify/sync';
import * as fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  decode,
  type ForeignTable,
  findSeparator,
  IMPORT_LIMITS,
  readForeign,
  type Separator,
  separators,
  type Told,
} from './foreign.ts';

const texts = (told: Told<ForeignTable>): string[][] => {
  if (!('value' in told)) throw new Error(told.problem);
  return [
    told.value.header as string[],
    ...told.value.rows.map((row) => row.cells.map(({ text }) => text)),
  ];
};

test('bytes are text in the encoding they say, or the one asked for, and else refused', () => {
  const told = (bytes: Uint8Array, asked: Parameters<typeof decode>[1] = null) =>
    decode(bytes, asked);
  expect(told(Buffer.from('é'))).toEqual({ value: { text: 'é', found: 'utf-8' } });
  expect(told(Buffer.from('\ufeffé'))).toMatchObject({
    value: { text: 'é', found: expect.stringMatching(/byte-order mark/) },
  });
  expect(told(Buffer.from('\ufeffé', 'utf16le'))).toMatchObject({ value: { text: 'é' } });
  expect(told(Buffer.from('\ufeffé', 'utf16le').swap16())).toMatchObject({ value: { text: 'é' } });
  const old = Buffer.from('J\xf8rn', 'latin1');
  expect(told(old)).toEqual({
    problem: 'the file is not utf-8',
    hint: expect.stringMatching(/--encoding windows-1252/),
  });
  expect(told(old, 'windows-1252')).toMatchObject({ value: { text: 'Jørn' } });
});

test('the separator is the only one that cuts every row alike; two that do are asked for', () => {
  expect(findSeparator('a;b\n1,5;2\n')).toEqual({ value: 'semicolon' });
  expect(findSeparator('a\tb\n"1\t5"\t2\n')).toEqual({ value: 'tab' });
  expect(findSeparator('a;b,c\n1;2,3\n')).toMatchObject({
    problem: expect.stringMatching(/comma or semicolon/),
  });
  expect(findSeparator('a\n1\n')).toMatchObject({ problem: expect.stringMatching(/no sign/) });
  expect(findSeparator('')).toMatchObject({ hint: expect.stringMatching(/--separator/) });
});

test('any table comes back through any separator and any line ends, with the lines of its rows', () => {
  const cell = fc
    .string({ unit: fc.constantFrom(...'ab é,;|"\n0'), maxLength: 8 })
    .map((text) => text.trim());
  fc.assert(
    fc.property(
      fc.array(fc.tuple(cell, cell, cell), { minLength: 1, maxLength: 6 }),
      fc.constantFrom(...(Object.keys(separators) as Separator[])),
      fc.constantFrom('\n', '\r\n'),
      (rows, separator, end) => {
        const kept = rows.filter((row) => row.some((text) => text !== ''));
        const text = stringify([['x', 'y', 'z'], ...rows], {
          delimiter: separators[separator],
          record_delimiter: end,
          quoted: true,
        });
        const read = readForeign(text, separator);
        expect(texts(read)).toEqual([['x', 'y', 'z'], ...kept]);
      },
    ),
  );
});

test('what is no table is told with its row', () => {
  const problem = (text: string): string => {
    const told = readForeign(text, 'comma');
    return 'problem' in told ? told.problem : 'none';
  };
  expect(problem('')).toMatch(/no table/);
  expect(problem('\n , \n')).toMatch(/no table/);
  expect(problem('a,A\n1,2\n')).toMatch(/"A" stands twice/);
  expect(problem('a,b\n1,2,3\n')).toBe('row 2 has 3 cells, the header 2');
  expect(problem('a,b\n1,"2\n')).toMatch(/row 2 cannot be read: a quote is never closed/);
  expect(problem('a,b\n1,2"3\n')).toMatch(/a quote stands inside/);
  expect(problem('a,b\n1,2\n')).toBe('none');
});

test('a table is bounded in its rows, its columns and its cells', () => {
  const told = (text: string) => readForeign(text, 'comma');
  const wide = Array.from({ length: IMPORT_LIMITS.columns + 1 }, (_, n) => `c${n}`).join(',');
  expect(told(`${wide}\n`)).toMatchObject({ problem: 'the table is too large' });
  expect(told(`a\n${'x'.repeat(IMPORT_LIMITS.cell + 1)}\n`)).toMatchObject({
    problem: 'the table is too large',
  });
  expect(told(`a\n${'x'.repeat(IMPORT_LIMITS.cell * 5)}\n`)).toMatchObject({
    problem: expect.stringMatching(/too long/),
  });
  expect(told(`a\n${'1\n'.repeat(IMPORT_LIMITS.rows + 1)}`)).toMatchObject({
    problem: 'the table is too large',
  });
  expect(texts(told(`a\n${'x'.repeat(IMPORT_LIMITS.cell)}\n`))).toHaveLength(2);
});
