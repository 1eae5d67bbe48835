import type { CostItem, Costs } from '../costs/costs.ts';
import type { UnitCost } from '../costs/unit-costs.ts';
import type { Table } from './table.ts';
import { hanging, wrapped } from './words.ts';

export type CostsPaper = {
  readonly currency: string;
  readonly width: number;
  readonly draw: (table: Table) => string;
};

/** Costs or income as a table; what carries them stands beside. */
export function costTable(
  items: readonly CostItem[],
  heading: string,
  currency: string,
  total: number | null | undefined = undefined,
): Table {
  return {
    columns: [
      { heading },
      { heading: `amount (${currency})`, align: 'right' },
      { heading: 'quantity', align: 'right' },
      { heading: heading === 'cost' ? 'allotted to' : '' },
    ].slice(0, heading === 'cost' ? 4 : 3) as Table['columns'],
    rows: [
      ...items.map((one) => [
        one.item,
        one.amount === null ? 'price missing' : one.amount.toFixed(2),
        one.quantity === null
          ? null
          : `${one.quantity.toFixed(one.unit === 'eggs' || one.unit === 'birds' ? 0 : 1)} ${one.unit}`,
        ...(heading === 'cost' ? [one.to] : []),
      ]),
      ...(total === undefined
        ? []
        : [['all', total === null ? 'not known' : total.toFixed(2), null, null]]),
    ],
  };
}

/** The three costs per one, each in words: `1.39 GBP`, or why it is not known. */
export function unitCosts(costs: Costs): { readonly name: string; readonly one: UnitCost }[] {
  return [
    { name: 'per sound chick', one: costs.perChick },
    { name: 'per pullet at point of lay', one: costs.perPullet },
    { name: 'per kg of table bird', one: costs.perKg },
  ];
}

/** A cost per one as it is printed. */
export function unitCostText(one: UnitCost, currency: string): string {
  if (one.cost !== null) return `${one.cost.toFixed(2)} ${currency}`;
  return one.over > 0 ? 'not known: prices are missing' : 'not known';
}

/** The account as text. Ends with a line feed. */
export function costsText(costs: Costs, paper: CostsPaper): string {
  const { width, currency, draw } = paper;
  const parts = [draw(costTable(costs.items, 'cost', currency, costs.total))];
  if (costs.income.length > 0) parts.push(draw(costTable(costs.income, 'income', currency)));
  parts.push(
    unitCosts(costs)
      .map(
        ({ name, one }) =>
          `${hanging(`${name}: `, `${unitCostText(one, currency)} (${one.why})`, width)}\n`,
      )
      .join(''),
  );
  if (costs.missing.length > 0)
    parts.push(
      `missing, not taken as nought:\n${costs.missing.map((one) => `${hanging('  ', one, width)}\n`).join('')}`,
    );
  parts.push(
    `how it is reckoned:\n${costs.items.map((one) => `${hanging('  ', `${one.item}: ${one.how}`, width)}\n`).join('')}${wrapped('Income is set against nothing here.', width)}\n`,
  );
  return parts.join('\n');
}
