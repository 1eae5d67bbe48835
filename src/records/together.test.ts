// What the cells of one row say together that cannot be so: the last value that may be, and the next.
import { expect, test } from 'vitest';
import { kindOf, type RecordName } from './index.ts';
import { readCells } from './read.ts';

/** The columns that are told of a row with these cells; null where they can be so. */
function told(record: RecordName, written: Readonly<Record<string, string>>): string[] {
  const cells: Readonly<Record<string, string>> = {
    entry: '0000000000',
    recorded: '2027-03-06T18:30:00Z',
    on: '2027-03-06',
    ...written,
  };
  const read = readCells(kindOf(record), (column) => cells[column] ?? '');
  return 'slips' in read ? read.slips.map((one) => one.column) : [];
}

const pen = { pen: 'north' };
const eggs = { ...pen, laid: '9' };
/** One egg left out for each reason there is. */
const left = {
  small: '1',
  large: '1',
  misshapen: '1',
  thin: '1',
  cracked: '1',
  dirty: '1',
  other: '1',
};
const set = { ...pen, set: 'A1', eggs: '20' };
const out = { ...pen, eggs: '6', way: 'sold' };
const change = { ...pen, change: 'died', sex: 'male' };
const tested = { group_or_pen: 'north', product: 'as labelled' };
const calibration = { machine: 'cabinet', event: 'calibration' };
const cut = { machine: 'cabinet', event: 'power-off' };
const machine = { machine: 'cabinet' };

test.each<[RecordName, Readonly<Record<string, string>>, string[]]>([
  ['eggs', { ...eggs, kept: '9' }, []],
  ['eggs', { ...eggs, kept: '10' }, ['laid']],
  ['eggs', { ...eggs, kept: '2', ...left }, []],
  ['eggs', { ...eggs, kept: '3', ...left }, ['laid']],
  ['eggs', { ...pen, kept: '10', small: '1' }, []],
  ['set', { ...set, laid_from: '2027-03-05', laid_to: '2027-03-06' }, []],
  ['set', { ...set, laid_from: '2027-03-06', laid_to: '2027-03-06' }, []],
  ['set', { ...set, laid_from: '2027-03-07', laid_to: '2027-03-06' }, ['laid_to']],
  ['set', { ...set, laid_from: '2027-03-07' }, []],
  ['set', { ...set, laid_to: '2027-03-06' }, []],
  ['eggs-out', { ...out, laid_from: '2027-03-06', laid_to: '2027-03-06' }, []],
  ['eggs-out', { ...out, laid_from: '2027-03-07', laid_to: '2027-03-06' }, ['laid_to']],
  ['eggs-out', { ...out, laid_from: '2027-03-07' }, []],
  ['eggs-out', { ...out, laid_to: '2027-03-06' }, []],
  ['hatch', { set: 'A1', hatched: '3', weak: '3' }, []],
  ['hatch', { set: 'A1', hatched: '3', weak: '4' }, ['weak']],
  ['sexing', { group: 'B1' }, ['pullets']],
  ['sexing', { group: 'B1', pullets: '1' }, []],
  ['sexing', { group: 'B1', cockerels: '1' }, []],
  ['sexing', { group: 'B1', unsure: '1' }, []],
  ['sexing', { group: 'B1', pullets: '2', cockerels: '3', unsure: '5' }, []],
  ['weather', {}, ['low']],
  ['weather', { low: '3' }, []],
  ['weather', { high: '3' }, []],
  ['weather', { low: '3', high: '3' }, []],
  ['weather', { low: '3', high: '2.9' }, ['high']],
  ['treatment', { ...tested, result: 'clear', what: 'test' }, []],
  ['treatment', { ...tested, result: 'clear', what: 'vaccine' }, ['result']],
  ['treatment', { ...tested, result: 'clear' }, ['result']],
  ['treatment', { ...tested, what: 'test' }, []],
  ['treatment', tested, []],
  ['pen-change', change, []],
  ['pen-change', { ...change, sex: '' }, ['sex']],
  ['pen-change', { ...pen, change: 'parted' }, []],
  ['pen-change', { ...pen, change: 'parted', birds: '2' }, ['birds']],
  ['pen-change', { ...change, change: 'broody', sex: 'female' }, []],
  ['pen-change', { ...change, change: 'broody' }, ['sex']],
  ['pen-change', { ...change, change: 'moulting' }, ['sex']],
  ['pen-change', { ...change, change: 'laying' }, ['sex']],
  ['pen-change', { ...change, birds: '2' }, []],
  ['pen-change', { ...change, bird: 'N14' }, []],
  ['pen-change', { ...change, bird: 'N14', birds: '1' }, []],
  ['pen-change', { ...change, bird: 'N14', birds: '2' }, ['birds']],
  ['reading', machine, ['dry']],
  ['reading', { ...machine, dry: '37.5' }, []],
  ['reading', { ...machine, rh: '0' }, []],
  ['reading', { ...machine, rh: '-1' }, ['rh']],
  ['reading', { ...machine, event: 'door' }, []],
  ['reading', { ...machine, wet: '29' }, ['wet', 'dry']],
  ['reading', { ...machine, wet: '29', rh: '50' }, ['wet']],
  ['reading', { ...machine, dry: '37.5', wet: '37.5' }, []],
  ['reading', { ...machine, dry: '37.5', wet: '37.6' }, ['wet']],
  ['reading', calibration, ['dry']],
  ['reading', { ...calibration, dry: '-0.5' }, []],
  ['reading', { ...calibration, wet: '0.5' }, []],
  ['reading', { ...calibration, rh: '-3' }, []],
  ['reading', { ...calibration, dry: '-0.5', wet: '0.5' }, []],
  ['reading', { ...cut, room: '12' }, []],
  ['reading', { ...machine, dry: '37.5', room: '12' }, ['room']],
  ['reading', { ...machine, event: 'door', room: '12' }, ['room']],
])('%s %j: told %j', (record, cells, columns) => {
  expect(told(record, cells)).toEqual(columns);
});
