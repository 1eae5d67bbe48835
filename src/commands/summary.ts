import { birdSummary } from '../facts/birds/summary.ts';
import { diagnose } from '../judge/diagnose/diagnose.ts';
import { reviewOf } from '../judge/review/review.ts';
import { seenOf } from '../judge/seen.ts';
import { summaryOf } from '../judge/summary/way.ts';
import { yearTurn } from '../planner/year/turn.ts';
import { markdownScreen } from '../tables/markdown.ts';
import {
  summaryAnswer,
  summaryCaution,
  summaryExceptions,
  summaryJson,
  summaryParts,
} from '../tables/summary.ts';
import { turnParts } from '../tables/year.ts';
import { type CommandModule, onlyOne } from './command.ts';
import { openSeasons } from './earlier-seasons.ts';
import { keepForecast } from './kept-forecast.ts';
import { answerOf } from './tables.ts';

declare const TRAYBOOK_VERSION: string;

export const command: CommandModule = {
  examples: [
    'summary',
    'summary --pictures',
    'summary --md > season.md',
    'summary --html > season.html',
  ],
  define(command) {
    command
      .option('--pictures', 'with pictures drawn in characters, for a terminal')
      .option('--md', 'in Markdown')
      .option('--html', 'one page with pictures, complete in itself: opens offline, prints');
  },
  async run(context, _words, options) {
    onlyOne(options, 'html', 'md', 'pictures');
    const opened = await openSeasons(context);
    const { season, earlier, now, notices } = opened;
    const progress = context.progress('summing up');
    const seen = seenOf(season);
    const summary = summaryOf(season, seen);
    const birds = birdSummary(season, now);
    progress.tell('what went wrong');
    const known = {
      review: reviewOf(season, earlier, seen),
      findings: diagnose(season, earlier, seen),
    };
    progress.tell('what to change');
    // The simulation is loaded only where a goal's day is past.
    const goals = season.values.goals.some((goal) => goal.by < now.day)
      ? (await import('../planner/year/goals.ts')).goalSuggestions(season, earlier, now.day)
      : [];
    const turn = yearTurn(season, earlier, known, goals);
    if (options.html !== true) progress.end();
    if (options.html === true && !context.json) {
      const { pageMatter } = await import('./season-page.ts');
      const { seasonPage } = await import('../tables/html/season-page.ts');
      progress.tell('the forecast');
      const matter = pageMatter(season, earlier, now, (forecast) =>
        keepForecast(context, opened, forecast),
      );
      progress.end();
      const version = TRAYBOOK_VERSION;
      const page = { ...matter, season, summary, birds, turn, ...known, now, version };
      return { stdout: seasonPage(page), stderr: notices };
    }
    const pictures =
      options.pictures === true
        ? (await import('../tables/pictures.ts')).summaryPictures(summary)
        : [];
    return answerOf(context, opened, {
      name: 'summary',
      json: () => ({
        season: String(season.values.season),
        ...summaryJson(summary, birds),
        birds,
        year: turn,
      }),
      screen: (title, { units }) => {
        const screen = {
          title,
          answer: summaryAnswer(summary, birds),
          exceptions: summaryExceptions(summary, known.findings, birds),
          parts: [
            ...summaryParts(summary, birds),
            ...turnParts(turn, String(season.values.season)),
            ...pictures,
          ],
          notes: [summaryCaution],
        };
        return options.md === true ? markdownScreen(screen, units) : screen;
      },
    });
  },
};
