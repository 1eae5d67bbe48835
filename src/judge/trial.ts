/**
 * A trial that keeps causes apart: each set is split between two ways, and the two halves of a set are
 * compared with each other, so that what hits the set hits both (split plots: Cochran & Cox 1957,
 * Experimental Designs, ch. 7).
 */
import { openPlan } from '../facts/hatch-time.ts';
import type { Season } from '../season/model.ts';
import { addDays, type Day } from '../text/day.ts';
import { nextSet } from './rates/next-set.ts';
import { productMoments } from './rates/product-of-rates.ts';
import type { FarmRates } from './rates/rates.ts';
import { normalQuantile } from './statistics/normal.ts';

export const trialKinds = ['trays', 'males', 'storage'] as const;
export type TrialKind = (typeof trialKinds)[number];

export type TrialSet = {
  readonly set: string;
  readonly on: Day;
  readonly pen: string;
  /** What each half is, and its eggs. */
  readonly first: string;
  readonly second: string;
  readonly eggs: number;
};

export type SplitTrial = {
  readonly kind: TrialKind;
  readonly sets: readonly TrialSet[];
  /** After so many sets, the difference of hatch of set, in points, that would show four times in five. */
  readonly shows: readonly { sets: number; eggs: number; points: number }[];
  /** Why it cannot be laid out; null where it can. */
  readonly cannot: string | null;
};

/** Test level and power of a trial, as usual in the field: one in twenty, four in five. */
const REACH = normalQuantile(0.975) + normalQuantile(0.8);
const SETS = 6;
const WEEK = 7;
const HALF = 20;
/** Days in store of the older half: beyond the week that is free of loss for most kinds. */
const OLD_DAYS = 10;

/**
 * Lays a trial out over the next sets: those planned, else a set a week of twenty eggs a half. Ways
 * change sides from set to set, so that neither keeps the better place.
 */
export function trialOf(season: Season, kind: TrialKind, rates: FarmRates, today: Day): SplitTrial {
  const pens = [...season.pens.values()].filter(
    (pen) => pen.hens > 0 && (pen.parted === null || pen.parted > today),
  );
  const none = (cannot: string): SplitTrial => ({ kind, sets: [], shows: [], cannot });
  const pen = pens[0];
  if (pen === undefined) return none('no pen has hens');
  const rivals = pens.filter((one) => one.line === pen.line);
  if (kind === 'males' && rivals.length < 2)
    return none('males are told apart by their pens, and no line has two pens');
  const setter = [...season.setters.values()].find((one) => one.trays >= 2);
  if (setter === undefined) return none('no setter has two trays');
  const couples = Math.floor(setter.trays / 2);
  const planned = openPlan(season)
    .filter((one) => one.shares.every((share) => share.pen.line === pen.line))
    .slice(0, SETS);
  const days =
    planned.length >= 2
      ? planned.map((one) => ({
          set: one.name,
          on: one.on,
          eggs: Math.floor(one.shares.reduce((sum, share) => sum + share.eggs, 0) / 2),
        }))
      : Array.from({ length: SETS }, (_, i) => ({
          set: `T${i + 1}`,
          on: addDays(today, WEEK * (i + 1)),
          eggs: HALF,
        }));
  const sets = days.map(({ set, on, eggs }, i): TrialSet => {
    const couple = i % couples;
    const trays = [2 * couple + 1, 2 * couple + 2];
    // Each couple of trays is used both ways about.
    const turned = Math.floor(i / couples) % 2 === 1;
    const ways =
      kind === 'trays'
        ? trays.map((tray) => `tray ${tray} of ${setter.name}`)
        : kind === 'males'
          ? rivals.slice(0, 2).map((one, j) => `pen ${one.name}, tray ${trays[turned ? 1 - j : j]}`)
          : ['laid in the last 3 days', `kept ${OLD_DAYS} days`].map(
              (age, j) => `${age}, tray ${trays[turned ? 1 - j : j]}`,
            );
    return {
      set,
      on,
      pen:
        kind === 'males'
          ? rivals
              .slice(0, 2)
              .map((one) => one.name)
              .join(' and ')
          : pen.name,
      first: ways[0]!,
      second: ways[1]!,
      eggs,
    };
  });
  const rate = productMoments(
    (['fertile', 'candled', 'transferred', 'hatched'] as const).map((stage) =>
      nextSet(rates.rate(stage, pen)),
    ),
  ).mean;
  const shows = [2, 4, 6]
    .filter((many) => many <= sets.length)
    .map((many) => {
      const eggs = sets.slice(0, many).reduce((sum, one) => sum + one.eggs, 0);
      return { sets: many, eggs, points: 100 * REACH * Math.sqrt((2 * rate * (1 - rate)) / eggs) };
    });
  return { kind, sets, shows, cannot: null };
}
