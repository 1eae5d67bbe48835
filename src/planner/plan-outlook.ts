/** What each goal may expect of a plan, by simulation: the same worlds for every plan tried. */

import type { FarmRates } from '../judge/rates/rates.ts';
import { Worlds } from '../judge/rates/worlds.ts';
import type { Season } from '../season/model.ts';
import type { Day } from '../text/day.ts';
import type { Outlook } from './candidate.ts';
import { Forecast, linesToCome, plannedShares } from './forecast.ts';

/** The outlook of a season's goals over so many worlds; `season` holds the plan lines that are kept. */
export function simulatedOutlook(
  season: Season,
  today: Day,
  rates: FarmRates,
  draws: number,
  seed: number,
): Outlook {
  const forecast = new Forecast(new Worlds(season, today, rates, draws, seed));
  const kept = plannedShares(linesToCome(season, today));
  return (shares) =>
    forecast.goals.map((goal) => {
      const birds = forecast.birds(goal, [...kept, ...shares]);
      return {
        expected: birds.expected,
        sd: birds.sd,
        probability: birds.chance(goal.count).chance,
      };
    });
}
