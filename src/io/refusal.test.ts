import { expect, test } from 'vitest';
import { refusalOf, refusalOfNew, type WriteRefused } from './refusal.ts';

const gone = Object.assign(new Error('ENOENT: no such file or directory'), { code: 'ENOENT' });

test('a folder of the season that has gone is told apart from a place where none can be made', () => {
  const moved = refusalOf(gone, 'log/eggs.csv') as WriteRefused;
  expect([moved.message, moved.hint]).toEqual([
    'log/eggs.csv: not written: the folder is not there',
    'was the season folder moved, or its log folder deleted while the command ran?',
  ]);
  const nowhere = refusalOfNew(gone, '/proc/book') as WriteRefused;
  expect([nowhere.message, nowhere.hint]).toEqual([
    '/proc/book: not written: no folder can be made there',
    'give a folder in another place',
  ]);
});

test('what else the system says of a new folder is told as of any other', () => {
  const full = Object.assign(new Error('ENOSPC'), { code: 'ENOSPC' });
  expect(refusalOfNew(full, 'book')).toEqual(refusalOf(full, 'book'));
  const slip = new TypeError('x is not a function');
  expect(refusalOfNew(slip, 'book')).toBe(slip);
});
