/**
 * Who is to have the birds of a line: goals and orders, each bird counted once. What is promised to
 * others leaves before what is kept, in order of day, then of the file.
 */
import type { Season } from '../season/model.ts';
import { type Day, daysBetween } from '../text/day.ts';
import { type Goal, goalsOf, goalWords, readyAfter, wantedOf } from './goals.ts';

export type ClaimFate = Season['values']['goals'][number]['fate'];

/** A goal or an order for birds, as it takes its turn. */
export interface Claim extends Goal {
  kind: 'goal' | 'order';
  /** Where the birds go; an order is sold. */
  fate: ClaimFate;
  /** Who an order is for; null for a goal. */
  for: string | null;
  /** The first day on which its birds may be ready; null where any day before `by` will do. */
  from: Day | null;
}

/** Claims of a season, goals before orders, as in the file. Orders of eggs are no claim on birds. */
export function claimsOf(season: Season): Claim[] {
  const goals = goalsOf(season).map(
    (goal): Claim => ({
      ...goal,
      kind: 'goal',
      fate: season.values.goals[goal.index]!.fate,
      for: null,
      from: null,
    }),
  );
  const orders = season.values.orders.flatMap((one, index): Claim[] => {
    const { want } = one;
    if (want === 'eggs') return [];
    const wanted = wantedOf(season, 'orders', { ...one, want }, index);
    // Chicks are wanted fresh from the hatch; older birds can wait for their day.
    const from = wanted.at === 'hatch' ? (one.from ?? null) : null;
    return [{ ...wanted, kind: 'order', fate: 'sold', for: one.for, from }];
  });
  return [...goals, ...orders];
}

/** Negative if a claim is served before another: what leaves before what is kept, by day, then as in the file. */
function turn(a: Claim, b: Claim): number {
  return (
    Number(a.fate === 'kept') - Number(b.fate === 'kept') ||
    (a.by < b.by ? -1 : a.by > b.by ? 1 : 0) ||
    a.place.line - b.place.line ||
    a.place.column - b.place.column
  );
}

/** A claim in words: an order names who it is for. */
export function claimWords(claim: Claim): string {
  return claim.for === null ? goalWords(claim) : `${goalWords(claim)} for ${claim.for}`;
}

/** Lines whose chicks stay to be raised: all but those that goals and orders want at the hatch alone. */
export function raisedLines(season: Season): ReadonlySet<Claim['line']> {
  const claims = claimsOf(season);
  return new Set(
    [...season.lines.values()].filter((line) => {
      const own = claims.filter((claim) => claim.line === line);
      return own.length === 0 || own.some((claim) => claim.at !== 'hatch');
    }),
  );
}

/** The day on which birds are ready for a claim that hatch on a day, without what is left of the hatch. */
const daysAfterHatch = (claim: Claim): number =>
  readyAfter(claim) - claim.line.species.hatch_day.value;

/** True if birds that hatch on a day serve a claim. */
export function isServedBy(claim: Claim, hatch: Day): boolean {
  const age = daysAfterHatch(claim);
  const left = daysBetween(hatch, claim.by) - age;
  return left >= 0 && (claim.from === null || daysBetween(hatch, claim.from) - age <= 0);
}

/**
 * Who has chicks of a hatch before any are kept, in their turn: an order for what is not delivered yet, a
 * goal for all it asks.
 */
export function takersOf(
  season: Season,
  lines: ReadonlySet<Claim['line']>,
  hatch: Day,
): { claim: Claim; birds: number }[] {
  return claimsOf(season)
    .filter((one) => lines.has(one.line) && one.fate !== 'kept' && one.at === 'hatch')
    .filter((one) => isServedBy(one, hatch))
    .sort(turn)
    .flatMap((claim) => {
      const delivered = season.rows.leaving.reduce(
        (sum, { values }) => (values.order === claim.for ? sum + values.birds : sum),
        0,
      );
      const birds = claim.count - delivered;
      return birds > 0 ? [{ claim, birds }] : [];
    });
}

/** What a bird of an earlier claim would have been to a later one: its sex as a share, and whether reared. */
export interface Rivalry {
  claim: Claim;
  /** Share of its birds that the later one wants: all, none, or as many as are female or male. */
  sex: 'all' | 'female' | 'male';
  /** True where the keeper can tell the sexes by then and gives away first what the later one does not want. */
  others: boolean;
  /** True where its birds leave before they are reared, and the later one wants them reared. */
  reared: boolean;
}

const sexOf = ({ want }: Pick<Claim, 'want'>): 'female' | 'male' | null =>
  want === 'pullets' ? 'female' : want === 'cockerels' ? 'male' : null;

/** The claims that are served before this one and take birds it could use, in their order. */
export function rivalsOf(claims: readonly Claim[], claim: Claim): Rivalry[] {
  const own = claims.filter((one) => one.line === claim.line).sort(turn);
  const wanted = sexOf(claim);
  return own.slice(0, own.indexOf(claim)).flatMap((rival): Rivalry[] => {
    const sex = sexOf(rival);
    if (sex !== null && wanted !== null && sex !== wanted) return [];
    const isOpen = sex === null && wanted !== null;
    const opposite = wanted === 'female' ? 'male' : 'female';
    return [
      {
        claim: rival,
        sex: isOpen ? wanted : 'all',
        others: isOpen && rival.at !== 'hatch' && !own.some((one) => sexOf(one) === opposite),
        reared: rival.at === 'hatch' && claim.at !== 'hatch',
      },
    ];
  });
}

/** Beyond the error of the simulation, a chance that is so little below the confidence still counts. */
const POINT = 0.01;
const STANDARD_ERRORS = 2;

/**
 * True if a chance, a share of so many simulated seasons, is what was asked, but for what the
 * simulation cannot tell (two standard errors, 95 %) and one point: a plan that was accepted stays
 * so, and the forecast calls it on course.
 */
export function isOnCourse(chance: number, confidence: number, draws: number): boolean {
  const error = STANDARD_ERRORS * Math.sqrt((confidence * (1 - confidence)) / draws);
  return chance >= confidence - error - POINT;
}
