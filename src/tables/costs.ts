/** The account of a season: a cost per bird first, then what it is made of. */

import type { CostItem, Costs } from '../costs/costs.ts';
import type { UnitCost } from '../costs/unit-costs.ts';
import { type CautionKey, cautionLines } from '../season/cautions.ts';
import { there } from '../text/lists.ts';
import { type AnyTable, type Column, jsonRows, tableOf } from './columns.ts';
import { count, fixed, measured, money, perUnit, type Units, unitOf } from './numbers.ts';
import { maybe, number, text } from './schema.ts';
import type { Say, Screen, ScreenPart } from './terminal.ts';

/** A quantity in the season's units: `12.4 kg`, `120 eggs`. */
function quantityText({ quantity, unit }: CostItem, units: Units): string | null {
  if (quantity === null) return null;
  if (unit === 'kg') return measured(quantity, 'weight', units);
  const figure =
    Number.isInteger(quantity) || quantity >= 100
      ? count(Math.round(quantity))
      : fixed(quantity, 1);
  return `${figure}\u00a0${unit}`;
}

export const itemColumns = (units: Units): readonly Column<CostItem>[] => [
  { key: 'item', kind: 'text', doc: 'what was paid for' },
  { key: 'amount', kind: 'money', doc: 'what it cost or brought; null while a price is missing' },
  { key: 'quantity', kind: 'data', schema: maybe(number), doc: 'how much, in its unit' },
  { key: 'unit', kind: 'data', schema: maybe(text), doc: 'unit of the quantity' },
  {
    key: 'quantity_text',
    heading: 'how much',
    kind: 'name',
    show: 'people',
    doc: 'how much',
    of: (one) => quantityText(one, units),
  },
  {
    key: 'to',
    heading: 'shared out over',
    kind: 'text',
    show: 'filled',
    priority: 1,
    doc: 'what carries the cost',
    of: (one) => one.to || null,
  },
  {
    key: 'how',
    heading: 'how it is reckoned',
    kind: 'text',
    show: 'data',
    doc: 'how the figure came about',
  },
];

/** Costs with their sum. */
export function costTable({ items, total }: Costs, units: Units): AnyTable {
  return tableOf(itemColumns(units), items, {
    item: 'all',
    amount: total,
    quantity: null,
    unit: null,
    to: '',
    how: '',
  });
}

/** Income; nothing carries it. */
export function incomeTable({ income }: Costs, units: Units): AnyTable {
  return tableOf(
    itemColumns(units).map((column) =>
      column.key === 'to' ? { ...column, show: 'data' as const } : column,
    ),
    income,
  );
}

type Each = { readonly name: string; readonly cost: number | null; readonly one: UnitCost };

/** The cost of a chick, a pullet and a unit of table bird. */
function eachOf(costs: Costs, units: Units): Each[] {
  const { perKg } = costs;
  return [
    { name: 'sound chick', cost: costs.perChick.cost, one: costs.perChick },
    { name: 'pullet at point of lay', cost: costs.perPullet.cost, one: costs.perPullet },
    {
      name: `${unitOf('weight', units)} of table bird`,
      cost: perKg.cost === null ? null : perUnit(perKg.cost, 'weight', units),
      one: perKg,
    },
  ];
}

const eachColumns: readonly Column<Each>[] = [
  { key: 'name', heading: 'one', kind: 'text', doc: 'a chick, a pullet, a unit of table bird' },
  { key: 'cost', heading: 'cost of one', kind: 'money', doc: 'what one has cost so far' },
  {
    key: 'why',
    heading: 'what is in it',
    kind: 'text',
    doc: 'what the cost is made of, or why it is not known',
    of: (each) => each.one.why,
  },
];

/** What one chick, pullet and unit of table bird cost. */
export function eachTable(costs: Costs, units: Units): AnyTable {
  return tableOf(eachColumns, eachOf(costs, units));
}

/** The costs in a sentence, those that are known. */
export function costsAnswer(costs: Costs, units: Units): string {
  const known = eachOf(costs, units).flatMap(({ name, cost }) =>
    cost === null ? [] : [`a ${name} ${money(cost, units)}`],
  );
  if (known.length > 0)
    return `So far ${costs.total === null ? '' : `${money(costs.total, units)}: `}${known.join(', ')}.`;
  return costs.missing.length > 0
    ? 'What a chick costs is not known: prices are missing.'
    : 'Nothing has been spent yet.';
}

/** The parts of the account, for every medium. */
export function costParts(costs: Costs, units: Units): ScreenPart[] {
  return there([
    { heading: 'Costs so far', table: costTable(costs, units) },
    costs.income.length > 0 && {
      heading: 'Income',
      table: incomeTable(costs, units),
      reasons: ['Income is not taken off the costs.'],
    },
    {
      heading: 'What is in the cost of one',
      show: 'full',
      lines: eachOf(costs, units).map(({ name, one }) => ({ name, text: one.why })),
    },
    {
      heading: 'How it is reckoned',
      show: 'full',
      lines: costs.items.map((one) => ({ name: one.item, text: one.how })),
    },
  ]);
}

/** The account as a screen. */
export function costsScreen(costs: Costs, title: string, units: Units): Screen {
  const missing: Say[] = costs.missing.map((what) => ({
    meaning: 'watch',
    text: `missing, so left out of the sums: ${what}`,
  }));
  const cautions: CautionKey[] = [
    ...(costs.perKg.over > 0 ? (['slaughter'] as const) : []),
    ...(costs.income.length > 0 ? (['sale'] as const) : []),
  ];
  return {
    title,
    answer: [costsAnswer(costs, units)],
    exceptions: missing,
    parts: costParts(costs, units),
    notes: cautionLines(cautions).map((line) => `Caution: ${line}`),
  };
}

/** The account for other programs. */
export function costsJson(costs: Costs, day: string, units: Units): object {
  return {
    date: day,
    currency: units.currency || null,
    items: jsonRows(costTable(costs, units)),
    total: costs.total,
    income: jsonRows(incomeTable(costs, units)),
    per_chick: costs.perChick.cost,
    per_pullet: costs.perPullet.cost,
    per_kg: costs.perKg.cost,
    over: { chicks: costs.perChick.over, pullets: costs.perPullet.over, kg: costs.perKg.over },
    missing: costs.missing,
  };
}
