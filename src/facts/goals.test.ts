import { describe, expect, test } from 'vitest';
import { day, hill, seasonOf } from '../../tests/support/season.ts';
import { addDays } from '../text/day.ts';
import {
  type At,
  ageDaysOf,
  goalsOf,
  goalWords,
  lastSetDay,
  pensOf,
  readyDay,
  stagesOf,
  type Want,
} from './goals.ts';

const goalsIn = (...goals: string[]) =>
  `${hill}goals:\n${goals.map((goal) => `  - {${goal}}\n`).join('')}`;
const oneOf = (goal: string, yaml = goalsIn(goal)) => {
  const season = seasonOf(yaml);
  const [one] = goalsOf(season);
  return { season, goal: one! };
};

describe('the age a goal asks for', () => {
  test('goes by what is wanted where it is not said', () => {
    const season = seasonOf(
      goalsIn(
        'line: sussex, want: chicks, count: 1, by: 2027-08-01',
        'line: sussex, want: pullets, count: 2, by: 2027-12-01',
        'line: sussex, want: cockerels, count: 3, by: 2027-10-01',
        'line: harlequin, want: birds, count: 4, by: 2027-10-01',
        'line: sussex, want: pullets, at: table, count: 5, by: 2027-10-01',
      ),
    );
    const goals = goalsOf(season);
    expect(goals.map((one) => [one.index, one.at])).toEqual([
      [0, 'hatch'],
      [1, 'point-of-lay'],
      [2, 'table'],
      [3, 'table'],
      [4, 'table'],
    ]);
    // Dual-purpose pullets lay from 21 to 26 weeks: the middle of days 147 and 182 is 164.5. Fryers
    // are killed at 84 to 119 days, the middle 101.5 (seeds/growth.yaml, with its sources).
    expect(goals.map((one) => one.ageDays).filter((_, i) => i !== 3)).toEqual([0, 165, 102, 102]);
    expect(goals.map((one) => one.confidence)).toEqual([0.9, 0.9, 0.9, 0.9, 0.9]);
  });

  test('of point of lay is the line’s own where it has one; of the table it is not', () => {
    const own = seasonOf(
      hill.replace('class: dual-purpose', 'class: dual-purpose, point_of_lay_days: 190'),
    );
    const sussex = own.lines.get('sussex')!;
    expect(ageDaysOf(own, sussex, 'point-of-lay')).toBe(190);
    expect(ageDaysOf(own, sussex, 'table')).toBe(102);
    expect(ageDaysOf(own, sussex, 'hatch')).toBe(0);
  });

  test('goes by the class of the line', () => {
    const light = seasonOf(hill.replace('dual-purpose', 'light'));
    // Light breeds at 18 to 22 weeks: 126 and 154 days.
    expect(ageDaysOf(light, light.lines.get('sussex')!, 'point-of-lay')).toBe(140);
  });
});

describe('the calendar of a goal', () => {
  test('chicks are counted a day after the hatch, when the hatcher is cleared', () => {
    // 21 days from 10 March is 31 March; a day more is 1 April.
    const { goal } = oneOf('line: sussex, want: chicks, count: 10, by: 2027-04-01');
    expect(readyDay(goal, day('2027-03-10'))).toBe('2027-04-01');
    expect(lastSetDay(goal)).toBe('2027-03-10');
  });

  test('pullets are of age so many days after the hatch', () => {
    // 21 days from 1 March is 22 March; 165 more end on 3 September.
    const { goal } = oneOf('line: sussex, want: pullets, count: 10, by: 2027-09-03');
    expect(readyDay(goal, day('2027-03-01'))).toBe('2027-09-03');
    expect(lastSetDay(goal)).toBe('2027-03-01');
  });

  test('a leap day is a day', () => {
    const { goal } = oneOf('line: sussex, want: chicks, count: 10, by: 2028-03-10');
    // 22 days back over 29 February 2028.
    expect(lastSetDay(goal)).toBe('2028-02-17');
  });

  test('ducks take their 28 days', () => {
    const { goal } = oneOf('line: harlequin, want: chicks, count: 10, by: 2027-06-01');
    const after = goal.line.species.hatcher_days_after_hatch.value;
    expect(lastSetDay(goal)).toBe(addDays(day('2027-06-01'), -28 - after));
  });

  test('a set on the last day is in time, one a day later is not', () => {
    for (const want of ['chicks', 'pullets', 'cockerels', 'birds'])
      for (const line of ['sussex', 'harlequin']) {
        const { goal } = oneOf(`line: ${line}, want: ${want}, count: 3, by: 2027-12-24`);
        const last = lastSetDay(goal);
        expect(readyDay(goal, last)).toBe(goal.by);
        expect(readyDay(goal, addDays(last, 1)) > goal.by).toBe(true);
      }
  });
});

test('each stage is passed once, and rearing only by what is reared', () => {
  const toHatch = ['fertile', 'candled', 'transferred', 'hatched', 'sound'];
  const of = (want: Want, at: At) => stagesOf({ want, at });
  expect(of('chicks', 'hatch')).toEqual({ stages: toHatch, sex: null });
  expect(of('pullets', 'point-of-lay')).toEqual({
    stages: [...toHatch, 'reared'],
    sex: 'female',
  });
  expect(of('cockerels', 'table')).toEqual({ stages: [...toHatch, 'reared'], sex: 'male' });
  // Day-old pullets are sexed at the hatch.
  expect(of('pullets', 'hatch')).toEqual({ stages: toHatch, sex: 'female' });
  expect(of('birds', 'table').sex).toBeNull();
});

test('every pen of its line serves a goal, in the order of the file, and no other', () => {
  const { season, goal } = oneOf('line: sussex, want: chicks, count: 10, by: 2027-06-01');
  expect(pensOf(season, goal).map((pen) => pen.name)).toEqual(['orchard', 'yard']);
});

test('a goal in words, and where it stands', () => {
  const said = (goal: string) => goalWords(oneOf(goal).goal);
  expect(said('line: sussex, want: pullets, count: 40, by: 2027-10-15')).toBe(
    '40 sussex pullets at point of lay by 2027-10-15',
  );
  expect(said('line: sussex, want: cockerels, count: 1, by: 2027-10-15')).toBe(
    '1 sussex cockerel for the table by 2027-10-15',
  );
  const { goal } = oneOf('line: harlequin, want: chicks, count: 9, by: 2027-06-01');
  expect(goalWords(goal)).toBe('9 harlequin chicks by 2027-06-01');
  // The line of the goal is the last of the file.
  expect(goal.place).toMatchObject({ file: 'season.yaml', line: hill.split('\n').length + 1 });
});

test('a season without goals has none', () => {
  expect(goalsOf(seasonOf(hill))).toEqual([]);
});
