import { type CostItem, costsOf, type UnitCost } from '../compute/costs/costs.ts';
import { cautionLines } from '../season/cautions.ts';
import { linesForTerminal } from '../text/escape.ts';
import type { CommandModule } from './command.ts';
import { openSeason } from './open.ts';
import { jsonText, lines } from './say.ts';
import { table } from './tables.ts';

export const command: CommandModule = {
  examples: ['costs', 'costs --json'],
  define() {},
  async run(context) {
    const { season, now, notices } = openSeason(context);
    const costs = costsOf(season, now);
    if (context.json)
      return {
        stdout: jsonText('costs', {
          date: now.day,
          currency: season.values.units.currency || null,
          items: costs.items,
          income: costs.income,
          per_chick: costs.perChick.cost,
          per_pullet: costs.perPullet.cost,
          per_kg: costs.perKg.cost,
          over: {
            chicks: costs.perChick.over,
            pullets: costs.perPullet.over,
            kg: costs.perKg.over,
          },
          missing: costs.missing,
        }),
        stderr: notices,
      };
    const currency = season.values.units.currency || 'money';
    const shown = (items: readonly CostItem[], heading: string): string =>
      table(
        {
          columns: [
            { heading },
            { heading: `amount (${currency})`, align: 'right' },
            { heading: 'quantity', align: 'right' },
            { heading: 'how it is reckoned; allotted to' },
          ],
          rows: items.map((one) => [
            one.item,
            one.amount === null ? 'price missing' : one.amount.toFixed(2),
            one.quantity === null
              ? null
              : `${one.quantity.toFixed(one.unit === 'eggs' || one.unit === 'birds' ? 0 : 1)} ${one.unit}`,
            one.how,
          ]),
        },
        context,
      ).trimEnd();
    const each = (name: string, one: UnitCost): string =>
      one.cost === null
        ? `${name}: not known${one.over > 0 ? ', prices are missing' : ''} (${one.why})`
        : `${name}: ${one.cost.toFixed(2)} ${currency} (${one.why})`;
    const text = lines(
      shown(costs.items, 'cost'),
      costs.income.length > 0 ? `\n${shown(costs.income, 'income')}` : null,
      '',
      each('per sound chick', costs.perChick),
      each('per pullet at point of lay', costs.perPullet),
      each('per kg of table bird', costs.perKg),
      costs.missing.length > 0
        ? `missing, not taken as nought:\n  ${costs.missing.join('\n  ')}`
        : null,
      ...(costs.perKg.over > 0
        ? cautionLines(['slaughter']).map((line) => `Caution: ${line}`)
        : []),
    );
    return { stdout: linesForTerminal(`${text}\n`), stderr: notices };
  },
};
