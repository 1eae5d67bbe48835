import type { Now, Season } from '../season/model.ts';
import { longDay } from '../tables/numbers.ts';
import { type Paper, type Screen, screenText } from '../tables/terminal.ts';
import { type CommandOutcome, type Context, exitCodes } from './command.ts';
import type { OpenedSeason } from './open.ts';
import { jsonText } from './say.ts';

/** What this run writes on: the terminal or pipe it has, in the units of its season. */
export function paperOf({ width, fits, ascii, full, paint }: Context, season: Season): Paper {
  return { width, fits, ascii, full, paint, units: season.values.units };
}

/** The first line of a screen: where, which season, which day. */
export function titleOf(season: Season, now: Now): string {
  return `${season.values.place.name}, season ${season.values.season}, ${longDay(now.day)}`;
}

/** What a command has to say of a season, made in the one form that is asked for. */
type Answer = {
  /** The name of the document in JSON. */
  readonly name: string;
  json(): object;
  screen(title: string, paper: Paper): Screen | string;
  readonly exit?: number | undefined;
};

/** The answer to this run: JSON for other programs, else its screen, or a text that is written already. */
export function answerOf(
  context: Context,
  { season, now, notices }: Pick<OpenedSeason, 'season' | 'now' | 'notices'>,
  { name, json, screen, exit = exitCodes.done }: Answer,
): CommandOutcome {
  if (context.json) return { stdout: jsonText(name, json()), stderr: notices, exit };
  const paper = paperOf(context, season);
  const shown = screen(titleOf(season, now), paper);
  const stdout = typeof shown === 'string' ? shown : screenText(shown, paper);
  return { stdout, stderr: notices, exit };
}
