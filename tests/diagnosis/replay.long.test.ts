import { expect, test } from 'vitest';
import { replay } from '../../src/judge/diagnose/replay.ts';
import { worthOf } from '../../src/judge/diagnose/worth.ts';
import { farmRates } from '../../src/judge/rates/rates.ts';
import { Worlds } from '../../src/judge/rates/worlds.ts';
import type { Day } from '../../src/text/day.ts';
import { simulated, wellKept } from './simulate.ts';

const END = '2027-12-31' as Day;

test('a machine that warms up is told with the first sets hit, and what that saves', () => {
  const { season } = simulated(21, [{ cause: 'warm', from: 6 }], wellKept);
  const shown = replay(season, [], END);
  const warm = shown.find((one) => one.cause === 'warm')!;
  const hit = season.sets.get('S07')!;
  const second = season.sets.get('S08')!;
  const end = (set: typeof hit): Day =>
    set.shares
      .map((share) => share.finishedOn!)
      .sort()
      .at(-1)!;
  expect(warm.stands).toBe(true);
  expect(warm.watched! > hit.on.day).toBe(true);
  expect(warm.watched! <= end(second)).toBe(true);
  expect(warm.acted! >= warm.watched!).toBe(true);
  expect(warm.saved).toBeGreaterThan(0);
});

test('another male is worth most in the pen whose own fails', () => {
  const { season, truth } = simulated(12, [{ cause: 'failing-male', from: 3 }], wellKept);
  const rates = farmRates(season, [], END);
  const worth = worthOf(season, rates, new Worlds(season, END, rates, 1000, 1), END);
  const [best] = worth.filter((one) => one.what === 'another-male');
  expect(best).toMatchObject({ pen: truth.pen });
  expect(best!.mean).toBeGreaterThan(5);
  for (const one of worth) expect(one.low).toBeLessThanOrEqual(one.high);
});
