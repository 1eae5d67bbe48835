import { relative, resolve } from 'node:path';
import { readSeasonFolder } from '../io/season-folder.ts';
import type { Season } from '../season/model.ts';
import type { Context } from './command.ts';
import { type OpenedSeason, openSeason } from './open.ts';

/** Seasons followed back through `previous:`. */
const MOST_SEASONS = 30;

/**
 * The seasons before one, oldest first: those named under `previous:`, and those named in them. A
 * season met twice counts once. What cannot be read is told, not passed over.
 */
export async function earlierSeasons(
  folder: string,
  season: Season,
): Promise<{ seasons: Season[]; notices: string }> {
  const seasons: Season[] = [];
  const seen = new Set([folder]);
  let notices = '';
  const follow = async (from: string, values: Season['values']) => {
    for (const path of values.previous) {
      const there = resolve(from, path);
      if (seen.has(there) || seen.size > MOST_SEASONS) continue;
      seen.add(there);
      const read = await readSeasonFolder(there);
      if (read.season === null) {
        const shown = relative(folder, there).replaceAll('\\', '/');
        notices += `${shown}: this earlier season cannot be read and was left out: traybook --season ${shown} check\n`;
        continue;
      }
      await follow(there, read.season.values);
      seasons.push(read.season);
    }
  };
  await follow(folder, season.values);
  return { seasons, notices };
}

/** A season with those before it, oldest first; its notices tell of them too. */
export type SeasonsOpened = OpenedSeason & { readonly earlier: readonly Season[] };

/** The season of this run with those before it. */
export async function openSeasons(context: Context): Promise<SeasonsOpened> {
  const opened = await openSeason(context);
  const { seasons, notices } = await earlierSeasons(opened.folder, opened.season);
  return { ...opened, earlier: seasons, notices: opened.notices + notices };
}
