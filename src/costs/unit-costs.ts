import type { Stay } from '../facts/birds/brooders.ts';
import { birdsIn, type Group, kindOfLine } from '../facts/birds/groups.ts';
import { femaleShareOf, livesOf } from '../facts/birds/lives.ts';
import { birdsOfSex, livingOfSex } from '../facts/birds/pullets.ts';
import { ageOn } from '../facts/heat.ts';
import { sumOf, total } from '../facts/tally.ts';
import { growing, pointOfLayOf } from '../season/brooding.ts';
import type { Now, Season } from '../season/model.ts';
import { addDays, type Day, daysBetween, daysIn, earlier, later } from '../text/day.ts';

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
export function perChick(season: Season, spent: number | null): UnitCost {
  const shares = [...season.sets.values()].flatMap((set) => set.shares);
  const sound = total(shares, (share) => share.tally.sound);
  return {
    cost: spent === null || sound <= 0 ? null : spent / sound,
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
  const own = stays.filter((stay) => stay.group === group);
  return {
    brooded: total(own, ({ brooder, from, to }) =>
      total(daysIn(from, earlier(to, until)), (day) => birdsIn(group, brooder, day)),
    ),
    lived: total(
      livesOf(group, until),
      ({ females, males, from, to }) => (females + males) * daysBetween(from, to),
    ),
  };
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
  const days = groups.map((group) => birdDays(group, allotted.stays, now));
  const all = {
    brooded: total(days, (one) => one.brooded),
    lived: total(days, (one) => one.lived),
  };
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
function staying({ placed, leavings }: Group): number {
  const gone = leavings.filter(({ values }) => values.sex === 'unknown' && values.way !== 'culled');
  return placed - total(gone, (row) => row.values.birds);
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
  const grown = groups.flatMap((group) => {
    const lay = layAge(group);
    if (ageOn(group.youngest, now.day) < lay) return [];
    const gone = group.leavings.filter(
      ({ values, on }) =>
        values.sex === 'female' &&
        (['layer', 'breeder'].includes(values.way) || ageOn(group.youngest, on.day) >= lay),
    );
    const living = livingOfSex(birdsOfSex(group, 'female', now), growing.sexRatioFemale.value);
    const here = total(gone, (row) => row.values.birds) + living.likely;
    return here > 0 ? [{ here, ...costs.get(group)! }] : [];
  });
  const pullets = total(grown, ({ here }) => here);
  const spent = sumOf(grown.map(({ cost }) => cost));
  const each = (step: keyof Steps): number =>
    total(grown, ({ steps }) => steps?.[step] ?? 0) / pullets;
  const isKnown = pullets > 0 && spent !== null;
  return {
    cost: isKnown ? spent / pullets : null,
    steps: isKnown
      ? { chick: each('chick'), feed: each('feed'), heat: each('heat'), other: each('other') }
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
  const eaten = groups.flatMap((group) =>
    group.leavings.flatMap(({ values }) => (values.way === 'table' ? [{ group, values }] : [])),
  );
  const weighed = eaten.filter(({ values }) => values.mass_kg !== null);
  const kg = total(weighed, ({ values }) => values.mass_kg!);
  const unweighed = total(eaten, ({ values }) => (values.mass_kg === null ? values.birds : 0));
  const spent = sumOf(
    weighed.map(({ group, values }) => {
      const { cost, heads } = bySex[values.sex === 'female' ? 'female' : 'male'].get(group)!;
      const died = group.placed === 0 ? 0 : group.lost / group.placed;
      return cost === null ? null : (cost / Math.max(1, heads * (1 - died))) * values.birds;
    }),
  );
  return {
    cost: kg > 0 && spent !== null ? spent / kg : null,
    over: kg,
    unweighed,
    why:
      kg > 0
        ? 'their part of the cost by sex, over the kilograms written; each with those that died'
        : 'no weighed table bird yet',
  };
}
