import { openPlan } from '../../facts/hatch-time.ts';
import { seedPrior } from '../../facts/stages.ts';
import { total } from '../../facts/tally.ts';
import type { Season } from '../../season/model.ts';
import { type Book, type BookPlace, malesOn, placeOf } from '../model/book.ts';
import type { Cause, Finding } from './finding.ts';

/** Causes that lose no chick by themselves. */
const harmless: readonly Cause[] = ['gauge-wrong', 'drawn-out'];
/** Eggs that the usual rate of a kind weighs as much as, beside a farm's own few sets. */
const USUAL_EGGS = 40;
const fromSet = ['fertile', 'candled', 'transferred', 'hatched', 'sound'] as const;

/** Sound chicks of an egg of a kind, as the chain has it before any counts. */
const usualRate = (species: string): number =>
  fromSet.reduce((product, stage) => product * seedPrior(species, stage).mean, 1);

type KindHit = { hitEggs: number; hitChicks: number; eggs: number; chicks: number };

/**
 * Chicks lost so far: what the eggs hit would have given at the rate of the others of their kind, less
 * what they gave; and to come, of the eggs still in the machines and those planned, if it goes on.
 * Money where chicks were sold this season, at their mean price.
 */
export function costOf(
  season: Season,
  cause: Cause,
  isHit: (where: BookPlace) => boolean,
  book: Book,
): Finding['cost'] {
  if (harmless.includes(cause)) return { chicks: null, to_come: null, money: null };
  const kinds = new Map<string, KindHit>();
  let open = 0;
  const order = new Map(book.sets.map((set, i) => [set.name, i]));
  for (const set of season.sets.values())
    for (const share of set.shares) {
      const stored = share.drawn.some((one) => one.age > 7) ? 1 : 0;
      const hit = isHit(placeOf(season, share, order.get(set.name)!, stored));
      if (share.stage !== 'finished' || share.tally.hatched === null) {
        if (hit) open += share.eggs;
        continue;
      }
      const sound = share.tally.hatched - share.tally.weak;
      const { speciesName, likeSpecies } = share.pen.line;
      const way = kinds.get(speciesName) ?? {
        hitEggs: 0,
        hitChicks: 0,
        eggs: USUAL_EGGS,
        chicks: USUAL_EGGS * usualRate(likeSpecies),
      };
      kinds.set(speciesName, way);
      if (hit) {
        way.hitEggs += share.eggs;
        way.hitChicks += sound;
      } else {
        way.eggs += share.eggs;
        way.chicks += sound;
      }
    }
  const ways = [...kinds.values()];
  const hitEggs = total(ways, (one) => one.hitEggs);
  if (hitEggs === 0) return { chicks: null, to_come: null, money: null };
  const lost = Math.max(
    0,
    total(ways, (one) => (one.hitEggs * one.chicks) / one.eggs - one.hitChicks),
  );
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
