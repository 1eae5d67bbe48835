/** What each claim may expect of a plan, by simulation: the same worlds for every plan tried. */

import type { FarmRates } from '../judge/rates/rates.ts';
import { type PlannedShare, Worlds } from '../judge/rates/worlds.ts';
import type { Season } from '../season/model.ts';
import type { Day } from '../text/day.ts';
import { Forecast, linesToCome, plannedShares } from './forecast.ts';
import type { ClaimOutlook, Outlook } from './tried.ts';

/** Simulated seasons of `plan` and `forecast`: the same, so that what one promises the other gives. */
export const USUAL_DRAWS = 4000;

/** The outlook of a season's claims over so many worlds; `season` holds the plan lines that are kept. */
export function simulatedOutlook(
  season: Season,
  today: Day,
  rates: FarmRates,
  draws: number,
  seed: number,
): Outlook {
  const forecast = new Forecast(new Worlds(season, today, rates, draws, seed));
  const kept = plannedShares(linesToCome(season, today));
  const claims: (...of: Parameters<Outlook>) => ClaimOutlook[] = (shares, wanted, count) =>
    forecast.birdsOf([...kept, ...shares], wanted).map((birds, i) => {
      const { chance, error } = birds.chance(count ?? forecast.claims[wanted[i]!]!.count);
      return { expected: birds.expected, sd: birds.sd, probability: chance, error };
    });
  return Object.assign(claims, {
    draws,
    chicksOf: (shares: readonly PlannedShare[]) => forecast.soundChicks([...kept, ...shares]),
  });
}
