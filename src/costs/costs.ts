import { nightsOf, roofHeatOf, roomOf, type Stay, staysOf } from '../facts/birds/brooders.ts';
import { feedNeeds } from '../facts/birds/feed.ts';
import { flockOf, type Group } from '../facts/birds/groups.ts';
import { eatersOf } from '../facts/birds/lives.ts';
import { heatUse } from '../facts/heat.ts';
import { sumOf } from '../facts/tally.ts';
import { feedPrice, powerPrice, RECKONED } from '../flock/prices.ts';
import { growing } from '../season/brooding.ts';
import type { Now, Season } from '../season/model.ts';
import { type Day, earlier } from '../text/day.ts';
import { machineEnergy } from './machine-energy.ts';
import {
  type Allotted,
  perChick,
  perKg,
  perPullet,
  type Steps,
  type UnitCost,
} from './unit-costs.ts';

/** One line of the account. Amounts in the season's currency; null where a price is missing. */
export type CostItem = {
  readonly item: string;
  readonly amount: number | null;
  readonly quantity: number | null;
  readonly unit: string | null;
  /** What carries it, and by what. */
  readonly to: string;
  /** How the figure came about. */
  readonly how: string;
};

export type Costs = {
  readonly items: readonly CostItem[];
  /** The sum of the items, or null while a price is missing. */
  readonly total: number | null;
  readonly income: readonly CostItem[];
  readonly perChick: UnitCost;
  readonly perPullet: UnitCost & { readonly steps: Steps | null };
  readonly perKg: UnitCost;
  /** Prices and figures that are missing: left out of the sums. */
  readonly missing: readonly string[];
};

/**
 * What the season has cost up to now and per chick, per pullet at point of lay and per kilogram of
 * table bird. Eggs count as what they would have sold for; feed is reckoned from the birds alive by
 * sex and age, and priced; setters and hatchers at their rated watts for every day with eggs in
 * (an upper bound: a thermostat rests); heat by the hours the nights called for it; the rest as
 * money.csv says. After Cornell Ext. Bull. 1062 and Hays & Locke 1931, a bird's cost carries its
 * dead fellows.
 */
export function costsOf(season: Season, now: Now): Costs {
  const missing = new Set<string>();
  const groups = [...flockOf(season).groups.values()];
  const stays = staysOf(season, groups, now, nightsOf(season));
  const eggs = eggItem(season, missing);
  const machines = machineItem(season, now, missing);
  const heat = heatItem(season, now.day, stays, missing);
  const feeds = groups
    .map((group) => feedOf(season, group, now.day, missing))
    .flatMap((one) => [one.female, one.male]);
  const feed: CostItem = {
    item: 'feed of young birds',
    amount: sumOf(feeds.map((one) => one.cost)),
    quantity: feeds.reduce((sum, one) => sum + one.kg, 0),
    unit: 'kg',
    to: 'birds, by feed eaten',
    how: `from the birds alive by sex and age, ${growing.feedWaste.value * 100} % wasted; at the price ${feedPrice(season, 'grower')?.from === 'money.csv' ? 'paid' : 'given'}`,
  };
  const bought = boughtItems(season, groups.length > 0);
  const items = [eggs, machines, heat, feed, ...bought];
  const other = bought.reduce((sum, one) => sum + one.amount!, 0);
  const allotted: Allotted = {
    chicks: sumOf([eggs.amount, machines.amount, groups.length === 0 ? other : 0]),
    heat: heat.amount,
    other: groups.length === 0 ? 0 : other,
    feed: (group, sex, until) => feedOf(season, group, until, missing)[sex].cost,
    stays,
  };
  const chick = perChick(season, allotted.chicks);
  const pullet = perPullet(season, now, groups, chick.cost, allotted);
  const kg = perKg(now, groups, chick.cost, allotted);
  if (kg.unweighed > 0) missing.add(`mass of ${kg.unweighed} table birds (leavings.csv, mass_kg)`);
  return {
    items,
    total: sumOf(items.map((one) => one.amount)),
    income: incomeItems(season, groups),
    perChick: chick,
    perPullet: pullet,
    perKg: kg,
    missing: [...missing],
  };
}

function eggItem(season: Season, missing: Set<string>): CostItem {
  const eggs = [...season.sets.values()]
    .flatMap((set) => set.shares)
    .reduce((sum, share) => sum + share.eggs, 0);
  const price = season.values.prices.egg;
  if (eggs > 0 && price === undefined) missing.add('prices › egg: what an egg would have sold for');
  return {
    item: 'eggs not sold',
    amount: eggs === 0 ? 0 : price === undefined ? null : eggs * price,
    quantity: eggs,
    unit: 'eggs',
    to: 'sound chicks',
    how: 'every egg set, at what it would have sold for',
  };
}

function machineItem(season: Season, now: Now, missing: Set<string>): CostItem {
  const { kwh, unrated } = machineEnergy(season, now);
  for (const name of unrated) missing.add(`${name} › watts`);
  const power = powerPrice(season);
  if (power === null && (kwh ?? 1) > 0) missing.add('prices › kwh: the price of power');
  return {
    item: 'power, setters and hatchers',
    amount: kwh === 0 ? 0 : kwh === null || power === null ? null : kwh * power.each,
    quantity: kwh,
    unit: 'kWh',
    to: 'sound chicks',
    how: 'rated watts on every day with eggs in: an upper bound, a thermostat rests',
  };
}

function heatItem(
  season: Season,
  until: Day,
  stays: readonly Stay[],
  missing: Set<string>,
): CostItem {
  const nightOn = nightsOf(season);
  let kwh = 0;
  let blindDays = 0;
  for (const brooder of season.brooders.values()) {
    const { heat } = roomOf(season, brooder);
    const own = stays.filter((stay) => stay.brooder === brooder.name && stay.from < until);
    if (heat === null && own.length > 0) missing.add(`brooders › ${brooder.name} › heat`);
    if (heat === null || own.length === 0) continue;
    const from = own.map((stay) => stay.from).reduce(earlier);
    const heatOn = roofHeatOf(season, own, brooder.name);
    const use = heatUse(heat, from, until, (day) => heatOn(day)?.low ?? null, nightOn);
    kwh += use.kwh;
    blindDays += use.daysUnknown;
  }
  const power = powerPrice(season);
  if (kwh > 0 && power === null) missing.add('prices › kwh: the price of power');
  return {
    item: 'heat of brooders',
    amount: kwh === 0 ? 0 : power === null ? null : kwh * power.each,
    quantity: kwh,
    unit: 'kWh',
    to: 'birds, by brooder days',
    how: `watts over the hours the nights called for heat${blindDays > 0 ? `; ${blindDays} days without a temperature by the usual duty` : ''}`,
  };
}

type Fed = { readonly kg: number; readonly cost: number | null };

function feedOf(
  season: Season,
  group: Group,
  until: Day,
  missing: Set<string>,
): { readonly female: Fed; readonly male: Fed } {
  const ofSex = (sex: 'female' | 'male'): Fed => {
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
  return { female: ofSex('female'), male: ofSex('male') };
}

function boughtItems(season: Season, hasGroups: boolean): CostItem[] {
  const sums = new Map<string, number>();
  for (const { values } of season.rows.money) {
    const category = values.category.trim();
    if (values.amount < 0 || RECKONED.includes(category.toLowerCase())) continue;
    sums.set(category, (sums.get(category) ?? 0) + values.amount);
  }
  return [...sums].map(([category, amount]) => ({
    item: category,
    amount,
    quantity: null,
    unit: null,
    to: hasGroups ? 'birds, by days of life' : 'sound chicks',
    how: 'as bought, log/money.csv',
  }));
}

function incomeItems(season: Season, groups: readonly Group[]): CostItem[] {
  const birds = new Map<string, { money: number; birds: number }>();
  for (const { values } of groups.flatMap((group) => group.leavings)) {
    if (values.money === null) continue;
    const same = birds.get(values.way) ?? { money: 0, birds: 0 };
    birds.set(values.way, {
      money: same.money + values.money,
      birds: same.birds + values.birds,
    });
  }
  const sold = new Map<string, { amount: number; quantity: number | null; unit: string | null }>();
  for (const { values } of season.rows.money) {
    if (values.amount >= 0) continue;
    const category = values.category.trim();
    const same = sold.get(category) ?? { amount: 0, quantity: 0, unit: values.unit.trim() };
    const adds = values.quantity !== null && values.unit.trim() === same.unit;
    sold.set(category, {
      amount: same.amount - values.amount,
      quantity: adds && same.quantity !== null ? same.quantity + values.quantity! : null,
      unit: adds ? same.unit : null,
    });
  }
  const to = 'not taken off the costs';
  return [
    ...[...birds].map(([way, one]) => ({
      item: `birds: ${way}`,
      amount: one.money,
      quantity: one.birds,
      unit: 'birds',
      to,
      how: 'log/leavings.csv',
    })),
    ...[...sold].map(([category, one]) => ({
      item: category,
      ...one,
      to,
      how: 'log/money.csv, amounts below zero',
    })),
  ];
}
