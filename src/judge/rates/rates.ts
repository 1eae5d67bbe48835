/** What is known of every rate of a farm: seeds, earlier seasons, this season, and the keeper's own word. */

import { isPosted } from '../../facts/laying.ts';
import { type Prior, postedPrior, type Stage, seedPrior, seedSpread } from '../../facts/stages.ts';
import type { Pen, Season } from '../../season/model.ts';
import type { Day } from '../../text/day.ts';
import { type Interval, type RatePosterior, ratePosterior, type Unit } from '../model/levels.ts';
import { type Evidence, evidenceOf, onlyMale, storedSetsOf, unitOf, yearOf } from './evidence.ts';
import { keptByStorage, type StorageScale, storageScale } from './storage.ts';

export interface RateTally {
  x: number;
  n: number;
  sets: number;
}

/** What is known of one rate of one pen (or its line), and where it comes from. */
export interface FarmRate extends Interval {
  stage: Stage;
  unit: string;
  prior: Prior;
  /** Counts of this unit, of others this season, and of earlier seasons. */
  own: RateTally;
  others: RateTally;
  earlier: RateTally;
  /** Correlation of eggs within sets. */
  spread: Interval;
}

export interface FarmRates {
  year: string;
  rate(stage: Stage, pen: Pen): FarmRate;
  unit(stage: Stage, pen: Pen): string;
  /** The farm's loss to storage for a species, as a multiple of the table's. */
  storage(species: string): StorageScale;
  /** The posterior that a stage of a pen's line is drawn from, for one multiple of the storage loss. */
  posterior(stage: Stage, pen: Pen, storage?: number): RatePosterior;
  /** Pens with one name here are drawn together: the species, or the line where the keeper set a rate. */
  pool(stage: Stage, pen: Pen): string;
}

/** A mean of the keeper's own without a strength is taken to be known as well as this many counts tell it. */
const KNOWN_WELL = 10_000;

function tally(some: readonly Evidence[]): RateTally {
  return {
    x: some.reduce((sum, e) => sum + e.x, 0),
    n: some.reduce((sum, e) => sum + e.n, 0),
    sets: some.length,
  };
}

/**
 * The rates of a farm. `rates:` of season.yaml takes the place of the seed: a mean alone stands as it
 * is, one with a strength is a starting point that the line's own counts still move.
 */
export function farmRates(season: Season, previous: readonly Season[], today: Day): FarmRates {
  const year = yearOf(season);
  const all = [
    ...previous.flatMap((one) => evidenceOf(one, today, true)),
    ...evidenceOf(season, today, false),
  ];
  /** By male, the unit of fertility that is his this season: his earlier ones hang from it. */
  const ofMale = new Map<string, string>();
  for (const pen of season.pens.values()) {
    const male = onlyMale(pen);
    if (male !== null) ofMale.set(`${pen.line.name} ${male}`, unitOf('fertile', pen, year));
  }
  const stored = [...previous, season].flatMap(storedSetsOf);
  const storages = new Map<string, StorageScale>();
  const storage = (species: string): StorageScale => {
    const known = storages.get(species);
    if (known) return known;
    const made = storageScale(
      stored.filter((one) => one.species === species).map((one) => one.set),
    );
    storages.set(species, made);
    return made;
  };

  const ofPosted = (stage: Stage, pen: Pen) => stage === 'hatched' && isPosted(pen);
  const ownRate = (stage: Stage, pen: Pen) => season.values.rates[pen.line.name]?.[stage];
  const pool = (stage: Stage, pen: Pen): string =>
    `${ownRate(stage, pen) === undefined ? pen.line.speciesName : `line ${pen.line.name}`}${ofPosted(stage, pen) ? ' posted' : ''}`;
  const priorOf = (stage: Stage, pen: Pen): Prior => {
    const own = ownRate(stage, pen);
    if (own === undefined)
      return ofPosted(stage, pen)
        ? postedPrior(pen.line.likeSpecies)
        : seedPrior(pen.line.likeSpecies, stage);
    const { mean, strength = KNOWN_WELL } = typeof own === 'number' ? { mean: own } : own;
    return { mean, strength, source: 'rates: of season.yaml', seen: 'keeper' };
  };
  const used = (stage: Stage, pen: Pen): Evidence[] =>
    all.filter(
      (e) =>
        e.stage === stage &&
        e.species === pen.line.speciesName &&
        (stage !== 'hatched' || e.posted === isPosted(pen)) &&
        (ownRate(stage, pen) === undefined || e.line === pen.line.name),
    );

  /** The mean chance to have passed the stages before, where nobody looked. */
  const passingUnseen = (e: Evidence): number => {
    const pen = e.unseen.length === 0 ? undefined : penOf(e);
    if (pen === undefined) return 1;
    return e.unseen.reduce(
      (chance, stage) => chance * posterior(stage, pen).unit(unitOf(stage, pen, e.year)).mean,
      1,
    );
  };
  const penOf = (e: Evidence): Pen | undefined =>
    [...season.pens.values()].find((pen) => pen.name === e.pen) ??
    [...season.pens.values()].find((pen) => pen.line.speciesName === e.species);
  const posteriors = new Map<string, RatePosterior>();
  const posterior = (stage: Stage, pen: Pen, scale = 1): RatePosterior => {
    const counts = used(stage, pen);
    // Only where storage took something does its size matter.
    const matters = counts.some((e) => keptByStorage(e.penalty, e.ages) < 1);
    const key = `${stage} ${pool(stage, pen)} ${matters ? scale : ''}`;
    const known = posteriors.get(key);
    if (known) return known;
    const units = new Map<string, Unit & { sets: Unit['sets'][number][] }>();
    for (const e of counts) {
      const under =
        stage === 'fertile' && e.earlier ? ofMale.get(`${e.line} ${e.male}`) : undefined;
      const one = units.get(e.unit) ?? { name: e.unit, sets: [], ...(under && { under }) };
      units.set(e.unit, one);
      one.sets.push({
        x: e.x - e.away,
        n: e.n - e.away,
        kept: keptByStorage(e.penalty, e.ages, scale) * passingUnseen(e),
        power: e.power,
      });
    }
    const own = ownRate(stage, pen);
    const fixed = own !== undefined && (typeof own === 'number' || own.strength === undefined);
    const spread = seedSpread(stage);
    const made = ratePosterior(
      priorOf(stage, pen),
      fixed ? { ...spread, between: 0, year: 0 } : spread,
      [...units.values()],
    );
    posteriors.set(key, made);
    return made;
  };

  return {
    year,
    unit: (stage, pen) => unitOf(stage, pen, year),
    pool,
    storage,
    posterior,
    rate(stage, pen) {
      const unit = unitOf(stage, pen, year);
      const counts = used(stage, pen);
      const known = posterior(
        stage,
        pen,
        stage === 'hatched' ? nearest(storage(pen.line.speciesName)) : 1,
      );
      return {
        stage,
        unit,
        prior: priorOf(stage, pen),
        own: tally(counts.filter((e) => e.unit === unit)),
        others: tally(counts.filter((e) => e.unit !== unit && !e.earlier)),
        earlier: tally(counts.filter((e) => e.earlier)),
        ...known.unit(unit),
        spread: known.within,
      };
    },
  };
}

/** The multiple tried that lies nearest to the mean. */
function nearest(scale: StorageScale): number {
  return scale.values.reduce((a, b) =>
    Math.abs(b - scale.mean) < Math.abs(a - scale.mean) ? b : a,
  );
}
