/** What each goal may expect of a plan, by simulation: the same worlds for every plan tried. */

import type { Season } from '../../season/model.ts';
import type { Day } from '../../text/day.ts';
import { Forecast, linesToCome, plannedShares } from './forecast.ts';
import type { Outlook } from './plan.ts';
import type { FarmRates } from './rates.ts';
import { Worlds } from './worlds.ts';

/** Between these quantiles lie two standard deviations of a normal number. */
const BELOW = 0.1587;
const ABOVE = 0.8413;

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
        sd: Math.max(0.5, (birds.quantile(ABOVE) - birds.quantile(BELOW)) / 2),
        probability: birds.chance(goal.count).chance,
      };
    });
}
