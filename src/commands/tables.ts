import type { Now, Season } from '../season/model.ts';
import { longDay } from '../tables/numbers.ts';
import type { Paper } from '../tables/terminal.ts';
import type { Context } from './command.ts';

/** What this run writes on: the terminal or pipe it has, in the units of its season. */
export function paperOf({ width, fits, ascii, full, paint }: Context, season: Season): Paper {
  return { width, fits, ascii, full, paint, units: season.values.units };
}

/** The first line of a screen: where, which season, which day. */
export function titleOf(season: Season, now: Now): string {
  return `${season.values.place.name}, season ${season.values.season}, ${longDay(now.day)}`;
}
