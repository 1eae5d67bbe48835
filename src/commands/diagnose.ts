import { diagnose } from '../judge/diagnose/diagnose.ts';
import {
  diagnosisScreen,
  replayJson,
  replayScreen,
  worthJson,
  worthScreen,
} from '../tables/diagnosis.ts';
import { type CommandModule, onlyOne } from './command.ts';
import { openSeasons } from './earlier-seasons.ts';
import { answerOf } from './tables.ts';

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
    onlyOne(options, 'replay', 'worth', 'numbers');
    const opened = await openSeasons(context);
    const { season, earlier, now } = opened;
    if (options.replay === true) {
      const { replay } = await import('../judge/diagnose/replay.ts');
      const progress = context.progress('asking day by day');
      const shown = replay(season, earlier, now.day, progress.tell);
      progress.end();
      return answerOf(context, opened, {
        name: 'replay',
        json: () => replayJson(shown),
        screen: (title) => replayScreen(shown, title),
      });
    }
    if (options.worth === true) {
      const [{ worthOf }, { farmRates }, { Worlds }] = await Promise.all([
        import('../judge/diagnose/worth.ts'),
        import('../judge/rates/rates.ts'),
        import('../judge/rates/worlds.ts'),
      ]);
      const rates = farmRates(season, earlier, now.day);
      const worlds = new Worlds(season, now.day, rates, DRAWS, SEED);
      const worth = worthOf(season, rates, worlds, now.day);
      return answerOf(context, opened, {
        name: 'worth',
        json: () => worthJson(worth),
        screen: (title) => worthScreen(worth, title),
      });
    }
    const findings = diagnose(season, earlier);
    return answerOf(context, opened, {
      name: 'diagnose',
      json: () => ({ findings }),
      screen: (title, { units }) =>
        diagnosisScreen(findings, title, units, options.numbers === true),
    });
  },
};
