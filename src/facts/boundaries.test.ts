import { describe, expect, test } from 'vitest';
import { boundariesOf } from '../../tests/support/boundaries.ts';
import { day, hill, nowAt, seasonOf, type Written } from '../../tests/support/season.ts';
import { addDays, type Day, daysBetween } from '../text/day.ts';
import { withdrawalsOf } from './birds/withdrawal.ts';
import { conflictsOf } from './checks/index.ts';
import { storedEggs } from './egg-store.ts';
import { reasonsAgainst } from './feasible/feasible.ts';
import { isCarried, layIsGood, pureFrom } from './laying.ts';
import { occupancyOf } from './occupancy.ts';
import type { Span } from './spans.ts';

/** Asks a law on every day about the ends of a span that was worked out by hand. */
function held(law: string, span: Span, isSo: (on: Day) => boolean): void {
  describe(law, () => {
    test.each(boundariesOf(span))('%s, %s', (_, on, within) => {
      expect(isSo(on)).toBe(within);
    });
  });
}
const span = (from: string, to: string): Span => ({ from: day(from), to: day(to) });

const planOf = (...lines: string[]) =>
  `${hill}plan:\n${lines.map((one) => `  - {${one}}\n`).join('')}`.replace(
    'clean_days: 1}',
    'clean_days: 2, one_set_at_a_time: true}',
  );
const codesOf = (yaml: string, set: string) =>
  reasonsAgainst(seasonOf(yaml), nowAt('2027-01-01'), null)
    .filter((one) => one.set === set)
    .map((one) => one.code);
// Chickens: moved on day 18, closed on day 22 (seeds/species.yaml).
const FIRST = 'set: A1, on: 2027-03-06, trays: [1], shares: {orchard: 30}';
const second = (on: Day, tray: number) =>
  planOf(FIRST, `set: B1, on: ${on}, trays: [${tray}], shares: {yard: 30}`);

held('a tray holds a set until it is moved', span('2027-03-06', '2027-03-24'), (on) =>
  codesOf(second(on, 1), 'B1').includes('tray-taken'),
);

held('a hatcher holds a set until its last opening', span('2027-03-24', '2027-03-28'), (moved) =>
  codesOf(second(addDays(moved, -18), 2), 'B1').includes('hatcher-taken'),
);

held('and is being cleaned after it', span('2027-03-28', '2027-03-30'), (moved) =>
  codesOf(second(addDays(moved, -18), 2), 'B1').includes('hatcher-not-clean'),
);

// A hatcher that takes several sets: what is moved while others lie there shares the room.
held(
  'eggs count in a hatcher from their move to their last opening',
  span('2027-03-24', '2027-03-28'),
  (moved) =>
    codesOf(
      second(addDays(moved, -18), 2)
        .replace('one_set_at_a_time: true', 'one_set_at_a_time: false')
        .replace('chicken: 60', 'chicken: 45'),
      'B1',
    ).includes('hatcher-overfull'),
);

const closed = (from: Day, to: Day) =>
  planOf(FIRST).replace('clean_days: 2,', `clean_days: 2, closed: [{from: ${from}, to: ${to}}],`);
held('a closed day is in the way of a hatch', span('2027-03-24', '2027-03-28'), (on) =>
  codesOf(closed(on, on), 'A1').includes('machine-closed'),
);

held(
  'the setting season',
  span('2027-02-20', '2027-06-01'),
  (on) =>
    !codesOf(
      `${planOf(`set: A1, on: ${on}, trays: [1], shares: {orchard: 30}`)}setting: {from: 2027-02-20, to: 2027-05-31}\n`,
      'A1',
    ).includes('out-of-season'),
);

// Fertile seven days after joining, until parted (seeds/species.yaml).
const parted = seasonOf(
  hill.replace(
    'males: 1, joined: 2027-01-30}\n  yard',
    'males: 1, joined: 2027-01-30, parted: 2027-05-01}\n  yard',
  ),
).pens.get('orchard')!;
held(
  'eggs are good from the first fertile day until the pen is parted',
  span('2027-02-06', '2027-05-01'),
  (on) => layIsGood(parted, on),
);

// Of a pen over a year old, ten days after joining (seeds/species.yaml).
const old = seasonOf(
  hill.replace(
    'males: 1, joined: 2027-01-30}\n  yard',
    'males: 1, joined: 2027-01-30, age: old, parted: 2027-05-01}\n  yard',
  ),
).pens.get('orchard')!;
held('of old birds some days later', span('2027-02-09', '2027-05-01'), (on) => layIsGood(old, on));
held('a trial may ask for days sooner', span('2027-02-07', '2027-05-01'), (on) =>
  layIsGood(old, on, 2),
);

// Bought eggs are good however lately they came: they are of hens long with their males.
const bought = seasonOf(
  hill.replace(
    '  yard:',
    '  bought: {line: sussex, bought: {from: a friend, on: 2027-03-10, road_days: 2, days_old: 3}}\n  yard:',
  ),
).pens.get('bought')!;
test('bought eggs are good from the day the oldest of them was laid', () => {
  expect([layIsGood(bought, day('2027-03-04')), layIsGood(bought, day('2027-03-05'))]).toEqual([
    false,
    true,
  ]);
});

// Other males until the pen was joined: safely pure 21 days after they left.
const others = seasonOf(
  hill.replace(
    'males: 1, joined: 2027-01-30}\n  yard',
    'males: 1, joined: 2027-01-30, other_males_until: 2027-01-28}\n  yard',
  ),
).pens.get('orchard')!;
held('eggs may be of males that were there before', span('2027-01-28', '2027-02-18'), (on) =>
  isCarried(others, on),
);

// Safely pure 21 days after a change of males (seeds/species.yaml).
const changed = seasonOf(
  hill.replace(
    'males: 1, joined: 2027-01-30}\n  yard',
    'males: 1, joined: 2027-01-30, males_changed: [2027-03-10]}\n  yard',
  ),
).pens.get('orchard')!;
held('eggs may be of the old males', span('2027-03-10', '2027-03-31'), (on) =>
  isCarried(changed, on),
);

test('eggs are surely pure after the last of the changes', () => {
  const twice = seasonOf(
    hill.replace(
      'males: 1, joined: 2027-01-30}\n  yard',
      'males: 1, joined: 2027-01-30, males_changed: [2027-04-01, 2027-03-10]}\n  yard',
    ),
  ).pens;
  expect([pureFrom(twice.get('orchard')!), pureFrom(twice.get('yard')!)]).toEqual([
    '2027-04-22',
    null,
  ]);
});

// Stored eight days at the most, as the season says.
const kept = seasonOf(hill, [['eggs', '2027-03-01', { pen: 'orchard', kept: 3 }]]);
held(
  'eggs may be set from the day they are laid to the last of storage',
  span('2027-03-01', '2027-03-10'),
  (on) => storedEggs(kept, on).settable.length === 1,
);

// The day of treatment is not one of the label's days.
const treated = (days: number): Written[] => [
  [
    'treatment',
    '2027-03-10',
    {
      group_or_pen: 'orchard',
      product: 'drops',
      egg_withdrawal_days: days,
      meat_withdrawal_days: 0,
    },
  ],
];
held('eggs are withheld for the days of the label', span('2027-03-10', '2027-03-18'), (on) =>
  conflictsOf(
    seasonOf(hill, [...treated(7), ['eggs', on, { pen: 'orchard', laid: 5, kept: 3 }]]),
    nowAt('2027-04-01'),
  ).some((one) => one.code === 'withdrawal'),
);

test('no days on the label withhold no egg', () => {
  const periods = withdrawalsOf(seasonOf(hill, treated(0)));
  expect(periods.map((one) => daysBetween(one.from, one.clear))).toEqual([0, 0]);
});

describe('what is recorded and late holds its place until today', () => {
  const rows: Written[] = [['set', '2027-03-06', { set: 'A1', pen: 'orchard', tray: 1, eggs: 30 }]];
  // Due to be moved on the 24th.
  test.each([
    ['2027-03-23', '2027-03-24'],
    ['2027-03-24', '2027-03-24'],
    ['2027-03-25', '2027-03-25'],
  ])('read on %s it lies there until %s', (now, until) => {
    expect(occupancyOf(seasonOf(hill, rows), nowAt(now)).trays[0]!.to).toBe(until);
  });
});

describe('room: empty, one, full, one too many', () => {
  const room = (eggs: number) =>
    codesOf(planOf(`set: A1, on: 2027-03-06, trays: [1], shares: {orchard: ${eggs}}`), 'A1');
  test.each([
    [1, []],
    [40, []],
    [41, ['tray-overfull']],
  ])('%i eggs in a tray for 40', (eggs, expected) => {
    expect(room(eggs)).toEqual(expected);
  });
  const hatcher = (eggs: number, beside: number) =>
    codesOf(
      planOf(
        `set: A1, on: 2027-03-06, trays: [1], shares: {orchard: ${eggs}}`,
        ...(beside === 0 ? [] : [`set: B1, on: 2027-03-06, trays: [2], shares: {yard: ${beside}}`]),
      ).replace('one_set_at_a_time: true', 'one_set_at_a_time: false'),
      beside === 0 ? 'A1' : 'B1',
    );
  test.each([
    [40, 0, []],
    [40, 20, []],
    [40, 21, ['hatcher-overfull']],
  ])('%i and %i eggs in a hatcher for 60', (eggs, beside, expected) => {
    expect(hatcher(eggs, beside)).toEqual(expected);
  });
  test('nothing is in the way of nothing', () => {
    expect(reasonsAgainst(seasonOf(hill), nowAt('2027-03-01'), null)).toEqual([]);
  });
});
