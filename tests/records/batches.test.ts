// Books of three invented keepers, each with one row a set in columns of its own. What they say of
// fertility and hatch must come out of the logs again; the sums are worked out here from the books.
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { strToU8, zipSync } from 'fflate';
import { afterAll, expect, test } from 'vitest';
import { answer } from '../support/in-process.ts';

const root = mkdtempSync(join(tmpdir(), 'traybook-books-'));
afterAll(() => rmSync(root, { recursive: true, force: true }));

function farm(name: string, pens: readonly string[]): string {
  const folder = join(root, name);
  mkdirSync(folder);
  writeFileSync(
    join(folder, 'season.yaml'),
    `format: traybook/1
season: 2026
place: {name: ${name}, timezone: Europe/London}
lines:
  own: {species: chicken}
pens:
${pens.map((pen) => `  ${pen}: {line: own, hens: 20, males: 3, joined: 2025-12-01}\n`).join('')}setters:
  cabinet: {trays: 4, tray_holds: {chicken: 60}}
hatchers:
  lower: {holds: {chicken: 200}}
`,
  );
  return folder;
}

/** Set, clear, and hatched of a book. */
type Row = {
  readonly on: string;
  readonly pen: string;
  readonly eggs: number;
  readonly clear: number;
  readonly dead: number;
  readonly chicks: number;
};
const book: readonly Row[] = [
  { on: '2026-02-07', pen: 'Top', eggs: 24, clear: 4, dead: 3, chicks: 17 },
  { on: '2026-02-14', pen: 'Low', eggs: 30, clear: 2, dead: 5, chicks: 23 },
  { on: '2026-02-21', pen: 'Top', eggs: 28, clear: 6, dead: 2, chicks: 20 },
  { on: '2026-02-28', pen: 'Low', eggs: 26, clear: 1, dead: 4, chicks: 21 },
];
const sum = (column: 'eggs' | 'clear' | 'dead' | 'chicks') =>
  book.reduce((total, row) => total + row[column], 0);
const dmy = (day: string) => day.split('-').reverse().join('/');

/** What `review` counts over the whole season. */
async function counted(folder: string): Promise<Record<string, [number, number]>> {
  const { stdout, code, stderr } = await answer(folder, ['review', '--by', 'line', '--json'], {
    now: '2026-05-01T09:00',
  });
  expect(code, stderr).toBe(0);
  const { rates } = JSON.parse(stdout).groups[0] as {
    rates: Record<string, { x: number; n: number }>;
  };
  return Object.fromEntries(
    ['fertile_apparent', 'hatch_of_set', 'hatch_of_fertile'].map((name) => [
      name,
      [rates[name]!.x, rates[name]!.n],
    ]),
  );
}
const fertile = sum('eggs') - sum('clear');
const fromBook = {
  fertile_apparent: [fertile, sum('eggs')],
  hatch_of_set: [sum('chicks'), sum('eggs')],
  hatch_of_fertile: [sum('chicks'), fertile],
};
const now = { now: '2026-05-01T09:00' };

test('a book in CSV with semicolons and days first: no --map, shown first, written when told', async () => {
  const folder = farm('semicolons', ['top', 'low']);
  const path = join(folder, 'book.csv');
  writeFileSync(
    path,
    `Date set;Batch no;Pen;Eggs set;Clears;Dead in shell;Chicks hatched;Remarks\n${book
      .map(
        (row, n) =>
          `${dmy(row.on)};${n + 1};${row.pen};${row.eggs};${row.clear};${row.dead};${row.chicks};`,
      )
      .join('\n')}\n`,
  );
  const shown = await answer(
    folder,
    ['import', path, '--as', 'batch', '--rule', 'candled = set + 8'],
    now,
  );
  expect(shown.code, shown.stderr).toBe(0);
  expect(shown.stdout).toContain('Clears is clear');
  expect(shown.stdout).toContain('candled = set + 8, moved = set + 18, hatched = set + 21');
  expect(shown.stdout).toMatch(/candling 2026-02-15 {2}set 1, pen top, clear 4/);
  expect(shown.stdout).toMatch(
    /hatch {4}2026-02-28 {2}set 1, pen top, hatched 17, unpipped 3, final yes/,
  );
  expect(shown.stdout).toContain('nothing written yet');
  const written = await answer(
    folder,
    ['import', path, '--as', 'batch', '--rule', 'candled = set + 8', '--write'],
    now,
  );
  expect(written.code, written.stderr).toBe(0);
  expect(written.stdout).toContain('16 rows written');
  expect(await counted(folder)).toEqual(fromBook);
  // A second time nothing is new.
  const again = await answer(folder, ['import', path, '--as', 'batch', '--write'], now);
  expect(again.stdout).toContain('0 new, 4 known');
  expect(again.stdout).toContain('columns as at the last import of such a table');
});

test('a spreadsheet in OpenDocument with dates of its own: no --map', async () => {
  const folder = farm('sheet', ['top', 'low']);
  const path = join(folder, 'book.ods');
  const cell = (value: string | number) =>
    typeof value === 'number'
      ? `<table:table-cell office:value-type="float" office:value="${value}"><text:p>${value}</text:p></table:table-cell>`
      : /^\d{4}-/.test(value)
        ? `<table:table-cell office:value-type="date" office:date-value="${value}"><text:p>${dmy(value)}</text:p></table:table-cell>`
        : `<table:table-cell office:value-type="string"><text:p>${value}</text:p></table:table-cell>`;
  const rows: (string | number)[][] = [
    ['Set on', 'From pen', 'Number set', 'Infertile', 'Unhatched', 'Chicks'],
    ...book.map((row) => [row.on, row.pen, row.eggs, row.clear, row.dead, row.chicks]),
  ];
  const content = `<?xml version="1.0"?><office:document-content xmlns:office="o" xmlns:table="t" xmlns:text="x"><office:body><office:spreadsheet><table:table table:name="2026">${rows
    .map(
      (cells) =>
        `<table:table-row>${cells.map(cell).join('')}<table:table-cell table:number-columns-repeated="1000"/></table:table-row>`,
    )
    .join(
      '',
    )}<table:table-row table:number-rows-repeated="1048000"><table:table-cell table:number-columns-repeated="1024"/></table:table-row></table:table></office:spreadsheet></office:body></office:document-content>`;
  writeFileSync(
    path,
    zipSync({
      mimetype: strToU8('application/vnd.oasis.opendocument.spreadsheet'),
      'content.xml': strToU8(content),
    }),
  );
  const written = await answer(folder, ['import', path, '--as', 'batch', '--write'], now);
  expect(written.code, written.stderr + written.stdout).toBe(0);
  expect(written.stdout).toContain('16 rows written');
  expect(await counted(folder)).toEqual(fromBook);
});

test('a book in words of its own takes a --map, which is kept for the next time', async () => {
  const folder = farm('own-words', ['top', 'low']);
  const path = join(folder, 'book.csv');
  writeFileSync(
    path,
    `Put down,Whose,How many,Blanks,Gone,Peeps\n${book
      .slice(0, 3)
      .map((row) => `${row.on},${row.pen},${row.eggs},${row.clear},${row.dead},${row.chicks}`)
      .join('\n')}\n`,
  );
  const bare = await answer(folder, ['import', path, '--as', 'batch'], now);
  expect(bare.code).toBe(2);
  expect(bare.stderr).toContain('no column gives on, pen, eggs');
  const maps = [
    'Put down=on',
    'Whose=pen',
    'How many=eggs',
    'Blanks=clear',
    'Gone=unpipped',
    'Peeps=hatched',
  ].flatMap((map) => ['--map', map]);
  const written = await answer(folder, ['import', path, '--as', 'batch', ...maps, '--write'], now);
  expect(written.code, written.stderr + written.stdout).toBe(0);
  const last = book[3]!;
  writeFileSync(
    path,
    `${readFileSync(path, 'utf8')}${last.on},${last.pen},${last.eggs},${last.clear},${last.dead},${last.chicks}\n`,
  );
  const more = await answer(folder, ['import', path, '--as', 'batch', '--write'], now);
  expect(more.stdout).toContain('1 new, 3 known');
  expect(await counted(folder)).toEqual(fromBook);
});

test('a row that cannot be so is told, and two columns that could be one', async () => {
  const folder = farm('slips', ['top']);
  const path = join(folder, 'book.csv');
  writeFileSync(path, 'Date set,Eggs,Clears,Chicks\n2026-02-07,20,5,16\n');
  const wrong = await answer(folder, ['import', path, '--as', 'batch', '--write'], now);
  expect(wrong.code).toBe(1);
  expect(wrong.stdout).toContain('16 chicks and dead eggs came of 15');
  writeFileSync(path, 'Date set,Eggs,Deaths,Dead in shell\n2026-02-07,20,5,1\n');
  const two = await answer(folder, ['import', path, '--as', 'batch'], now);
  expect(two.stderr).toContain('"Deaths" and "Dead in shell" could both be unpipped');
});
