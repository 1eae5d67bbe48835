import { addDays, type Day, daysBetween } from '../text/day.ts';
import type { Drawn, Lot } from './model.ts';

export type Kept = { readonly pen: string; readonly laid: Day; readonly kept: number };
export type Draw = {
  readonly pen: string;
  readonly on: Day;
  readonly eggs: number;
  readonly from: Day | null;
  readonly to: Day | null;
  readonly maxDays: number;
};
export type Stock = {
  readonly lots: readonly Lot[];
  readonly draws: readonly { readonly drawn: readonly Drawn[]; readonly missing: number }[];
};

type Held = { readonly laid: Day; kept: number; left: number };

/**
 * Takes eggs out of storage in the order given: the oldest first among those the draw allows
 * (`from` to `to`, else everything laid up to the day). Eggs past `maxDays` were most likely eaten
 * or sold without a row saying so: they are drawn only when the younger ones do not suffice.
 */
export function drawStock(kept: readonly Kept[], draws: readonly Draw[]): Stock {
  const lotsOf = new Map<string, Map<Day, Held>>();
  for (const one of kept) {
    const lots = lotsOf.get(one.pen) ?? new Map();
    lotsOf.set(one.pen, lots);
    const same = lots.get(one.laid);
    if (same) {
      same.kept += one.kept;
      same.left += one.kept;
    } else lots.set(one.laid, { laid: one.laid, kept: one.kept, left: one.kept });
  }
  const byPen = new Map(
    [...lotsOf].map(([pen, lots]) => [
      pen,
      [...lots.values()].sort((a, b) => (a.laid < b.laid ? -1 : 1)),
    ]),
  );

  const results = draws.map((draw) => {
    const drawn: Drawn[] = [];
    let wanted = draw.eggs;
    const oldest = addDays(draw.on, -draw.maxDays);
    const fresh: Held[] = [];
    const overdue: Held[] = [];
    for (const lot of byPen.get(draw.pen) ?? []) {
      if (lot.left === 0) continue;
      if (lot.laid > draw.on) break;
      if (draw.from !== null && lot.laid < draw.from) continue;
      if (draw.to !== null && lot.laid > draw.to) break;
      if (lot.laid >= oldest) fresh.push(lot);
      else overdue.push(lot);
    }
    // The least old of the overdue eggs are the likeliest to be meant.
    for (const lot of [...fresh, ...overdue.reverse()]) {
      if (wanted === 0) break;
      const eggs = Math.min(lot.left, wanted);
      lot.left -= eggs;
      wanted -= eggs;
      drawn.push({ laid: lot.laid, age: daysBetween(lot.laid, draw.on), eggs });
    }
    drawn.sort((a, b) => b.age - a.age);
    return { drawn, missing: wanted };
  });
  const lots = [...byPen].flatMap(([pen, all]) =>
    all.map(({ laid, kept, left }) => ({ pen, laid, kept, left })),
  );
  lots.sort((a, b) => (a.laid === b.laid ? (a.pen < b.pen ? -1 : 1) : a.laid < b.laid ? -1 : 1));
  return { lots, draws: results };
}
