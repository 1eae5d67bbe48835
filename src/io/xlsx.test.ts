import { strToU8, unzipSync, zipSync } from 'fflate';
import { expect, test } from 'vitest';
import writeXlsx from 'write-excel-file/node';
import { readSheet, UNPACKED_LIMIT } from './xlsx.ts';

const day = (text: string) => ({ value: new Date(text), type: Date, format: 'dd/mm/yyyy hh:mm' });
const sheetOf = (rows: Parameters<typeof writeXlsx>[0]) => writeXlsx(rows as never, {}).toBuffer();

test('numbers, dates and texts come as the file holds them; only texts are open to reading', async () => {
  const told = await readSheet(
    await sheetOf([
      [
        { value: 'Day' },
        { value: 'Kept' },
        { value: 'Dry' },
        { value: 'Note' },
        { value: 'Final' },
      ],
      [
        day('2027-03-04T00:00:00Z'),
        { value: 8, type: Number },
        { value: 37.6, type: Number },
        { value: ' 03/04/2027 ', type: String },
        { value: true, type: Boolean },
      ],
      [],
      [day('2027-03-05T18:30:00Z'), { value: 0.1 + 0.2, type: Number }],
    ] as never),
    null,
  );
  if (!('value' in told)) throw new Error(told.problem);
  expect(told.value.header).toEqual(['Day', 'Kept', 'Dry', 'Note', 'Final']);
  expect(told.value.rows.map((row) => [row.rowNo, row.cells.map(({ text }) => text)])).toEqual([
    [2, ['2027-03-04', '8', '37.6', '03/04/2027', 'yes']],
    [4, ['2027-03-05T18:30', '0.3', '', '', '']],
  ]);
  expect(told.value.rows[0]!.cells.map(({ exact }) => exact)).toEqual([
    true,
    true,
    true,
    false,
    true,
  ]);
  expect(told.value.found).toEqual(['sheet "Sheet1"']);
});

test('a sheet is taken by name, and one that is not there is told with those that are', async () => {
  const buffer = await writeXlsx([
    { sheet: 'Eggs', data: [[{ value: 'a' }], [{ value: '1' }]] },
    { sheet: 'Hatches', data: [[{ value: 'b' }], [{ value: '2' }]] },
  ] as never).toBuffer();
  expect(await readSheet(buffer, 'Hatches')).toMatchObject({
    value: { header: ['b'], found: ['sheet "Hatches" of 2'] },
  });
  expect(await readSheet(buffer, null)).toMatchObject({ value: { header: ['a'] } });
  expect(await readSheet(buffer, 'hatch')).toEqual({
    problem: 'the file holds no sheet "hatch"',
    hint: 'its sheets: Eggs, Hatches',
  });
});

/** The archive with the unpacked size that it says of one part changed, in both places it says so. */
function claiming(zip: Uint8Array, bytes: number): Uint8Array {
  const out = new Uint8Array(zip);
  const view = new DataView(out.buffer);
  // Zip file format (APPNOTE 4.3.7, 4.3.12): sizes in the local and in the central header.
  for (let at = 0; at + 30 < out.length; at += 1) {
    const signature = view.getUint32(at, true);
    if (signature === 0x04034b50) view.setUint32(at + 22, bytes, true);
    if (signature === 0x02014b50) view.setUint32(at + 24, bytes, true);
  }
  return out;
}

test('an archive that unpacks to more than it should is refused before it is unpacked', async () => {
  const parts = unzipSync(await sheetOf([[{ value: 'a' }], [{ value: '1' }]] as never));
  const refused = { problem: 'the file unpacks to more than it should' };
  expect(await readSheet(claiming(zipSync(parts), UNPACKED_LIMIT), null)).toMatchObject(refused);
  const many = Object.fromEntries(
    Array.from({ length: 5 }, (_, n) => [`x${n}`, new Uint8Array(UNPACKED_LIMIT / 4)]),
  );
  expect(await readSheet(zipSync({ ...parts, ...many }), null)).toMatchObject(refused);
});

test('an archive that says less than it holds gets no more room than it said', async () => {
  const parts = unzipSync(await sheetOf([[{ value: 'a' }], [{ value: '1' }]] as never));
  const [name] = Object.keys(parts).filter((one) => /sheet1\.xml$/.test(one));
  const padded = new Uint8Array(UNPACKED_LIMIT / 2).fill(0x20);
  padded.set(parts[name!]!);
  const told = await readSheet(claiming(zipSync({ ...parts, [name!]: padded }), 4096), null);
  expect('value' in told ? told.value.rows.length : 0).toBeLessThan(2);
});

test('what is no spreadsheet, or half of one, is told in words', async () => {
  const whole = await sheetOf([[{ value: 'a' }]] as never);
  for (const bytes of [
    new Uint8Array(),
    strToU8('PK'),
    strToU8('PK\u0003\u0004 not a zip'),
    whole.subarray(0, whole.length / 2),
    zipSync({ 'xl/workbook.xml': strToU8('<workbook><sheets>') }),
    zipSync({ '../../evil': strToU8('x') }),
  ])
    expect(await readSheet(bytes, null)).toEqual({
      problem: expect.stringMatching(/cannot be read as an \.xlsx|no sheet|no table/),
      hint: expect.any(String),
    });
});

/** A sheet file of which one cell is moved to another place. */
async function withCellAt(place: string): Promise<Uint8Array> {
  const parts = unzipSync(
    new Uint8Array(await sheetOf([[{ value: 'Kept' }], [{ value: 8, type: Number }]] as never)),
  );
  const name = Object.keys(parts).find((one) => one.startsWith('xl/worksheets/sheet'))!;
  const xml = new TextDecoder().decode(parts[name]).replace('r="A2"', `r="${place}"`);
  expect(xml).toContain(`"${place}"`);
  return zipSync({ ...parts, [name]: strToU8(xml) });
}

test('a cell far out is told before a grid is made up to it', async () => {
  for (const place of ['XFD1048576', 'A999999999', 'A200002', 'IW2', 'IV20000', 'AAAA1', 'A0'])
    expect(await readSheet(await withCellAt(place), null)).toMatchObject({
      problem: `a sheet has a cell as far out as ${place}`,
    });
  for (const place of ['B2', 'A9', 'IV15'])
    expect(JSON.stringify(await readSheet(await withCellAt(place), null))).not.toContain(
      'as far out',
    );
});
