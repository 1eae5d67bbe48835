import { describe, expect, it } from 'vitest';
import { hill, nowAt, seasonOf, type Written } from '../../../tests/support/season.ts';
import { penTasks } from './pen-tasks.ts';

const orchard = 'hens: 9, males: 1, joined: 2027-01-30';
const tasks = (pen: string, day: string, written: readonly Written[] = []) =>
  penTasks(seasonOf(hill.replace(orchard, pen), written), nowAt(day))
    .filter((one) => one.pen === 'orchard')
    .map(({ id, due }) => `${id} ${due}`);

describe('days of a pen', () => {
  it('are the first fertile eggs, a week after joining, later for old birds', () => {
    // Seven days: Mississippi State Univ. Extension (4 to 7); old birds: judgement.
    expect(tasks(orchard, '2027-02-01')).toEqual(['orchard/fertile 2027-02-06']);
    expect(tasks(`${orchard}, age: old`, '2027-02-01')).toEqual(['orchard/fertile 2027-02-09']);
    // Told for a week.
    const [task] = penTasks(seasonOf(hill), nowAt('2027-02-01'));
    expect([task!.due, task!.until]).toEqual(['2027-02-06', '2027-02-12']);
  });
  it('are the first pure eggs, three weeks after the last change of males', () => {
    // Univ. of Maine Extension Bulletin 2072e as quoted, Hutt 1949: two to four weeks.
    expect(tasks(`${orchard}, males_changed: [2027-02-20, 2027-03-01]`, '2027-02-01')).toEqual([
      'orchard/fertile 2027-02-06',
      'orchard/pure-2027-03-22 2027-03-22',
    ]);
    expect(tasks(`${orchard}, other_males_until: 2027-01-28`, '2027-02-01')).toEqual([
      'orchard/fertile 2027-02-06',
      'orchard/pure-2027-02-18 2027-02-18',
    ]);
  });
  it('say with the first fertile eggs from when they are of its own males', () => {
    const why = (keys: string) =>
      penTasks(seasonOf(hill.replace(orchard, `${orchard}${keys}`)), nowAt('2027-02-01'))[0]!.why;
    const pure = '; of its own males from ';
    // The first fertile eggs come on the 6th, and the males of before are out of them after three weeks.
    expect(why('')).not.toContain(pure);
    expect(why(', other_males_until: 2027-01-16')).not.toContain(pure);
    expect(why(', other_males_until: 2027-01-17')).toContain(`${pure}2027-02-07`);
    expect(why(', males_changed: [2027-02-06]')).toContain(`${pure}2027-02-27`);
    expect(why(', males_changed: [2027-02-07]')).not.toContain(pure);
  });
  it('are one day where the eggs are pure before they are fertile', () => {
    expect(tasks(`${orchard}, other_males_until: 2027-01-10`, '2027-02-01')).toEqual([
      'orchard/fertile 2027-02-06',
    ]);
  });
  it('are let go once eggs are gathered, a week later, or when the pen is parted', () => {
    const gathered: Written[] = [['eggs', '2027-02-06', { pen: 'orchard', kept: 5 }]];
    expect(tasks(orchard, '2027-02-07', gathered)).toEqual([]);
    expect(tasks(orchard, '2027-02-12')).toHaveLength(1);
    expect(tasks(orchard, '2027-02-13')).toEqual([]);
    expect(tasks(`${orchard}, parted: 2027-02-05`, '2027-02-01')).toEqual([]);
  });
  it('are let go once eggs of the pen are gathered or set on the day or later', () => {
    const row = (on: string, pen = 'orchard'): Written[] => [['eggs', on, { pen, kept: 5 }]];
    expect(tasks(orchard, '2027-02-07', row('2027-02-05'))).toHaveLength(1);
    expect(tasks(orchard, '2027-02-07', row('2027-02-06', 'yard'))).toHaveLength(1);
    const set = (on: string, pen = 'orchard'): Written[] => [
      ['set', on, { set: 'A1', pen, tray: 1, eggs: 5 }],
    ];
    expect(tasks(orchard, '2027-02-07', set('2027-02-05'))).toHaveLength(1);
    expect(tasks(orchard, '2027-02-07', set('2027-02-06'))).toEqual([]);
    expect(tasks(orchard, '2027-02-07', set('2027-02-06', 'yard'))).toHaveLength(1);
  });
  it('are none of a pen without hens or males, nor on the day it is parted or after', () => {
    expect(tasks(orchard.replace('hens: 9', 'hens: 0'), '2027-02-01')).toEqual([]);
    expect(tasks(orchard.replace('males: 1', 'males: 0'), '2027-02-01')).toEqual([]);
    expect(tasks(`${orchard}, parted: 2027-02-06`, '2027-02-01')).toEqual([]);
    expect(tasks(`${orchard}, parted: 2027-02-07`, '2027-02-01')).toHaveLength(1);
  });
  it('are the end of the lay of a kind that lays a season, told a fortnight before', () => {
    // Breeder geese, Indian J. Anim. Res. BF-1897 (read): young geese lay for 122 days.
    const first: Written[] = [['eggs', '2027-02-10', { pen: 'orchard', kept: 3 }]];
    const geese = hill.replace('{species: chicken', '{species: goose');
    const on = (day: string) =>
      penTasks(seasonOf(geese, first), nowAt(day)).map(({ id, due }) => `${id} ${due}`);
    expect(on('2027-05-28')).toEqual([]);
    expect(on('2027-05-29')).toEqual(['orchard/lay-ends 2027-06-12']);
    expect(tasks(orchard, '2028-02-08', first)).toEqual([]);
  });
});
