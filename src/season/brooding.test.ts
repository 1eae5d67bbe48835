// Kinds of bird as the tables of brooding and growing tell them apart.
import { expect, test } from 'vitest';
import {
  type BirdKind,
  broodingOf,
  growthOf,
  growthTypeOf,
  pointOfLayOf,
  stepAt,
} from './brooding.ts';

test.each<[BirdKind, string]>([
  [{ species: 'chicken', class: 'light' }, 'chicken-light'],
  [{ species: 'chicken', class: 'meat' }, 'chicken-meat'],
  [{ species: 'chicken', class: 'striped' }, 'chicken-dual-purpose'],
  [{ species: 'chicken' }, 'chicken-dual-purpose'],
  [{ species: 'duck', class: 'light' }, 'duck'],
  [{ species: 'goose' }, 'goose'],
])('%j grows as %s', (kind, type) => {
  expect(growthTypeOf(kind)).toBe(type);
  expect(growthOf(kind)).toBe(growthOf({ species: kind.species, class: kind.class }));
});

test('a figure of the keeper’s own stands in the place of the table’s; a key of another table does not', () => {
  const own = {
    species: 'goose',
    override: { dressing: 0.7, hatch_day: 31, table_days: undefined },
  };
  const shipped = growthOf({ species: 'goose' });
  expect(growthOf(own)).toEqual({
    ...shipped,
    dressing: { value: 0.7, source: 'season.yaml', seen: 'keeper' },
  });
  expect(broodingOf(own)).toBe(broodingOf({ species: 'goose' }));
});

test('point of lay: the keeper’s own, else the earliest usual', () => {
  const usual = growthOf({ species: 'duck' }).first_egg_days.value.low;
  expect(pointOfLayOf({ species: 'duck' })).toBe(usual);
  expect(pointOfLayOf({ species: 'duck', point_of_lay_days: 0 })).toBe(0);
  expect(pointOfLayOf({ species: 'duck', override: { first_egg_days: { low: 9, high: 9 } } })).toBe(
    9,
  );
});

test.each(['dodo', 'constructor'])('there are no figures of a %s', (species) => {
  expect(() => broodingOf({ species })).toThrow(RangeError);
  expect(() => growthOf({ species })).toThrow(RangeError);
});

test.each([
  [-1, null],
  [0, 0],
  [6, 0],
  [7, 7],
  [8, 7],
  [90, 14],
])('at day %i the step from day %j', (age, from) => {
  const steps = [{ from_day: 0 }, { from_day: 7 }, { from_day: 14 }];
  expect(stepAt(steps, age)?.from_day ?? null).toBe(from);
});
