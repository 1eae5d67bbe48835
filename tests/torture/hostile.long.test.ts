// Folders made to cost much: none may take more than twenty times the work of a sound one, nor more
// than a gigabyte, nor end in a fault of the program. Processor time is compared, never the clock.
import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { strToU8, zipSync } from 'fflate';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { root } from '../harness/console.ts';
import { SEASON } from '../support/season-folder.ts';

const TIMES = 20;
const MEMORY_KIB = 1024 * 1024;

const times = (count: number, make: (index: number) => string) =>
  Array.from({ length: count }, (_, index) => make(index)).join('');

const HEADER =
  'entry,recorded,on,pen,laid,kept,small,large,misshapen,thin,cracked,dirty,other,hens,by,note,amends,state\n';
const DIGITS = '0123456789abcdefghjkmnpqrstvwxyz';
const entry = (index: number) => {
  let rest = index;
  let text = '';
  for (let place = 0; place < 9; place += 1) {
    text = DIGITS[rest % 32]! + text;
    rest = Math.floor(rest / 32);
  }
  return `a${text}`;
};
const row = (index: number, { on = '2027-03-06', counts = '9,8', amends = '' } = {}) =>
  `${entry(index)},2027-03-06T18:30:00+00:00,${on},north,${counts},,,,,,,,,Ane,,${amends},\n`;

const goal = (by: string) =>
  SEASON.replace(
    'plan: []',
    `plan: []\ngoals:\n  - {line: sussex, want: pullets, at: point-of-lay, count: 5, by: ${by}}`,
  );
const planned = (index: number) =>
  `  - {set: D${index}, on: 2027-03-06, setter: cabinet, trays: [1], shares: {north: 20}}\n`;

/** Sets in one tray, and as many power cuts as there are minutes in some days. */
const CUTS: Readonly<Record<string, string>> = {
  'sets.csv': `entry,recorded,on,set,pen,setter,tray,eggs,laid_from,laid_to,mass_g,by,note,amends,state\n${times(
    400,
    (n) => `${entry(n)},2027-03-06T18:30:00+00:00,2027-03-05,S${n},north,cabinet,1,5,,,,Ane,,,\n`,
  )}`,
  'readings.csv': `entry,recorded,on,machine,dry,wet,rh,event,minutes,room,by,note,amends,state\n${times(
    5000,
    (n) =>
      `${entry(1000 + n)},2027-03-06T18:30:00+00:00,2027-03-0${6 + Math.floor(n / 1440)}T${String(Math.floor(n / 60) % 24).padStart(2, '0')}:${String(n % 60).padStart(2, '0')},cabinet,,,,power-off,300,10,Ane,,,\n`,
  )}`,
};

/** `season.yaml`, and the log of eggs or others where they matter, by what is hostile in them. */
const cases: Readonly<Record<string, readonly [string, (string | undefined)?, typeof CUTS?]>> = {
  'anchors in a line': [`${SEASON}a: ${'&a '.repeat(200_000)}1\n`],
  'quotes in a line': [`${SEASON}a: ${'""'.repeat(200_000)}\n`],
  'a power cut a minute': [SEASON, undefined, CUTS],
  'fifty thousand aliases': [`${SEASON}a: &b 1\nc: [${'*b,'.repeat(50_000)}]\n`],
  'eighty thousand keys': [SEASON + times(80_000, (n) => `k${n}: 1\n`)],
  'as many keys as are read': [SEASON + times(6000, (n) => `k${n}: 1\n`)],
  'keys in one line': [`${SEASON}y: {${times(6000, (n) => `k${n}: 1,`)}}\n`],
  'brackets and line feeds': [`${SEASON}a:\n${'[\n'.repeat(200_000)}`],
  'half a million brackets': [`${SEASON}a: ${'['.repeat(500_000)}`],
  'dashes in a line': [`${SEASON}a:\n  ${'- '.repeat(200_000)}1\n`],
  'a goal in 2299': [goal('2299-01-01')],
  'a goal in 9999': [goal('9999-12-31')],
  'goals that compete, one too many': [
    `${SEASON}goals:\n${times(101, () => '  - {line: sussex, want: chicks, count: 1, by: 2027-06-20}\n')}`,
  ],
  'unknown lines': [
    SEASON.replace('lines:\n', `lines:\n${times(2000, (n) => `  l${n}: {species: x${n}}\n`)}`),
  ],
  'eight hundred sets in one tray': [SEASON.replace('plan: []', `plan:\n${times(800, planned)}`)],
  'a row a hundred and fifty thousand times': [SEASON, HEADER + row(1).repeat(150_000)],
  'ten thousand bad rows': [SEASON, HEADER + times(10_000, (n) => row(n, { counts: 'x,y' }))],
  'a chain of amendments': [
    SEASON,
    HEADER + times(9000, (n) => row(n, n === 0 ? {} : { amends: entry(n - 1) })),
  ],
  'a chain the other way round': [
    SEASON,
    HEADER + times(9000, (n) => row(n, n === 8999 ? {} : { amends: entry(n + 1) })),
  ],
  'amendments of one row': [
    SEASON,
    HEADER + times(9000, (n) => row(n, n === 0 ? {} : { amends: entry(0) })),
  ],
  'a row in 9999': [SEASON, HEADER + row(1, { on: '9999-12-31' })],
  'a header without a column': [SEASON, HEADER.replace('laid,', '') + times(9000, (n) => row(n))],
};

let place: string;
beforeAll(() => {
  place = mkdtempSync(join(tmpdir(), 'traybook-hostile-'));
});
afterAll(() => rmSync(place, { recursive: true }));

function run(
  yaml: string,
  eggs: string | undefined,
  words: readonly string[],
  others: typeof CUTS = {},
) {
  const folder = join(place, 'season');
  rmSync(folder, { recursive: true, force: true });
  mkdirSync(join(folder, 'log'), { recursive: true });
  writeFileSync(join(folder, 'season.yaml'), yaml);
  if (eggs !== undefined) writeFileSync(join(folder, 'log', 'eggs.csv'), eggs);
  for (const [name, text] of Object.entries(others)) writeFileSync(join(folder, 'log', name), text);
  const usage = join(place, 'usage');
  const { status, stdout, stderr } = spawnSync(
    process.execPath,
    [
      ...['--require', join(root, 'tests/torture/usage.cjs'), join(root, 'bin/traybook.js')],
      ...['--season', folder, '--now', '2027-03-20T09:00', ...words],
    ],
    { encoding: 'utf8', maxBuffer: 1e9, env: { ...process.env, USAGE: usage } },
  );
  const took = JSON.parse(readFileSync(usage, 'utf8')) as { cpu: number; memory: number };
  return { status, said: stdout + stderr, ...took };
}
type Ran = ReturnType<typeof run>;

function expectBounded(hostile: Ran, sound: Ran): void {
  expect([0, 1, 2, 3]).toContain(hostile.status);
  expect(hostile.said).not.toMatch(/fault of the program|\n {4}at /);
  expect(hostile.said.length).toBeLessThan(200_000);
  expect(hostile.memory).toBeLessThan(MEMORY_KIB);
  expect(hostile.cpu / sound.cpu).toBeLessThan(TIMES);
}

const ROWS = 3000;
const commands = [['check'], ['today'], ['summary']] as const;

test.each(Object.entries(cases))('%s', (_, [yaml, eggs, others]) => {
  for (const words of commands) {
    const sound = run(SEASON, HEADER + times(ROWS, (n) => row(n, { counts: '9,1' })), words);
    expectBounded(run(yaml, eggs, words, others), sound);
  }
});

const SHEET = 'xl/worksheets/sheet1.xml';
const CELLS = '<row r="1"><c r="A1" t="inlineStr"><is><t>on</t></is></c></row>';
const cellsIn = (cells: string) => `<worksheet><sheetData>${CELLS}${cells}</sheetData></worksheet>`;
const number = (place: string) => `<row r="2"><c r="${place}"><v>8</v></c></row>`;

/** An .xlsx of one sheet, with the parts that matter replaced. */
function xlsx(parts: Readonly<Record<string, string>>): Uint8Array {
  const relations = (rows: string) => `<Relationships>${rows}</Relationships>`;
  const whole: Record<string, string> = {
    'xl/workbook.xml':
      '<workbook xmlns:r="r"><sheets><sheet name="Book" sheetId="1" r:id="rId1"/></sheets></workbook>',
    'xl/_rels/workbook.xml.rels': relations(
      '<Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/><Relationship Id="rId2" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/sharedStrings" Target="sharedStrings.xml"/>',
    ),
    [SHEET]: cellsIn(number('A2')),
    ...parts,
  };
  return zipSync(
    Object.fromEntries(Object.entries(whole).map(([name, text]) => [name, strToU8(text)])),
  );
}

/** An .ods with this in its one table. */
const ods = (rows: string, before = ''): Uint8Array =>
  zipSync({
    mimetype: strToU8('application/vnd.oasis.opendocument.spreadsheet'),
    'content.xml': strToU8(
      `${before}<office:document-content><office:body><office:spreadsheet><table:table table:name="Book">${rows}</table:table></office:spreadsheet></office:body></office:document-content>`,
    ),
  });
const odsCell = (text: string, more = '') =>
  `<table:table-cell office:value-type="string"${more}><text:p>${text}</text:p></table:table-cell>`;

const LAUGHS = `<!DOCTYPE x [<!ENTITY a "ha">${times(
  20,
  (n) =>
    `<!ENTITY ${'abcdefghijklmnopqrstuv'[n + 1]} "${`&${'abcdefghijklmnopqrstuv'[n]};`.repeat(10)}">`,
)}]>`;

/** Tables of less than a megabyte, by what is hostile in them. */
const sheets: Readonly<Record<string, () => Uint8Array>> = {
  'a cell in the far corner.xlsx': () => xlsx({ [SHEET]: cellsIn(number('XFD1048576')) }),
  'a cell at A999999999.xlsx': () => xlsx({ [SHEET]: cellsIn(number('A999999999')) }),
  'as large a grid as is read.xlsx': () => xlsx({ [SHEET]: cellsIn(number('IV15000')) }),
  'a sheet that says it is huge.xlsx': () =>
    xlsx({
      [SHEET]: cellsIn(number('A2')).replace(
        '<sheetData>',
        '<dimension ref="A1:XFD1048576"/><sheetData>',
      ),
    }),
  'a long text in every cell.xlsx': () =>
    xlsx({
      'xl/sharedStrings.xml': `<sst><si><t>${'x'.repeat(60_000)}</t></si></sst>`,
      [SHEET]: cellsIn(
        times(50_000, (n) => `<row r="${n + 2}"><c r="A${n + 2}" t="s"><v>0</v></c></row>`),
      ),
    }),
  'a million shared texts.xlsx': () =>
    xlsx({ 'xl/sharedStrings.xml': `<sst>${'<si><t/></si>'.repeat(1_000_000)}</sst>` }),
  'thirty megabytes of blanks.xlsx': () => xlsx({ [SHEET]: cellsIn(' '.repeat(30_000_000)) }),
  'texts as long as may be.xlsx': () =>
    xlsx({ [SHEET]: cellsIn(`${' '.repeat(900_000)}<a/>`.repeat(30)) }),
  'a tag of thirty megabytes.xlsx': () =>
    xlsx({ [SHEET]: cellsIn(`<a b="${' '.repeat(30_000_000)}"/>`) }),
  'a hundred thousand levels.xlsx': () =>
    xlsx({ [SHEET]: cellsIn(`${'<a>'.repeat(100_000)}${'</a>'.repeat(100_000)}`) }),
  'tags left open.xlsx': () => xlsx({ [SHEET]: cellsIn('<row>'.repeat(200_000)) }),
  'entities in entities.xlsx': () =>
    xlsx({ [SHEET]: `${LAUGHS}${cellsIn(number('A2')).replace('on', '&u;')}` }),
  'ten thousand sheets.xlsx': () =>
    xlsx({
      'xl/workbook.xml': `<workbook xmlns:r="r"><sheets>${times(10_000, (n) => `<sheet name="B${n}" sheetId="${n}" r:id="rId1"/>`)}</sheets></workbook>`,
    }),
  'ten thousand parts.xlsx': () =>
    xlsx(Object.fromEntries(Array.from({ length: 10_000 }, (_, n) => [`x${n}`, '']))),
  'every row and column repeated.ods': () =>
    ods(
      `<table:table-row>${odsCell('on')}</table:table-row><table:table-row table:number-rows-repeated="1048576">${odsCell('x', ' table:number-columns-repeated="16384"')}</table:table-row>`,
    ),
  'as many cells as are read.ods': () =>
    ods(
      `<table:table-row>${odsCell('on')}</table:table-row><table:table-row table:number-rows-repeated="15000">${odsCell('x', ' table:number-columns-repeated="250"')}</table:table-row>`,
    ),
  'numbers that are none.ods': () =>
    ods(
      `<table:table-row table:number-rows-repeated="-1">${odsCell('on', ' table:number-columns-repeated="1e99"')}</table:table-row>`,
    ),
  'thirty megabytes of blanks.ods': () => ods(' '.repeat(30_000_000)),
  'a million paragraphs in a cell.ods': () =>
    ods(
      `<table:table-row><table:table-cell>${'<text:p/>'.repeat(1_000_000)}</table:table-cell></table:table-row>`,
    ),
  'entities in entities.ods': () =>
    ods(`<table:table-row>${odsCell('&u;')}</table:table-row>`, LAUGHS),
  'a hundred thousand levels.ods': () => ods('<table:table-row>'.repeat(100_000)),
};

test.each(Object.entries(sheets))('%s', (name, make) => {
  const path = join(place, name);
  const bytes = make();
  expect(bytes.length).toBeLessThan(1_000_000);
  writeFileSync(path, bytes);
  const whole = join(place, 'sound.csv');
  writeFileSync(
    whole,
    `on,pen,kept\n${times(ROWS, (n) => `2027-03-0${1 + (n % 9)},north,${n % 9}\n`)}`,
  );
  const words = ['--as', 'eggs'];
  expectBounded(
    run(SEASON, HEADER, ['import', path, ...words]),
    run(SEASON, HEADER, ['import', whole, ...words]),
  );
});
