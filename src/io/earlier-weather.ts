import { join, resolve } from 'node:path';
import { effectiveRows } from '../records/effective.ts';
import { kindOf, type Rows } from '../records/index.ts';
import { readLog } from '../records/read.ts';
import type { Season, WeatherDay } from '../season/model.ts';
import { readSeasonFile } from '../season/read-file.ts';
import { weatherIn } from '../season/weather.ts';
import type { Fault } from '../text/fault.ts';
import type { Source } from '../text/source.ts';

/**
 * The weather of the seasons named under `previous:`, °C: past nights tell what nights to expect.
 * Two files of each folder are read, and only where birds are brooded. A folder that cannot be read
 * gives none here; the commands that draw figures from it tell why.
 */
export function earlierWeather(
  folder: string,
  season: Season,
  read: (path: string) => Source | Fault,
): WeatherDay[] {
  if (season.brooders.size === 0 || season.rows.group.length === 0) return [];
  return season.values.previous.flatMap((path) => {
    const other = resolve(folder, path);
    const kind = kindOf('weather');
    const log = read(join(other, 'log', kind.file));
    if ('code' in log) return [];
    const { rows } = effectiveRows(readLog(kind, log).rows);
    // The file is read for the unit of the temperatures only: without any, it need not be.
    if (rows.length === 0) return [];
    const yaml = read(join(other, 'season.yaml'));
    if ('code' in yaml) return [];
    const unit = readSeasonFile(yaml).file?.values.units.temperature;
    return unit === undefined ? [] : weatherIn(rows as Rows['weather'], unit);
  });
}
