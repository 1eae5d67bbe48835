import { diagnose } from '../judge/diagnose/diagnose.ts';
import {
  diagnosisScreen,
  replayJson,
  replayScreen,
  worthJson,
  worthScreen,
} from '../tables/diagnosis.ts';
import { screenText } from '../tables/terminal.ts';
import type { CommandModule } from './command.ts';
import { earlierSeasons } from './earlier-seasons.ts';
import { openSeason } from './open.ts';
import { jsonText } from './say.ts';
import { paperOf, titleOf } from './tables.ts';

/** Draws for what a change is worth, and their seed: as a forecast's, so that both tell the same. */
const DRAWS = 2000;
const SEED = 1;

export const command: CommandModule = {
  examples: ['diagnose', 'diagnose --numbers', 'diagnose --replay', 'diagnose --worth'],
  define(command) {
    command
      .option('--numbers', 'with chances, odds and sources')
      .option(
        '--replay',
        'day by day: when each finding first showed, and what that would have saved',
      )
      .option('--worth', 'what a change would be worth in chicks: another male, fresher eggs');
  },
  async run(context, _words, options) {
    const { folder, season, now, notices } = await openSeason(context);
    const before = await earlierSeasons(folder, season);
    const paper = paperOf(context, season);
    const title = titleOf(season, now);
    const stderr = `${notices}${before.notices}`;
    if (options.replay === true) {
      const { replay } = await import('../judge/diagnose/replay.ts');
      const progress = context.progress('asking day by day');
      const shown = replay(season, before.seasons, now.day, progress.tell);
      progress.end();
      return {
        stdout: context.json
          ? jsonText('replay', replayJson(shown))
          : screenText(replayScreen(shown, title), paper),
        stderr,
      };
    }
    if (options.worth === true) {
      const [{ worthOf }, { farmRates }, { Worlds }] = await Promise.all([
        import('../judge/diagnose/worth.ts'),
        import('../judge/rates/rates.ts'),
        import('../judge/rates/worlds.ts'),
      ]);
      const rates = farmRates(season, before.seasons, now.day);
      const worth = worthOf(
        season,
        rates,
        new Worlds(season, now.day, rates, DRAWS, SEED),
        now.day,
      );
      return {
        stdout: context.json
          ? jsonText('worth', worthJson(worth))
          : screenText(worthScreen(worth, title), paper),
        stderr,
      };
    }
    const findings = diagnose(season, before.seasons);
    return {
      stdout: context.json
        ? jsonText('diagnose', { findings })
        : screenText(
            diagnosisScreen(findings, title, paper.units, options.numbers === true),
            paper,
          ),
      stderr,
    };
  },
};
