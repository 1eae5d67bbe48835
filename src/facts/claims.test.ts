// Who has the birds of a line: the day before, on and after, and whose turn comes first.
import { describe, expect, test } from 'vitest';
import { day, hill, seasonOf, type Written } from '../../tests/support/season.ts';
import { claimsOf, claimWords, isOnCourse, isServedBy, rivalsOf, takersOf } from './claims.ts';

const yaml = (goals: readonly string[], orders: readonly string[] = []) =>
  `${hill}${goals.length === 0 ? '' : `goals:\n${goals.map((one) => `  - {${one}}\n`).join('')}`}${
    orders.length === 0 ? '' : `orders:\n${orders.map((one) => `  - {${one}}\n`).join('')}`
  }`;
const chicks = 'line: sussex, want: chicks, count: 10';
const market = 'for: Market, line: sussex, want: chicks, count: 6';

test('goals stand before orders, and an order of eggs is no claim', () => {
  const claims = claimsOf(
    seasonOf(
      yaml(
        [
          `${chicks}, by: 2027-06-01, fate: given`,
          'line: sussex, want: pullets, count: 3, by: 2027-10-01',
        ],
        [
          `${market}, from: 2027-04-10, by: 2027-04-17`,
          'for: Ann, line: sussex, want: eggs, count: 12, by: 2027-04-17',
          'for: Bea, line: harlequin, want: birds, count: 2, from: 2027-06-01, by: 2027-08-01',
        ],
      ),
    ),
  );
  expect(claims.map((one) => [one.kind, one.index, one.fate, one.for, one.from, one.at])).toEqual([
    ['goal', 0, 'given', null, null, 'hatch'],
    ['goal', 1, 'kept', null, null, 'point-of-lay'],
    ['order', 0, 'sold', 'Market', '2027-04-10', 'hatch'],
    ['order', 2, 'sold', 'Bea', null, 'table'],
  ]);
  expect(claims[2]).toMatchObject({ count: 6, by: '2027-04-17', ageDays: 0, place: { line: 20 } });
  expect(claimWords(claims[0]!)).toBe('10 sussex chicks by 2027-06-01');
  expect(claimWords(claims[2]!)).toBe('6 sussex chicks by 2027-04-17 for Market');
});

test('a hatch serves an order from a day before its first day to a day before its last', () => {
  const [order] = claimsOf(seasonOf(yaml([], [`${market}, from: 2027-04-10, by: 2027-04-17`])));
  const served = (on: string) => isServedBy(order!, day(on));
  // Chicks are counted a day after the hatch (seeds/species.yaml).
  expect([served('2027-04-08'), served('2027-04-09')]).toEqual([false, true]);
  expect([served('2027-04-16'), served('2027-04-17')]).toEqual([true, false]);
  const [goal] = claimsOf(seasonOf(yaml([`${chicks}, by: 2027-04-17`])));
  expect([isServedBy(goal!, day('2027-01-01')), isServedBy(goal!, day('2027-04-17'))]).toEqual([
    true,
    false,
  ]);
});

test('those who take chicks of a hatch have them in the order of their days, less what is delivered', () => {
  const takers = (
    goals: readonly string[],
    orders: readonly string[],
    rows: readonly Written[] = [],
  ) => {
    const season = seasonOf(yaml(goals, orders), rows);
    return takersOf(season, new Set([season.lines.get('sussex')!]), day('2027-04-01')).map(
      ({ claim, birds }) => [claim.for ?? claim.fate, birds],
    );
  };
  const sold = `${chicks}, by: 2027-05-01, fate: sold`;
  expect(takers([sold], [`${market}, by: 2027-06-01`])).toEqual([
    ['sold', 10],
    ['Market', 6],
  ]);
  expect(takers([sold], [`${market}, by: 2027-04-20`])).toEqual([
    ['Market', 6],
    ['sold', 10],
  ]);
  // Of one day as they stand in the file.
  expect(takers([sold], [`${market}, by: 2027-05-01`]).map(([who]) => who)).toEqual([
    'sold',
    'Market',
  ]);
  expect(takers([chicks.concat(', by: 2027-05-01')], [])).toEqual([]);
  expect(takers([], [market.replace('chicks', 'birds').concat(', by: 2027-09-01')])).toEqual([]);
  expect(takers([sold.replace('sussex', 'harlequin')], [])).toEqual([]);
  expect(takers([sold.replace('2027-05-01', '2027-04-01')], [])).toEqual([]);
  const left = (birds: number, order = 'Market'): Written[] => [
    ['set', '2027-02-20', { set: 'S1', pen: 'orchard', setter: 'cabinet', tray: 1, eggs: 30 }],
    ['transfer', '2027-03-10', { set: 'S1', hatcher: 'lower', moved: 24 }],
    ['hatch', '2027-03-13', { set: 'S1', hatched: 20, unpipped: 4, final: 'yes' }],
    ['group', '2027-03-13', { group: 'B1', set: 'S1', chicks: 20 }],
    ['leaving', '2027-03-21', { group: 'B1', sex: 'unknown', birds, way: 'sold', order }],
  ];
  const order = [`${market}, by: 2027-06-01`];
  expect(takers([], order, left(4))).toEqual([['Market', 2]]);
  expect(takers([], order, left(6))).toEqual([]);
  expect(takers([], order, left(4, ''))).toEqual([['Market', 6]]);
});

describe('the claims served before one', () => {
  const rivals = (goals: readonly string[], index: number, orders: readonly string[] = []) => {
    const claims = claimsOf(seasonOf(yaml(goals, orders)));
    return rivalsOf(claims, claims[index]!).map(({ claim, sex, others, reared }) => [
      claims.indexOf(claim),
      sex,
      others,
      reared,
    ]);
  };
  const of = (want: string, by: string, more = '') =>
    `line: sussex, want: ${want}, count: 5, by: ${by}${more}`;

  test('are those that leave, then those by an earlier day, of its line', () => {
    const goals = [
      of('chicks', '2027-06-01'),
      of('chicks', '2027-05-01'),
      of('chicks', '2027-07-01', ', fate: sold'),
    ];
    expect(rivals(goals, 0).map(([one]) => one)).toEqual([2, 1]);
    expect(rivals(goals, 1).map(([one]) => one)).toEqual([2]);
    expect(rivals(goals, 2)).toEqual([]);
    expect(
      rivals([of('chicks', '2027-05-01').replace('sussex', 'harlequin'), goals[0]!], 1),
    ).toEqual([]);
  });

  test('take birds of the sex they want, or of either', () => {
    const later = (want: string) => [
      of(want, '2027-09-01'),
      of('pullets', '2027-12-01'),
      of('cockerels', '2027-12-02'),
    ];
    expect(rivals(later('cockerels'), 1)).toEqual([]);
    expect(rivals(later('pullets'), 1)).toEqual([[0, 'all', false, false]]);
    // Nobody wants cockerels: of birds reared first they are given away.
    const two = (want: string, more = '') => [
      of(want, '2027-09-01', more),
      of('pullets', '2027-12-01'),
    ];
    expect(rivals(two('birds'), 1)).toEqual([[0, 'female', true, false]]);
    expect(rivals(two('birds').concat(of('cockerels', '2028-01-01')), 1)).toEqual([
      [0, 'female', false, false],
    ]);
    expect(rivals([of('birds', '2027-09-01'), of('cockerels', '2027-12-01')], 1)).toEqual([
      [0, 'male', true, false],
    ]);
    // Chicks leave before anybody can tell.
    expect(rivals(two('chicks'), 1)).toEqual([[0, 'female', false, true]]);
    expect(rivals([of('chicks', '2027-05-01'), of('chicks', '2027-06-01')], 1)).toEqual([
      [0, 'all', false, false],
    ]);
    expect(rivals([of('pullets', '2027-09-01'), of('birds', '2027-12-01')], 1)).toEqual([
      [0, 'all', false, false],
    ]);
  });
});

test('a chance is on course down to a point and two standard errors below', () => {
  // Of 400 draws at 0.9 the standard error is 0.015: 0.9 − 0.03 − 0.01.
  expect(isOnCourse(0.8601, 0.9, 400)).toBe(true);
  expect(isOnCourse(0.8599, 0.9, 400)).toBe(false);
});
