/** `--suppose PATH=VALUE`: the season as it would be if its file said otherwise. Nothing is written. */
import { parse } from 'yaml';
import { buildSeason } from '../facts/fold.ts';
import { SEASON_FILE } from '../io/season-folder.ts';
import type { Season } from '../season/model.ts';
import { readSeasonFile } from '../season/read-file.ts';
import { quoted } from '../text/fault.ts';
import { didYouMean } from '../text/nearest.ts';
import { setIn, type YamlValue } from '../text/yaml-edit.ts';
import { exitCodes, Stop, unexpected, wrongWords } from './command.ts';
import type { OpenedSeason } from './open.ts';
import { faultLines } from './say.ts';

/** Collects a repeated `--suppose`. */
export const eachSuppose = (text: string, before: readonly string[]): string[] => [...before, text];

/** Parts of season.yaml whose keys are names: a change of one says a name that is there. */
const NAMED = ['lines', 'pens', 'setters', 'hatchers', 'brooders'] as const;

/** @throws Stop where a change is of a pen or machine that season.yaml has not */
function needsName(season: Season, path: readonly (string | number)[], change: string): void {
  const part = NAMED.find((one) => one === path[0]);
  if (part === undefined || path.length < 3) return;
  const [, name] = path.map(String);
  const known = Object.keys(season.values[part]);
  if (!known.includes(name!))
    throw wrongWords(
      `--suppose ${change}: there is no ${quoted(name!)} under ${part}:`,
      didYouMean(name!, known),
    );
}

/** @throws Stop where a change is of an item that a list of season.yaml has not */
function needsItem(season: Season, path: readonly (string | number)[], change: string): void {
  const [part, at] = path;
  const list = (season.values as Readonly<Record<string, unknown>>)[String(part)];
  if (!Array.isArray(list) || typeof at !== 'number') return;
  // A whole item may be put behind the last.
  const last = path.length === 2 ? list.length : list.length - 1;
  if (at <= last) return;
  throw wrongWords(
    `--suppose ${change}: there is no item ${at} under ${part}:`,
    list.length === 0 ? `${part}: has none` : `counted from 0, the last is ${list.length - 1}`,
  );
}

/**
 * The season with changes such as `pens.north.hens=14` or `goals.0.count=50`; null where none is supposed.
 *
 * @throws Stop where a change cannot be read, or the season would be faulty with it
 */
export function supposedSeason(
  { read, season }: OpenedSeason,
  changes: readonly string[],
): Season | null {
  if (changes.length === 0) return null;
  let { text } = read.sources.get(SEASON_FILE)!;
  for (const change of changes) {
    const at = change.indexOf('=');
    if (at < 1) throw unexpected('--suppose', 'PATH=VALUE such as pens.north.hens=14', change);
    const path = change
      .slice(0, at)
      .split('.')
      .map((word) => (/^\d+$/.test(word) ? Number(word) : word));
    needsName(season, path, change);
    needsItem(season, path, change);
    try {
      text = setIn(text, path, parse(change.slice(at + 1)) as YamlValue);
    } catch (error) {
      throw wrongWords(
        `--suppose ${change}: ${(error as Error).message}`,
        'the path is that of season.yaml, parts of a list counted from 0: goals.0.count=50',
      );
    }
  }
  const { file, faults } = readSeasonFile({ path: SEASON_FILE, text });
  const errors = faults.filter(({ severity }) => severity === 'error');
  if (file === null || errors.length > 0)
    throw new Stop(exitCodes.words, `--suppose:\n${faultLines(faults).trimEnd()}`);
  return buildSeason(file, season.rows).season;
}
