import { costsOf } from '../costs/costs.ts';
import { costsJson, costsScreen } from '../tables/costs.ts';
import { screenText } from '../tables/terminal.ts';
import type { CommandModule } from './command.ts';
import { openSeason } from './open.ts';
import { jsonText } from './say.ts';
import { paperOf, titleOf } from './tables.ts';

export const command: CommandModule = {
  examples: ['costs', 'costs --json'],
  define() {},
  async run(context) {
    const { season, now, notices } = await openSeason(context);
    const costs = costsOf(season, now);
    const paper = paperOf(context, season);
    return {
      stdout: context.json
        ? jsonText('costs', costsJson(costs, now.day, paper.units))
        : screenText(costsScreen(costs, titleOf(season, now), paper.units), paper),
      stderr: notices,
    };
  },
};
