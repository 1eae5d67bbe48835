// Corrections: what is refused, what is forced and stays told, and the whole history of a row.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { type Answer, answer } from '../support/in-process.ts';
import { BOOK_NOW, wholeBook } from '../support/whole-book.ts';

let folder: string;
beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'traybook-'));
  await wholeBook(folder);
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const at = (now: string, ...words: string[]): Promise<Answer> =>
  answer(folder, words, { now, by: 'Bo' });
const run = (...words: string[]): Promise<Answer> => at(BOOK_NOW, ...words);
type Version = {
  entry: string;
  recorded: string;
  by: string;
  note: string;
  amends: string | null;
  void: boolean;
  [column: string]: unknown;
};
const listed = async (...words: string[]): Promise<Version[]> =>
  (JSON.parse((await run('list', ...words, '--json')).stdout) as { rows: Version[] }).rows;
const codes = async (): Promise<string[]> =>
  (
    JSON.parse((await run('check', '--json')).stdout) as {
      problems: { code: string; severity: string }[];
    }
  ).problems
    .filter((one) => one.severity === 'error')
    .map((one) => one.code);
const entryOf = async (record: string, pen: string): Promise<string> =>
  (await listed(record)).find((row) => row.pen === pen)!.entry;

const entryOfText = async (log: string): Promise<string> =>
  readFileSync(join(folder, `log/${log}.csv`), 'utf8')
    .split('\n')[1]!
    .split(',')[0]!;

test('an amendment that breaks the balance is refused unless forced; forced, it stays told until mended', async () => {
  const entry = await entryOf('candling', 'north');
  const log = () => readFileSync(join(folder, 'log/candlings.csv'), 'utf8');
  const before = log();
  const refused = await run('amend', entry, 'clear=9');
  expect([refused.code, refused.stdout]).toEqual([2, '']);
  expect(refused.stderr).toMatch(/A1 north: 7 too many: 16 set, 10 taken out[\s\S]*--anyway/);
  expect(log()).toBe(before);
  expect(await codes()).toEqual([]);

  const forced = await run('amend', entry, 'clear=9', '--anyway');
  expect(forced.code).toBe(0);
  expect(forced.stderr).toMatch(/out-of-balance/);
  // Not once, but from then on, by check and wherever figures are drawn from it.
  for (const _ of [1, 2]) expect(await codes()).toEqual(['out-of-balance']);
  for (const command of ['summary', 'today', 'review'])
    expect((await run(command)).stderr).toMatch(/out-of-balance: A1 north: 7 too many/);
  // Another row, right in itself, is taken; the old fault is not held against it, and stays.
  expect((await run('add', 'eggs', 'south', '--kept=3')).code).toBe(0);
  expect(await codes()).toEqual(['out-of-balance']);

  const { entry: last } = (await listed('candling')).find((row) => row.pen === 'north')!;
  expect((await run('amend', last, 'clear=2')).code).toBe(0);
  expect(await codes()).toEqual([]);
  expect((await run('summary')).stderr).toBe('');
});

test('so is one that comes out of order, a forced row, and a withdrawal that leaves a hole', async () => {
  const transfer = await entryOf('transfer', 'north');
  const early = await run('amend', transfer, 'on=2027-02-20');
  expect([early.code, early.stderr]).toEqual([
    2,
    expect.stringMatching(/it was set on 2027-03-01[\s\S]*--anyway/),
  ]);
  expect((await run('void', transfer)).code).toBe(2);
  expect((await run('add', 'candling', 'A1', '--pen=north', '--clear=4')).code).toBe(2);
  expect(await codes()).toEqual([]);
  expect((await run('add', 'candling', 'A1', '--pen=north', '--clear=4', '--anyway')).code).toBe(0);
  expect(new Set(await codes())).toEqual(new Set(['out-of-balance', 'order-of-events']));
});

test('nothing forces a cell that cannot be read', async () => {
  const entry = await entryOf('candling', 'north');
  for (const change of [
    'clear=-1',
    'clear=two',
    'on=yesterweek',
    'set=',
    'on=2027-02-30',
    'pen=nroth',
  ]) {
    const told = await run('amend', entry, change, '--anyway');
    expect([told.code, told.stdout], change).toEqual([2, '']);
  }
});

test('amendments of amendments: any version stands for the row, the last one counts, all are kept', async () => {
  const first = await entryOf('candling', 'south');
  expect((await at('2027-04-01T10:00', 'amend', first, 'doubtful=2')).code).toBe(0);
  const [second] = (await listed('candling')).filter((row) => row.pen === 'south');
  expect(
    (await at('2027-04-01T11:00', 'amend', second!.entry, 'note=counted again', 'doubtful=0')).code,
  ).toBe(0);
  // By the entry of the very first version, from a paper of weeks ago.
  expect((await at('2027-04-01T12:00', 'amend', first, 'doubtful=1')).code).toBe(0);
  const [stands] = (await listed('candling')).filter((row) => row.pen === 'south');
  expect(stands).toMatchObject({ clear: 1, doubtful: 1, note: 'counted again', by: 'Bo' });
  const history = (await listed('candling', '--history')).filter((row) => row.pen === 'south');
  expect(
    history.map(({ doubtful, by, recorded, void: isVoid }) => [doubtful, by, recorded, isVoid]),
  ).toEqual([
    [1, 'Ane', '2027-04-01T09:00:00+01:00', false],
    [2, 'Bo', '2027-04-01T10:00:00+01:00', false],
    [0, 'Bo', '2027-04-01T11:00:00+01:00', false],
    [1, 'Bo', '2027-04-01T12:00:00+01:00', false],
  ]);
  // Each amends the one before it.
  expect(history.slice(1).map((row) => row.amends)).toEqual(
    history.slice(0, -1).map((row) => row.entry),
  );
  expect((await at('2027-04-01T13:00', 'void', first, '--anyway')).code).toBe(0);
  expect((await listed('candling')).filter((row) => row.pen === 'south')).toEqual([]);
  expect((await listed('candling', '--history')).at(-1)).toMatchObject({ void: true });
  const again = await at('2027-04-01T14:00', 'amend', first, 'doubtful=3');
  expect([again.code, again.stderr]).toEqual([2, expect.stringMatching(/is void already/)]);
});

test('the history of a set tells its life in order, with who and when', async () => {
  const candling = await entryOf('candling', 'north');
  expect((await at('2027-04-01T10:00', 'amend', candling, 'note=by lamp')).code).toBe(0);
  const hatch = (await listed('hatch')).find((row) => row.pen === 'south')!.entry;
  expect((await at('2027-04-01T11:00', 'amend', hatch, 'weak=2', '--by=Cy')).code).toBe(0);
  const { stdout } = await run('history', 'A1');
  const lines = stdout.trimEnd().split('\n');
  const events = lines.filter((line) => /^2027/.test(line));
  expect(
    events.map((line) =>
      line.replace(/^([\d-]+)(?: (\d\d:\d\d))?: (\w+):?.*/, '$1T$2 $3').replace('T ', ' '),
    ),
  ).toEqual([
    '2027-03-01 set',
    '2027-03-01 set',
    '2027-03-08 candling',
    '2027-03-08 candling',
    '2027-03-08 weighing',
    '2027-03-19 transfer',
    '2027-03-19 transfer',
    '2027-03-22T15:00 hatch',
    '2027-03-22T15:00 hatch',
    ...events.filter((line) => /2027-03-22 18:00/.test(line)).map(() => '2027-03-22T18:00 group'),
    '2027-03-23T09:00 hatch',
    '2027-03-24 breakout',
    '2027-03-31 bird',
  ]);
  // With each version, who wrote it and when.
  const text = stdout.replace(/\s+/g, ' ');
  expect(
    text.match(/by (Ane|Bo|Cy), written 2027-04-01T\d\d:00:00\+01:00, entry \w{10}/g),
  ).toHaveLength(events.length + 2);
  expect(text).toMatch(/amended: weak 1 -> 2;? by Cy, written 2027-04-01T11:00/);
  const { events: told } = JSON.parse((await run('history', 'A1', '--json')).stdout) as {
    events: { state: string; by: string; versions: { by: string; recorded: string }[] }[];
  };
  expect(told).toHaveLength(events.length);
  expect(
    told.filter((one) => one.state === 'amended').map((one) => [one.by, one.versions[0]!.by]),
  ).toEqual([
    ['Ane', 'Bo'],
    ['Ane', 'Cy'],
  ]);
});

test('a row that cannot be read is withdrawn by its entry, as the fault says, and the folder reads again', async () => {
  const path = join(folder, 'log/candlings.csv');
  const whole = readFileSync(path, 'utf8');
  const entry = await entryOf('candling', 'north');
  // The second version of the row is broken by hand: to withdraw it is to withdraw the row.
  expect((await run('amend', entry, 'clear=1')).code).toBe(0);
  const amended = readFileSync(path, 'utf8').slice(whole.length).split(',')[0]!;
  writeFileSync(
    path,
    `${whole}${readFileSync(path, 'utf8').slice(whole.length).replace(',north,1,', ',north,l,')}`,
  );
  const { code, stderr } = await run('today');
  expect([code, stderr]).toEqual([3, expect.stringContaining(`or: traybook void ${amended}`)]);
  expect((await run('void', entry)).code).toBe(3);
  const told = await run('void', amended, '--note=illegible', '--json');
  expect(told.code, told.stderr).toBe(0);
  expect((await run('check')).code).not.toBe(3);
  expect((await listed('candling')).map((row) => row.pen)).toEqual(['south']);
  expect((await listed('candling', '--history')).find((row) => row.void)).toMatchObject({
    note: 'illegible',
    by: 'Bo',
    amends: amended,
  });
  expect((await run('history', 'A1')).code).toBe(0);
});

test('nothing else is written into a folder that cannot be read', async () => {
  const path = join(folder, 'log/eggs.csv');
  const entry = await entryOf('eggs', 'north');
  writeFileSync(path, readFileSync(path, 'utf8').replace(',9,9,', ',9,nine,'));
  const before = readFileSync(path, 'utf8');
  for (const words of [
    // An entry of no row, whatever the random one ends with.
    ['void', entry.replace(/.$/, (last) => (last === '0' ? '1' : '0'))],
    ['add', 'eggs', 'north', '--kept=1'],
    ['void', await entryOfText('transfers')],
  ])
    expect((await run(...words)).code, words.join(' ')).toBe(3);
  expect(readFileSync(path, 'utf8')).toBe(before);
});
