/** How many eggs of a line give so many birds, over all that is unsure: the small everyday question. */

import { type Goal, stagesOf } from '../../facts/goals.ts';
import type { Stage } from '../../facts/stages.ts';
import type { Line, Pen } from '../../season/model.ts';
import { leastReaching } from '../statistics/search.ts';
import { Birds } from './birds.ts';
import type { RateTally } from './rates.ts';
import type { Worlds } from './worlds.ts';

export interface ChainStep {
  stage: Stage | 'male';
  mean: number;
  low: number;
  high: number;
  own: RateTally;
  earlier: RateTally;
  sources: string[];
}

export interface EggsFor {
  eggs: number;
  chance: number;
  /** Birds wanted ÷ mean rate, rounded up, and the chance of that many eggs. */
  naive: { eggs: number; chance: number };
  /** Mean share of eggs set that become a bird wanted. */
  rate: number;
  chain: ChainStep[];
  /** Eggs by pen, as many as its share of the hens. */
  byPen: { pen: string; eggs: number }[];
}

type BirdsAsked = Pick<Goal, 'want' | 'at' | 'count' | 'confidence'>;

/** Where the answer is looked for first, in naive answers: as even odds are not what is asked. */
const LIKELY = 1.3;

/** Pens in the order in which each further egg is taken, in proportion to hens (Webster's method). */
function turnsOf(pens: readonly Pen[]): (eggs: number) => number[] {
  const given = pens.map(() => 0);
  const turns: number[] = [];
  return (eggs) => {
    while (turns.length < eggs) {
      let best = 0;
      pens.forEach((pen, i) => {
        const claim = (k: number) => weightOf(pens[k]!) / (2 * given[k]! + 1);
        if (weightOf(pen) > 0 && claim(i) > claim(best)) best = i;
      });
      given[best]!++;
      turns.push(best);
    }
    const out = pens.map(() => 0);
    for (let i = 0; i < eggs; i++) out[turns[i]!]!++;
    return out;
  };
}

/** Pens of a line that hens lay in; where there are none, those of bought eggs. */
export function layingPens(worlds: Worlds, line: Line): Pen[] {
  const own = [...worlds.season.pens.values()].filter((pen) => pen.line === line);
  const laying = own.filter((pen) => pen.hens > 0);
  return laying.length > 0 ? laying : own.filter((pen) => pen.bought !== null);
}

/** How much a pen counts beside others: its hens; pens of bought eggs count alike. */
const weightOf = ({ bought, hens }: Pen): number => (bought === null ? hens : 1);

/**
 * Smallest number of eggs whose chance of at least `count` birds reaches the confidence, set in so
 * many sets of equal size, from the line's pens by their hens. Eggs are taken as fresh.
 * Throws RangeError where no pen of the line has hens and no eggs of it are bought.
 */
export function eggsFor(worlds: Worlds, line: Line, asked: BirdsAsked, sets: number): EggsFor {
  const pens = layingPens(worlds, line);
  if (pens.length === 0) throw new RangeError(`no pen of ${line.name} has hens or bought eggs`);
  const { draws, rates } = worlds;
  const { stages, sex } = stagesOf(asked);
  const split = turnsOf(pens);
  const known = new Map<string, Float64Array>();
  const rateOf = (pen: Pen, set: number): Float64Array => {
    const whose = `eggs for, set ${set}`;
    const ready = known.get(`${pen.name} ${set}`);
    if (ready) return ready;
    const fertile = worlds.passing(['fertile'], pen, whose);
    const rest = worlds.passing(
      stages.filter((stage) => stage !== 'fertile'),
      pen,
      whose,
    );
    const { rate: female } = worlds.unit('female', pen);
    const made = fertile.map((p, i) => {
      const bird = p * rest[i]!;
      return sex === null ? bird : bird * (sex === 'female' ? female[i]! : 1 - female[i]!);
    });
    known.set(`${pen.name} ${set}`, made);
    return made;
  };
  const chance = (eggs: number): number => {
    const birds = new Birds(draws);
    for (let set = 0; set < sets; set++) {
      const here = Math.floor(((set + 1) * eggs) / sets) - Math.floor((set * eggs) / sets);
      split(here).forEach((n, k) => {
        if (n > 0) birds.add({ eggs: n, rate: rateOf(pens[k]!, set) });
      });
    }
    return birds.chance(asked.count).chance;
  };

  const weight = pens.reduce((sum, pen) => sum + weightOf(pen), 0);
  const chain = [...stages, ...(sex === null ? [] : (['female'] as const))].map(
    (stage): ChainStep => {
      const drawn = new Float64Array(draws);
      for (const pen of pens) {
        const { rate } = worlds.unit(stage, pen);
        for (let i = 0; i < draws; i++) drawn[i]! += (rate[i]! * weightOf(pen)) / weight;
      }
      if (sex === 'male' && stage === 'female')
        for (let i = 0; i < draws; i++) drawn[i] = 1 - drawn[i]!;
      const sorted = Float64Array.from(drawn).sort();
      const known = pens.map((pen) => rates.rate(stage, pen));
      const units = [...new Map(known.map((one) => [one.unit, one])).values()];
      const sum = (tallies: readonly RateTally[]): RateTally => ({
        x: tallies.reduce((total, t) => total + t.x, 0),
        n: tallies.reduce((total, t) => total + t.n, 0),
        sets: tallies.reduce((total, t) => total + t.sets, 0),
      });
      const own = sum(units.map((one) => one.own));
      const male = sex === 'male' && stage === 'female';
      return {
        stage: male ? 'male' : stage,
        mean: drawn.reduce((total, p) => total + p, 0) / draws,
        low: sorted[Math.floor(0.025 * draws)]!,
        high: sorted[Math.ceil(0.975 * draws) - 1]!,
        own: male ? { ...own, x: own.n - own.x } : own,
        earlier: male
          ? { ...known[0]!.earlier, x: known[0]!.earlier.n - known[0]!.earlier.x }
          : known[0]!.earlier,
        sources: [...new Set(known.map((one) => one.prior.source))],
      };
    },
  );
  const rate = chain.reduce((product, step) => product * step.mean, 1);
  const naive = Math.ceil(asked.count / rate - 1e-9);
  const eggs = leastReaching(chance, asked.confidence, asked.count, Math.round(naive * LIKELY));
  return {
    eggs,
    chance: chance(eggs),
    naive: { eggs: naive, chance: chance(naive) },
    rate,
    chain,
    byPen: split(eggs).map((n, i) => ({ pen: pens[i]!.name, eggs: n })),
  };
}
