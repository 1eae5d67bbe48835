/** Counts of a season, stage by stage, as evidence for the rates of the chain. */

import { flockOf, kindOfLine } from '../../facts/birds/groups.ts';
import { plannedLoss } from '../../facts/birds/losses.ts';
import { hensInLay, isPosted, layIsGood } from '../../facts/laying.ts';
import { looksOf } from '../../facts/looks.ts';
import { penStages, type Stage, seedPrior } from '../../facts/stages.ts';
import { growthOf } from '../../season/brooding.ts';
import { isHers } from '../../season/hens.ts';
import type { Line, Pen, Season } from '../../season/model.ts';
import { type Day, daysBetween, numberOfDay } from '../../text/day.ts';
import { breakoutsOf, type LookOpened } from '../model/likelihood.ts';
import { fertileOf, outcomesOf, type ShareOutcome } from '../review/outcome.ts';
import type { Aged, Penalty, StoredSet } from './storage.ts';

/** Counts of one stage from one set (a week of a pen for lay and kept, a group for the last two). */
export interface Evidence {
  stage: Stage;
  species: string;
  line: string;
  pen: string;
  /** The season, as it begins the name of the unit. */
  year: string;
  /** Pen or line and season the counts belong to: those of one unit share a rate. */
  unit: string;
  /** What shares the scatter of the day: a set, a week or a group. */
  set: string;
  /** Passed, of entered. */
  x: number;
  n: number;
  /** Ages of the eggs at setting, where they matter, and what the table says storage costs. */
  ages: readonly Aged[];
  penalty: readonly Penalty[];
  /** Share of the stage that lies behind. */
  power: number;
  /** Of `n`, birds' worth of time not lived through here: they were sold or eaten before the others. */
  away: number;
  /** Stages before this one that nobody looked at: the count tells of them all together. */
  unseen: readonly Stage[];
  /** The male of the pen, where it had one known by name all season long. */
  male: string | null;
  /** True if from an earlier season. */
  earlier: boolean;
  /** Eggs that came by road or post. */
  posted: boolean;
}

/** The name under which a stage's counts of a pen are pooled: its own, or its line's. */
export function unitOf(stage: Stage, pen: Pen, year: string): string {
  // What the road did to eggs is not held against those of our own hens.
  const posted = stage === 'hatched' && isPosted(pen) ? ' posted' : '';
  return penStages.includes(stage)
    ? `${year}/pen ${pen.name}`
    : `${year}/line ${pen.line.name}${posted}`;
}

/** The one male of a pen, if it is known by name and was not changed; null otherwise. */
export const onlyMale = ({ males, sires, began, malesChanged }: Pen): string | null =>
  males === 1 && sires.length === 1 && began.sires[0] === sires[0] && malesChanged.length === 0
    ? sires[0]!
    : null;

export function yearOf(season: Season): string {
  return `${season.values.place.name} ${season.values.season}`;
}

type PutEvidence = (
  stage: Stage,
  pen: Pen,
  set: string,
  x: number,
  n: number,
  more?: Partial<Evidence>,
) => void;

/**
 * All counts of a season that say something about a rate. Fertile are the eggs that the review counts
 * as fertile; a share whose counts contradict each other says nothing. Shares of one set and line share the machine's scatter: their
 * counts after fertility are added up.
 */
export function evidenceOf(season: Season, today: Day, earlier: boolean): Evidence[] {
  const year = yearOf(season);
  const found = new Map<string, Evidence>();
  const put: PutEvidence = (stage, pen, set, x, n, more = {}) => {
    if (n <= 0 || x < 0) return;
    const unit = unitOf(stage, pen, year);
    const key = `${stage} ${unit} ${set}`;
    const known = found.get(key);
    if (known) {
      known.x += Math.min(x, n);
      known.n += n;
      known.ages = [...known.ages, ...(more.ages ?? [])];
      return;
    }
    found.set(key, {
      stage,
      species: pen.line.speciesName,
      line: pen.line.name,
      pen: pen.name,
      posted: isPosted(pen),
      male: onlyMale(pen),
      year,
      unit,
      set: `${year}/${set}`,
      x: Math.min(x, n),
      n,
      ages: [],
      penalty: pen.line.species.storage_penalty.value,
      power: 1,
      away: 0,
      unseen: [],
      earlier,
      ...more,
    });
  };
  layAndKept(season, put);
  const opened = breakoutsOf(season);
  for (const outcome of outcomesOf(season))
    if (outcome.contradiction === null)
      chain(outcome, opened.get(`${outcome.set}\n${outcome.pen}`)?.unhatched, put);
  rearing(season, today, put);
  return [...found.values()];
}

function layAndKept(season: Season, put: PutEvidence): void {
  for (const row of season.rows.eggs) {
    const pen = season.pens.get(row.values.pen);
    if (!pen) continue;
    const week = `week ${Math.floor(numberOfDay(row.on.day) / 7)}`;
    const hens = row.values.hens ?? hensInLay(pen, row.on.day);
    // Eggs laid but not counted: as many as usually lie behind those kept.
    const usual = seedPrior(pen.line.likeSpecies, 'kept').mean;
    const laid = row.values.laid ?? Math.round(row.values.kept / usual);
    put('lay', pen, week, laid, hens);
    // Before a pen is ready its eggs go to the kitchen, whatever they are like.
    if (row.values.laid !== null && layIsGood(pen, row.on.day))
      put('kept', pen, week, row.values.kept, row.values.laid);
  }
}

/**
 * Counts of a share, stage by stage, as its looks show them. A stage nobody looked at is not learned
 * from: what came out of the hatcher then tells of all stages since the last look together (`unseen`).
 * Eggs all opened after the hatch tell of every stage, whether or not they were candled.
 */
function chain(outcome: ShareOutcome, shut: LookOpened | undefined, put: PutEvidence): void {
  const { share, movedInfertile } = outcome;
  const { tally, pen, set } = share;
  // Under a hen nobody moves eggs or looks at them then: what the looks left is what hatched from.
  const { hatching: moved } = tally;
  const isOfHen = isHers(share);
  const looks = looksOf(share);
  const finished = share.stage === 'finished' && moved !== null;
  const hatched = tally.hatched ?? 0;
  const known = fertileOf(outcome);
  if (looks !== null && known !== null) {
    const fertile = known.x;
    put('fertile', pen, set, fertile, known.n);
    // Eggs that had never begun were never alive, though candling missed them.
    const alive = Math.min(
      fertile,
      looks.eggs - tally.at.candling.all - tally.at.transfer.clear - movedInfertile,
    );
    const movedAlive = moved === null ? null : moved - movedInfertile;
    if (share.candlings.length > 0) {
      put('candled', pen, set, alive, fertile);
      if (movedAlive !== null && !isOfHen) put('transferred', pen, set, movedAlive, alive);
    } else if (movedAlive !== null)
      put('candled', pen, set, movedAlive, Math.max(movedAlive, fertile), {
        unseen: ['transferred'],
      });
    if (finished)
      put('hatched', pen, set, hatched, moved - movedInfertile, {
        ages: share.drawn,
        unseen: isOfHen ? ['transferred'] : [],
      });
  } else if (looks === null && finished) {
    const all =
      shut !== undefined &&
      shut.infertile + shut.early + shut.middle + shut.late + shut.rotten === tally.unpipped;
    if (all) {
      const sound = moved - shut.rotten;
      const fertile = sound - shut.infertile;
      put('fertile', pen, set, fertile, sound);
      put('candled', pen, set, fertile - shut.early, fertile);
      put('transferred', pen, set, fertile - shut.early - shut.middle, fertile - shut.early);
      put('hatched', pen, set, hatched, fertile - shut.early - shut.middle, { ages: share.drawn });
    } else
      put('hatched', pen, set, hatched, moved, {
        ages: share.drawn,
        unseen: ['fertile', 'candled', 'transferred'],
      });
  }
  if (finished) put('sound', pen, set, tally.sound, hatched);
}

/**
 * Share of a bird's usual losses to the age wanted that lies behind it at an age: on the log scale,
 * so that a rate to this power is the survival to that age.
 */
export function rearedPart(season: Season, line: Line, ageDays: number): number {
  const kind = kindOfLine(season, line);
  const { low, high } = growthOf(kind).first_egg_days.value;
  const whole = Math.log1p(-plannedLoss(kind, (low + high) / 2));
  if (whole === 0) return 1;
  return Math.min(1, Math.log1p(-plannedLoss(kind, Math.max(0, ageDays))) / whole);
}

/** Groups whose losses so far say next to nothing are left out. */
const LEAST_PART = 0.02;

function rearing(season: Season, today: Day, put: PutEvidence): void {
  for (const group of flockOf(season).groups.values()) {
    const pen = group.parts.reduce((a, b) => (b.chicks > a.chicks ? b : a)).pen;
    const last = group.living === 0 ? group.standings.at(-1)!.day : today;
    const partOn = (day: Day) => rearedPart(season, pen.line, daysBetween(group.youngest, day));
    const power = partOn(last);
    if (power >= LEAST_PART) {
      // A bird that left was at risk only until then.
      const away = group.leavings.reduce(
        (sum, row) => sum + row.values.birds * (1 - Math.min(1, partOn(row.on.day) / power)),
        0,
      );
      put('reared', pen, group.name, group.placed - group.lost, group.placed, { power, away });
    }
    const sexing = group.sexings.at(-1);
    if (!sexing) continue;
    // Birds of a sex that went before the count were of it too.
    const before = (sex: 'female' | 'male') =>
      group.leavings
        .filter((row) => row.values.sex === sex && row.on.day < sexing.on.day)
        .reduce((sum, row) => sum + row.values.birds, 0);
    const females = sexing.values.pullets + before('female');
    put('female', pen, group.name, females, females + sexing.values.cockerels + before('male'));
  }
}

/** Hatched of set by share, with the ages of its eggs. */
export function storedSetsOf(season: Season): { species: string; set: StoredSet }[] {
  const year = yearOf(season);
  return [...season.sets.values()].flatMap((set) =>
    set.shares.flatMap((share) =>
      share.stage !== 'finished' || share.tally.hatched === null
        ? []
        : [
            {
              species: share.pen.line.speciesName,
              set: {
                unit: unitOf('fertile', share.pen, year),
                x: Math.min(share.eggs, share.tally.hatched),
                n: share.eggs,
                ages: share.drawn,
                penalty: share.pen.line.species.storage_penalty.value,
              },
            },
          ],
    ),
  );
}
