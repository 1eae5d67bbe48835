import type { Stay } from '../facts/birds/brooders.ts';
import { birdsIn, type Group, kindOfLine } from '../facts/birds/groups.ts';
import { femaleShareOf, livesOf } from '../facts/birds/lives.ts';
import { birdsOfSex, livingOfSex } from '../facts/birds/pullets.ts';
import { ageOn } from '../facts/heat.ts';
import { sumOf } from '../facts/tally.ts';
import { growing, pointOfLayOf } from '../season/brooding.ts';
import type { Now, Season } from '../season/model.ts';
import { addDays, type Day, daysBetween, earlier, later } from '../text/day.ts';

/** A cost per one of something, or why there is none yet. */
export type UnitCost = {
  readonly cost: number | null;
  /** Chicks, pullets or kilograms it is spread over. */
  readonly over: number;
  readonly why: string;
};

/** What a pullet's cost is made of, in the season's currency. */
export type Steps = Readonly<Record<'chick' | 'feed' | 'heat' | 'other', number>>;

/** What there is to spread, in the season's currency; null where a price is missing. */
export type Allotted = {
  readonly chicks: number | null;
  readonly heat: number | null;
  readonly other: number;
  /** Feed of a sex of a group before a day. */
  readonly feed: (group: Group, sex: Sex, until: Day) => number | null;
  readonly stays: readonly Stay[];
};

type Sex = 'female' | 'male';

/** Eggs and machines over every sound chick hatched. */
export function perChick(season: Season, total: number | null): UnitCost {
  const sound = [...season.sets.values()]
    .flatMap((set) => set.shares)
    .reduce((sum, share) => sum + share.tally.sound, 0);
  return {
    cost: total === null || sound <= 0 ? null : total / sound,
    over: sound,
    why:
      sound <= 0
        ? 'no sound chick has hatched yet'
        : 'eggs and machines, over every sound chick hatched; eggs still in the machines are in the cost',
  };
}

/** Bird-days of a group: in brooders, and of life, before a day. */
function birdDays(
  group: Group,
  stays: readonly Stay[],
  until: Day,
): { brooded: number; lived: number } {
  let brooded = 0;
  for (const stay of stays) {
    if (stay.group !== group) continue;
    for (let day = stay.from; day < earlier(stay.to, until); day = addDays(day, 1))
      brooded += birdsIn(group, stay.brooder, day);
  }
  const lived = livesOf(group, until).reduce(
    (sum, life) => sum + (life.females + life.males) * daysBetween(life.from, life.to),
    0,
  );
  return { brooded, lived };
}

/**
 * What birds of a sex of each group cost up to a day of the group's own, and how many chicks of it
 * stayed to be reared. Heat and bought things are shared among all birds alive up to `now`.
 */
function costsOfSex(
  groups: readonly Group[],
  now: Day,
  chick: number | null,
  allotted: Allotted,
  sex: Sex,
  untilOf: (group: Group) => Day,
): Map<Group, { cost: number | null; heads: number; steps: Steps | null }> {
  const all = groups
    .map((group) => birdDays(group, allotted.stays, now))
    .reduce((sum, one) => ({ brooded: sum.brooded + one.brooded, lived: sum.lived + one.lived }), {
      brooded: 0,
      lived: 0,
    });
  const part = (amount: number | null, own: number, of: number): number | null =>
    amount === null ? null : of === 0 ? 0 : (amount * own) / of;
  return new Map(
    groups.map((group) => {
      const until = earlier(now, untilOf(group));
      const female = femaleShareOf(group);
      const share = sex === 'female' ? female : 1 - female;
      const own = birdDays(group, allotted.stays, until);
      const heads = staying(group) * share;
      const spent = {
        chick: chick === null ? null : chick * heads,
        feed: allotted.feed(group, sex, until),
        heat: part(allotted.heat, own.brooded * share, all.brooded),
        other: part(allotted.other, own.lived * share, all.lived),
      };
      const cost = sumOf(Object.values(spent));
      return [group, { heads, cost, steps: cost === null ? null : (spent as Steps) }];
    }),
  );
}

/** Chicks placed less those that left alive before their sex was known: their price was theirs. */
function staying(group: Group): number {
  return (
    group.placed -
    group.leavings
      .filter((row) => row.values.sex === 'unknown' && row.values.way !== 'culled')
      .reduce((sum, row) => sum + row.values.birds, 0)
  );
}

/**
 * Per pullet at point of lay: what the females of each group have cost over those that came to that
 * age, in the house or gone since. Those that died or were culled before are carried by the rest.
 */
export function perPullet(
  season: Season,
  now: Now,
  groups: readonly Group[],
  chick: number | null,
  allotted: Allotted,
): UnitCost & { readonly steps: Steps | null } {
  const layAge = (group: Group): number => pointOfLayOf(kindOfLine(season, group.line));
  // What she eats once she may lay is the layers' cost.
  const costs = costsOfSex(groups, now.day, chick, allotted, 'female', (group) =>
    addDays(group.youngest, layAge(group)),
  );
  let pullets = 0;
  let total: number | null = 0;
  const sums = { chick: 0, feed: 0, heat: 0, other: 0 };
  for (const group of groups) {
    const lay = layAge(group);
    if (ageOn(group.youngest, now.day) < lay) continue;
    const gone = group.leavings
      .filter(
        ({ values, on }) =>
          values.sex === 'female' &&
          (['layer', 'breeder'].includes(values.way) || ageOn(group.youngest, on.day) >= lay),
      )
      .reduce((sum, row) => sum + row.values.birds, 0);
    const share = growing.sexRatioFemale.value;
    const here = gone + livingOfSex(birdsOfSex(group, 'female', now), share).likely;
    if (here <= 0) continue;
    pullets += here;
    const { cost, steps } = costs.get(group)!;
    total = sumOf([total, cost]);
    for (const step of ['chick', 'feed', 'heat', 'other'] as const)
      sums[step] += steps?.[step] ?? 0;
  }
  const isKnown = pullets > 0 && total !== null;
  const each = (sum: number): number => sum / pullets;
  return {
    cost: isKnown ? each(total!) : null,
    steps: isKnown
      ? {
          chick: each(sums.chick),
          feed: each(sums.feed),
          heat: each(sums.heat),
          other: each(sums.other),
        }
      : null,
    over: pullets,
    why:
      pullets > 0
        ? 'her chick, feed, days under heat and days of life, with those of her sisters that died; nothing of the cockerels set against it'
        : 'no pullet has reached point of lay yet',
  };
}

/** Per kilogram of table bird, as weighed: each bird carries its sex's part of its group's cost. */
export function perKg(
  now: Now,
  groups: readonly Group[],
  chick: number | null,
  allotted: Allotted,
): UnitCost & { readonly unweighed: number } {
  const lastTable = (group: Group): Day =>
    group.leavings
      .filter((row) => row.values.way === 'table')
      .map((row) => row.on.day)
      .reduce(later, group.youngest);
  const bySex = {
    female: costsOfSex(groups, now.day, chick, allotted, 'female', lastTable),
    male: costsOfSex(groups, now.day, chick, allotted, 'male', lastTable),
  };
  let kg = 0;
  let total: number | null = 0;
  let unweighed = 0;
  for (const group of groups) {
    const died = group.placed === 0 ? 0 : group.lost / group.placed;
    for (const { values } of group.leavings) {
      if (values.way !== 'table') continue;
      if (values.mass_kg === null) {
        unweighed += values.birds;
        continue;
      }
      const { cost, heads } = bySex[values.sex === 'female' ? 'female' : 'male'].get(group)!;
      kg += values.mass_kg;
      total = sumOf([
        total,
        cost === null ? null : (cost / Math.max(1, heads * (1 - died))) * values.birds,
      ]);
    }
  }
  return {
    cost: kg > 0 && total !== null ? total / kg : null,
    over: kg,
    unweighed,
    why:
      kg > 0
        ? 'their part of the cost by sex, over the kilograms written; each with those that died'
        : 'no weighed table bird yet',
  };
}
