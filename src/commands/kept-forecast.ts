/**
 * What the last forecast said of goals and orders, for the headline of `today`: to draw the seasons
 * anew would cost a morning many times its own time.
 */
import { type Claim, claimsOf } from '../facts/claims.ts';
import { keepPrivately, readPrivate } from '../io/private-folder.ts';
import { SEASON_FILE } from '../io/season-folder.ts';
import type { KeptForecast, OnCourse } from '../tables/today.ts';
import { checksum } from '../text/checksum.ts';
import { addDays, parseDay } from '../text/day.ts';
import type { Context } from './command.ts';
import type { OpenedSeason } from './open.ts';

const FILE = 'forecast.json';

/** Older than this a forecast says little of a season: a set is set, and another candled, each week. */
const KEPT_DAYS = 14;

/**
 * Keeps how many goals and orders are on course by a forecast of this moment; those whose day is past
 * are told elsewhere. A forecast of a past morning leaves that of a later one. A folder that nobody
 * may write to goes without.
 *
 * @param fileText what season.yaml holds, if not what was read
 */
export function keepForecast(
  { instant }: Pick<Context, 'instant'>,
  { folder, read, season, now }: OpenedSeason,
  { claims }: { readonly claims: readonly { readonly claim: Claim; readonly met: boolean }[] },
  fileText = read.sources.get(SEASON_FILE)!.text,
): void {
  const { at } = readPrivate(folder, FILE);
  if (typeof at === 'number' && at > now.instant && at <= instant) return;
  const open = (kind: Claim['kind'], all: readonly Claim[]): number =>
    all.filter((one) => one.kind === kind && one.by >= now.day).length;
  const met = claims.filter((one) => one.met).map(({ claim }) => claim);
  // Goals that a plan leaves out, as out of reach, count among all.
  const course = (kind: Claim['kind']): OnCourse => ({
    met: open(kind, met),
    of: open(kind, claimsOf(season)),
  });
  const kept = {
    at: now.instant,
    on: now.day,
    season_file: checksum(fileText),
    goal: course('goal'),
    order: course('order'),
  };
  keepPrivately(folder, FILE, `${JSON.stringify(kept)}\n`);
}

/** What was kept of the same season file, up to this moment and not too long ago, or null. */
export function keptForecast({ folder, read, now }: OpenedSeason): KeptForecast | null {
  const { at, on: written, season_file, goal, order } = readPrivate(folder, FILE);
  const on = parseDay(String(written));
  if (
    typeof at !== 'number' ||
    on === null ||
    at > now.instant ||
    addDays(on, KEPT_DAYS) < now.day ||
    season_file !== checksum(read.sources.get(SEASON_FILE)!.text) ||
    !isOnCourse(goal) ||
    !isOnCourse(order) ||
    goal.of + order.of === 0
  )
    return null;
  return { on, goal: { met: goal.met, of: goal.of }, order: { met: order.met, of: order.of } };
}

function isOnCourse(value: unknown): value is OnCourse {
  const { met, of } = (value ?? {}) as OnCourse;
  return Number.isSafeInteger(met) && Number.isSafeInteger(of) && 0 <= met && met <= of;
}
