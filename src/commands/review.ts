import { type Cut, cuts } from '../judge/review/groups.ts';
import { reviewOf } from '../judge/review/review.ts';
import { reviewJson, reviewMarkdown, reviewText } from '../tables/review.ts';
import { linesForTerminal } from '../text/escape.ts';
import { quoted } from '../text/fault.ts';
import { didYouMean } from '../text/nearest.ts';
import { type CommandModule, wrongWords } from './command.ts';
import { earlierSeasons } from './earlier-seasons.ts';
import { openSeason } from './open.ts';
import { jsonText } from './say.ts';
import { table } from './tables.ts';

/** Cuts as words of the command line. */
const words = cuts.filter((cut) => cut !== 'season').map((cut) => cut.replace('storage ', ''));
const usual: readonly Cut[] = ['line', 'pen', 'tray', 'storage age', 'week'];

function cutsOf(text: unknown): readonly Cut[] {
  if (text === undefined) return usual;
  if (text === 'all') return cuts;
  return String(text)
    .split(',')
    .map((word) => {
      const cut = cuts.find((c) => c !== 'season' && c.replace('storage ', '') === word.trim());
      if (cut === undefined)
        throw wrongWords(
          `--by: expected some of ${words.join(', ')}, or all, found ${quoted(word.trim())}`,
          didYouMean(word.trim(), words),
        );
      return cut;
    });
}

export const command: CommandModule = {
  words: async () => ({ by: [...words, 'all'] }),
  examples: ['review', 'review --by pen,tray', 'review --by all --md > review.md'],
  define(command) {
    command
      .option('--by <cuts>', `tables by ${words.join(', ')} (several with commas), or all`)
      .option('--md', 'in Markdown')
      .option('--numbers', 'with the tests behind what stands out');
  },
  async run(context, _words, options) {
    const { folder, season, now, notices } = await openSeason(context);
    const by = cutsOf(options.by);
    const before = await earlierSeasons(folder, season);
    const review = reviewOf(season, before.seasons);
    const stderr = `${notices}${before.notices}`;
    if (context.json) return { stdout: jsonText('review', reviewJson(review)), stderr };
    const head = {
      place: season.values.place.name,
      season: String(season.values.season),
      day: now.day,
    };
    const wishes = {
      by,
      ascii: context.ascii,
      numbers: options.numbers === true,
      units: season.values.units,
    };
    const text =
      options.md === true
        ? reviewMarkdown(review, head, wishes)
        : reviewText(review, head, (one) => table(one, context), context.width, wishes);
    return { stdout: linesForTerminal(text), stderr };
  },
};
