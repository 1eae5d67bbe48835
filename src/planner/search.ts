/**
 * The search for the fewest sets of one calendar, beside those of others, and the simulation as judge.
 *
 * A number of sets is tried: the fullest plan with so many, in parts, is rounded and repaired, its eggs are
 * made whole and its needs moved until the chances are right, and where little is missing sets are moved
 * by some days. If that meets every claim one set less is tried, else one more.
 */
import { filledEggs, wholeEggs } from './eggs.ts';
import { polished } from './polish.ts';
import type { Start } from './problem.ts';
import { FULLEST, type Need, Program, type SetsInParts, wantedOf } from './program.ts';
import { type Rounded, type RoundingAsked, rounded, roundedOn } from './rounding.ts';
import {
  better,
  birdsNeeded,
  CHANCE_STEP,
  type ClaimOutlook,
  firstTarget,
  isMet,
  needsOf,
  type Seeking,
  Step,
  type Tried,
  tried,
} from './tried.ts';

/*
 * Of these the bench does not feel a third more or less of EGG_ROUNDS, WORTH_TRYING, FAILED.most, NO_MORE, SAME_BIRDS
 * and MOST_A_DAY: they end loops. The others it feels, in sets or in programs solved.
 */
/**
 * Days that a search looks at, of one calendar; the bound is on all of them (bench:plan, large: 43 sets and not 44
 * with 52 days, for as much work; middle: a sixth more).
 */
const MOST_DAYS = 80;
/** How often needs are corrected on sets in parts, and on whole sets. */
const FIRST_ROUNDS = 3;
const EGG_ROUNDS = 6;
/** A chance may lie above the confidence by this much before fewer eggs are asked. */
const CLOSE = 0.012;
/** A number of sets that in parts gives less than this of the need is not tried. */
const WORTH_TRYING = 0.985;
/** How often a number of sets is tried, and how often where this little is missing. */
const TRIES = 2;
const NEARLY = { short: 0.025, tries: 3 };
/** Days on either side of a set in hand on which it is tried again. */
const BESIDE = 2;
/**
 * Sets in parts that are needed for this much less are proof: needs are known no better. Plans that give the chance
 * asked expect birds that differ by more, for hens that lay little leave full sets short, not small ones
 * (bench:plan, large: geese are had with 73 or 75 birds in nine sets, and not with 73 in eight).
 */
const MARGIN = 0.97;
/** Numbers of sets that failed after which a search may end, and after which it ends (judgement; ends of search alone). */
const FAILED = { least: 2, most: 8 };
/** Shares of a need that differ by less are the same. */
const ALIKE = 1e-6;
/** Where nothing more is to be had, one more set gives less than this of the need. */
const NO_MORE = 0.003;

/** The sets found for one calendar. */
export interface SearchFound extends Tried {
  /** The fewest there could be. */
  fewest: number;
}

/** Days spread over all of them, at most so many. */
export function someDays(days: readonly number[]): readonly number[] {
  if (days.length <= MOST_DAYS) return days;
  const step = days.length / MOST_DAYS;
  return Array.from({ length: MOST_DAYS }, (_, i) => days[Math.floor(i * step)]!);
}

/** Eggs in parts as shares, for the simulation. */
function startsInParts(program: Program, { values }: SetsInParts): Start[] {
  return program.days.map((day) => {
    const eggs = new Map<number, number>();
    for (const one of program.eggs)
      if (one.day === day && values[one.column]! > 1e-6)
        eggs.set(one.pool, (eggs.get(one.pool) ?? 0) + values[one.column]!);
    return { calendar: program.calendar, day, setter: 0, trays: 0, hatcher: -1, eggs };
  });
}

/** The best sets for a calendar beside others. */
export async function soughtSets(
  seeking: Seeking,
  calendar: number,
  others: readonly Start[],
): Promise<SearchFound> {
  const { p, without, effort, outlook } = seeking;
  const wanted = wantedOf(p, calendar);
  const nothing: SearchFound = { ...tried(p, outlook, [], wanted), fewest: 0 };
  let targets = p.wanted.map(({ claim }, i) =>
    wanted.includes(i) ? firstTarget(claim, without[i]!) : 0,
  );
  if (targets.every((birds) => birds === 0)) return nothing;
  const days = p.calendars[calendar]!.setDays;
  const full = await Program.open(p, calendar, someDays(days), others, effort);
  try {
    if (full.sets.length === 0) return nothing;
    // Needs by the sets in parts; what is out of reach is asked as far as it goes.
    const steps = targets.map(() => new Step());
    let isOutOfReach = false;
    for (let round = 0; round < FIRST_ROUNDS && !isOutOfReach; round++) {
      full.ask(needsOf(p, without, targets));
      const parts = full.fewest();
      const reach = parts ?? full.fullest(Number.POSITIVE_INFINITY);
      if (reach === null) return nothing;
      const given = tried(p, outlook, startsInParts(full, reach), wanted).outlook;
      const next = targets.map((birds, i) => {
        if (birds === 0) return 0;
        const { claim } = p.wanted[i]!;
        const one = given.get(i)!;
        if (reach.shares[i]! >= 1) return steps[i]!.next(claim, one, birds, CLOSE);
        // Not so many are to be had, but fewer may do.
        if (one.probability < claim.confidence - NEARLY.short) isOutOfReach = true;
        return inReach(without[i]!, birds, reach.shares[i]!);
      });
      if (isOutOfReach) break;
      const isSame = next.every((birds, i) => Math.abs(birds - targets[i]!) < SAME_BIRDS);
      targets = next;
      if (isSame && parts !== null) break;
    }
    full.ask(needsOf(p, without, targets));
    isOutOfReach ||= full.fewest(WORTH_TRYING) === null;
    const search = new Search(seeking, calendar, others, full, wanted, targets);
    if (isOutOfReach) return await search.nearest(nothing);
    if (seeking.aim === 'any') return await search.filled(1, nothing);
    return (
      (seeking.aim === 'eggs' && (await search.fewestEggs())) || (await search.fewest(nothing))
    );
  } finally {
    full.close();
  }
}

/** The birds to be expected where only a share of what new sets are to give is to be had. */
function inReach({ expected }: ClaimOutlook, birds: number, share: number): number {
  return expected + Math.min(1, Math.max(0, share)) * Math.max(0, birds - expected);
}

class Search {
  constructor(
    readonly seeking: Seeking,
    readonly calendar: number,
    readonly others: readonly Start[],
    readonly full: Program,
    readonly wanted: readonly number[],
    public targets: readonly number[],
  ) {}

  #needs(targets: readonly number[]): Need[] {
    return needsOf(this.seeking.p, this.seeking.without, targets);
  }

  /** Where all can be had: numbers of sets, from the fewest in parts. */
  async fewest(nothing: SearchFound): Promise<SearchFound> {
    const { full } = this;
    full.ask(this.#needs(this.targets));
    const inParts = full.fewest() ?? full.fewest(WORTH_TRYING)!;
    let sets = Math.max(1, Math.ceil(inParts.sets - 1e-6));
    const failed = new Set<number>();
    let best: Tried | null = null;
    let nearest: Tried = nothing;
    let before = 0;
    let bound = 0;
    for (;;) {
      full.ask(this.#needs(this.targets));
      const parts = full.fullest(sets);
      const least = parts?.least ?? 0;
      // More sets give no more: the rest is not to be had. At the most that is counted this is not known.
      const isVain =
        least < FULLEST - ALIKE && least - before < NO_MORE && failed.size >= FAILED.least;
      if (best === null && (isVain || failed.size >= FAILED.most)) break;
      before = least;
      // Fewer than have been found are worth a try if nothing says that they cannot be.
      const isOpen = best !== null && bound <= sets;
      if (parts === null || (least < WORTH_TRYING && !isOpen)) {
        if (best !== null || this.seeking.effort.isSpent) break;
        if (sets > full.days.length * MOST_A_DAY) break;
        sets++;
        continue;
      }
      const first = await this.#tryNumber(sets, parts, best);
      const found = first !== null && isMet(first) ? first : await this.#everyChoice(sets, first);
      if (found !== null && isMet(found) && (best === null || better(found, best))) {
        best = found;
        bound = await this.#bound(best);
        sets = found.starts.length - 1;
        if (sets < bound || failed.has(sets)) break;
        continue;
      }
      failed.add(sets);
      if (found !== null && better(found, nearest)) nearest = found;
      if (best !== null || this.seeking.effort.isSpent) break;
      if (failed.size === FAILED.least) {
        // Is it to be had at all, with as many sets as there may be?
        const { targets } = this;
        const most = await this.filled(1, nothing);
        this.targets = targets;
        if (better(most, nearest)) nearest = most;
        if (most.short > NEARLY.short) break;
      }
      sets++;
    }
    if (best === null) return { ...nearest, fewest: nearest.starts.length };
    best = polished(this.seeking, best, this.others, this.wanted);
    return { ...best, fewest: Math.min(best.starts.length, bound) };
  }

  /**
   * Sets in parts on all days, in the machines to themselves, for a little less than is needed: none has
   * fewer. What is needed is what the plan found would have if its chances were no more than asked.
   */
  async #bound(best: Tried): Promise<number> {
    const { calendar, seeking } = this;
    const { p } = seeking;
    const all = p.calendars[calendar]!.setDays;
    const program = await Program.open(p, calendar, all, [], seeking.effort, 'mean');
    try {
      const needed = this.targets.map((birds, i) =>
        birds === 0 ? 0 : birdsNeeded(p.wanted[i]!.claim, best.outlook.get(i)!),
      );
      program.ask(this.#needs(needed));
      // Parts are no simulation: where they do not reach what whole sets give, as far as they reach.
      const reach =
        program.fewest() === null ? (program.fullest(Number.POSITIVE_INFINITY)?.least ?? 0) : 1;
      const parts = program.fewest(MARGIN * Math.min(1, reach));
      return parts === null ? 1 : Math.max(1, Math.ceil(parts.sets - 1e-6));
    } finally {
      program.close();
    }
  }

  /** As many sets as the fewest eggs take, in parts; null where no such sets meet the claims. */
  async fewestEggs(): Promise<SearchFound | null> {
    const { full } = this;
    const eggs = full.fewestEggs(1);
    if (eggs === null) return null;
    const sets = Math.max(1, Math.ceil(eggs.sets - 1e-6));
    const parts = full.fullest(sets);
    const found = parts && (await this.#tryNumber(sets, parts, null));
    return found && isMet(found) ? { ...found, fewest: 0 } : null;
  }

  /** Where not all can be had: what is in reach, with the fewest sets that give it. */
  async nearest(nothing: SearchFound): Promise<SearchFound> {
    const most = this.full.fullest(Number.POSITIVE_INFINITY);
    if (most === null) return nothing;
    // Each claim is asked for as much of its need as there is.
    this.targets = this.targets.map((birds, i) =>
      birds === 0 ? 0 : inReach(this.seeking.without[i]!, birds, most.shares[i]!),
    );
    return await this.filled(WORTH_TRYING, nothing);
  }

  /** Sets that give so much of each need in parts, made whole and filled; more of them while that helps. */
  async filled(part: number, nothing: SearchFound): Promise<SearchFound> {
    const { full, others, wanted } = this;
    const { p, outlook, effort } = this.seeking;
    let best: Tried = nothing;
    full.ask(this.#needs(this.targets));
    const parts = full.fewest(part) ?? full.fullest(Number.POSITIVE_INFINITY);
    let sets = Math.ceil((parts?.sets ?? 0) - 1e-6);
    const steps = this.targets.map(() => new Step());
    for (let turn = 0; turn < FILLED_TURNS && !isMet(best) && !effort.isSpent; turn++) {
      const from = full.fullest(sets);
      if (from === null) break;
      const whole = await rounded(this.#asked(this.targets), full, from, sets);
      if (whole === null) break;
      const eggs = wholeEggs(whole.program, whole.slots, whole.parts, others);
      whole.program.close();
      const found = tried(p, outlook, filledEggs(p, eggs, others), wanted);
      if (better(found, best)) best = found;
      else if (turn > 0) break;
      sets++;
      if (part < 1) continue;
      // What can be had is asked until it is enough.
      this.targets = this.targets.map((birds, i) =>
        birds === 0
          ? 0
          : Math.max(
              birds,
              steps[i]!.next(p.wanted[i]!.claim, found.outlook.get(i)!, birds, CLOSE),
            ),
      );
      full.ask(this.#needs(this.targets));
    }
    best = polished(this.seeking, best, others, wanted);
    return { ...best, fewest: best.starts.length };
  }

  #asked(targets: readonly number[]): RoundingAsked {
    const { p, effort } = this.seeking;
    return { p, calendar: this.calendar, others: this.others, needs: this.#needs(targets), effort };
  }

  /** The best plan found with so many sets; tried again with needs that fit it, and near the plan in hand. */
  async #tryNumber(sets: number, from: SetsInParts, best: Tried | null): Promise<Tried | null> {
    const { full } = this;
    let found: Tried | null = null;
    let targets = this.targets;
    let parts: SetsInParts | null = from;
    for (let turn = 0; parts !== null; turn++) {
      const whole = await rounded(this.#asked(targets), full, parts, sets);
      if (whole === null) break;
      const { plan, next } = this.#withEggs(whole, targets);
      whole.program.close();
      if (found === null || better(plan, found)) found = plan;
      if (isMet(plan)) {
        this.targets = next;
        return plan;
      }
      const moved = polished(this.seeking, found, this.others, this.wanted);
      if (isMet(moved)) return moved;
      if (better(moved, found)) found = moved;
      if (turn + 1 >= (found.short < NEARLY.short ? NEARLY.tries : TRIES)) break;
      targets = next;
      full.ask(this.#needs(targets));
      parts = full.fullest(sets);
    }
    const inHand = found ?? best;
    if (inHand === null || inHand.short > NEARLY.short) return found;
    // Days beside the plan in hand make up for those that were left out.
    const own = this.seeking.p.calendars[this.calendar]!.setDays;
    const beside = own.filter((day) =>
      inHand.starts.some((one) => Math.abs(one.day - day) <= BESIDE),
    );
    const whole = await roundedOn(this.#asked(targets), beside, sets, []);
    if (whole === null) return found;
    const { plan } = this.#withEggs(whole, targets);
    whole.program.close();
    const moved = polished(this.seeking, plan, this.others, this.wanted);
    return found === null || better(moved, found) ? moved : found;
  }

  /** Where there are few choices of so many days all are tried, each set with what it can hold. */
  async #everyChoice(sets: number, first: Tried | null): Promise<Tried | null> {
    const { p, outlook } = this.seeking;
    const choices = choicesOf(this.full.days, sets, MOST_CHOICES);
    let best = first;
    for (const days of choices ?? []) {
      const whole = await roundedOn(this.#asked(this.targets), days, sets, []);
      if (whole === null) continue;
      const { program, slots, parts } = whole;
      const eggs = wholeEggs(program, slots, parts, this.others);
      const plan = tried(p, outlook, filledEggs(p, eggs, this.others), this.wanted);
      program.close();
      if (best === null || better(plan, best)) best = plan;
      if (isMet(plan)) break;
    }
    return best;
  }

  /** The best eggs for whole sets: needs are moved until the simulation finds the chances asked. */
  #withEggs({ program, slots }: Rounded, from: readonly number[]): { plan: Tried; next: number[] } {
    const { p, outlook } = this.seeking;
    const steps = from.map(() => new Step());
    let targets = [...from];
    let best: Tried | null = null;
    let next = targets;
    for (let round = 0; round < EGG_ROUNDS; round++) {
      program.ask(this.#needs(targets));
      const full = program.fullest(slots.length);
      const parts = full && (program.fewestEggs(Math.min(1, full.least)) ?? full);
      if (parts === null) break;
      let starts = wholeEggs(program, slots, parts, this.others);
      // Where there is not enough, sets take what is left over.
      if (full!.least < 1) starts = filledEggs(p, starts, this.others);
      const plan = tried(p, outlook, starts, this.wanted);
      const isMore = best === null || plan.short < best.short - CHANCE_STEP;
      if (best === null || better(plan, best)) {
        best = plan;
        next = targets;
      }
      // The sets are full, and to ask for more brings no more.
      if (!isMore && full!.least < 1) break;
      const asked = targets.map((birds, i) =>
        birds === 0 ? 0 : steps[i]!.next(p.wanted[i]!.claim, plan.outlook.get(i)!, birds, CLOSE),
      );
      if (asked.every((birds, i) => Math.abs(birds - targets[i]!) < SAME_BIRDS)) break;
      targets = asked;
      if (!isMet(plan)) next = asked;
    }
    return { plan: best!, next };
  }
}

/** So many choices of days at most are tried one by one (tests/planner/fewest: 2 farms of 80 had one set too many). */
const MOST_CHOICES = 60;

/** Every choice of so many of some days; null if there are more than `most`. */
function choicesOf(days: readonly number[], count: number, most: number): number[][] | null {
  let choices: number[][] = [[]];
  for (let turn = 0; turn < count; turn++) {
    choices = choices.flatMap((chosen) =>
      days.filter((day) => day > (chosen.at(-1) ?? -1)).map((day) => [...chosen, day]),
    );
    if (choices.length > most * days.length) return null;
  }
  return choices.length > most ? null : choices;
}

/** Targets that differ by less than this many birds are the same. */
const SAME_BIRDS = 0.2;
/** Sets that a day can take at most, for the end of a search. */
const MOST_A_DAY = 3;
/** Numbers of sets that are filled, one more each time. */
const FILLED_TURNS = 4;
