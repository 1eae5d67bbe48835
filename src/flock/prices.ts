import { growing } from '../season/brooding.ts';
import type { Season } from '../season/model.ts';

/** What one unit costs, and where that stands. */
export type Price = { readonly each: number; readonly from: 'money.csv' | 'season.yaml' };

/** Categories of money.csv that are reckoned by quantity and price, not as bought. */
export const RECKONED: readonly string[] = ['feed', 'power'];

function bought(
  season: Season,
  category: string,
  unit: (unit: string) => number | null,
): Price | null {
  let amount = 0;
  let quantity = 0;
  for (const row of season.rows.money) {
    if (row.values.category.trim().toLowerCase() !== category || row.values.amount <= 0) continue;
    const size = unit(row.values.unit.trim().toLowerCase());
    if (size === null || row.values.quantity === null || row.values.quantity === 0) continue;
    amount += row.values.amount;
    quantity += row.values.quantity * size;
  }
  return quantity > 0 ? { each: amount / quantity, from: 'money.csv' } : null;
}

/** Price of a kilogram of feed: as bought, else as season.yaml says for the stage or for all. */
export function feedPrice(season: Season, stage: string): Price | null {
  const { prices, feed } = season.values;
  const own = (prices as Record<string, number | undefined>)[`${stage}_kg`] ?? prices.feed_kg;
  const bag = feed.bag_kg ?? growing.bagKg.value;
  const paid = bought(season, 'feed', (unit) =>
    unit === 'kg' ? 1 : unit === 'bag' || unit === 'bags' ? bag : null,
  );
  return paid ?? (own === undefined ? null : { each: own, from: 'season.yaml' });
}

/** Price of a kilowatt hour: as bought, else as season.yaml says. */
export function powerPrice(season: Season): Price | null {
  const own = season.values.prices.kwh;
  return (
    bought(season, 'power', (unit) => (unit === 'kwh' ? 1 : null)) ??
    (own === undefined ? null : { each: own, from: 'season.yaml' })
  );
}
