import { eggsFor, layingPens } from '../../judge/rates/eggs-for.ts';
import { farmRates } from '../../judge/rates/rates.ts';
import { Worlds } from '../../judge/rates/worlds.ts';
import type { Season } from '../../season/model.ts';
import type { Day } from '../../text/day.ts';
import { Forecast } from '../forecast.ts';
import type { Suggestion } from './turn.ts';

/** Possible seasons drawn: a chance of 90 % is good to a point, enough for a number of eggs. */
const DRAWS = 2000;
const SEED = 1;

/**
 * Goals whose day is past and that were missed: how many eggs they would have wanted by this
 * farm's own rates, set against how many were set.
 */
export function goalSuggestions(
  season: Season,
  earlier: readonly Season[],
  today: Day,
): Suggestion[] {
  if (!season.values.goals.some((goal) => goal.by < today)) return [];
  const worlds = new Worlds(season, today, farmRates(season, earlier, today), DRAWS, SEED);
  const forecast = new Forecast(worlds);
  return forecast.claims.flatMap((goal, i): Suggestion[] => {
    if (goal.by >= today || layingPens(worlds, goal.line).length === 0) return [];
    const got = forecast.birdsOf([], [i])[0]!.quantile(0.5);
    const own = [...season.sets.values()]
      .map((set) =>
        set.shares.reduce((s, share) => (share.pen.line === goal.line ? s + share.eggs : s), 0),
      )
      .filter((eggs) => eggs > 0);
    if (got >= goal.count || own.length === 0) return [];
    const set = own.reduce((s, eggs) => s + eggs, 0);
    const need = eggsFor(worlds, goal.line, goal, own.length);
    const wanted = `${goal.count} ${goal.line.name} ${goal.want} were wanted by ${goal.by} and ${got} came of it`;
    const sure = `in ${Math.round(100 * goal.confidence)} years of 100`;
    const backed = `${DRAWS} seasons drawn from this farm's rates (as eggs-for)`;
    const more = need.eggs - set;
    if (more > 0) {
      const sets = Math.ceil(more / (set / own.length));
      return [
        {
          code: 'more-eggs',
          says: `${sets} more ${sets === 1 ? 'set' : 'sets'} of ${goal.line.name}: about ${more} eggs.`,
          because: `${wanted}; ${set} eggs were set, and ${need.eggs} would be enough ${sure}`,
          backed,
        },
      ];
    }
    return [
      {
        code: 'keep-more',
        says: `Keep more ${goal.want} of ${goal.line.name} back; the eggs set were enough.`,
        because: `${wanted}, though ${need.eggs} eggs would have been enough ${sure} and ${set} were set: birds died, were sold or eaten, or were not written down`,
        backed,
      },
    ];
  });
}
