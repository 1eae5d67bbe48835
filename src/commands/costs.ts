import { costsOf } from '../costs/costs.ts';
import { costsJson, costsScreen } from '../tables/costs.ts';
import type { CommandModule } from './command.ts';
import { openSeason } from './open.ts';
import { answerOf } from './tables.ts';

export const command: CommandModule = {
  examples: ['costs', 'costs --json'],
  define() {},
  async run(context) {
    const opened = await openSeason(context);
    const { season, now } = opened;
    const costs = costsOf(season, now);
    const { units } = season.values;
    return answerOf(context, opened, {
      name: 'costs',
      json: () => costsJson(costs, now.day, units),
      screen: (title) => costsScreen(costs, title, units),
    });
  },
};
