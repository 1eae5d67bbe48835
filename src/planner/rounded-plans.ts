/** Plans rounded from the relaxed one, anew and in parts, until none found has fewer sets. */

import {
  askedNext,
  better,
  type Candidate,
  fewestOf,
  isMet,
  NEARLY_MET,
  needsOf,
  type Seeking,
  shortIn,
} from './candidate.ts';
import { NO_PART } from './dive.ts';
import { holdSets, placedOrNot } from './held-sets.ts';
import type { Need } from './needs.ts';
import { dives } from './relaxed.ts';
import type { ChosenSets, Search } from './set-search.ts';

/** In how many ways a plan is rounded, and how often each again where it falls short. */
const ROUNDED_AFRESH = 4;
const ROUNDED_AGAIN = 8;

/** Plans rounded from the relaxed one, had in a moment. Null where none does. */
export async function roundedEnough(
  seeking: Seeking,
  from: readonly number[],
): Promise<Candidate | null> {
  const found = await roundedMet(seeking, from);
  return found && fewerRounded(seeking, found);
}

/**
 * A plan rounded from the relaxed one, and rounded again until it will do: more is asked where it falls
 * short, and when it is nearly enough sets are added to it.
 */
async function roundedMet(seeking: Seeking, from: readonly number[]): Promise<Candidate | null> {
  let targets = [...from];
  for (let variant = 0; variant < ROUNDED_AFRESH; variant++) {
    let kept: readonly ChosenSets[] = [];
    for (let turn = 0; turn < ROUNDED_AGAIN; turn++) {
      const needs = needsOf(seeking, targets);
      const options = { kept, variant };
      const search = await seeking.relaxed.dive(needs, { least: 'sets' }, 'fullest', options);
      if (search === null) break;
      const held = await placedOrNot(seeking, () => holdSets(seeking, search, targets));
      kept = [];
      if (held === null) continue;
      if (isMet(held.best)) return held.best;
      targets = askedNext(held.best);
      if (shortIn(held.best) <= NEARLY_MET) kept = held.best.search.chosen;
    }
  }
  return null;
}

/** Parts of a season, days: in one after the other sets are sought anew. */
const PART = 56;

/** A part of a plan that can be sought anew: the sets of the others, and the fewest in all with them. */
interface Part {
  kept: readonly ChosenSets[];
  fewest: number;
}

/** The parts of a plan, some weeks or a calendar each, those with the fewest sets first. */
function partsOf(
  { problem, relaxed }: Seeking,
  needs: readonly Need[],
  { chosen }: Search,
): Part[] {
  const { days, timings } = problem.problem;
  const others = (isIn: (one: ChosenSets) => boolean) => chosen.filter((one) => !isIn(one));
  const parts = Array.from({ length: Math.ceil((2 * days) / PART) }, (_, i) => {
    const from = (i * PART) / 2;
    return others(({ day }) => from <= day && day < from + PART);
  });
  if (timings.length > 1)
    parts.push(...timings.map((_, own) => others(({ timing }) => timing === own)));
  return parts
    .filter((kept) => kept.length < chosen.length)
    .flatMap((kept) => {
      const fewest = relaxed.fewestWith(needs, kept);
      return fewest === null ? [] : [{ kept, fewest }];
    })
    .sort((one, other) => one.fewest - other.fewest);
}

/** So often a plan is rounded anew for one with less, afresh in another way or in part. */
const TRIED = 16;

/** The same with fewer sets, as far as any are found by rounding, and those early. */
export async function fewerRounded(seeking: Seeking, found: Candidate): Promise<Candidate> {
  return earlier(seeking, await fewerAnew(seeking, found));
}

/**
 * The same with fewer sets: rounded afresh in other ways and, turn by turn, in parts; from plans that
 * fall a little short with one set less it goes on.
 */
async function fewerAnew(seeking: Seeking, found: Candidate): Promise<Candidate> {
  const { relaxed } = seeking;
  let best = found;
  let from = best;
  let parts: Part[] | null = null;
  for (let tried = 0; tried < TRIED; tried++) {
    const sets = best.lines.length - 1;
    if ((await fewestOf(seeking, best.targets)) > sets) break;
    const targets = askedNext(from);
    const needs = needsOf(seeking, targets);
    const isInPart = tried % 2 === 1;
    parts ??= isInPart ? partsOf(seeking, needs, from.search) : null;
    const part = isInPart ? parts?.shift() : undefined;
    const way =
      part && part.fewest <= sets + NO_PART ? { kept: part.kept } : { variant: tried + 1 };
    const options = { ...way, atMost: sets };
    const search = await relaxed.dive(needs, { least: 'sets' }, 'fullest', options);
    if (search === null || search.sets > sets) continue;
    const held = await placedOrNot(seeking, () => holdSets(seeking, search, targets));
    if (held === null) continue;
    if (isMet(held.best)) best = held.best;
    else if (from !== best && shortIn(held.best) >= shortIn(from)) continue;
    from = held.best;
    parts = null;
  }
  return best;
}

/** The same with early sets before late ones, where that takes no more of them. */
export async function earlier(seeking: Seeking, found: Candidate): Promise<Candidate> {
  const targets = askedNext(found);
  const needs = needsOf(seeking, targets);
  const atMost = found.lines.length;
  let best = found;
  for (const order of dives) {
    const search = await seeking.relaxed.dive(needs, { least: 'early sets' }, order, { atMost });
    if (search === null || search.sets > atMost) continue;
    const held = await placedOrNot(seeking, () => holdSets(seeking, search, targets));
    if (held !== null && isMet(held.best) && better(held.best, best))
      best = { ...held.best, fewest: found.fewest };
  }
  return best;
}
