import { nightsOf, roofHeatOf, roomOf, type Stay, staysOf } from '../facts/birds/brooders.ts';
import { feedNeeds } from '../facts/birds/feed.ts';
import { flockOf, type Group } from '../facts/birds/groups.ts';
import { eatersOf } from '../facts/birds/lives.ts';
import { heatUse } from '../facts/heat.ts';
import { sumOf, total } from '../facts/tally.ts';
import { feedPrice, powerPrice, RECKONED } from '../flock/prices.ts';
import { growing } from '../season/brooding.ts';
import type { Now, Season } from '../season/model.ts';
import { plural } from '../tables/numbers.ts';
import { type Day, earlier } from '../text/day.ts';
import { groupedBy } from '../text/lists.ts';
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
    quantity: total(feeds, (one) => one.kg),
    unit: 'kg',
    to: 'birds, by feed eaten',
    how: `from the birds alive by sex and age, ${growing.feedWaste.value * 100} % wasted; at the price ${feedPrice(season, 'grower')?.from === 'money.csv' ? 'paid' : 'given'}`,
  };
  const bought = boughtItems(season, groups.length > 0);
  const items = [eggs, machines, heat, feed, ...bought];
  const other = total(bought, (one) => one.amount);
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
  if (kg.unweighed > 0)
    missing.add(`mass of ${plural(kg.unweighed, 'table bird')} (leavings.csv, mass_kg)`);
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
  const shares = [...season.sets.values()].flatMap((set) => set.shares);
  const eggs = total(shares, (share) => share.eggs);
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
  const eaters = eatersOf(season, group, until);
  const ofSex = (sex: 'female' | 'male'): Fed => {
    const needs = feedNeeds(eaters.filter((one) => one.sex === sex));
    const costs = needs.map(({ stage, kg }) => {
      const price = feedPrice(season, stage);
      if (price === null) missing.add(`prices › feed_kg or ${stage}_kg: the price of feed`);
      return price === null ? null : kg * price.each;
    });
    return { kg: total(needs, (need) => need.kg), cost: sumOf(costs) };
  };
  return { female: ofSex('female'), male: ofSex('male') };
}

function boughtItems(season: Season, hasGroups: boolean): (CostItem & { amount: number })[] {
  const bought = season.rows.money.filter(
    ({ values: { amount, category } }) =>
      amount >= 0 && !RECKONED.includes(category.trim().toLowerCase()),
  );
  return [...groupedBy(bought, ({ values }) => values.category.trim())].map(([item, rows]) => ({
    item,
    amount: total(rows, (row) => row.values.amount),
    quantity: null,
    unit: null,
    to: hasGroups ? 'birds, by days of life' : 'sound chicks',
    how: 'as bought, log/money.csv',
  }));
}

function incomeItems(season: Season, groups: readonly Group[]): CostItem[] {
  const to = 'not taken off the costs';
  const paid = groups
    .flatMap((group) => group.leavings)
    .filter(({ values }) => values.money !== null);
  const birds = [...groupedBy(paid, ({ values }) => values.way)].map(([way, rows]) => ({
    item: `birds: ${way}`,
    amount: total(rows, (row) => row.values.money!),
    quantity: total(rows, (row) => row.values.birds),
    unit: 'birds',
    to,
    how: 'log/leavings.csv',
  }));
  const sold = season.rows.money.filter(({ values }) => values.amount < 0);
  const other = [...groupedBy(sold, ({ values }) => values.category.trim())].map(([item, rows]) => {
    // Quantities of one unit add up; others are not said.
    const units = new Set(rows.map(({ values }) => values.unit.trim()));
    const quantity = sumOf(rows.map(({ values }) => values.quantity));
    const isOneUnit = units.size === 1 && quantity !== null;
    return {
      item,
      amount: total(rows, (row) => -row.values.amount),
      quantity: isOneUnit ? quantity : null,
      unit: isOneUnit ? rows[0]!.values.unit.trim() : null,
      to,
      how: 'log/money.csv, amounts below zero',
    };
  });
  return [...birds, ...other];
}
