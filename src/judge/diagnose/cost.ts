import { openPlan } from '../../facts/hatch-time.ts';
import type { Season } from '../../season/model.ts';
import { type Book, type BookPlace, malesOf, malesOn } from '../model/book.ts';
import type { Cause, Finding } from './finding.ts';

/** Causes that lose no chick by themselves. */
const harmless: readonly Cause[] = ['gauge-wrong', 'drawn-out'];
/** Sound chicks of eggs set that a farm's own few sets are weighed against: rate, and in eggs. */
const USUAL = { rate: 0.65, eggs: 40 } as const;

/**
 * Chicks lost so far: what the eggs hit would have given at the rate of the others, less what they
 * gave; and to come, with the eggs still in the machines and those planned, if it goes on. Money where
 * chicks were sold this season, at their mean price.
 */
export function costOf(
  season: Season,
  cause: Cause,
  isHit: (where: BookPlace) => boolean,
  book: Book,
): Finding['cost'] {
  if (harmless.includes(cause)) return { chicks: null, to_come: null, money: null };
  let hitEggs = 0;
  let hitChicks = 0;
  let eggs: number = USUAL.eggs;
  let chicks: number = USUAL.eggs * USUAL.rate;
  let open = 0;
  const order = new Map(book.sets.map((set, i) => [set.name, i]));
  for (const set of season.sets.values())
    for (const share of set.shares) {
      const setters = [...new Set(share.trays.map((tray) => tray.setter))];
      const trays = [...new Set(share.trays.map((tray) => `${tray.setter} ${tray.tray}`))];
      const hit = isHit({
        set: order.get(set.name)!,
        name: set.name,
        species: share.pen.line.speciesName,
        like: share.pen.line.likeSpecies,
        line: share.pen.line.name,
        pen: share.pen.name,
        males: malesOf(season, share)?.key ?? null,
        setter: setters.length === 1 ? setters[0]! : null,
        hatcher: share.hatcher,
        tray: trays.length === 1 ? trays[0]! : null,
        stored: share.drawn.some((one) => one.age > 7) ? 1 : 0,
      });
      if (share.stage !== 'finished' || share.tally.hatched === null) {
        if (hit) open += share.eggs;
        continue;
      }
      const sound = share.tally.hatched - share.tally.weak;
      if (hit) {
        hitEggs += share.eggs;
        hitChicks += sound;
      } else {
        eggs += share.eggs;
        chicks += sound;
      }
    }
  if (hitEggs === 0) return { chicks: null, to_come: null, money: null };
  const usual = chicks / eggs;
  const lost = Math.max(0, hitEggs * usual - hitChicks);
  const planned = openPlan(season).flatMap((set) => set.shares.map((share) => ({ set, share })));
  for (const { set, share } of planned)
    if (
      cause !== 'set-lost' &&
      cause !== 'power-cut' &&
      isHit({
        set: book.sets.length,
        name: set.name,
        species: share.pen.line.speciesName,
        like: share.pen.line.likeSpecies,
        line: share.pen.line.name,
        pen: share.pen.name,
        males: malesOn(season, share.pen, [set.on])?.key ?? null,
        setter: set.setter,
        hatcher: set.hatcher,
        tray: set.trays.length === 1 ? `${set.setter} ${set.trays[0]}` : null,
        stored: 0,
      })
    )
      open += share.eggs;
  const sales = season.rows.leaving.filter(
    (row) => row.values.way === 'sold' && (row.values.money ?? 0) > 0 && row.values.birds > 0,
  );
  const birds = sales.reduce((sum, row) => sum + row.values.birds, 0);
  const price = birds > 0 ? sales.reduce((sum, row) => sum + row.values.money!, 0) / birds : null;
  const toCome = (open * lost) / hitEggs;
  return {
    chicks: Math.round(lost),
    to_come: Math.round(toCome),
    money: price === null ? null : Math.round(price * (lost + toCome)),
  };
}
