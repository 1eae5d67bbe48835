import { diagnose } from '../judge/diagnose/diagnose.ts';
import { diagnosisScreen } from '../tables/diagnosis.ts';
import { screenText } from '../tables/terminal.ts';
import type { CommandModule } from './command.ts';
import { earlierSeasons } from './earlier-seasons.ts';
import { openSeason } from './open.ts';
import { jsonText } from './say.ts';
import { paperOf, titleOf } from './tables.ts';

export const command: CommandModule = {
  examples: ['diagnose', 'diagnose --numbers'],
  define(command) {
    command.option('--numbers', 'with chances, odds and sources');
  },
  async run(context, _words, options) {
    const { folder, season, now, notices } = await openSeason(context);
    const before = await earlierSeasons(folder, season);
    const findings = diagnose(season, before.seasons);
    const paper = paperOf(context, season);
    return {
      stdout: context.json
        ? jsonText('diagnose', { findings })
        : screenText(
            diagnosisScreen(findings, titleOf(season, now), paper.units, options.numbers === true),
            paper,
          ),
      stderr: `${notices}${before.notices}`,
    };
  },
};
