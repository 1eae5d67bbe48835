/**
 * The store of hatching eggs, and the one rule by which a set takes eggs out of it: the freshest
 * that are there on the day and not too old for the kind. Hatch falls with each day in store, so no
 * other order loses less; what grows too old is spare, to sell or eat.
 */
import type { Drawn, Lot, Season } from '../season/model.ts';
import { addDays, type Day, dayOfNumber, daysBetween, numberOfDay } from '../text/day.ts';
import { groupedBy } from '../text/lists.ts';
import { openPlan } from './hatch-time.ts';
import { laidOn, layersOn, layIsGood } from './laying.ts';
import { total } from './tally.ts';

/** Eggs of one pen laid on one day and not taken yet. Days are numbers, of any one count of days. */
export type HeldEggs = {
  readonly laid: number;
  left: number;
  /** The day from which they are there, if not that on which they were laid: eggs bought in. */
  readonly there?: number;
};

/** What is asked of the store on a day. */
export type EggsAsked = {
  readonly on: number;
  readonly eggs: number;
  /** Days in store beyond which eggs are not taken; Infinity takes whatever is there. */
  readonly maxAge: number;
  /** First and last day laid, where the keeper says. */
  readonly from?: number | null;
  readonly to?: number | null;
};

/** Eggs taken from one lot; `age` is days in store. */
export type EggsTaken = { readonly laid: number; readonly age: number; readonly eggs: number };

/**
 * Takes eggs out of `held`, which is in order of the day laid and is changed, the freshest first.
 * `missing` is what was asked for and is not there.
 */
export const takeFreshest = (held: readonly HeldEggs[], asked: EggsAsked) =>
  takeOldest(held.toReversed(), asked);

/** As `takeFreshest`, the oldest first: the order in which eggs are sold, eaten or thrown away. */
export function takeOldest(
  held: readonly HeldEggs[],
  asked: EggsAsked,
): { taken: EggsTaken[]; missing: number } {
  const { on, eggs, maxAge } = asked;
  const from = asked.from ?? -Infinity;
  const to = asked.to ?? Infinity;
  const taken: EggsTaken[] = [];
  let missing = eggs;
  for (const lot of held) {
    if (missing <= 0) break;
    const age = on - lot.laid;
    if (lot.left <= 0 || on < (lot.there ?? lot.laid) || age > maxAge) continue;
    if (lot.laid < from || lot.laid > to) continue;
    const some = Math.min(lot.left, missing);
    lot.left -= some;
    missing -= some;
    taken.push({ laid: lot.laid, age, eggs: some });
  }
  return { taken, missing: Math.max(0, missing) };
}

export type Kept = { readonly pen: string; readonly laid: Day; readonly kept: number };

/** Eggs that a recorded set took from a pen, or that left the store otherwise. */
export type EggDraw = {
  readonly pen: string;
  readonly on: Day;
  readonly eggs: number;
  readonly from: Day | null;
  readonly to: Day | null;
  /** Eggs out: what is sold, eaten or thrown away is the oldest. */
  readonly oldestFirst?: boolean;
};

type Result = { readonly drawn: readonly Drawn[]; readonly missing: number };

/**
 * The store after every draw, in the order given. A set that is recorded was set: eggs past the
 * limit of storage go into it when the younger ones do not suffice.
 * @returns what is kept and left by day and pen; for each draw its eggs, the oldest first, and how
 *   many of them were never recorded as kept
 */
export function drawnStore(
  kept: readonly Kept[],
  draws: readonly EggDraw[],
): { readonly lots: readonly Lot[]; readonly draws: readonly Result[] } {
  const store = new Map(
    [...groupedBy(kept, ({ pen }) => pen)].map(([pen, own]) => [
      pen,
      [...groupedBy(own, ({ laid }) => laid)]
        .map(([day, same]) => {
          const eggs = total(same, (one) => one.kept);
          return { laid: numberOfDay(day), kept: eggs, left: eggs };
        })
        .sort((a, b) => a.laid - b.laid),
    ]),
  );
  const results = draws.map((draw): Result => {
    const rule = draw.oldestFirst ? takeOldest : takeFreshest;
    const { taken, missing } = rule(store.get(draw.pen) ?? [], {
      on: numberOfDay(draw.on),
      eggs: draw.eggs,
      maxAge: Number.POSITIVE_INFINITY,
      from: draw.from === null ? null : numberOfDay(draw.from),
      to: draw.to === null ? null : numberOfDay(draw.to),
    });
    return { drawn: drawnOf(taken), missing };
  });
  const lots = [...store].flatMap(([pen, all]) =>
    all.map(({ laid, kept, left }) => ({ pen, laid: dayOfNumber(laid), kept, left })),
  );
  lots.sort((a, b) => (a.laid === b.laid ? (a.pen < b.pen ? -1 : 1) : a.laid < b.laid ? -1 : 1));
  return { lots, draws: results };
}

/** Eggs taken as the season writes them, the oldest first. */
function drawnOf(taken: readonly EggsTaken[]): Drawn[] {
  return taken
    .map(({ laid, age, eggs }) => ({ laid: dayOfNumber(laid), age, eggs }))
    .sort((a, b) => b.age - a.age);
}

/** Eggs of one pen and day in store, with their age in days. */
export type Stored = Omit<Lot, 'kept'> & { readonly age: number };

/** The eggs in store on a day: those that may still be set, and those too old for their kind. */
export function storedEggs(season: Season, day: Day): { settable: Stored[]; tooOld: Stored[] } {
  const settable: Stored[] = [];
  const tooOld: Stored[] = [];
  for (const { pen, laid, left } of season.lots) {
    if (left <= 0 || laid > day) continue;
    const age = daysBetween(laid, day);
    const most = season.storageMaxDays(season.pens.get(pen)!.line.species);
    (age <= most ? settable : tooOld).push({ pen, laid, left, age });
  }
  return { settable, tooOld };
}

/** Expected eggs a day from a pen that are kept for hatching, by whoever knows the pen's rates. */
export type EggsADay = (pen: string) => number;

/**
 * The eggs of a pen that are in store on a day or expected to be laid after it, up to `last`, in
 * order of the day laid: whole, and never more in sum than expected. What the day itself brings
 * counts once it is written down.
 */
export function eggsToCome(
  season: Season,
  pen: string,
  today: Day,
  last: Day,
  eggsADay: EggsADay,
): HeldEggs[] {
  const held: HeldEggs[] = season.lots
    .filter((lot) => lot.pen === pen && lot.left > 0 && lot.laid <= today)
    .map((lot) => ({ laid: numberOfDay(lot.laid), left: lot.left }));
  const known = season.pens.get(pen)!;
  const { bought } = known;
  if (bought !== null) {
    // Eggs on their way, as many as were ordered; without a number, as many as are asked for.
    if (bought.on > today)
      held.push({
        laid: numberOfDay(laidOn(known, bought.on)),
        there: numberOfDay(bought.on),
        left: bought.eggs ?? Number.POSITIVE_INFINITY,
      });
    return held;
  }
  const rate = known.hens === 0 ? 0 : eggsADay(pen) / known.hens;
  const layers = layersOn(season, known);
  let sum = 0;
  let given = 0;
  for (let day = addDays(today, 1); day <= last; day = addDays(day, 1)) {
    if (!layIsGood(known, day)) continue;
    sum += rate * layers(day);
    const whole = Math.floor(sum + ROUNDING) - given;
    given += whole;
    if (whole > 0) held.push({ laid: numberOfDay(day), left: whole });
  }
  return held;
}

/** Sums of decimals that should be whole fall short by less than this. */
const ROUNDING = 1e-9;

/** What a planned share takes, by the rule, from what is in store and to come. */
export type PlannedDraw = {
  readonly set: string;
  readonly pen: string;
  readonly drawn: readonly Drawn[];
  readonly missing: number;
};

/** Every planned share not yet recorded and not past, in order of the day of setting. */
export function plannedDraws(season: Season, today: Day, eggsADay: EggsADay): PlannedDraw[] {
  const open = openPlan(season).filter((one) => one.on >= today);
  const stores = new Map<string, HeldEggs[]>();
  const last = open.at(-1)?.on ?? today;
  return open.flatMap((one) =>
    one.shares.map(({ pen, eggs }): PlannedDraw => {
      const store = stores.get(pen.name) ?? eggsToCome(season, pen.name, today, last, eggsADay);
      stores.set(pen.name, store);
      const { taken, missing } = takeFreshest(store, {
        on: numberOfDay(one.on),
        eggs,
        maxAge: season.storageMaxDays(pen.line.species),
      });
      return { set: one.name, pen: pen.name, drawn: drawnOf(taken), missing };
    }),
  );
}
