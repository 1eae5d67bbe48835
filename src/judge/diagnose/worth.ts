/** What a change would be worth, in chicks of the eggs to come: from the posterior, with its doubt. */

import { openPlan } from '../../facts/hatch-time.ts';
import { seedPrior } from '../../facts/stages.ts';
import { total } from '../../facts/tally.ts';
import type { Pen, Season } from '../../season/model.ts';
import { addDays, type Day } from '../../text/day.ts';
import { logistic } from '../model/grid.ts';
import { breakoutsOf } from '../model/likelihood.ts';
import { levelOf, seeds } from '../model/priors.ts';
import type { FarmRates } from '../rates/rates.ts';
import { keptByStorage } from '../rates/storage.ts';
import type { Worlds } from '../rates/worlds.ts';

export type Worth = {
  readonly what: 'another-male' | 'fresher-eggs' | 'open-clears';
  readonly pen: string;
  /** Eggs to come that it touches; of a hundred where none are planned. */
  readonly eggs: number;
  readonly planned: boolean;
  /** Sound chicks more, mean and 95 % interval. */
  readonly mean: number;
  readonly low: number;
  readonly high: number;
  /** Chance that it brings anything at all. */
  readonly better: number;
  readonly says: string;
};

const PER_HUNDRED = 100;
/** Days after a change of males until eggs are probably the new one's. */
function purityDays({ line }: Pen): number {
  const { probable, safe } = line.species.carry_over_days.value;
  return probable ?? safe;
}

/** Clears that are opened in an evening. */
const OPENED = 20;
/** Fewer chicks than this are not worth an evening. */
const LEAST_CHICKS = 0.1;
/** What is thought of a clear before any is opened: as two opened eggs would tell it. */
const BEFORE = 2;

/**
 * How much more of what is lost to clears is won back when `OPENED` of them were opened first: then the
 * male or the first days are mended, whichever is the likelier fault, instead of the one that seems so
 * now (value of information: Raiffa & Schlaifer 1961, Applied Statistical Decision Theory, ch. 4). A
 * clear that had begun speaks for the first days. The share of those is a Beta, counts opened by then
 * are beta-binomial.
 */
export function worthOfOpening(early: number, infertile: number): number {
  const looksClear = seeds.levels.looks_clear.value * logistic(levelOf('chicken', 'early').centre);
  const begun = looksClear / (looksClear + logistic(levelOf('chicken', 'infertile').centre));
  const a = BEFORE * begun + early;
  const b = BEFORE * (1 - begun) + infertile;
  const of = a + b;
  let chance = 1;
  for (let i = 0; i < OPENED; i++) chance *= (b + i) / (of + i);
  let after = 0;
  for (let k = 0; k <= OPENED; k++) {
    const share = (a + k) / (of + OPENED);
    after += chance * Math.max(share, 1 - share);
    chance *= ((OPENED - k) / (k + 1)) * ((a + k) / (b + OPENED - k - 1));
  }
  return after - Math.max(a, b) / of;
}

/** Eggs planned of a pen from a day on; null without a plan. */
function eggsToCome(season: Season, pen: Pen, from: Day): number | null {
  const open = openPlan(season);
  if (open.length === 0) return null;
  return open
    .filter((set) => set.on >= from)
    .flatMap((set) => set.shares)
    .reduce((sum, share) => sum + (share.pen === pen ? share.eggs : 0), 0);
}

function summed(row: Float64Array): Pick<Worth, 'mean' | 'low' | 'high' | 'better'> {
  const sorted = Float64Array.from(row).sort();
  const at = (p: number): number =>
    sorted[Math.min(sorted.length - 1, Math.floor(p * sorted.length))]!;
  return {
    mean: row.reduce((sum, value) => sum + value, 0) / row.length,
    low: at(0.025),
    high: at(0.975),
    better: row.reduce((sum, value) => sum + (value > 0 ? 1 : 0), 0) / row.length,
  };
}

/** Hatched and sound of fertile, in each world. */
function chickOfFertile(worlds: Worlds, pen: Pen): Float64Array {
  const rows = (['candled', 'transferred', 'hatched', 'sound'] as const).map(
    (stage) => worlds.unit(stage, pen).rate,
  );
  return rows[0]!.map((p, i) => rows.slice(1).reduce((product, row) => product * row[i]!, p));
}

/**
 * The worth of a change, pen by pen: another male (a pen drawn anew from this farm in this year, in
 * the place of this one), eggs set at half their age, and clears opened. Largest first.
 */
export function worthOf(season: Season, rates: FarmRates, worlds: Worlds, today: Day): Worth[] {
  const out: Worth[] = [];
  const opened = breakoutsOf(season);
  for (const pen of season.pens.values()) {
    if (pen.hens === 0 || (pen.parted !== null && pen.parted <= today)) continue;
    const unit = rates.unit('fertile', pen);
    const fresh = `${unit.slice(0, unit.lastIndexOf('/'))}/pen drawn anew`;
    const uniform = worlds.uniform(`worth ${pen.name}`);
    const drawn = rates.posterior('fertile', pen).draw([unit, fresh], worlds.draws, uniform).rates;
    const rest = chickOfFertile(worlds, pen);
    const later = addDays(today, purityDays(pen));
    const own = eggsToCome(season, pen, later);
    const eggs = own ?? PER_HUNDRED;
    const gain = rest.map((p, i) => eggs * p * (drawn[1]![i]! - drawn[0]![i]!));
    if (eggs > 0)
      out.push({
        what: 'another-male',
        pen: pen.name,
        eggs,
        planned: own !== null,
        ...summed(gain),
        says: `another male in ${pen.name}, put in now: his eggs count from ${later}`,
      });
    const shares = [...season.sets.values()]
      .flatMap((set) => set.shares)
      .filter((share) => share.pen === pen && share.drawn.length > 0);
    const ages = shares.flatMap((share) => share.drawn);
    const set = ages.reduce((sum, one) => sum + one.eggs, 0);
    const penalty = pen.line.species.storage_penalty.value;
    const half = ages.map((one) => ({ eggs: one.eggs, age: Math.floor(one.age / 2) }));
    const coming = eggsToCome(season, pen, today) ?? PER_HUNDRED;
    if (set > 0 && coming > 0) {
      const { values, weights } = rates.storage(pen.line.speciesName);
      const fertile = rates.rate('fertile', pen).mean;
      const mean = rest.reduce((sum, p) => sum + p, 0) / rest.length;
      const byScale = values.map(
        (scale) =>
          coming *
          fertile *
          mean *
          (keptByStorage(penalty, half, scale) - keptByStorage(penalty, ages, scale)),
      );
      const average = byScale.reduce((sum, value, i) => sum + value * weights[i]!, 0);
      out.push({
        what: 'fresher-eggs',
        pen: pen.name,
        eggs: coming,
        planned: openPlan(season).length > 0,
        mean: average,
        low: byScale[0]!,
        high: byScale.at(-1)!,
        better: weights.reduce((sum, weight, i) => sum + (byScale[i]! > 0.05 ? weight : 0), 0),
        says: `${pen.name}'s eggs set at half their age (twice as many sets)`,
      });
    }
    const clears = shares.reduce((sum, share) => sum + share.tally.clear, 0);
    const usual = seedPrior(pen.line.likeSpecies, 'fertile').mean;
    const short = drawn[0]!.map((p, i) => coming * rest[i]! * Math.max(0, usual - p));
    const lost = summed(short);
    if (clears < OPENED) continue;
    const looked = shares.map((share) => opened.get(`${share.set}\n${pen.name}`)?.clear);
    const known = worthOfOpening(
      total(looked, (one) => one?.early ?? 0),
      total(looked, (one) => one?.infertile ?? 0),
    );
    if (known * lost.mean < LEAST_CHICKS) continue;
    out.push({
      what: 'open-clears',
      pen: pen.name,
      eggs: coming,
      planned: openPlan(season).length > 0,
      mean: known * lost.mean,
      low: known * lost.low,
      high: known * lost.high,
      better: lost.better,
      says: `opening ${OPENED} clears of ${pen.name}: tells whether its male or the first days are to be mended`,
    });
  }
  return out.sort((a, b) => b.mean - a.mean);
}
