import { costsOf } from '../costs/costs.ts';
import type { CautionKey } from '../season/cautions.ts';
import { cautionText } from '../tables/cautions.ts';
import { costsText } from '../tables/costs.ts';
import { linesForTerminal } from '../text/escape.ts';
import type { CommandModule } from './command.ts';
import { openSeason } from './open.ts';
import { jsonText } from './say.ts';
import { table } from './tables.ts';

export const command: CommandModule = {
  examples: ['costs', 'costs --json'],
  define() {},
  async run(context) {
    const { season, now, notices } = await openSeason(context);
    const costs = costsOf(season, now);
    const { currency } = season.values.units;
    if (context.json)
      return {
        stdout: jsonText('costs', {
          date: now.day,
          currency: currency || null,
          items: costs.items,
          total: costs.total,
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
    const text = costsText(costs, {
      currency: currency || 'money',
      width: context.width,
      draw: (one) => table(one, context),
    });
    const cautions: CautionKey[] = [];
    if (costs.perKg.over > 0) cautions.push('slaughter');
    if (costs.income.length > 0) cautions.push('sale');
    const told = cautionText(cautions, context.width);
    return { stdout: linesForTerminal(told ? `${text}${told}\n` : text), stderr: notices };
  },
};
