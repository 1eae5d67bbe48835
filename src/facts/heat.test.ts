// The heat of a roof at every age that a step begins, and what heating uses, worked out by hand.
import { describe, expect, test } from 'vitest';
import { day } from '../../tests/support/season.ts';
import { broodingOf } from '../season/brooding.ts';
import type { Occupant } from './birds/room.ts';
import {
  type DayAir,
  heatNeed,
  heatStep,
  heatText,
  heatUnder,
  heatUse,
  hoursBelow,
  unsuitedText,
} from './heat.ts';

const chicken = { species: 'chicken' } as const;
const under = (...birds: [string, number][]) =>
  heatUnder(
    birds.map(([species, ageDays]) => ({ kind: { species }, ageDays, birds: 10 }) as Occupant),
  );

describe('the heat that a kind needs', () => {
  const { heat_c, heat_until_day } = broodingOf(chicken);
  const steps = heat_c.value;

  test.each(steps.slice(1).map((step, index) => [step.from_day, steps[index]!, step] as const))(
    'changes on day %i and not the day before',
    (age, before, from) => {
      expect(heatNeed(chicken, age - 1)).toEqual({ low: before.low, high: before.high });
      expect(heatNeed(chicken, age)).toEqual({ low: from.low, high: from.high });
      expect(heatNeed(chicken, age + 1)).not.toBeNull();
    },
  );

  test('ends on the day it ends', () => {
    const end = heat_until_day.value;
    expect([end - 1, end, end + 1].map((age) => heatNeed(chicken, age) === null)).toEqual([
      false,
      true,
      true,
    ]);
  });
});

describe('the heat of a roof', () => {
  test('nobody, or nobody who needs it: none', () => {
    expect(under()).toBeNull();
    expect(under(['chicken', 200])).toBeNull();
  });
  test('the youngest of a kind decide, in whatever order they are told', () => {
    const young = under(['chicken', 2]);
    expect(under(['chicken', 20], ['chicken', 2])).toEqual(young);
    expect(under(['chicken', 2], ['chicken', 20])).toEqual(young);
    expect(young).toMatchObject({ ageDays: 2, ...heatNeed(chicken, 2), unsuited: [] });
  });
  test('two kinds that can agree have what suits both', () => {
    const [hens, ducks] = [heatNeed(chicken, 10)!, heatNeed({ species: 'duck' }, 3)!];
    const low = Math.max(hens.low, ducks.low);
    const high = Math.min(hens.high, ducks.high);
    expect(low).toBeLessThanOrEqual(high);
    expect(under(['chicken', 10], ['duck', 3])).toMatchObject({ low, high, unsuited: [] });
  });
  test('two kinds that cannot: the warmest need, and the other by name', () => {
    const heat = under(['duck', 20], ['chicken', 0])!;
    expect(heat).toMatchObject({ species: 'chicken', ...heatNeed(chicken, 0) });
    expect(heat.unsuited.map((one) => [one.species, one.ageDays])).toEqual([['duck', 20]]);
    expect(unsuitedText(heat, 'C')).toBe(
      `no one heat suits all: chicken at 0 days ${heatText(heat, 'C')}, duck at 20 days ${heatText(heatNeed({ species: 'duck' }, 20)!, 'C')}; part them`,
    );
    expect(unsuitedText(under(['chicken', 0])!, 'C')).toBeNull();
  });
  test('a step up, down, off or apart, and none where what is set still suits', () => {
    const [young, older] = [under(['chicken', 0]), under(['chicken', 20])];
    expect([heatStep(null, null), heatStep(young, null), heatStep(null, young)]).toEqual([
      null,
      'off',
      'raise',
    ]);
    expect([heatStep(young, under(['chicken', 0])), heatStep(young, older)]).toEqual([
      null,
      'lower',
    ]);
    expect(heatStep(older, young)).toBe('raise');
    const apart = under(['chicken', 0], ['duck', 20]);
    expect([heatStep(young, apart), heatStep(apart, apart), heatStep(apart, young)]).toEqual([
      'part',
      null,
      null,
    ]);
    const at = (low: number, high: number) => ({ ...young!, low, high });
    expect(heatStep(at(28, 28), at(28, 29))).toBeNull();
    expect(heatStep(at(26, 27), at(21, 27))).toBe('lower');
    expect(heatStep(at(26, 29), at(26, 28))).toBe('lower');
  });
  test('in words, whole degrees, one figure where both are one', () => {
    expect(heatText({ low: 34.6, high: 35.4 }, 'C')).toBe('35 °C');
    expect(heatText({ low: 32, high: 35 }, 'C')).toBe('32–35 °C');
    expect(heatText({ low: 32, high: 35 }, 'F')).toBe('90–95 °F');
  });
});

describe('hours below a temperature', () => {
  // Own arithmetic: a sine between 0 and 20 is below 15 for two thirds of the day (arccos −½ = 120°); a
  // thousandth of a swing of ten past its end is arccos(1 − 0.0002) = 0.02 of π, each way.
  test.each([
    ['the low is at it', 10, 10, 20, 0],
    ['the low is just below it', 10, 9.999, 20, 0.153],
    ['the high is just above it', 20, 10, 20.001, 23.847],
    ['the high is at it', 20, 10, 20, 24],
    ['no high, the low below', 10, 9, null, 24],
    ['no high, the low at it', 10, 10, null, 0],
    ['two thirds of a swing', 15, 0, 20, 16],
  ] as const)('%s', (_, need, low, high, hours) => {
    expect(hoursBelow(need, low, high)).toBeCloseTo(hours, 2);
  });
});

describe('what heating uses', () => {
  const [first, last] = [day('2027-03-01'), day('2027-03-05')];
  const cold: DayAir = { low: 0, high: 10 };
  const use = (
    heat: Parameters<typeof heatUse>[0],
    need: number | null,
    air: DayAir | null,
    to = last,
  ) =>
    heatUse(
      heat,
      first,
      to,
      () => need,
      () => air,
    );
  const none = { kind: 'none', count: 0, watts: null, area_m2: null, places: null } as const;
  const lamps = { ...none, kind: 'lamp', watts: 250, count: 2 } as const;
  const hover = { ...none, kind: 'hover', watts: 100, count: 1 } as const;

  test('lamps burn all day, for four days', () => {
    expect(use(lamps, 30, cold)).toEqual({ hours: 96, kwh: 48, daysUnknown: 0, watts: 500 });
  });
  test('not while the night is as warm as they need, and not without birds', () => {
    expect(use(lamps, 30, { low: 30, high: 35 })).toMatchObject({ hours: 0, kwh: 0 });
    expect(use(lamps, 30, { low: 29.9, high: 35 }).hours).toBe(96);
    expect(use(lamps, null, cold).hours).toBe(0);
    expect(use(lamps, 30, cold, first).hours).toBe(0);
  });
  test('a hover only in the hours below the need', () => {
    expect(use(hover, 5, cold)).toMatchObject({ daysUnknown: 0, watts: 100 });
    expect(use(hover, 5, cold).hours).toBeCloseTo(48, 9);
    expect(use(hover, 5, cold).kwh).toBeCloseTo(4.8, 9);
  });
  test('days without a temperature are counted, and reckoned by the published duty', () => {
    expect(use(lamps, 30, null)).toMatchObject({ hours: 96, daysUnknown: 4 });
    const { hours, daysUnknown } = use(hover, 30, null);
    expect(daysUnknown).toBe(4);
    expect(hours).toBeGreaterThan(0);
    expect(hours).toBeLessThan(96);
  });
  test('no heat uses nothing', () => {
    expect(use(none, 30, cold)).toEqual({
      hours: 0,
      kwh: 0,
      daysUnknown: 0,
      watts: 0,
    });
  });
});
