import { growing, growthOf } from '../../season/brooding.ts';
import type { Now, Season } from '../../season/model.ts';
import { type Day, daysBetween, earlier } from '../../text/day.ts';
import { heatNeedOf, nightsOf, roomOf, staysOf } from '../flock/brooders.ts';
import { feedNeeds } from '../flock/feed.ts';
import { flockOf, type Group, kindOfLine } from '../flock/groups.ts';
import { ageOn, heatUse } from '../flock/heat.ts';
import { eatersOf } from '../flock/lives.ts';
import { birdsOfSex, livingOfSex } from '../flock/pullets.ts';
import { occupancyOf } from '../schedule/occupancy.ts';
import { feedPrice, powerPrice, RECKONED } from './prices.ts';

/** One line of the account. Amounts in the season's currency; null where a price is missing. */
export type CostItem = {
  readonly item: string;
  readonly amount: number | null;
  readonly quantity: number | null;
  readonly unit: string | null;
  /** How the figure came about and what it is allotted to. */
  readonly how: string;
};

/** A cost per one of something, or why there is none yet. */
export type UnitCost = {
  readonly cost: number | null;
  /** Chicks, pullets or kilograms it is spread over. */
  readonly over: number;
  readonly why: string;
};

export type Costs = {
  readonly items: readonly CostItem[];
  readonly income: readonly CostItem[];
  readonly perChick: UnitCost;
  readonly perPullet: UnitCost;
  readonly perKg: UnitCost;
  /** Prices and figures that are wanting: never taken as nought. */
  readonly missing: readonly string[];
};

const HOURS_A_DAY = 24;

/** Days of the union of half-open spans, up to `until`. */
function daysTaken(spans: readonly { from: Day; to: Day }[], until: Day): number {
  let days = 0;
  let through: Day | null = null;
  for (const span of [...spans].sort((a, b) => (a.from < b.from ? -1 : 1))) {
    const from: Day = through !== null && through > span.from ? through : span.from;
    const to = earlier(span.to, until);
    if (to <= from) continue;
    days += daysBetween(from, to);
    through = to;
  }
  return days;
}

/**
 * What the season has cost up to now and per chick, per pullet at point of lay and per kilogram of
 * table bird. Eggs count as what they would have sold for; feed is reckoned from the birds alive by
 * sex and age, and priced; setters and hatchers at their rated watts for every day with eggs in
 * (an upper bound: a thermostat rests); heat by the hours the nights called for it; the rest as
 * money.csv says. After Cornell Ext. Bull. 1062 and Hays & Locke 1931, a bird's cost carries its
 * dead fellows.
 */
export function costsOf(season: Season, now: Now): Costs {
  const items: CostItem[] = [];
  const missing = new Set<string>();
  const until = now.day;
  const groups = [...flockOf(season).groups.values()];
  const shares = [...season.sets.values()].flatMap((set) => set.shares);

  const eggs = shares.reduce((sum, share) => sum + share.eggs, 0);
  const eggPrice = season.values.prices.egg;
  if (eggs > 0 && eggPrice === undefined)
    missing.add('prices › egg: what an egg would have sold for');
  const eggCost = eggs === 0 ? 0 : eggPrice === undefined ? null : eggs * eggPrice;
  items.push({
    item: 'eggs not sold',
    amount: eggCost,
    quantity: eggs,
    unit: 'eggs',
    how: 'eggs set, at what they would have sold for; to chicks',
  });

  const power = powerPrice(season);
  const occupancy = occupancyOf(season, now);
  let machineKwh: number | null = 0;
  const machines = [
    ...[...season.setters.values()].map((one) => ({
      one,
      spans: occupancy.trays.filter((span) => span.setter === one.name),
    })),
    ...[...season.hatchers.values()].map((one) => ({
      one,
      spans: occupancy.hatchers.filter((span) => span.hatcher === one.name),
    })),
  ];
  for (const { one, spans } of machines) {
    const days = daysTaken(
      spans.filter((span) => span.state === 'actual'),
      until,
    );
    if (days === 0) continue;
    if (one.watts === undefined) {
      missing.add(`${one.name} › watts`);
      machineKwh = null;
    } else if (machineKwh !== null) machineKwh += (one.watts / 1000) * HOURS_A_DAY * days;
  }
  if (power === null && (machineKwh ?? 1) > 0) missing.add('prices › kwh: the price of power');
  const machineCost =
    machineKwh === 0 ? 0 : machineKwh === null || power === null ? null : machineKwh * power.each;
  items.push({
    item: 'power of setters and hatchers',
    amount: machineCost,
    quantity: machineKwh,
    unit: 'kWh',
    how: 'rated watts on every day with eggs in, an upper bound; to chicks',
  });

  const nightOn = nightsOf(season);
  const stays = staysOf(season, groups, now, nightOn);
  let heatKwh = 0;
  let blindDays = 0;
  for (const brooder of season.brooders.values()) {
    const { heat } = roomOf(season, brooder);
    const own = stays.filter((stay) => stay.brooder === brooder.name && stay.from < until);
    if (heat === null) {
      if (own.length > 0) missing.add(`brooders › ${brooder.name} › heat`);
      continue;
    }
    if (own.length === 0) continue;
    const from = own.map((stay) => stay.from).reduce(earlier);
    const use = heatUse(heat, from, until, heatNeedOf(season, own), nightOn);
    heatKwh += use.kwh;
    blindDays += use.daysUnknown;
  }
  if (heatKwh > 0 && power === null) missing.add('prices › kwh: the price of power');
  const heatCost = heatKwh === 0 ? 0 : power === null ? null : heatKwh * power.each;
  items.push({
    item: 'heat of brooders',
    amount: heatCost,
    quantity: heatKwh,
    unit: 'kWh',
    how: `hours the nights called for it${blindDays > 0 ? `, ${blindDays} days without a temperature by the usual duty` : ''}; to birds brooded, by head`,
  });

  const feedOf = (group: Group, sex: 'female' | 'male'): { kg: number; cost: number | null } => {
    const needs = feedNeeds(eatersOf(season, group, until).filter((one) => one.sex === sex));
    let cost: number | null = 0;
    let kg = 0;
    for (const need of needs) {
      kg += need.kg;
      const price = feedPrice(season, need.stage);
      if (price === null) missing.add(`prices › feed_kg or ${need.stage}_kg: the price of feed`);
      cost = cost === null || price === null ? null : cost + need.kg * price.each;
    }
    return { kg, cost };
  };
  const fed = new Map(
    groups.map((group) => [
      group,
      { female: feedOf(group, 'female'), male: feedOf(group, 'male') },
    ]),
  );
  const feeds = [...fed.values()].flatMap((one) => [one.female, one.male]);
  items.push({
    item: 'feed of young birds',
    amount: sumOf(feeds.map((one) => one.cost)),
    quantity: feeds.reduce((sum, one) => sum + one.kg, 0),
    unit: 'kg',
    how: 'reckoned from birds alive by sex and age, waste included; to birds by what each sex ate',
  });

  const others = new Map<string, number>();
  const sold = new Map<string, number>();
  for (const row of season.rows.money) {
    const category = row.values.category.trim();
    if (row.values.amount < 0) sold.set(category, (sold.get(category) ?? 0) - row.values.amount);
    else if (!RECKONED.includes(category.toLowerCase()))
      others.set(category, (others.get(category) ?? 0) + row.values.amount);
  }
  for (const [category, amount] of others)
    items.push({
      item: category,
      amount,
      quantity: null,
      unit: null,
      how: 'as bought, money.csv; to birds brooded, by head (to chicks if none)',
    });
  const otherCost = [...others.values()].reduce((sum, one) => sum + one, 0);
  const received = new Map<string, { money: number; birds: number }>();
  for (const group of groups)
    for (const row of group.leavings) {
      if (row.values.money === null) continue;
      const same = received.get(row.values.way) ?? { money: 0, birds: 0 };
      received.set(row.values.way, {
        money: same.money + row.values.money,
        birds: same.birds + row.values.birds,
      });
    }
  const income: CostItem[] = [
    ...[...received].map(([way, one]) => ({
      item: `birds: ${way}`,
      amount: one.money,
      quantity: one.birds,
      unit: 'birds',
      how: 'leavings.csv; set against nothing here',
    })),
    ...[...sold].map(([category, amount]) => ({
      item: category,
      amount,
      quantity: null,
      unit: null,
      how: 'money.csv, amounts below nought; set against nothing here',
    })),
  ];

  const placed = groups.reduce((sum, group) => sum + group.placed, 0);
  const sound = shares.reduce(
    (sum, share) => sum + (share.tally.hatched ?? 0) - share.tally.weak,
    0,
  );
  const chickTotal = sumOf([eggCost, machineCost, placed === 0 ? otherCost : 0]);
  const perChick: UnitCost = {
    cost: chickTotal === null || sound <= 0 ? null : chickTotal / sound,
    over: sound,
    why:
      sound <= 0
        ? 'no sound chick has hatched yet'
        : 'eggs and machines, over every sound chick hatched; sets still in the machine are in the cost',
  };

  const perHead =
    placed === 0
      ? null
      : sumOf([heatCost, otherCost]) === null
        ? null
        : sumOf([heatCost, otherCost])! / placed;
  /** A sex's part of a group's cost: its feed, and by head its chicks, heat and what was bought. */
  const costOfSex = (group: Group, sex: 'female' | 'male'): number | null => {
    const share = shareOfSex(group, sex);
    const feed = fed.get(group)![sex].cost;
    if (perChick.cost === null || perHead === null || feed === null) return null;
    return group.placed * share * (perChick.cost + perHead) + feed;
  };
  let pullets = 0;
  let pulletCost: number | null = 0;
  let kg = 0;
  let kgCost: number | null = 0;
  let unweighed = 0;
  for (const group of groups) {
    const kind = kindOfLine(season, group.line);
    const lay =
      season.values.lines[group.line.name]?.point_of_lay_days ??
      growthOf(kind).first_egg_days.value.low;
    if (ageOn(group.youngest, until) >= lay) {
      const housed = group.leavings
        .filter(
          (row) => row.values.sex === 'female' && ['layer', 'breeder'].includes(row.values.way),
        )
        .reduce((sum, row) => sum + row.values.birds, 0);
      const here =
        housed + livingOfSex(birdsOfSex(group, 'female', now), growing.sexRatioFemale.value).likely;
      if (here > 0) {
        pullets += here;
        const cost = costOfSex(group, 'female');
        pulletCost = pulletCost === null || cost === null ? null : pulletCost + cost;
      }
    }
    const males = group.placed * shareOfSex(group, 'male');
    for (const row of group.leavings) {
      if (row.values.way !== 'table') continue;
      if (row.values.mass_kg === null) {
        unweighed += row.values.birds;
        continue;
      }
      const sex = row.values.sex === 'female' ? 'female' : 'male';
      const heads = sex === 'female' ? group.placed - males : males;
      const lost = group.placed === 0 ? 0 : group.lost / group.placed;
      const cost = costOfSex(group, sex);
      kg += row.values.mass_kg;
      kgCost =
        kgCost === null || cost === null
          ? null
          : kgCost + (cost / Math.max(1, heads * (1 - lost))) * row.values.birds;
    }
  }
  if (unweighed > 0) missing.add(`mass of ${unweighed} table birds (leavings.csv, mass_kg)`);
  return {
    items,
    income,
    perChick,
    perPullet: {
      cost: pullets > 0 && pulletCost !== null ? pulletCost / pullets : null,
      over: pullets,
      why:
        pullets > 0
          ? 'chick, heat and bought things by head, feed by sex, over pullets at point of lay; nothing of the cockerels set against it'
          : 'no pullet has reached point of lay yet',
    },
    perKg: {
      cost: kg > 0 && kgCost !== null ? kgCost / kg : null,
      over: kg,
      why:
        kg > 0
          ? 'their part of the cost by sex, over the kilograms written'
          : 'no weighed table bird yet',
    },
    missing: [...missing],
  };
}

/** A sex's share of the chicks placed, as sexed; half where the group never was. */
function shareOfSex(group: Group, sex: 'female' | 'male'): number {
  const last = group.sexings.at(-1)?.values;
  const sexed = last ? last.pullets + last.cockerels : 0;
  const female = last && sexed > 0 ? last.pullets / sexed : growing.sexRatioFemale.value;
  return sex === 'female' ? female : 1 - female;
}

/** The sum, or null if any part is not known. */
function sumOf(parts: readonly (number | null)[]): number | null {
  let sum = 0;
  for (const part of parts) {
    if (part === null) return null;
    sum += part;
  }
  return sum;
}
