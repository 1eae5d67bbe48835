/** Counts of a season, stage by stage, as evidence for the rates of the chain. */
import type { Pen, Season, Share } from '../../season/model.ts';
import { type Day, daysBetween, numberOfDay } from '../../text/day.ts';
import { type Evidence, posterior, type Rate, storageFactor } from './rates.ts';
import { type Prior, penStages, type Stage, seedPrior, stages } from './stages.ts';

/**
 * Most chicks that die do so in their first weeks: a group counts as evidence for rearing from this
 * age in days (common practice, no source).
 */
const REARED_ENOUGH = 56;
/** Hatch of set that storage losses, given as points, are set against where nothing better is known. */
const USUAL_HATCH = 0.75;

/** The name under which a stage's counts of a pen are pooled: its own, or its line's. */
export function unitOf(stage: Stage, pen: Pen, year: string): string {
  return penStages.includes(stage) ? `${year}/pen ${pen.name}` : `${year}/line ${pen.line.name}`;
}

export function yearOf(season: Season): string {
  return `${season.values.place.name} ${season.values.season}`;
}

/** Share of the hatch that storage of so many days is expected to leave. */
export function keptAtAge(line: Pen['line'], age: number): number {
  return storageFactor(line.species.storage_penalty.value, age, USUAL_HATCH);
}

/** Share of the hatch that storage is expected to leave a share's eggs. */
export function keptByStorage(share: Pick<Share, 'drawn' | 'pen'>): number {
  const penalty = share.pen.line.species.storage_penalty.value;
  const eggs = share.drawn.reduce((sum, d) => sum + d.eggs, 0);
  if (eggs === 0) return 1;
  return (
    share.drawn.reduce((sum, d) => sum + d.eggs * storageFactor(penalty, d.age, USUAL_HATCH), 0) /
    eggs
  );
}

/**
 * All counts of a season that say something about a rate. Counts of apparent fertility are corrected
 * where the clear eggs were broken out.
 */
export function evidenceOf(season: Season, today: Day, earlier: boolean): Evidence[] {
  const year = yearOf(season);
  const found: Evidence[] = [];
  const put = (stage: Stage, pen: Pen, x: number, n: number, kept?: number): void => {
    if (n <= 0 || x < 0) return;
    found.push({
      stage,
      species: pen.line.speciesName,
      unit: unitOf(stage, pen, year),
      x: Math.min(x, n),
      n,
      earlier,
      ...(kept === undefined ? {} : { kept }),
    });
  };
  layAndKept(season, put);
  for (const set of season.sets.values()) for (const share of set.shares) chain(season, share, put);
  rearing(season, today, put);
  return found;
}

type Put = (stage: Stage, pen: Pen, x: number, n: number, kept?: number) => void;

function layAndKept(season: Season, put: Put): void {
  const weeks = new Map<string, { pen: Pen; laid: number; kept: number; hens: number }>();
  for (const row of season.rows.eggs) {
    const pen = season.pens.get(row.values.pen);
    if (!pen) continue;
    const week = `${pen.name} ${Math.floor(numberOfDay(row.on.day) / 7)}`;
    const sum = weeks.get(week) ?? { pen, laid: 0, kept: 0, hens: 0 };
    weeks.set(week, sum);
    const hens = row.values.hens ?? pen.hens;
    // Eggs laid but not counted: as many as usually lie behind those kept.
    const usual = seedPrior(pen.line.speciesName, 'kept').mean;
    const laid = row.values.laid ?? row.values.kept / usual;
    sum.laid += Math.min(laid, hens);
    sum.hens += hens;
    if (row.values.laid !== null) put('kept', pen, row.values.kept, row.values.laid);
  }
  for (const { pen, laid, hens } of weeks.values()) put('lay', pen, laid, hens);
}

function chain(season: Season, share: Share, put: Put): void {
  const { tally, eggs, pen } = share;
  const looked = share.candlings.length > 0;
  const moved = tally.moved;
  if (!looked && moved === null) return;
  const early = season.rows.breakout
    .filter(
      (row) =>
        row.values.set === share.set &&
        (row.values.pen ?? share.pen.name) === share.pen.name &&
        row.values.from === 'clear',
    )
    .reduce((sum, row) => sum + row.values.early, 0);
  const clear = Math.max(0, tally.clear + tally.transferClear - early);
  const fertile = eggs - clear;
  put('fertile', pen, fertile, eggs);
  const atCandling = eggs - tally.clear - tally.quit - tally.cracked - tally.rotten;
  if (looked) {
    put('candled', pen, Math.min(atCandling, fertile), fertile);
    if (moved !== null) put('transferred', pen, moved, atCandling - tally.transferClear);
  } else if (moved !== null) {
    // One look at transfer alone: the two stages cannot be told apart.
    const usual = seedPrior(pen.line.speciesName, 'transferred').mean;
    put('candled', pen, moved, Math.max(moved, fertile * usual));
  }
  if (share.stage !== 'finished' || moved === null) return;
  const hatched = tally.hatched ?? 0;
  put('hatched', pen, hatched, moved, keptByStorage(share));
  put('sound', pen, hatched - tally.weak, hatched);
}

function rearing(season: Season, today: Day, put: Put): void {
  const groups = new Map<string, { pen: Pen; chicks: number; since: Day }>();
  for (const row of season.rows.group) {
    const set = season.sets.get(row.values.set);
    const share = set?.shares.find((s) => row.values.pen === null || s.pen.name === row.values.pen);
    if (!share) continue;
    const known = groups.get(row.values.group);
    if (known) known.chicks += row.values.chicks;
    else
      groups.set(row.values.group, {
        pen: share.pen,
        chicks: row.values.chicks,
        since: row.on.day,
      });
  }
  for (const [name, { pen, chicks, since }] of groups) {
    if (daysBetween(since, today) >= REARED_ENOUGH) {
      const lost = season.rows.loss
        .filter((row) => row.values.group === name)
        .reduce((sum, row) => sum + row.values.birds, 0);
      put('reared', pen, chicks - lost, chicks);
    }
    const last = season.rows.sexing.filter((row) => row.values.group === name).at(-1);
    if (last) put('female', pen, last.values.pullets, last.values.pullets + last.values.cockerels);
  }
}

/** What is known of every rate of a farm, worked out when asked for. */
export interface FarmRates {
  year: string;
  rate(stage: Stage, pen: Pen): Rate;
  unit(stage: Stage, pen: Pen): string;
  /** The rate under a unit's name, as the worlds ask for it. */
  byUnit(stage: Stage, unit: string): Rate;
}

/** A mean of the keeper's own is taken to be known as well as this many counts tell it. */
const KNOWN_WELL = 10_000;

/** The rates of a farm: seeds, earlier seasons, this one's counts, and `rates:` of season.yaml over all. */
export function farmRates(season: Season, previous: readonly Season[], today: Day): FarmRates {
  const year = yearOf(season);
  const all = [
    ...previous.flatMap((one) => evidenceOf(one, today, true)),
    ...evidenceOf(season, today, false),
  ];
  const known = new Map<string, Rate>();
  const find = (stage: Stage, pen: Pen): Rate => {
    const unit = unitOf(stage, pen, year);
    const name = `${stage} ${unit}`;
    const ready = known.get(name);
    if (ready) return ready;
    const species = pen.line.speciesName;
    const own = season.values.rates[pen.line.name]?.[stage];
    const made =
      own === undefined
        ? posterior(
            stage,
            unit,
            seedPrior(species, stage),
            all.filter((e) => e.species === species),
          )
        : posterior(stage, unit, keepersPrior(own), []);
    known.set(name, made);
    return made;
  };
  // Every unit is asked for by its pen first, so its rate is known by name afterwards.
  const byName = new Map<string, () => Rate>();
  for (const pen of season.pens.values())
    for (const stage of stages)
      byName.set(`${stage} ${unitOf(stage, pen, year)}`, () => find(stage, pen));
  return {
    year,
    rate: find,
    unit: (stage, pen) => unitOf(stage, pen, year),
    byUnit: (stage, unit) => byName.get(`${stage} ${unit}`)!(),
  };
}

function keepersPrior(own: number | { mean: number; strength?: number | undefined }): Prior {
  const { mean, strength = KNOWN_WELL } = typeof own === 'number' ? { mean: own } : own;
  return { mean, strength, source: 'rates: of season.yaml', seen: 'keeper' };
}
