import type { Line, Now } from '../../season/model.ts';
import type { Day } from '../../text/day.ts';
import { ageOn } from '../heat.ts';
import type { Group } from './groups.ts';

/**
 * What a group says of its birds of one sex, in whole birds, for a forecast of how many reach an
 * age. Of the living, `known` were counted as of the sex and `other` as of the other one; `unsure`
 * may be either; `gone` of those three together died or left unsexed since the count. So
 * living = known + other + unsure − gone, and the living of the sex are what is left of `known`
 * and of the right part of `unsure` when `gone` are taken from the three without looking.
 * A group never sexed has all its living in `unsure`: half and half, as at the hatch.
 */
export type BirdsOfSex = {
  readonly group: string;
  readonly line: Line;
  /** Day of age 0 of the youngest, and that age now in days. */
  readonly hatched: Day;
  readonly ageDays: number;
  /** Shares the chicks came from, with the chicks placed. */
  readonly parts: readonly {
    readonly set: string;
    readonly pen: string;
    readonly chicks: number;
  }[];
  readonly living: number;
  readonly known: number;
  readonly other: number;
  readonly unsure: number;
  readonly gone: number;
  /** Birds of the sex that left alive into this farm's own pens: layers and breeders. */
  readonly housed: number;
  /** Birds of the sex that went to table. */
  readonly table: number;
  /** Birds of the sex sold, given or culled, which no goal counts. */
  readonly away: number;
  /** Chicks placed that are gone without a sex being written: lost, or left `unknown`. */
  readonly goneUnsexed: number;
};

/** What one group says of a sex. */
export function birdsOfSex(
  group: Group,
  sex: 'female' | 'male',
  now: Pick<Now, 'day'>,
): BirdsOfSex {
  const { sexes } = group;
  const left = (ways: readonly string[]): number =>
    group.leavings
      .filter((row) => row.values.sex === sex && ways.includes(row.values.way))
      .reduce((sum, row) => sum + row.values.birds, 0);
  const counts =
    sexes === null
      ? { known: 0, other: 0, unsure: group.living, gone: 0 }
      : {
          known: sex === 'female' ? sexes.pullets : sexes.cockerels,
          other: sex === 'female' ? sexes.cockerels : sexes.pullets,
          unsure: sexes.unsure,
          gone: sexes.unknownGone,
        };
  return {
    group: group.name,
    line: group.line,
    hatched: group.youngest,
    ageDays: ageOn(group.youngest, now.day),
    parts: group.parts.map((part) => ({
      set: part.set,
      pen: part.pen.name,
      chicks: part.chicks,
    })),
    living: group.living,
    ...counts,
    housed: left(['layer', 'breeder']),
    table: left(['table']),
    away: left(['sold', 'given', 'culled']),
    goneUnsexed:
      group.lost +
      group.leavings
        .filter((row) => row.values.sex === 'unknown')
        .reduce((sum, row) => sum + row.values.birds, 0),
  };
}

/**
 * Birds of the sex among the living: the least, the likely (the mean: each of the three counts
 * gives up `gone` birds in proportion), the most.
 */
export function livingOfSex(
  birds: BirdsOfSex,
  shareOfSex: number,
): { low: number; likely: number; high: number } {
  const { known, unsure, living, gone } = birds;
  const counted = known + birds.other + unsure;
  return {
    low: Math.max(0, known - gone),
    likely: counted === 0 ? 0 : ((known + unsure * shareOfSex) * living) / counted,
    high: Math.min(living, known + unsure),
  };
}
