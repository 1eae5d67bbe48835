import { birdSummary } from '../facts/birds/summary.ts';
import { diagnose } from '../judge/diagnose/diagnose.ts';
import { reviewOf } from '../judge/review/review.ts';
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
import { type Screen, screenText } from '../tables/terminal.ts';
import { turnParts } from '../tables/year.ts';
import type { CommandModule } from './command.ts';
import { earlierSeasons } from './earlier-seasons.ts';
import { keepForecast } from './kept-forecast.ts';
import { openSeason } from './open.ts';
import { jsonText } from './say.ts';
import { paperOf, titleOf } from './tables.ts';

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
      .option('--pictures', 'with pictures of letters, for a terminal or a console')
      .option('--md', 'in Markdown')
      .option('--html', 'one page with pictures, complete in itself: opens offline, prints');
  },
  async run(context, _words, options) {
    const opened = await openSeason(context);
    const { folder, season, now, notices: own } = opened;
    const progress = context.progress('summing up');
    const summary = summaryOf(season);
    const birds = birdSummary(season, now);
    const before = await earlierSeasons(folder, season);
    progress.tell('what went wrong');
    const known = {
      review: reviewOf(season, before.seasons),
      findings: diagnose(season, before.seasons),
    };
    progress.tell('what to change');
    // The simulation is loaded only where a goal's day is past.
    const goals = season.values.goals.some((goal) => goal.by < now.day)
      ? (await import('../planner/year/goals.ts')).goalSuggestions(season, before.seasons, now.day)
      : [];
    const turn = yearTurn(season, before.seasons, known, goals);
    const notices = `${own}${before.notices}`;
    if (options.html !== true) progress.end();
    if (context.json)
      return {
        stdout: jsonText('summary', {
          season: String(season.values.season),
          ...summaryJson(summary, birds),
          birds,
          year: turn,
        }),
        stderr: notices,
      };
    if (options.html === true) {
      const { pageMatter } = await import('./season-page.ts');
      const { seasonPage } = await import('../tables/html/season-page.ts');
      progress.tell('the forecast');
      const matter = pageMatter(season, before.seasons, now, (forecast) =>
        keepForecast(context, opened, forecast),
      );
      progress.end();
      return {
        stdout: seasonPage({
          ...matter,
          season,
          summary,
          birds,
          turn,
          ...known,
          now,
          version: TRAYBOOK_VERSION,
        }),
        stderr: notices,
      };
    }
    const pictures =
      options.pictures === true
        ? (await import('../tables/pictures.ts')).summaryPictures(summary)
        : [];
    const screen: Screen = {
      title: titleOf(season, now),
      answer: summaryAnswer(summary, birds),
      exceptions: summaryExceptions(summary, known.findings),
      parts: [
        ...summaryParts(summary, birds),
        ...turnParts(turn, String(season.values.season)),
        ...pictures,
      ],
      notes: [summaryCaution],
    };
    const paper = paperOf(context, season);
    return {
      stdout: options.md === true ? markdownScreen(screen, paper.units) : screenText(screen, paper),
      stderr: notices,
    };
  },
};
