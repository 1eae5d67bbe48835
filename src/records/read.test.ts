import fc from 'fast-check';
import { expect, test } from 'vitest';
import { parseOn } from '../text/day.ts';
import { kindOf } from './index.ts';
import { byTime, cellsOf, readLog } from './read.ts';
import { headerOf, type Row } from './record.ts';

const row = (values: Row['values']): Row => ({
  entry: '0000000000',
  recorded: '2027-03-06T18:30Z',
  recordedAt: 0,
  on: { day: '2027-03-06' as Row['on']['day'], time: null },
  values,
  by: '',
  note: '',
  amends: null,
  isVoid: false,
  at: { file: 'log/x.csv', line: 1, column: 1 },
});

test('rows of one second go in the order of the JSON of what they say', () => {
  const value = fc.oneof(
    fc.constantFrom(null, true, false, 1, 12, 1.5, -1, '', 'a', 'ab', 'a"'),
    fc.string({ maxLength: 3 }),
  );
  const values = fc
    .subarray(['set', 'setter', 'pen', 'eggs'], { minLength: 1 })
    .chain((names) =>
      fc
        .tuple(...names.map(() => value))
        .map((all) => Object.fromEntries(names.map((name, index) => [name, all[index]]))),
    );
  fc.assert(
    fc.property(values, values, (a, b) => {
      const [one, other] = [JSON.stringify(a), JSON.stringify(b)];
      fc.pre(one !== other);
      expect(byTime(row(a), row(b))).toBe(one < other ? -1 : 1);
    }),
    { numRuns: 500 },
  );
});

test('rows go by day, by minute, by when they were written, by what they say, by entry', () => {
  const one = row({ set: 'A1' });
  const later: Partial<Row>[] = [
    { on: parseOn('2027-03-06T07:00')! },
    { on: parseOn('2027-03-07')! },
    { recordedAt: 1 },
    { values: { set: 'B1' } },
    { entry: '0000000001' },
  ];
  for (const more of later) {
    expect(byTime(one, { ...one, ...more })).toBeLessThan(0);
    expect(byTime({ ...one, ...more }, one)).toBeGreaterThan(0);
  }
  // As their JSON: a comma comes before a brace.
  expect(byTime({ ...one, values: { set: 'A1', pen: 'north' } }, one)).toBeLessThan(0);
  const evening = { ...one, on: parseOn('2027-03-06T18:30')!, recordedAt: 0 };
  const morning = { ...one, on: parseOn('2027-03-06T07:00')!, recordedAt: 9 };
  expect(byTime(morning, evening)).toBeLessThan(0);
});

const HEADER = 'entry,recorded,on,low,high,by,note,amends,state';
const weather = (header: string, ...lines: string[]) =>
  readLog(kindOf('weather'), {
    path: 'log/weather.csv',
    text: `${[header, ...lines].join('\n')}\n`,
  });
const SOUND = '0000000001,2027-03-06T18:30:00+00:00,2027-03-06T18:30,1.5,12,kim,frost,,';

test('a row is read whole, and written again as it stood', () => {
  const { rows, faults, broken } = weather(HEADER, SOUND);
  expect([faults, broken]).toEqual([[], []]);
  expect(rows).toEqual([
    {
      entry: '0000000001',
      recorded: '2027-03-06T18:30:00+00:00',
      recordedAt: Date.UTC(2027, 2, 6, 18, 30),
      on: { day: '2027-03-06', time: '18:30' },
      values: { low: 1.5, high: 12 },
      by: 'kim',
      note: 'frost',
      amends: null,
      isVoid: false,
      at: { file: 'log/weather.csv', line: 2, column: 1 },
    },
  ]);
  const kind = kindOf('weather');
  expect(cellsOf(kind, rows[0]!).join(',')).toBe(SOUND);
  const amending = { ...rows[0]!, amends: '0000000000', isVoid: true, on: parseOn('2027-03-06')! };
  expect(cellsOf(kind, amending, ['on', 'amends', 'state', 'constructor', 'moon', 'high'])).toEqual(
    ['2027-03-06', '0000000000', 'void', '', '', '12'],
  );
  expect(cellsOf(kind, { ...rows[0]!, values: { low: null } }, ['low', 'high'])).toEqual(['', '']);
});

test.each([
  [HEADER, [], 1],
  [`${HEADER},moon`, ['csv-extra-column'], 1],
  [HEADER.replace('low', 'low,low'), ['csv-header'], 0],
  [HEADER.replace('high', 'hgih'), ['csv-header'], 0],
])('a header %s gives the faults %s and %d row', (header, codes, count) => {
  const { rows, faults, broken } = weather(header, header === HEADER ? SOUND : `${SOUND},`);
  expect(
    faults
      .filter((one) => one.code.startsWith('csv-h') || one.code.startsWith('csv-e'))
      .map((one) => one.code),
  ).toEqual(codes);
  expect(rows).toHaveLength(count);
  expect(broken).toEqual([]);
});

test('a header that lacks columns names them, with the nearest word; a column of later may be lacking', () => {
  const { faults } = weather(HEADER.replace('high', 'hgih'));
  expect(faults[0]!.message).toContain('high');
  expect(faults[0]!.hint).toContain('high');
  expect(weather(HEADER.replace('low,high,', '')).faults[0]!.hint).toContain(HEADER);
  expect(weather(HEADER.replace('low', 'low,low')).faults[0]!.message).toContain(
    '"low" stands twice',
  );
  const early = headerOf(kindOf('reading')).filter((name) => name !== 'room');
  const { rows, faults: none } = readLog(kindOf('reading'), {
    path: 'log/readings.csv',
    text: `${early.join(',')}\n0000000001,2027-03-06T18:30:00Z,2027-03-06,cabinet,37.5,,,,,,,,\n`,
  });
  expect(none).toEqual([]);
  expect(rows[0]!.values).toMatchObject({ dry: 37.5, room: null });
});

test('a row that cannot be read is left out, with each cell that is wrong and its place', () => {
  const { rows, faults, broken } = weather(
    HEADER,
    SOUND,
    '0000000002,2027-03-06T18:30:00Z,2027-03-06,cold,12,,,0000000001,',
    '000000000O,yesterday,6/3/2027,1,2,\u0007,\u0007,me,gone',
    '0000000004,2027-13-06T18:30:00Z,2027-03-06,12,1.5,,,,',
  );
  expect(rows.map((one) => one.entry)).toEqual(['0000000001']);
  expect(faults).toEqual([]);
  expect(broken.map(({ entry, on, amends }) => [entry, on, amends])).toEqual([
    ['0000000002', '2027-03-06', '0000000001'],
    ['000000000O', '6/3/2027', 'me'],
    ['0000000004', '2027-03-06', null],
  ]);
  const told = broken.map((one) => one.faults.map(({ at, about }) => [at.line, at.column, about]));
  expect(told).toEqual([
    [[3, 44, 'low']],
    [
      [4, 1, 'entry'],
      [4, 12, 'recorded'],
      [4, 22, 'on'],
      [4, 39, 'amends'],
      [4, 42, 'state'],
      [4, 35, 'by'],
      [4, 37, 'note'],
    ],
    [[5, 12, 'recorded']],
  ]);
  expect(broken[0]!.faults[0]!.message).toContain('found "cold"');
  expect(broken[0]!.faults[0]!.hint).toContain('traybook void 0000000002');
  expect(broken[1]!.faults[2]!.hint).toBe('write year-month-day: 2027-03-06');
  expect(broken[1]!.faults[0]!.hint).toBeNull();
});

test('what the cells of a row say together is asked where each can be read', () => {
  const { broken } = weather(HEADER, '0000000001,2027-03-06T18:30:00Z,2027-03-06,12,1.5,,,,');
  expect(broken[0]!.faults.map((one) => one.message)).toEqual([
    'high: a high of 1.5 is below the low of 12',
  ]);
  expect(broken[0]!.faults[0]!.at).toEqual({ file: 'log/weather.csv', line: 2, column: 47 });
});

test('a row that only withdraws another need say nothing else, but a cell it has must be read', () => {
  const eggs = (cells: string) =>
    readLog(kindOf('eggs'), {
      path: 'log/eggs.csv',
      text: `${headerOf(kindOf('eggs')).join(',')}\n0000000002,2027-03-06T18:30:00Z,2027-03-06,${cells},,,0000000001,void\n`,
    });
  const { rows, broken } = eggs(',,,,,,,,,,');
  expect(broken).toEqual([]);
  expect(rows[0]).toMatchObject({ isVoid: true, amends: '0000000001' });
  expect(rows[0]!.values).toMatchObject({ pen: null, kept: null, small: 0 });
  // More kept than laid: of a row withdrawn nobody asks.
  expect(eggs('north,3,9,,,,,,,,').broken).toEqual([]);
  expect(eggs('north,3,nine,,,,,,,,').broken[0]!.faults.map((one) => one.about)).toEqual(['kept']);
});

test('a needed cell that is empty is told as nothing', () => {
  const { broken } = readLog(kindOf('tick'), {
    path: 'log/ticks.csv',
    text: 'entry,recorded,on,task,by,note,amends,state\n0000000002,2027-03-06T18:30:00Z,2027-03-06,,,,,\n',
  });
  expect(broken[0]!.faults[0]!.message).toContain('found nothing');
});

test('a log with an unfinished merge says that alone', () => {
  const { rows, faults, broken } = weather(
    HEADER,
    '<<<<<<< HEAD',
    SOUND,
    '=======',
    SOUND,
    '>>>>>>> other',
  );
  expect(faults.map((one) => [one.code, one.at.line])).toEqual([['unfinished-merge', 2]]);
  expect([rows, broken]).toEqual([[], []]);
  // Where every row can be read, it is a note that looks so.
  const noted = weather(HEADER, SOUND.replace('frost', '"a\n<<<<<<< HEAD"'));
  expect([noted.rows.length, noted.faults]).toEqual([1, []]);
});
