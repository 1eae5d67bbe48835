/**
 * What the looks at a share say of its eggs: a chain of binomials. Each look puts eggs into a cell
 * that holds every end the look cannot tell apart (a clear egg was never fertile, or died before
 * blood was seen; one that did not hatch died at any time since the last look). In the order of the
 * cells, each is a binomial among what is left, with a chance that sums the stages; so an egg is
 * counted once, whatever was or was not opened (interval censoring: Turnbull 1976, J. R. Stat. Soc. B 38:290).
 */
import type { breakout } from '../../records/breakout.ts';
import type { RowOf } from '../../records/record.ts';
import type { Season, Share } from '../../season/model.ts';
import { type Day, daysBetween } from '../../text/day.ts';
import { seeds } from './priors.ts';
import { ends, type Parts } from './stages.ts';

/** `x` of `n` eggs stood in a cell; both cells as the parts of each end that they hold. */
export type LookCount = {
  readonly stream: string;
  readonly x: number;
  readonly n: number;
  readonly cell: Parts;
  readonly rest: Parts;
};

export type BreakoutPool = 'clear' | 'quit' | 'unhatched';
type Breakout = RowOf<typeof breakout>['values'];
const opens = ['infertile', 'early', 'middle', 'late'] as const;
type Opens = (typeof opens)[number];
export type LookOpened = Record<Opens | 'pipped' | 'rotten' | 'malposed', number>;

export const none = (): LookOpened => ({
  infertile: 0,
  early: 0,
  middle: 0,
  late: 0,
  pipped: 0,
  rotten: 0,
  malposed: 0,
});

const openedOf = (one: LookOpened): number => one.infertile + one.early + one.middle + one.late;

/** The breakouts of each share, by `set\npen` and by the pool the eggs were from. */
export function breakoutsOf(season: Season): Map<string, Record<BreakoutPool, LookOpened>> {
  const out = new Map<string, Record<BreakoutPool, LookOpened>>();
  for (const row of season.rows.breakout) {
    const values: Breakout = row.values;
    const set = season.sets.get(values.set);
    const pen = values.pen ?? (set?.shares.length === 1 ? set.shares[0]!.pen.name : null);
    if (pen === null) continue;
    const key = `${values.set}\n${pen}`;
    const pools = out.get(key) ?? noneOpened();
    out.set(key, pools);
    const pool = pools[values.from];
    for (const name of Object.keys(pool) as (keyof LookOpened)[]) pool[name] += values[name];
  }
  return out;
}

/** Pools of which nothing was opened. */
export const noneOpened = (): Record<BreakoutPool, LookOpened> => ({
  clear: none(),
  quit: none(),
  unhatched: none(),
});

export type Keeping = {
  /** Pools that this keeper opens as a rule: seven eggs in ten and more. */
  opens: ReadonlySet<BreakoutPool>;
  /** Quits are written at candlings; clears and quits at transfer. */
  quits: boolean;
  atTransfer: boolean;
};

const MOSTLY = 0.7;

/** How a season's records are kept, which says what an empty column means. */
export function keepingOf(
  season: Season,
  opened: Map<string, Record<BreakoutPool, LookOpened>>,
): Keeping {
  const of = { clear: 0, quit: 0, unhatched: 0 };
  const done = { clear: 0, quit: 0, unhatched: 0 };
  let quits = 0;
  let atTransfer = 0;
  for (const set of season.sets.values())
    for (const share of set.shares) {
      const { tally } = share;
      const pools = opened.get(`${set.name}\n${share.pen.name}`);
      of.clear += tally.clear;
      of.quit += tally.quit;
      if (share.stage === 'finished') of.unhatched += tally.unpipped;
      if (pools)
        for (const pool of ['clear', 'quit', 'unhatched'] as const)
          done[pool] += openedOf(pools[pool]);
      quits += tally.at.candling.quit;
      atTransfer += tally.at.transfer.clear + tally.at.transfer.quit;
    }
  return {
    opens: new Set(
      (['clear', 'quit', 'unhatched'] as const).filter(
        (pool) => of[pool] > 0 && done[pool] >= MOSTLY * of[pool],
      ),
    ),
    quits: quits > 0,
    atTransfer: atTransfer > 0,
  };
}

/** Share of the deaths of a stage that lie behind on a day of the term, as part of the term. */
function diedBy(stage: 'early' | 'middle' | 'late', at: number): number {
  const early = seeds.levels.early_until.value;
  const middle = seeds.levels.middle_until.value;
  const within = (from: number, to: number): number =>
    Math.min(1, Math.max(0, (at - from) / (to - from)));
  // Most early deaths fall in the first days (Kuurman 2001): by the root of the time.
  if (stage === 'early') return Math.sqrt(within(0, early));
  return stage === 'middle' ? within(early, middle) : within(middle, 1);
}

type LookCell = { name: string; count: number; parts: number[] };
const empty = (): number[] => ends.map(() => 0);
const E = Object.fromEntries(ends.map((end, i) => [end, i])) as Record<
  (typeof ends)[number],
  number
>;
/** The order in which cells are taken off: by the look, a known end at its stage. */
const order = [
  'infertile',
  'clear',
  'clear at transfer',
  'early',
  'quit',
  'middle',
  'quit later',
  'quit at transfer',
  'late',
  'unpipped',
  'pipped',
];

/** The counts of one share; empty where nothing was looked at or its counts contradict each other. */
export function lookCounts(
  share: Share,
  opened: Record<BreakoutPool, LookOpened> | undefined,
  keeping: Keeping,
): LookCount[] {
  const { tally } = share;
  const term = share.pen.line.species.hatch_day.value;
  const pools = opened ?? noneOpened();
  const seen = 1 - seeds.levels.overlooked.value;
  const looksClear = seeds.levels.looks_clear.value;
  const left = ends.map(() => 1);
  const cells: LookCell[] = [];
  const put = (name: string, count: number, parts: number[]): void => {
    const known = cells.find((cell) => cell.name === name);
    if (!known) cells.push({ name, count, parts });
    else {
      known.count += count;
      parts.forEach((part, i) => {
        known.parts[i]! += part;
      });
    }
  };
  /** Eggs taken out at a look, as cells of their own, or by their ends where all were opened. */
  const take = (pool: BreakoutPool, name: string, count: number, parts: number[]): void => {
    parts.forEach((part, i) => {
      left[i]! -= part;
    });
    if (keeping.opens.has(pool) && whole[pool]) {
      for (const end of opens) {
        const own = empty();
        own[E[end]] = parts[E[end]]!;
        // Several looks of one pool share its breakout: its counts are put in once, below.
        put(end, 0, own);
      }
    } else put(name, count, parts);
  };
  const counts = {
    clear: tally.clear,
    quit: tally.quit,
    unhatched: tally.unpipped,
  };
  const whole = {
    clear: counts.clear === openedOf(pools.clear) + pools.clear.rotten,
    quit: counts.quit === openedOf(pools.quit) + pools.quit.rotten,
    unhatched: tally.unpipped === openedOf(pools.unhatched) + pools.unhatched.rotten,
  };

  /** Parts of each end that a look on a day sees as clear, and as quit. */
  const seenOn = (day: Day): { clear: number[]; quit: number[] } => {
    const at = daysBetween(share.on.day, day) / term;
    // Eggs that live on are all there: what else is left has died, and was missed or died since the last look.
    const dead = (stage: 'early' | 'middle' | 'late'): number =>
      Math.max(0, left[E[stage]]! - (1 - diedBy(stage, at))) * seen;
    const clear = empty();
    clear[E.infertile] = left[E.infertile]! * seen;
    clear[E.early] = dead('early') * looksClear;
    const quit = empty();
    quit[E.early] = dead('early') * (1 - looksClear);
    quit[E.middle] = dead('middle');
    quit[E.late] = dead('late');
    return { clear, quit };
  };

  const candlings = [...new Set(share.candlings.map((row) => row.on.day))].sort();
  candlings.forEach((day, look) => {
    const rows = share.candlings.filter((row) => row.on.day === day);
    const sum = (column: 'clear' | 'quit'): number =>
      rows.reduce((total, row) => total + row.values[column], 0);
    const { clear, quit } = seenOn(day);
    take('clear', 'clear', sum('clear'), clear);
    if (keeping.quits) take('quit', look === 0 ? 'quit' : 'quit later', sum('quit'), quit);
  });

  const removed = tally.at.candling.clear + tally.at.candling.quit;
  let missing = 0;
  if (tally.moved !== null) {
    const took = tally.at.transfer.clear + tally.at.transfer.quit;
    const looked = took > 0 || (candlings.length > 0 && keeping.atTransfer);
    if (looked) {
      const { clear, quit } = seenOn(share.transferredOn ?? share.on.day);
      if (tally.at.transfer.clear > 0 || candlings.length === 0)
        take('clear', 'clear at transfer', tally.at.transfer.clear, clear);
      take('quit', 'quit at transfer', tally.at.transfer.quit, quit);
    }
    missing = Math.max(0, tally.missingAtTransfer ?? 0);
  }
  const rotten = pools.clear.rotten + pools.quit.rotten + pools.unhatched.rotten;
  const gone = tally.cracked + tally.rotten;
  let lostLater = 0;
  if (share.stage === 'finished' && tally.hatched !== null) {
    lostLater = Math.max(0, tally.missingAtHatch ?? 0);
    const pipped = Math.max(tally.pipped, pools.unhatched.pipped);
    const shell = empty();
    for (const end of ['infertile', 'early', 'middle', 'late'] as const)
      shell[E[end]] = left[E[end]]!;
    take('unhatched', 'unpipped', tally.unpipped, shell);
    const pip = empty();
    pip[E.pipped] = 1;
    left[E.pipped] = 0;
    put('pipped', pipped, pip);
  } else if (tally.moved === null && candlings.length === 0) return [];

  for (const pool of ['clear', 'quit', 'unhatched'] as const)
    if (keeping.opens.has(pool) && whole[pool] && counts[pool] > 0)
      for (const end of opens) {
        const cell = cells.find((one) => one.name === end);
        if (cell) cell.count += pools[pool][end];
        else if (pools[pool][end] > 0) put(end, pools[pool][end], empty());
      }

  // Eggs that went astray are in no cell; those rotten at breakout are counted beside.
  let n = share.eggs - gone - rotten - missing - lostLater;
  if (removed > n || n <= 0) return [];
  const sorted = cells.sort((a, b) => order.indexOf(a.name) - order.indexOf(b.name));
  const rest = ends.map((_, i) => left[i]! + sorted.reduce((sum, cell) => sum + cell.parts[i]!, 0));
  const out: LookCount[] = [];
  for (const { name, count, parts } of sorted) {
    parts.forEach((part, i) => {
      rest[i] = Math.max(0, rest[i]! - part);
    });
    if (parts.some((part) => part > 0) && count <= n)
      out.push({ stream: name, x: count, n, cell: parts, rest: [...rest] });
    n -= count;
    if (n <= 0) break;
  }
  // Of eggs opened from a pool that is not opened as a rule, how they split.
  for (const pool of ['clear', 'quit', 'unhatched'] as const) {
    if (keeping.opens.has(pool) && whole[pool]) continue;
    const here = pools[pool];
    let of = openedOf(here);
    if (of === 0) continue;
    const mixed = cells
      .filter((cell) => cell.name.startsWith(pool === 'unhatched' ? 'unpipped' : pool))
      .reduce((sum, cell) => sum.map((part, i) => part + cell.parts[i]!), empty());
    for (const end of opens) {
      const own = empty();
      own[E[end]] = mixed[E[end]]!;
      mixed[E[end]] = 0;
      const last = mixed.every((part) => part <= 0);
      if (own[E[end]]! > 0 && !last)
        out.push({
          stream: `${end} of ${pool} opened`,
          x: here[end],
          n: of,
          cell: own,
          rest: [...mixed],
        });
      of -= here[end];
      if (of <= 0 || last) break;
    }
  }
  return out;
}

/** Eggs counted beside the way: rotten and cracked of those set, chicks lying wrong, weak, dead. */
export function besideCounts(
  share: Share,
  opened: Record<BreakoutPool, LookOpened> | undefined,
): { stream: 'rotten' | 'cracked' | 'malposed' | 'weak' | 'dead'; x: number; n: number }[] {
  const { tally, eggs } = share;
  const pools = opened ?? noneOpened();
  const looked = share.candlings.length > 0 || share.stage === 'finished';
  const out: ReturnType<typeof besideCounts> = [];
  const put = (stream: (typeof out)[number]['stream'], x: number, n: number): void => {
    if (n > 0) out.push({ stream, x: Math.min(x, n), n });
  };
  if (looked) {
    const rotten = pools.clear.rotten + pools.quit.rotten + pools.unhatched.rotten;
    put('rotten', tally.rotten + rotten, eggs);
    put('cracked', tally.cracked, eggs);
  }
  if (share.stage !== 'finished' || tally.hatched === null) return out;
  const broken = openedOf(pools.unhatched) + pools.unhatched.pipped;
  const unhatched = tally.unpipped + Math.max(tally.pipped, pools.unhatched.pipped);
  // Of eggs that lived to the last days: those opened stand for all that did not hatch.
  if (broken > 0 || unhatched === 0) {
    const part = unhatched === 0 ? 1 : broken / unhatched;
    put(
      'malposed',
      pools.unhatched.malposed,
      Math.round(part * (tally.hatched + tally.dead + unhatched)),
    );
  }
  put('weak', tally.weak, tally.hatched);
  put('dead', tally.dead, tally.hatched + tally.dead);
  return out;
}
