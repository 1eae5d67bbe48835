import { diagnose } from '../../src/judge/diagnose/diagnose.ts';
import type { Cause, Finding } from '../../src/judge/diagnose/finding.ts';
import { addDays, type Day, daysBetween } from '../../src/text/day.ts';
import type { Planted, Simulated } from './simulate.ts';

/** What a class of seasons scored. Counts of seasons, unless said otherwise. */
export type Score = {
  faulty: number;
  /** Planted cause the likeliest of all, or one of the likeliest two, whether or not it was raised. */
  likeliest: number;
  likeliestTwo: number;
  /** Planted cause first and at least watched; among the first two raised. */
  first: number;
  firstTwo: number;
  /** Told to act on the planted cause; on one that is not there. */
  acted: number;
  wrong: number;
  /** Of those found: place right, of causes that have one; beginning within two sets. */
  placed: { right: number; of: number };
  begun: { right: number; of: number };
  clean: number;
  cleanWatches: number;
  /** Clean seasons told to act at any look. */
  cleanActs: number;
  /** Machine faults watched when the first, and the second, set hit has finished. */
  machine: { first: number; second: number; of: number };
  /** Days from the first hit set's end to watch and to act, of those that came to it. */
  toWatch: number[];
  toAct: number[];
  missed: Map<string, number>;
};

export const nothing = (): Score => ({
  faulty: 0,
  likeliest: 0,
  likeliestTwo: 0,
  first: 0,
  firstTwo: 0,
  acted: 0,
  wrong: 0,
  placed: { right: 0, of: 0 },
  begun: { right: 0, of: 0 },
  clean: 0,
  cleanWatches: 0,
  cleanActs: 0,
  machine: { first: 0, second: 0, of: 0 },
  toWatch: [],
  toAct: [],
  missed: new Map(),
});

const isRaised = (f: Finding): boolean => f.verdict === 'act' || f.verdict === 'watch';
const machineFaults: readonly Cause[] = ['warm', 'cool', 'damp', 'dry'];

function placeRight(f: Finding, { truth }: Simulated, planted: Planted): boolean | null {
  if (planted.cause === 'failing-male') return f.where.pen === truth.pen;
  if (planted.cause === 'uneven-tray') return f.where.tray === truth.tray;
  if (planted.cause === 'set-lost') return f.where.set === truth.set;
  if (machineFaults.includes(planted.cause) || planted.cause === 'gauge-wrong')
    return f.where.setter === truth.machine;
  return null;
}

/** Causes that have no beginning to be found: they are where the eggs, or the readings, say. */
const timeless: readonly Cause[] = ['long-storage', 'power-cut'];

/** Causes that may rightly be named beside a planted one: a gauge that stands still is wrong. */
const goesWith = (found: Cause, planted: readonly Planted[], stuck: boolean): boolean =>
  planted.some((one) => one.cause === found) || (stuck && found === 'gauge-wrong');

/** Scores one season with what was planted in it, at its end. */
export function scoreSeason(
  score: Score,
  simulated: Simulated,
  planted: readonly Planted[],
  stuck = false,
): void {
  const findings = diagnose(simulated.season);
  const raised = findings.filter(isRaised);
  if (planted.length === 0) {
    score.clean += 1;
    if (raised.length > 0) score.cleanWatches += 1;
    if (raised.some((f) => f.verdict === 'act')) score.cleanActs += 1;
    return;
  }
  if (raised.some((f) => f.verdict === 'act' && !goesWith(f.cause, planted, stuck)))
    score.wrong += 1;
  const own = raised.filter((f) => !(stuck && f.cause === 'gauge-wrong'));
  for (const one of planted) {
    score.faulty += 1;
    const at = own.findIndex((f) => f.cause === one.cause);
    const order = findings
      .filter((f) => !(stuck && f.cause === 'gauge-wrong'))
      .findIndex((f) => f.cause === one.cause);
    if (order === 0) score.likeliest += 1;
    if (order < 2) score.likeliestTwo += 1;
    if (at === 0) score.first += 1;
    if (at >= 0 && at < 2) score.firstTwo += 1;
    else {
      const key = `${one.cause} as ${own[0]?.cause ?? 'quiet'}`;
      score.missed.set(key, (score.missed.get(key) ?? 0) + 1);
    }
    const found = own[at];
    if (!found) continue;
    if (found.verdict === 'act') score.acted += 1;
    const right = placeRight(found, simulated, one);
    if (right !== null) {
      score.placed.of += 1;
      if (right) score.placed.right += 1;
    }
    if (timeless.includes(one.cause) || found.since === null) continue;
    const sets = [...simulated.season.sets.values()];
    const began = sets[one.from]!.on.day;
    const apart = sets.length > 1 ? daysBetween(sets[0]!.on.day, sets[1]!.on.day) : 7;
    score.begun.of += 1;
    if (Math.abs(daysBetween(began, found.since)) <= 2 * apart) score.begun.right += 1;
  }
}

/** Days on which sets end, in their order. */
function endings({ season }: Simulated): Day[] {
  return [...season.sets.values()].flatMap((set) => {
    const ends = set.shares.map((share) => share.finishedOn);
    return ends.some((day) => day === null)
      ? []
      : [
          ends
            .map((day) => day!)
            .sort()
            .at(-1)!,
        ];
  });
}

/** Looks at a season every week: a clean one for false acts, one with a fault for how soon. */
export function scoreWeeks(score: Score, simulated: Simulated, planted: Planted | null): void {
  const ends = endings(simulated);
  const first = [...simulated.season.sets.values()][0]!.on.day;
  const last = ends.at(-1)!;
  if (planted === null) {
    score.clean += 1;
    let acts = false;
    let watches = false;
    for (let day = addDays(first, 14); day <= addDays(last, 6); day = addDays(day, 7)) {
      const raised = diagnose(simulated.at(day)).filter(isRaised);
      if (raised.length > 0) watches = true;
      if (raised.some((f) => f.verdict === 'act')) acts = true;
    }
    if (watches) score.cleanWatches += 1;
    if (acts) score.cleanActs += 1;
    return;
  }
  const sets = [...simulated.season.sets.values()];
  const hit = sets
    .map((set, i) => ({ set, end: ends[i]!, i }))
    .filter(
      ({ set, i }) =>
        i >= planted.from &&
        (!machineFaults.includes(planted.cause) ||
          set.shares.some((share) =>
            share.trays.some((t) => t.setter === simulated.truth.machine),
          )),
    );
  if (hit.length < 2) return;
  const looks = hit.map(({ end }) => end);
  let watch = null as Day | null;
  let act = null as Day | null;
  looks.forEach((day, i) => {
    if (act !== null || i > 9) return;
    const found = diagnose(simulated.at(day)).find((f) => f.cause === planted.cause && isRaised(f));
    if (!found) return;
    watch ??= day;
    if (found.verdict === 'act') act = day;
  });
  if (machineFaults.includes(planted.cause)) {
    score.machine.of += 1;
    if (watch !== null && watch <= looks[0]!) score.machine.first += 1;
    if (watch !== null && watch <= looks[1]!) score.machine.second += 1;
  }
  if (watch !== null) score.toWatch.push(daysBetween(looks[0]!, watch));
  if (act !== null) score.toAct.push(daysBetween(looks[0]!, act));
}

const share = (x: number, n: number): string =>
  n === 0 ? '' : `${((100 * x) / n).toFixed(1)} % of ${n}`;
const middle = (list: readonly number[]): string =>
  list.length === 0 ? '-' : String([...list].sort((a, b) => a - b)[list.length >> 1]);

export function scoreText(name: string, s: Score): string {
  const lines = [name];
  if (s.faulty > 0)
    lines.push(
      `  likeliest ${share(s.likeliest, s.faulty)}, of two ${share(s.likeliestTwo, s.faulty)}; raised first ${share(s.first, s.faulty)}; first two ${share(s.firstTwo, s.faulty)}; told to act ${share(s.acted, s.faulty)}; to act on what is not there ${s.wrong}`,
      `  place right ${share(s.placed.right, s.placed.of)}; beginning within two sets ${share(s.begun.right, s.begun.of)}`,
    );
  if (s.machine.of > 0)
    lines.push(
      `  machine watched with the first set hit ${share(s.machine.first, s.machine.of)}, with the second ${share(s.machine.second, s.machine.of)}`,
    );
  if (s.toWatch.length > 0)
    lines.push(
      `  days from the first hit set's end to watch ${middle(s.toWatch)} (${s.toWatch.length}), to act ${middle(s.toAct)} (${s.toAct.length})`,
    );
  if (s.clean > 0)
    lines.push(
      `  clean: told to act ${share(s.cleanActs, s.clean)}, to watch ${share(s.cleanWatches, s.clean)}`,
    );
  if (s.missed.size > 0)
    lines.push(
      `  missed: ${[...s.missed]
        .sort((a, b) => b[1] - a[1])
        .map(([what, n]) => `${what} ${n}`)
        .join(', ')}`,
    );
  return `${lines.join('\n')}\n`;
}
