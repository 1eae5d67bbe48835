/** The season's birds to come, world by world: what each goal may count on. */
import type { Pen, PlannedSet, Season, Share } from '../../season/model.ts';
import { addDays, type Day, daysBetween } from '../../text/day.ts';
import { openPlan } from '../schedule/milestones.ts';
import { type FarmRates, keptAtAge, keptByStorage } from './evidence.ts';
import { type Goal, readyDay, stagesOf } from './goals.ts';
import { layIsGood } from './season-problem.ts';
import type { Stage } from './stages.ts';
import { type Portion, product, type Worlds } from './worlds.ts';

/** A planned share: eggs to be set, with the age they are expected to have. */
export interface PlannedShare {
  pen: Pen;
  on: Day;
  eggs: number;
  /** Mean factor on the hatch from storage; 1 if none is lost. */
  kept: number;
}

/** Part of a goal with the day it is ready and the set it comes from. */
export interface GoalPortion extends Portion {
  set: string;
  hatch: Day;
}

/** The share of a chick's later losses that still lies before it at an age: most die young. */
const LOST_BY_SIX_WEEKS = 0.55;
const SIX_WEEKS = 42;

const constant = (draws: number, value: number) => new Float64Array(draws).fill(value);

/** The mean factor on the hatch of a plan line's eggs, if its ages are not known: eggs of the last days. */
export function usualKept(season: Season, pen: Pen): number {
  const days = Math.min(7, season.storageMaxDays(pen.line.species));
  let sum = 0;
  for (let age = 0; age < days; age++) sum += keptAtAge(pen, age);
  return sum / days;
}

/** The shares of plan lines still to come. */
export function plannedShares(season: Season, lines: readonly PlannedSet[]): PlannedShare[] {
  return lines.flatMap((line) =>
    line.shares.map(({ pen, eggs }) => ({ pen, on: line.on, eggs, kept: usualKept(season, pen) })),
  );
}

/**
 * Eggs that will really be there for each planned share: no more than planned, and no more than the
 * pen laid and the keeper kept. Oldest eggs go first, as the records draw them.
 */
export function eggsThatCome(
  season: Season,
  today: Day,
  rates: FarmRates,
  worlds: Worlds,
  shares: readonly PlannedShare[],
): Float64Array[] {
  const { draws } = worlds;
  const result = new Map<PlannedShare, Float64Array>();
  const pens = new Set(shares.map((s) => s.pen));
  for (const pen of pens) {
    const own = shares.filter((s) => s.pen === pen).sort((a, b) => (a.on < b.on ? -1 : 1));
    const maxAge = season.storageMaxDays(pen.line.species);
    const lots = season.lots.filter((lot) => lot.pen === pen.name && lot.left > 0);
    let before = today;
    // Eggs known to be in store, and eggs left over from blocks of days to come.
    const left = constant(draws, 0);
    const stored = lots.map((lot) => ({ ...lot }));
    own.forEach((share) => {
      const oldest = addDays(share.on, -maxAge);
      let inStore = 0;
      for (const lot of stored) if (lot.laid >= oldest && lot.laid <= share.on) inStore += lot.left;
      let good = 0;
      let reach = 0;
      for (let day = addDays(before, 1); day <= share.on; day = addDays(day, 1))
        if (layIsGood(pen, day) && day >= oldest) good++;
      for (let day = oldest; day <= before; day = addDays(day, 1)) if (day > today) reach++;
      const block = `${before} to ${share.on}`;
      const lay = worlds.set('lay', rates.unit('lay', pen), block);
      const kept = worlds.set('kept', rates.unit('kept', pen), block);
      const fresh = worlds.passing(
        `eggs ${pen.name} ${block} ${good}`,
        constant(draws, pen.hens * good),
        product(draws, [lay, kept]),
      );
      const come = new Float64Array(draws);
      let fromStore = Number.POSITIVE_INFINITY;
      for (let i = 0; i < draws; i++) {
        // What was left over is the youngest of it; more than the days in reach can have laid is too old.
        const usable = Math.min(left[i]!, reach * pen.hens * lay[i]! * kept[i]!);
        const there = inStore + usable + fresh[i]!;
        come[i] = Math.min(share.eggs, Math.floor(there));
        fromStore = Math.min(fromStore, Math.min(inStore, come[i]!));
        left[i] = Math.max(0, usable + fresh[i]! - Math.max(0, come[i]! - inStore));
      }
      let drawn = Math.min(inStore, share.eggs);
      for (const lot of stored) {
        if (lot.laid < oldest || lot.laid > share.on) continue;
        const taken = Math.min(lot.left, drawn);
        Object.assign(lot, { left: lot.left - taken });
        drawn -= taken;
      }
      before = share.on;
      result.set(share, come);
    });
  }
  return shares.map((share) => result.get(share)!);
}

/** The rate from a stage on to the bird a goal wants, in each world; `set` names the luck shared by a set. */
export function rateFrom(
  rates: FarmRates,
  worlds: Worlds,
  goal: Pick<Goal, 'want' | 'at'>,
  pen: Pen,
  set: string,
  from: Stage,
  kept = 1,
): Float64Array {
  const { stages, sex } = stagesOf(goal);
  const at = stages.indexOf(from);
  const rest = at < 0 ? [] : stages.slice(at);
  const factors: Float64Array[] = rest.map((stage) =>
    worlds.set(stage, rates.unit(stage, pen), set),
  );
  const made = product(worlds.draws, factors, rest.includes('hatched') ? kept : 1);
  return sex === null ? made : sexed(rates, worlds, pen, sex, made);
}

function sexed(
  rates: FarmRates,
  worlds: Worlds,
  pen: Pen,
  sex: 'female' | 'male',
  rate: Float64Array,
): Float64Array {
  const female = worlds.unit('female', rates.unit('female', pen));
  return rate.map((r, i) => r * (sex === 'female' ? female[i]! : 1 - female[i]!));
}

/** Expected birds of a goal from one egg set today: the product of the means. */
export function meanRate(rates: FarmRates, goal: Pick<Goal, 'want' | 'at'>, pen: Pen): number {
  const { stages, sex } = stagesOf(goal);
  const female = sex === null ? 1 : rates.rate('female', pen).mean;
  return stages.reduce(
    (product, stage) => product * rates.rate(stage, pen).mean,
    sex === 'male' ? 1 - female : female,
  );
}

/** What a recorded share still promises a goal. */
function portionOf(
  season: Season,
  today: Day,
  rates: FarmRates,
  worlds: Worlds,
  goal: Goal,
  share: Share,
): GoalPortion[] {
  const { draws } = worlds;
  const hatch = share.finishedOn ?? addDays(share.on.day, share.pen.line.species.hatch_day.value);
  const base = { set: share.set, hatch };
  const kept = keptByStorage(share);
  const from = (stage: Stage, count: number, k = 1): GoalPortion => ({
    ...base,
    eggs: constant(draws, count),
    rate: rateFrom(rates, worlds, goal, share.pen, share.set, stage, k),
  });
  if (share.stage === 'in-setter')
    return share.candlings.length === 0
      ? [from('fertile', share.eggs, kept)]
      : [from('transferred', Math.max(0, share.live), kept)];
  const out = (share.tally.hatched ?? 0) - share.tally.weak;
  const waiting =
    share.stage === 'in-hatcher' ? [from('hatched', Math.max(0, share.live), kept)] : [];
  return [...waiting, ...livingChicks(season, today, rates, worlds, goal, share, out, base)];
}

/** Chicks off the hatcher: in groups less their losses, and those no group row tells of. */
function livingChicks(
  season: Season,
  today: Day,
  rates: FarmRates,
  worlds: Worlds,
  goal: Goal,
  share: Share,
  sound: number,
  base: { set: string; hatch: Day },
): GoalPortion[] {
  const { draws } = worlds;
  if (goal.at === 'hatch') {
    const rate =
      goal.want === 'chicks' || goal.want === 'birds'
        ? constant(draws, 1)
        : rateFrom(rates, worlds, goal, share.pen, share.set, 'female');
    return [{ ...base, eggs: constant(draws, sound), rate }];
  }
  const rows = season.rows.group.filter(
    (row) => row.values.set === share.set && (row.values.pen ?? share.pen.name) === share.pen.name,
  );
  let alive = sound;
  for (const row of rows) {
    const all = season.rows.group
      .filter((other) => other.values.group === row.values.group)
      .reduce((sum, other) => sum + other.values.chicks, 0);
    const part = all === 0 ? 0 : row.values.chicks / all;
    const gone =
      season.rows.loss
        .filter((loss) => loss.values.group === row.values.group)
        .reduce((sum, loss) => sum + loss.values.birds, 0) +
      season.rows.leaving
        .filter(
          (leaving) =>
            leaving.values.group === row.values.group &&
            (['sold', 'given', 'culled'].includes(leaving.values.way) ||
              (leaving.values.way === 'table' && goal.at !== 'table')),
        )
        .reduce((sum, leaving) => sum + leaving.values.birds, 0);
    alive -= gone * part;
  }
  const age = Math.max(0, daysBetween(base.hatch, today));
  const target = Math.max(1, goal.ageDays);
  const done =
    age >= target
      ? 1
      : age <= SIX_WEEKS
        ? (LOST_BY_SIX_WEEKS * age) / Math.min(SIX_WEEKS, target)
        : LOST_BY_SIX_WEEKS +
          ((1 - LOST_BY_SIX_WEEKS) * (age - SIX_WEEKS)) / Math.max(1, target - SIX_WEEKS);
  const reared = worlds.set('reared', rates.unit('reared', share.pen), share.set);
  const rest = reared.map((rate) => rate ** (1 - done));
  const { sex } = stagesOf(goal);
  return [
    {
      ...base,
      eggs: constant(draws, Math.max(0, Math.round(alive))),
      rate: sex === null ? rest : sexed(rates, worlds, share.pen, sex, rest),
    },
  ];
}

/** Everything recorded and planned that a goal may count on, by its day. */
export function portionsOf(
  season: Season,
  today: Day,
  rates: FarmRates,
  worlds: Worlds,
  goal: Goal,
  planned: readonly PlannedShare[],
  come: readonly Float64Array[],
): GoalPortion[] {
  const found: GoalPortion[] = [];
  for (const set of season.sets.values())
    for (const share of set.shares) {
      if (share.pen.line !== goal.line || readyDay(goal, share.on.day) > goal.by) continue;
      found.push(...portionOf(season, today, rates, worlds, goal, share));
    }
  planned.forEach((share, i) => {
    if (share.pen.line !== goal.line || readyDay(goal, share.on) > goal.by) return;
    const set = `day ${share.on}`;
    found.push({
      set,
      hatch: addDays(share.on, share.pen.line.species.hatch_day.value),
      eggs: come[i]!,
      rate: rateFrom(rates, worlds, goal, share.pen, set, 'fertile', share.kept),
    });
  });
  return found;
}

/** Plan lines not yet recorded and not past. */
export function linesToCome(season: Season, today: Day): PlannedSet[] {
  return openPlan(season).filter((line) => line.on >= today);
}
