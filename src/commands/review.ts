import { raisedFindings } from '../judge/diagnose/diagnose.ts';
import { comparisonsOf } from '../judge/review/comparisons.ts';
import { type Cut, cuts } from '../judge/review/groups.ts';
import { reviewOf } from '../judge/review/review.ts';
import { seenOf } from '../judge/seen.ts';
import { markdownScreen } from '../tables/markdown.ts';
import { reviewDocument, reviewJson, reviewScreen } from '../tables/review.ts';
import { didYouMean } from '../text/nearest.ts';
import { type CommandModule, unexpected } from './command.ts';
import { openSeasons } from './earlier-seasons.ts';
import { answerOf } from './tables.ts';

/** Cuts as words of the command line. */
const words = cuts.filter((cut) => cut !== 'season').map((cut) => cut.replace('storage ', ''));

/** The cuts asked for; null where none was. */
function cutsOf(text: unknown): readonly Cut[] | null {
  if (text === undefined) return null;
  if (text === 'all') return cuts;
  return String(text)
    .split(',')
    .map((word) => {
      const cut = cuts.find((c) => c !== 'season' && c.replace('storage ', '') === word.trim());
      if (cut === undefined)
        throw unexpected(
          '--by',
          `some of ${words.join(', ')}, or all`,
          word.trim(),
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
      .option('--numbers', 'with textbook tests, and how eggs are counted');
  },
  async run(context, _words, options) {
    const by = cutsOf(options.by);
    const opened = await openSeasons(context);
    const { season, earlier } = opened;
    const seen = seenOf(season);
    const review = reviewOf(season, earlier, seen);
    const tests =
      options.numbers === true || context.json ? comparisonsOf(season, seen.outcomes()) : null;
    return answerOf(context, opened, {
      name: 'review',
      json: () => reviewJson({ review, tests }),
      screen: (title, { units }) => {
        const reviewed = { review, raised: raisedFindings(season, earlier, seen), tests };
        return options.md === true
          ? markdownScreen(reviewDocument(reviewed, title, units, { by }), units)
          : reviewScreen(reviewed, title, units, { by });
      },
    });
  },
};
