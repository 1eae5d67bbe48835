import { join, resolve } from 'node:path';
import { effectiveRows } from '../records/effective.ts';
import { kindOf, type Rows } from '../records/index.ts';
import { readLog } from '../records/read.ts';
import type { Season, WeatherDay } from '../season/model.ts';
import type { SeasonFileRead } from '../season/read-file.ts';
import { readPlainUnits } from '../season/read-plain-file.ts';
import { weatherIn } from '../season/weather.ts';
import type { Fault } from '../text/fault.ts';
import type { Source } from '../text/source.ts';

/** How the files of other folders are read. */
export type Reading = {
  readonly text: (path: string) => Source | Fault;
  readonly seasonFile: (source: Source) => Promise<SeasonFileRead>;
};

/**
 * The weather of the seasons named under `previous:`, °C: past nights tell what nights to expect.
 * Two files of each folder are read, and only where birds are brooded; the rows only when somebody
 * asks. A folder that cannot be read gives none here; the commands that draw figures from it tell why.
 */
export async function earlierWeather(
  folder: string,
  season: Season,
  read: Reading,
): Promise<() => WeatherDay[]> {
  if (season.brooders.size === 0 || season.rows.group.length === 0) return () => [];
  const kind = kindOf('weather');
  const logs: { readonly log: Source; readonly unit: 'C' | 'F' }[] = [];
  for (const path of season.values.previous) {
    const other = resolve(folder, path);
    const log = read.text(join(other, 'log', kind.file));
    // The file is read for the unit of the temperatures only: without any, it need not be.
    if ('code' in log || !hasRows(log)) continue;
    const yaml = read.text(join(other, 'season.yaml'));
    if ('code' in yaml) continue;
    const units = readPlainUnits(yaml) ?? (await read.seasonFile(yaml)).file?.values.units;
    if (units !== undefined) logs.push({ log, unit: units.temperature });
  }
  return () =>
    logs.flatMap(({ log, unit }) =>
      weatherIn(effectiveRows(readLog(kind, log).rows).rows as Rows['weather'], unit),
    );
}

/** True if a log holds more than its header. */
function hasRows({ text }: Source): boolean {
  return text.indexOf('\n') < text.length - 1;
}
