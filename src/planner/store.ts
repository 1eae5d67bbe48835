/** Eggs in store as planned sets draw them, by the rule of `facts/egg-store`. */
import { type HeldEggs, takeFreshest } from '../facts/egg-store.ts';

/** Eggs of one pool that a set wants on a day. */
export interface Demand {
  set: string;
  day: number;
  pool: number;
  eggs: number;
}

/** What demands get, in their order: eggs by age, freshest first. */
export interface DrawnEggs {
  eggs: number;
  ages: readonly { age: number; eggs: number }[];
}

/** Draws demands in order of day; those of one day in the order given. */
export function taken(
  pools: readonly { readonly lots: readonly number[]; readonly maxAge: number }[],
  demands: readonly Demand[],
): { drawn: DrawnEggs[]; left: number[][] } {
  const store = pools.map(({ lots, maxAge }) =>
    lots.map((eggs, at): HeldEggs => ({ laid: at - maxAge, left: eggs })),
  );
  const drawn: DrawnEggs[] = new Array(demands.length);
  const order = demands
    .map((one, i) => ({ one, i }))
    .sort((a, b) => a.one.day - b.one.day || a.i - b.i);
  for (const { one, i } of order) {
    const { maxAge } = pools[one.pool]!;
    // One lot a day: what is young enough is a slice.
    const young = store[one.pool]!.slice(Math.max(0, one.day), one.day + maxAge + 1);
    const { taken: ages, missing } = takeFreshest(young, { on: one.day, eggs: one.eggs, maxAge });
    drawn[i] = { eggs: one.eggs - missing, ages };
  }
  return { drawn, left: store.map((lots) => lots.map(({ left }) => left)) };
}
