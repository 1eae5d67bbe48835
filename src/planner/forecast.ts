/** From worlds to birds: what is recorded and planned, as far as it serves each goal. */

import { flockOf, type Group } from '../facts/birds/groups.ts';
import { birdsOfSex } from '../facts/birds/pullets.ts';
import {
  type Claim,
  type ClaimFate,
  claimsOf,
  isServedBy,
  type Rivalry,
  rivalsOf,
} from '../facts/claims.ts';
import { type Goal, pensOf, readyDay, stagesOf } from '../facts/goals.ts';
import { milestonesOfShare, openPlan } from '../facts/hatch-time.ts';
import { work } from '../facts/tasks/work.ts';
import { Birds, type Portion, type SetShare } from '../judge/rates/birds.ts';
import { rearedPart } from '../judge/rates/evidence.ts';
import type { PlannedShare, ScatterMoments, Worlds } from '../judge/rates/worlds.ts';
import type { PlannedSet, Season, Share } from '../season/model.ts';
import { addDays, type Day, daysBetween, later } from '../text/day.ts';
import { groupedBy } from '../text/lists.ts';

type Series = Float64Array | number;

/** A goal of chicks counts all that hatched but those of orders; an order what it got and can still get. */
const isCounted = ({ at, kind }: Claim): boolean => at === 'hatch' && kind === 'goal';

const keyOf = ({ kind, index }: Claim) => `${kind} ${index}`;

/** How birds leave that go where a goal wants them. */
const waysOf: Readonly<Record<ClaimFate, readonly string[]>> = {
  kept: ['layer', 'breeder'],
  sold: ['sold'],
  given: ['given'],
  table: ['table'],
};

const times = (draws: number, ...factors: Series[]): Series => {
  let constant = 1;
  const rows: Float64Array[] = [];
  for (const factor of factors) {
    if (typeof factor === 'number') constant *= factor;
    else rows.push(factor);
  }
  if (rows.length === 0) return constant;
  const made = new Float64Array(draws).fill(constant);
  for (const row of rows) for (let i = 0; i < draws; i++) made[i]! *= row[i]!;
  return made;
};

/** Plan lines not yet recorded and not past. */
export function linesToCome(season: Season, today: Day): PlannedSet[] {
  return openPlan(season).filter((line) => line.on >= today);
}

/** The shares of plan lines still to come. */
export function plannedShares(lines: readonly PlannedSet[]): PlannedShare[] {
  return lines.flatMap((line) =>
    line.shares.map(({ pen, eggs }) => ({ set: line.name, pen, on: line.on, eggs })),
  );
}

/** Birds that some eggs or chicks promise, with the day they hatch or hatched. */
interface Hatching extends Portion {
  readonly hatch: Day;
}

/** Chicks to come from one share of a set, in each world. */
interface ChicksToCome extends Hatching {
  readonly set: string;
}

/** Planned shares of one set, as far as they are known in each world. */
interface ComingSet {
  readonly set: string;
  readonly pen: PlannedShare['pen'];
  readonly hatch: Day;
  readonly shares: SetShare[];
}

type Hatched = (hatch: Day) => boolean;
const always: Hatched = () => true;

/**
 * Birds of every claim from the season as it stands and from a list of planned shares, over one set of
 * worlds. What is recorded is worked out once; each plan tried adds its own.
 */
export class Forecast {
  readonly season: Season;
  readonly claims: readonly Claim[];
  readonly #recorded = new Map<string, Birds>();
  readonly #hatchings = new Map<string, Hatching[]>();
  #open: (ChicksToCome & { readonly share: Share })[] | null = null;

  constructor(
    readonly worlds: Worlds,
    claims?: readonly Claim[],
  ) {
    this.season = worlds.season;
    this.claims = claims ?? claimsOf(worlds.season);
  }

  /** Birds that some claims may count on, by their places in `claims`: no bird twice. */
  birdsOf(
    planned: readonly PlannedShare[],
    wanted: readonly number[] = this.claims.map((_, i) => i),
  ): Birds[] {
    const claims = wanted.map((i) => this.claims[i]!);
    const lines = new Set(claims.map(({ line }) => line));
    const sets = this.#comingSets(planned.filter(({ pen }) => lines.has(pen.line)));
    return claims.map((claim) => this.#birds(claim, sets));
  }

  #birds(claim: Claim, sets: ReadonlyMap<string, ComingSet[]>): Birds {
    const rivals = rivalsOf(this.claims, claim);
    if (rivals.length === 0) return this.#served(claim, sets, always, 'all');
    const isShared: Hatched = (hatch) => rivals.some((one) => isServedBy(one.claim, hatch));
    let shared = this.#served(claim, sets, isShared, 'shared', false);
    const own = this.#served(claim, sets, (hatch) => !isShared(hatch), 'own');
    for (const rival of rivals) {
      const [birds, chance] = this.#takenBy(rival, claim, sets);
      shared = shared.less(birds, chance);
    }
    return shared.plus(own);
  }

  /**
   * How many birds a rival takes of those that a claim could use, in each world, and the chance that one
   * of them would have been a bird of the claim. It takes first what the claim cannot use.
   */
  #takenBy(
    rival: Rivalry,
    claim: Claim,
    sets: ReadonlyMap<string, ComingSet[]>,
  ): [Float64Array, Float64Array] {
    const { worlds } = this;
    const isElsewhere: Hatched = (hatch) => !isServedBy(claim, hatch);
    let elsewhere = this.#served(rival.claim, sets, isElsewhere, `not ${keyOf(claim)}`, false);
    if (rival.others) {
      const opposite = { ...rival.claim, want: rival.sex === 'female' ? 'cockerels' : 'pullets' };
      const usable: Hatched = (hatch) => isServedBy(claim, hatch);
      elsewhere = elsewhere.plus(
        this.#served(opposite as Claim, sets, usable, `with ${keyOf(claim)}`, false),
      );
    }
    // A goal that counts all that hatched counts those too that left for another goal.
    const isGone = !isCounted(claim) || rival.claim.kind === 'order';
    const gone = isGone ? this.#deliveredTo(rival.claim).birds : 0;
    const count = Math.max(0, rival.claim.count - gone);
    const [pen] = pensOf(this.season, claim);
    let chance: Series = 1;
    if (pen !== undefined) {
      const female = worlds.unit('female', pen).rate;
      const sex =
        rival.others || rival.sex === 'all'
          ? 1
          : rival.sex === 'female'
            ? female
            : female.map((p) => 1 - p);
      const power = rival.reared ? this.#partLeft(claim, pen, 0) : 0;
      const reared = power > 0 ? worlds.unit('reared', pen).rate.map((p) => p ** power) : 1;
      chance = times(worlds.draws, sex, reared);
    }
    let taken = count === 0 ? new Float64Array(worlds.draws) : elsewhere.missingOf(count);
    if (rival.claim.by < worlds.today) {
      // After its day it has what it could get by then, and no birds that have grown out of what it wants.
      const missing = this.#served(rival.claim, sets, always, 'all').missingOf(count);
      taken = taken.map((birds, i) => Math.min(birds, count - missing[i]!));
    }
    return [
      taken,
      typeof chance === 'number' ? new Float64Array(worlds.draws).fill(chance) : chance,
    ];
  }

  /** Planned sets by line, with the eggs that will be there. */
  #comingSets(planned: readonly PlannedShare[]): Map<string, ComingSet[]> {
    const { worlds } = this;
    // Shares that serve nobody still take eggs from those that do.
    const come = worlds.eggsThatCome(planned);
    const sets = new Map<string, ComingSet>();
    planned.forEach(({ set, pen, on }, i) => {
      const key = `${pen.line.name} ${set}`;
      const one = sets.get(key) ?? {
        set,
        pen,
        hatch: addDays(on, pen.line.species.hatch_day.value),
        shares: [],
      };
      sets.set(key, one);
      const { eggs, ages } = come[i]!;
      one.shares.push({
        eggs,
        scatter: worlds.moments(['fertile'], pen),
        kept: worlds.kept(pen.line, ages),
      });
    });
    return groupedBy(sets.values(), (one) => one.pen.line.name);
  }

  /** Birds that would serve a claim alone, of those that hatch on some days. */
  #served(
    claim: Claim,
    sets: ReadonlyMap<string, ComingSet[]>,
    isMeant: Hatched,
    named: string,
    delivered = true,
  ): Birds {
    const { worlds } = this;
    const birds = new Birds(worlds.draws, this.#recordedOf(claim, isMeant, named, delivered));
    const power = claim.at === 'hatch' ? 0 : rearedPart(this.season, claim.line, claim.ageDays);
    for (const { pen, hatch, shares } of sets.get(claim.line.name) ?? []) {
      if (!isServedBy(claim, hatch) || !isMeant(hatch)) continue;
      const common = this.#toSound(pen);
      if (power > 0) common.push(worlds.moments(['reared'], pen, power));
      birds.addSet(shares, common, this.#sex(claim, pen));
    }
    return birds;
  }

  /** From fertile egg to sound chick. */
  #toSound(pen: PlannedShare['pen']): ScatterMoments[] {
    const { worlds } = this;
    return [
      worlds.moments(['candled', 'transferred', 'hatched'], pen),
      worlds.moments(['sound'], pen),
    ];
  }

  /** Sound chicks expected of each planned set, by name: the mean of what the claims count on. */
  soundChicks(planned: readonly PlannedShare[]): Map<string, number> {
    const found = new Map<string, number>();
    for (const { set, pen, shares } of [...this.#comingSets(planned).values()].flat()) {
      const birds = new Birds(this.worlds.draws);
      birds.addSet(shares, this.#toSound(pen));
      found.set(set, (found.get(set) ?? 0) + birds.expected);
    }
    return found;
  }

  /** Birds of a claim from what is recorded: those to come of some hatches, and those that went to it. */
  #recordedOf(claim: Claim, isMeant: Hatched, named: string, delivered: boolean): Birds {
    const key = `${keyOf(claim)} ${claim.want} ${named} ${delivered}`;
    const known = this.#recorded.get(key);
    if (known) return known;
    const all = this.#hatchings.get(`${keyOf(claim)} ${claim.want}`) ?? [
      ...this.#fromSets(claim),
      ...[...flockOf(this.season).groups.values()].flatMap((group) =>
        isCounted(claim) ? this.#lessOrders(claim, group) : this.#fromGroup(claim, group),
      ),
    ];
    this.#hatchings.set(`${keyOf(claim)} ${claim.want}`, all);
    const made = Birds.of(this.worlds.draws, [
      ...all.filter(({ hatch }) => isMeant(hatch)),
      ...(delivered && !isCounted(claim) ? this.#deliveredTo(claim).portions : []),
    ]);
    this.#recorded.set(key, made);
    return made;
  }

  /** Birds that left for a claim: to a named order, or where a goal wants them; the first claim is filled first. */
  #deliveredTo(claim: Claim): { portions: Portion[]; birds: number } {
    const { sex } = stagesOf(claim);
    const ways = waysOf[claim.fate];
    const portions: Portion[] = [];
    let birds = 0;
    for (const group of flockOf(this.season).groups.values()) {
      const serving = group.parts.filter((part) => part.pen.line === claim.line);
      if (serving.length === 0) continue;
      const part = serving.reduce((sum, one) => sum + one.chicks, 0) / group.placed;
      for (const { values } of group.leavings) {
        const isFor = values.order === (claim.for ?? '');
        if (!isFor || (claim.for === null && !ways.includes(values.way))) continue;
        if (sex !== null && values.sex !== 'unknown' && values.sex !== sex) continue;
        const rate = sex === null || values.sex === sex ? 1 : this.#sex(claim, serving[0]!.pen);
        birds += values.birds * part * (rate === 1 ? 1 : 0.5);
        portions.push({ eggs: values.birds * part, rate });
      }
    }
    const before = this.claims.filter(
      (one) =>
        one.line === claim.line &&
        one.for === claim.for &&
        one.fate === claim.fate &&
        one.want === claim.want &&
        one.at === claim.at,
    );
    const taken = before.slice(0, before.indexOf(claim)).reduce((sum, one) => sum + one.count, 0);
    const left = birds > 0 ? Math.max(0, birds - taken) / birds : 0;
    return {
      portions: portions.map(({ eggs, rate }) => ({ eggs: (eggs as number) * left, rate })),
      birds: birds * left,
    };
  }

  /** Chicks to hatch from now on, share by share. */
  coming(planned: readonly PlannedShare[]): ChicksToCome[] {
    const come = this.worlds.eggsThatCome(planned);
    return [
      ...this.#openShares(),
      ...planned.map(
        (share, i): ChicksToCome => ({
          set: share.set,
          hatch: addDays(share.on, share.pen.line.species.hatch_day.value),
          eggs: come[i]!.eggs,
          rate: this.worlds.hatching(share.pen, share.set, come[i]!.ages),
        }),
      ),
    ];
  }

  /** Chick off the hatcher to bird wanted, for birds of a share not hatched yet. */
  #afterHatch(goal: Goal, pen: PlannedShare['pen'], whose: string): Series {
    const { worlds } = this;
    const sound = worlds.passing(['sound'], pen, whose);
    return times(worlds.draws, sound, this.#rearing(goal, pen, whose, 0), this.#sex(goal, pen));
  }

  /** From an age to the age wanted, with the scatter of a set or group. */
  #rearing(goal: Goal, pen: PlannedShare['pen'], whose: string, ageDays: number): Series {
    const power = this.#partLeft(goal, pen, ageDays);
    if (power <= 0) return 1;
    const reared = this.worlds.passing(['reared'], pen, whose);
    return power === 1 ? reared : reared.map((rate) => rate ** power);
  }

  #partLeft(goal: Goal, pen: PlannedShare['pen'], ageDays: number): number {
    if (goal.at === 'hatch') return 0;
    return Math.max(
      0,
      rearedPart(this.season, pen.line, goal.ageDays) - rearedPart(this.season, pen.line, ageDays),
    );
  }

  #sex(goal: Goal, pen: PlannedShare['pen']): Series {
    const { sex } = stagesOf(goal);
    if (sex === null) return 1;
    const { rate } = this.worlds.unit('female', pen);
    return sex === 'female' ? rate : rate.map((female) => 1 - female);
  }

  /** Live eggs of every share in a machine: their hatch to come. */
  #openShares(): (ChicksToCome & { readonly share: Share })[] {
    const { worlds, season } = this;
    this.#open ??= [...season.sets.values()]
      .flatMap(({ shares }) => shares)
      .filter(({ stage }) => stage !== 'finished')
      .map((share) => {
        const { pen, set, stage, drawn } = share;
        const eggs = Math.max(0, share.live);
        const hatch = later(milestonesOfShare(share, season).hatch, worlds.today);
        const base = { share, set, hatch, eggs };
        if (stage === 'in-setter' && share.candlings.length === 0)
          return { ...base, rate: worlds.hatching(pen, set, drawn) };
        const rate = times(
          worlds.draws,
          worlds.passing(
            stage === 'in-setter' ? ['transferred', 'hatched'] : ['hatched'],
            pen,
            set,
          ),
          worlds.kept(pen.line, drawn),
        );
        const out = share.tally.hatched ?? 0;
        return out === 0
          ? { ...base, rate }
          : { ...base, eggs: this.#stillToHatch(share, out, eggs, rate), rate: 1 };
      });
    return this.#open;
  }

  /**
   * Chicks still to come of a hatch under way: what is out already says how good it is, and how few
   * eggs are left. Worlds in which so many could not have hatched are drawn again.
   */
  #stillToHatch(share: Share, out: number, live: number, rate: Series): Float64Array {
    const uniform = this.worlds.uniform(`under way ${share.set} ${share.pen.name}`);
    const moved = share.tally.moved ?? out + live;
    const made = new Float64Array(this.worlds.draws);
    for (let i = 0; i < made.length; i++) {
      for (let turn = 0; turn < 40; turn++) {
        const at = turn === 0 ? i : Math.floor(uniform() * made.length);
        const p = typeof rate === 'number' ? rate : rate[at]!;
        let hatched = 0;
        for (let egg = 0; egg < moved; egg++) if (uniform() < p) hatched++;
        made[i] = Math.min(live, Math.max(0, hatched - out));
        if (hatched >= out && hatched <= out + live) break;
      }
    }
    return made;
  }

  /** What shares still in a machine, and chicks that no group holds, promise a goal. */
  #fromSets(goal: Claim): Hatching[] {
    const { worlds, season } = this;
    const isInTime = (ready: Day): boolean =>
      ready <= goal.by && (goal.from === null || ready >= goal.from);
    const found: Hatching[] = [];
    for (const { share, hatch, eggs, rate } of this.#openShares()) {
      if (share.pen.line !== goal.line) continue;
      const soonest = addDays(worlds.today, goal.at === 'hatch' ? 0 : goal.ageDays);
      if (!isInTime(later(readyDay(goal, share.on.day), soonest))) continue;
      const birds = this.#afterHatch(goal, share.pen, share.set);
      const each = typeof rate === 'number' ? rate : Float64Array.from(rate);
      found.push({ hatch, eggs, rate: times(worlds.draws, each, birds) });
    }
    for (const share of [...season.sets.values()].flatMap(({ shares }) => shares)) {
      const { pen, set, tally, openings, finishedOn } = share;
      if (pen.line !== goal.line || tally.hatched === null) continue;
      const hatch = openings.find((row) => row.values.hatched > 0)?.on.day;
      if (hatch === undefined) continue;
      const ready =
        goal.at === 'hatch'
          ? (finishedOn ?? later(hatch, worlds.today))
          : addDays(hatch, goal.ageDays);
      if (!isInTime(ready)) continue;
      if (isCounted(goal)) {
        found.push({ hatch, eggs: tally.sound, rate: this.#sex(goal, pen) });
        continue;
      }
      const grouped = [...flockOf(season).groups.values()]
        .flatMap(({ parts }) => parts)
        .filter((part) => part.set === set && part.pen === pen)
        .reduce((sum, part) => sum + part.chicks, 0);
      const eggs = tally.sound - grouped;
      if (eggs <= 0) continue;
      const age = Math.max(0, daysBetween(hatch, worlds.today));
      const rate = times(worlds.draws, this.#rearing(goal, pen, set, age), this.#sex(goal, pen));
      found.push({ hatch, eggs, rate });
    }
    return found;
  }

  /** Birds of a group that left for orders, taken off what hatched. */
  #lessOrders(goal: Claim, { parts, placed, leavings }: Group): Hatching[] {
    const serving = parts.filter((part) => part.pen.line === goal.line);
    const part = serving.reduce((sum, one) => sum + one.chicks, 0) / placed;
    const birds = leavings.reduce(
      (sum, { values }) => sum + (values.order === '' ? 0 : values.birds),
      0,
    );
    const hatch = serving[0]?.hatched;
    return hatch === undefined ? [] : [{ hatch, eggs: -birds * part, rate: 1 }];
  }

  /** What a living group gives. */
  #fromGroup(goal: Claim, group: Group): Hatching[] {
    const { worlds } = this;
    const serving = group.parts.filter(
      (part) => part.pen.line === goal.line && isServedBy(goal, part.hatched),
    );
    const age = Math.max(0, daysBetween(group.youngest, worlds.today));
    const isOver = group.living === 0 || (goal.at === 'hatch' && age > work.chick_days.value);
    if (serving.length === 0 || isOver) return [];
    const part = serving.reduce((sum, one) => sum + one.chicks, 0) / group.placed;
    const { pen } = serving.reduce((a, b) => (b.chicks > a.chicks ? b : a));
    const { hatched: hatch } = serving.reduce((a, b) => (b.hatched > a.hatched ? b : a));
    const { sex } = stagesOf(goal);
    const rest = this.#restOfGroup(goal, group, age);
    if (sex === null) return [{ hatch, eggs: group.living * part, rate: rest }];
    const { known, other, unsure, living } = birdsOfSex(group, sex, { day: worlds.today });
    // Birds that went unsexed since the count are missing from all three alike.
    const counted = known + other + unsure;
    const here = times(worlds.draws, rest, counted === 0 ? 0 : Math.min(1, living / counted));
    return [
      { hatch, eggs: known * part, rate: here },
      { hatch, eggs: unsure * part, rate: times(worlds.draws, here, this.#sex(goal, pen)) },
    ].filter(({ eggs }) => eggs > 0);
  }

  /** Survival of a group from now on: its own losses so far count in its scatter. */
  #restOfGroup(goal: Goal, group: Group, age: number): Series {
    const { worlds, season } = this;
    const { pen } = group.parts[0]!;
    const power = this.#partLeft(goal, pen, age);
    if (power <= 0) return 1;
    const { rate, within } = worlds.unit('reared', pen);
    const behind = (days: number) => rearedPart(season, pen.line, days);
    // Birds that left were at risk only until then.
    const risked = group.leavings.reduce(
      (sum, row) =>
        sum - row.values.birds * (behind(age) - behind(daysBetween(group.youngest, row.on.day))),
      group.placed * behind(age),
    );
    const exposed = Math.max(group.lost, risked);
    const beta = worlds.beta(`group ${group.name}`);
    return rate.map((mean, i) => {
      const rho = within[i]!;
      if (rho <= 0 || mean <= 0 || mean >= 1) return mean ** power;
      const strength = 1 / rho - 1;
      const p = beta(mean * strength + exposed - group.lost, (1 - mean) * strength + group.lost);
      return p ** power;
    });
  }
}
