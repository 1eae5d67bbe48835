// A keeper's own table, read by the built program.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import writeXlsx from 'write-excel-file/node';
import { type Folder, newFolder } from '../support/season-folder.ts';

let one: Folder;
beforeEach(() => {
  one = newFolder();
});
afterEach(() => one.remove());

type Told = {
  written: number;
  new: number;
  known: number;
  doubtful: number;
  faulty: number;
  rows: { cells: Record<string, string>; verdict: string }[];
};
const eggs = (...words: string[]) => {
  const { stdout, stderr, code } = one.run('import', ...words, '--json');
  if (stdout === '') throw new Error(stderr);
  return { ...(JSON.parse(stdout) as Told), code };
};
const MAP = ['--as', 'eggs', '--map', 'Datum=on', '--map', 'Stall=pen', '--map', 'Behalten=kept'];
const GERMAN =
  '\ufeffDatum;Stall;Behalten;Wetter\r\n13.03.2027;north;6;kalt\r\n14.03.2027;south;7;\r\n';

test('shows first, writes when told, and knows its rows the second time', () => {
  one.write('book.csv', GERMAN);
  expect(eggs('book.csv', ...MAP)).toMatchObject({ written: 0, new: 2, known: 0 });
  expect(one.run('list', 'eggs').stdout).toBe('');
  expect(eggs('book.csv', ...MAP, '--write')).toMatchObject({ written: 2, new: 2 });
  expect(eggs('book.csv', ...MAP, '--write')).toMatchObject({ written: 0, new: 0, known: 2 });
  const rows = readFileSync(join(one.path, 'log/eggs.csv'), 'utf8').trim().split('\n');
  expect(rows).toHaveLength(3);
  // One amended since, and one withdrawn, are known all the same.
  const entry = (line: string) => line.split(',')[0]!;
  expect(one.run('amend', entry(rows[1]!), 'kept=5').code).toBe(0);
  expect(one.run('void', entry(rows[2]!)).code).toBe(0);
  expect(eggs('book.csv', ...MAP, '--write')).toMatchObject({ written: 0, known: 2 });
});

test('twins are not merged silently: they are shown, and taken when told', () => {
  one.write('book.csv', `${GERMAN}14.03.2027;south;7;\r\n`);
  expect(eggs('book.csv', ...MAP, '--write')).toMatchObject({ written: 2, doubtful: 1 });
  expect(eggs('book.csv', ...MAP, '--write', '--doubtful')).toMatchObject({ written: 1, known: 2 });
  expect(eggs('book.csv', ...MAP, '--write', '--doubtful')).toMatchObject({ written: 0, known: 3 });
});

test('a row that says something else of the same pen and day is doubtful', () => {
  expect(one.run('add', 'eggs', 'north', '--kept', '9', '--on', '2027-03-13').code).toBe(0);
  one.write('book.csv', GERMAN);
  expect(eggs('book.csv', ...MAP)).toMatchObject({ new: 1, doubtful: 1 });
});

test.each([
  ['03/04/2027', '--dates', 'mdy', '2027-03-04'],
  ['03/04/2027', '--dates', 'dmy', '2027-04-03'],
])('a date that can be read two ways is asked for: %s', (date, flag, order, day) => {
  one.write('book.csv', `on,pen,kept\n${date},north,3\n`);
  const asked = one.run('import', 'book.csv', '--as', 'eggs');
  expect(asked.code).toBe(2);
  expect(asked.stderr).toMatch(/two ways[\s\S]*--dates/);
  expect(eggs('book.csv', '--as', 'eggs', flag, order).rows[0]!.cells.on).toBe(day);
});

test('decimal commas are named, and asked for when they could part thousands', () => {
  one.write('book.csv', 'on;machine;dry;rh\n2027-03-01;cabinet;37,6;54\n');
  expect(eggs('book.csv', '--as', 'reading').rows[0]!.cells).toMatchObject({
    dry: '37.6',
    rh: '54',
  });
  one.write('book.csv', 'on;machine;dry;rh\n2027-03-01;cabinet;37.600;54\n');
  const asked = one.run('import', 'book.csv', '--as', 'reading');
  expect(asked.code).toBe(2);
  expect(asked.stderr).toMatch(/--decimal/);
});

test('one faulty row keeps all from being written', () => {
  one.write(
    'book.csv',
    'on,pen,kept\n2027-03-01,north,3\n2027-03-02,north,3.5\n2027-03-03,nroth,1\n',
  );
  expect(eggs('book.csv', '--as', 'eggs', '--write')).toMatchObject({
    written: 0,
    faulty: 1,
    code: 1,
  });
  expect(one.run('list', 'eggs').stdout).toBe('');
});

test('a spreadsheet file is read with its own dates and numbers', async () => {
  const buffer = await writeXlsx(
    [
      [{ value: 'Day' }, { value: 'Pen' }, { value: 'Kept' }, { value: 'Note' }],
      [
        { value: new Date(Date.UTC(2027, 2, 4)), type: Date, format: 'dd/mm/yyyy' },
        { value: 'north' },
        { value: 8, type: Number },
        { value: '=1+1', type: String },
      ],
    ],
    {},
  ).toBuffer();
  one.write('book.xlsx', buffer);
  const told = eggs('book.xlsx', '--as', 'eggs', '--map', 'Day=on', '--write');
  expect(told).toMatchObject({ written: 1 });
  expect(told.rows[0]!.cells).toMatchObject({ on: '2027-03-04', kept: '8', note: '=1+1' });
  one.write('broken.xlsx', buffer.subarray(0, buffer.length / 2));
  const broken = one.run('import', 'broken.xlsx', '--as', 'eggs');
  expect(broken.code).toBe(2);
  expect(broken.stderr).toMatch(/cannot be read as an \.xlsx/);
});

test('what is no table is refused plainly', () => {
  one.write('empty.csv', '');
  one.write('old.csv', Buffer.from('on;pen;note\n2027-03-01;north;J\xf8rn\n', 'latin1'));
  for (const [file, words] of [
    ['none.csv', /no such file/],
    ['empty.csv', /separator|no table/],
    ['old.csv', /--encoding windows-1252/],
    ['log', /no such file|folder/],
  ] as const) {
    const { code, stderr } = one.run('import', file, '--as', 'eggs');
    expect(code).toBe(2);
    expect(stderr).toMatch(words);
    expect(stderr).not.toMatch(/fault of the program/);
  }
});
