/** How many more birds of a line can be promised without taking from what is promised already. */
import { type Claim, claimsOf } from '../facts/claims.ts';
import type { Worlds } from '../judge/rates/worlds.ts';
import type { Line } from '../season/model.ts';
import type { Day } from '../text/day.ts';
import { Forecast, linesToCome, plannedShares } from './forecast.ts';

export interface Promised {
  line: string;
  want: 'chicks';
  by: Day;
  /** The most chicks that come with the chance asked, and leave every goal and order its own. */
  count: number;
}

/** A claim that was met stays so; one that was not loses no more than this. */
const POINT = 0.01;

/** The most chicks of each line that can be promised by a day with so much chance, sold as they hatch. */
export function promisedChicks(worlds: Worlds, chance: number, by: Day): Promised[] {
  const { season, today } = worlds;
  const claims = claimsOf(season);
  const planned = plannedShares(linesToCome(season, today));
  const before = new Forecast(worlds, claims)
    .birdsOf(planned)
    .map((birds, i) => birds.chance(claims[i]!.count).chance);
  return [...season.lines.values()].map((line): Promised => {
    const holds = (count: number): boolean => {
      const all = [...claims, promiseOf(line, count, chance, { from: today, by })];
      const birds = new Forecast(worlds, all).birdsOf(planned);
      return birds.every((one, i) => {
        const probability = one.chance(all[i]!.count).chance;
        if (i === claims.length) return probability >= chance;
        const { confidence, line: own } = claims[i]!;
        return own !== line || probability >= Math.min(confidence, before[i]! - POINT);
      });
    };
    let low = 0;
    let high = 1;
    while (holds(high)) {
      low = high;
      high *= 2;
    }
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (holds(middle)) low = middle;
      else high = middle;
    }
    return { line: line.name, want: 'chicks', by, count: low };
  });
}

/** Chicks sold as they hatch: none that has hatched before. */
function promiseOf(
  line: Line,
  count: number,
  confidence: number,
  days: { from: Day; by: Day },
): Claim {
  return {
    index: -1,
    kind: 'order',
    for: 'what is promised now',
    fate: 'sold',
    line,
    want: 'chicks',
    at: 'hatch',
    ...days,
    count,
    confidence,
    ageDays: 0,
    place: { file: 'season.yaml', line: Number.MAX_SAFE_INTEGER, column: 1 },
  };
}
