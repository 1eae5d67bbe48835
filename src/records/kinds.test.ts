// The logs of the format `traybook/1`: a log that another version wrote must be read as it was.
import { expect, test } from 'vitest';
import { isPunch, punchText } from './bird.ts';
import { isRecordName, kindOf, kinds, type RecordName, recordNames } from './index.ts';

const columns: Readonly<Record<RecordName, string>> = {
  eggs: 'pen laid kept small large misshapen thin cracked dirty other hens',
  'eggs-out': 'pen eggs way laid_from laid_to money order',
  set: 'set pen setter tray eggs laid_from laid_to mass_g',
  candling: 'set pen clear quit cracked rotten doubtful',
  weighing: 'set pen eggs mass_g',
  reading: 'machine dry wet rh event minutes room',
  transfer: 'set pen hatcher basket moved clear quit cracked rotten',
  hatch: 'set pen hatched weak dead pipped unpipped final',
  breakout: 'set pen from infertile early middle late pipped rotten malposed',
  group: 'group set pen brooder chicks mark',
  move: 'group to birds',
  loss: 'group birds cause place',
  sexing: 'group pullets cockerels unsure',
  leaving: 'group sex birds way mass_kg money order',
  bird: 'bird band line sex set pen dam sire born',
  score: 'bird trait value',
  treatment: 'group_or_pen product egg_withdrawal_days meat_withdrawal_days what batch result',
  weather: 'low high',
  money: 'category amount quantity unit',
  tick: 'task',
  'pen-change': 'pen change birds sex bird cause',
  acceptance: 'code about why',
};

test.each(recordNames)('the columns of %s', (name) => {
  expect(Object.keys(kindOf(name).columns).join(' ')).toBe(columns[name]);
});

test('a name of a record, and what is none', () => {
  expect(['eggs', 'pen-change', 'egg', 'constructor'].map(isRecordName)).toEqual([
    true,
    true,
    false,
    false,
  ]);
});

test('the minute is written of what is done or read at a machine, and of ticks', () => {
  const timed = recordNames.filter((name) => kindOf(name).timed);
  expect(timed).toEqual(['set', 'weighing', 'reading', 'transfer', 'hatch', 'tick']);
});

test('numbers without names go first into the columns asked for first', () => {
  const first = recordNames.flatMap((name) => {
    const list = kindOf(name).first;
    return list.length === 0 ? [] : [[name, ...list]];
  });
  expect(first).toEqual([
    ['set', 'eggs', 'tray'],
    ['transfer', 'moved'],
    ['group', 'chicks', 'mark'],
  ]);
});

test.each<[{ read(cell: string): unknown }, string, string]>([
  [kinds.money.columns.amount, '-10000000', '10000000'],
  [kinds.money.columns.quantity, '0', '10000000'],
  [kinds['eggs-out'].columns.money, '0', '10000000'],
  [kinds.leaving.columns.money, '0', '10000000'],
  [kinds.leaving.columns.mass_kg, '0.001', '100000'],
  [kinds.score.columns.value, '-1000000', '1000000'],
  [kinds.set.columns.mass_g, '0.1', '1000000'],
  [kinds.weighing.columns.mass_g, '0.1', '1000000'],
  [kinds.weather.columns.low, '-60', '130'],
  [kinds.reading.columns.dry, '-40', '130'],
  [kinds.reading.columns.rh, '-100', '100'],
])('from the least to the most, and no further', (column, least, most) => {
  const isRead = (cell: string) => 'value' in (column.read(cell) as object);
  expect([least, most].map(isRead)).toEqual([true, true]);
  const beyond = [Number(least) - 0.0001, Number(most) + 0.0001].map((one) => one.toFixed(4));
  expect(beyond.map(isRead)).toEqual([false, false]);
});

test('what a keeper calls a cause is asked about', () => {
  const { cause } = kinds.loss.columns;
  expect(cause.read('fox')).toEqual({ hint: 'did you mean predator?' });
  expect(cause.read('drowned')).toEqual({ hint: 'did you mean accident?' });
});

test('a toe punch is no band', () => {
  expect(punchText('5')).toBe('punch 5');
  expect(['punch 5', 'Punch 5', 'punch5', 'no punch 5', 'B5'].map(isPunch)).toEqual([
    true,
    true,
    false,
    false,
    false,
  ]);
});
