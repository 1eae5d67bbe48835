import { diagnose } from '../judge/diagnose/diagnose.ts';
import { diagnosisText } from '../tables/diagnosis.ts';
import { linesForTerminal } from '../text/escape.ts';
import type { CommandModule } from './command.ts';
import { openSeason } from './open.ts';
import { jsonText } from './say.ts';

export const command: CommandModule = {
  examples: ['diagnose', 'diagnose --numbers'],
  define(command) {
    command.option('--numbers', 'with the tests behind each sign');
  },
  async run(context, _words, options) {
    const { season, now, notices } = await openSeason(context);
    const findings = diagnose(season);
    if (context.json) return { stdout: jsonText('diagnose', { findings }), stderr: notices };
    const head = {
      place: season.values.place.name,
      season: String(season.values.season),
      day: now.day,
    };
    return {
      stdout: linesForTerminal(
        diagnosisText(findings, head, context.width, options.numbers === true),
      ),
      stderr: notices,
    };
  },
};
