import type { Now, Season } from '../season/model.ts';
import { longDay, metric, type Units } from '../tables/numbers.ts';
import { unpainted } from '../tables/paint.ts';
import { type Table, textsOfCells } from '../tables/table.ts';
import { type Paper, textsText } from '../tables/terminal.ts';
import type { Context } from './command.ts';

/** What this run writes on: the terminal or pipe it has, in the units of its season. */
export function paperOf(context: Context, season: Season): Paper {
  return paper(context, season.values.units);
}

/** The first line of a screen: where, which season, which day. */
export function titleOf(season: Season, now: Now): string {
  return `${season.values.place.name}, season ${season.values.season}, ${longDay(now.day)}`;
}

function paper({ width, fits, ascii, full, paint }: Context, units: Units): Paper {
  return { width, fits, ascii, full, paint, units };
}

/** A table of the older kind as this run wants it, without colour: its commands strip that. */
export function table(one: Table, context: Context): string {
  return textsText(textsOfCells(one), { ...paper(context, metric), paint: unpainted });
}
