import { resolve } from 'node:path';
import { readSeasonFolder } from '../io/season-folder.ts';
import type { Season } from '../season/model.ts';

/** The seasons named under `previous:`; what cannot be read is told, not passed over. */
export function earlierSeasons(
  folder: string,
  season: Season,
): { seasons: Season[]; notices: string } {
  const seasons: Season[] = [];
  let notices = '';
  for (const path of season.values.previous) {
    const read = readSeasonFolder(resolve(folder, path));
    if (read.season === null)
      notices += `${path}: this earlier season cannot be read and was left out: traybook --season ${path} check\n`;
    else seasons.push(read.season);
  }
  return { seasons, notices };
}
