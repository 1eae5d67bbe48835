import { expect, test } from 'vitest';
import { batchRows, batchSlip } from './batch.ts';

test.each([
  [{ eggs: '20', clear: '5', quit: '5', cracked: '5', rotten: '5' }, null],
  [
    { eggs: '20', clear: '6', quit: '5', cracked: '5', rotten: '5' },
    '21 eggs were taken out of 20',
  ],
  [{ eggs: '20', clear: '2', moved: '18' }, null],
  [{ eggs: '20', clear: '2', moved: '19' }, '19 eggs were moved, and 18 were left of 20'],
  [{ eggs: '20', clear: '2', hatched: '15', found_dead: '1', pipped: '1', unpipped: '1' }, null],
  [
    { eggs: '20', clear: '2', hatched: '16', found_dead: '1', pipped: '1', unpipped: '1' },
    '19 chicks and dead eggs came of 18',
  ],
  [{ eggs: '20', moved: '10', hatched: '11' }, '11 chicks and dead eggs came of 10'],
  [{}, null],
  [{ clear: '1' }, '1 eggs were taken out of 0'],
])('%j: %s', (cells, slip) => {
  expect(batchSlip(cells as Readonly<Record<string, string>>)).toBe(slip);
});

const rules = { candled: 7, moved: 18, hatched: 21 };
const told = { on: '2027-03-06T08:00', set: 'A1', pen: 'north', setter: 'cabinet', eggs: '20' };
const names = { set: 'A1', pen: 'north' };

test('a set of which nothing else is known is a set', () => {
  expect(batchRows({ ...told, tray: '', note: '' }, rules)).toEqual([
    {
      record: 'set',
      cells: { on: '2027-03-06T08:00', ...names, setter: 'cabinet', eggs: '20' },
    },
  ]);
});

test('what was taken out, moved and hatched is dated by rule where the book has no day', () => {
  const full = {
    ...told,
    note: 'frost',
    clear: '2',
    rotten: '1',
    hatched: '15',
    found_dead: '1',
    unpipped: '1',
  };
  const rows = batchRows(full, rules);
  expect(rows).toEqual([
    {
      record: 'set',
      cells: { on: '2027-03-06T08:00', ...names, setter: 'cabinet', eggs: '20', note: 'frost' },
    },
    { record: 'candling', cells: { on: '2027-03-13', ...names, clear: '2', rotten: '1' } },
    { record: 'transfer', cells: { on: '2027-03-24', ...names, moved: '17' } },
    {
      record: 'hatch',
      cells: { on: '2027-03-27', ...names, hatched: '15', dead: '1', unpipped: '1', final: 'yes' },
    },
  ]);
  const dated = {
    ...full,
    candled_on: '2027-03-12',
    moved_on: '2027-03-23',
    hatched_on: '2027-03-28',
  };
  expect(batchRows(dated, rules).map((one) => one.cells.on)).toEqual([
    '2027-03-06T08:00',
    '2027-03-12',
    '2027-03-23',
    '2027-03-28',
  ]);
});

test('without chicks there is no hatch, and what was moved is as the book says', () => {
  const records = (cells: Readonly<Record<string, string>>) =>
    batchRows({ ...told, ...cells }, rules).map((one) => one.record);
  expect(records({ clear: '2' })).toEqual(['set', 'candling']);
  expect(records({ moved: '0' })).toEqual(['set', 'transfer']);
  expect(records({ hatched: '0' })).toEqual(['set', 'transfer', 'hatch']);
  expect(batchRows({ ...told, clear: '2', moved: '16' }, rules)[2]!.cells.moved).toBe('16');
  const taken = { clear: '1', quit: '1', cracked: '1', rotten: '1', hatched: '9' };
  expect(batchRows({ ...told, ...taken }, rules)[2]!.cells.moved).toBe('16');
});
