/** What binds a plan that falls short, and the least change that would free it. */
import type { Now, Pen, Season } from '../../season/model.ts';
import { addDays, daysBetween } from '../../text/day.ts';
import { goalsOf } from './goals.ts';
import { needOf } from './needs.ts';
import { askedOf, type Outlook, type PlanOptions, type PlanResult, planSeason } from './plan.ts';
import type { FarmRates } from './rates.ts';
import { couldMeet } from './relaxed.ts';
import { seasonProblem } from './season-problem.ts';

/** One thing that would free a plan: each figure comes from a solve. */
export interface Limit {
  /** What binds: eggs, trays, hatcher, storage, days off, time. */
  limit: string;
  /** The least change. */
  change: string;
  /** Chance of the goal that fell shortest, less what it was. */
  gain: number | null;
  /** The same as a sentence. */
  words: string;
}

/** A way to change a season by an amount. */
interface Way {
  limit: string;
  most: number;
  change: (amount: number) => Season;
  say: (amount: number, plan: PlanResult) => string;
}

/** How often more is tried than the relaxed program finds, and by which share. */
const TRIES = 4;
const MORE = 0.2;
const MOST_DAYS = 120;
const MOST_TRAYS = 10;
const MOST_STORAGE = 7;

const plural = (count: number, one: string) => `${count} ${count === 1 ? one : `${one}s`}`;

function withPen(season: Season, pen: Pen, change: Partial<Pen>): Season {
  return { ...season, pens: new Map([...season.pens, [pen.name, { ...pen, ...change }]]) };
}

function waysOf(season: Season, now: Now, plan: PlanResult): Way[] {
  const short = new Set(plan.goals.filter((one) => !one.met).map((one) => one.goal.line.name));
  const ways: Way[] = [];
  for (const pen of season.pens.values()) {
    if (!short.has(pen.line.name)) continue;
    ways.push({
      limit: 'eggs',
      most: Math.max(10, 3 * pen.hens),
      change: (n) => withPen(season, pen, { hens: pen.hens + n }),
      say: (n) => `${plural(n, 'more hen')} in ${pen.name}`,
    });
    const ahead = daysBetween(now.day, pen.joined);
    if (ahead > 0)
      ways.push({
        limit: 'eggs',
        most: ahead,
        change: (n) => withPen(season, pen, { joined: addDays(pen.joined, -n) }),
        say: (n) => `${pen.name} joined ${plural(n, 'day')} earlier`,
      });
  }
  ways.push({
    limit: 'time',
    most: MOST_DAYS,
    change: (n) => ({
      ...season,
      values: {
        ...season.values,
        goals: season.values.goals.map((goal) =>
          short.has(goal.line) ? { ...goal, by: addDays(goal.by, n) } : goal,
        ),
      },
    }),
    say: (n) => `${plural(n, 'day')} more: birds by a later day`,
  });
  for (const setter of season.setters.values())
    ways.push({
      limit: 'trays',
      most: MOST_TRAYS,
      change: (n) => ({
        ...season,
        setters: new Map([
          ...season.setters,
          [setter.name, { ...setter, trays: setter.trays + n }],
        ]),
      }),
      say: (n) => `${plural(n, 'more tray')} in ${setter.name}`,
    });
  for (const hatcher of season.hatchers.values())
    ways.push({
      limit: 'hatcher',
      most: 2,
      change: (n) => ({
        ...season,
        hatchers: new Map([
          ...season.hatchers,
          ...Array.from({ length: n }, (_, i): [string, typeof hatcher] => {
            const name = `another-${hatcher.name}-${i + 1}`;
            return [name, { ...hatcher, name }];
          }),
        ]),
      }),
      say: (n) => `${n === 1 ? 'one more hatcher' : `${n} more hatchers`} like ${hatcher.name}`,
    });
  ways.push({
    limit: 'storage',
    most: MOST_STORAGE,
    change: (n) => ({
      ...season,
      storageMaxDays: (species) => season.storageMaxDays(species) + n,
    }),
    say: (n, freed) =>
      `eggs stored ${plural(n, 'day')} longer, at a cost of ${Math.max(0, freed.loss - plan.loss).toFixed(1)} chicks`,
  });
  const off = season.values.days_off;
  if ([off.set, off.candle, off.transfer, off.hatch, off.dates].some((days) => days.length > 0))
    ways.push({
      limit: 'days off',
      most: 1,
      change: () => ({
        ...season,
        values: {
          ...season.values,
          days_off: { set: [], candle: [], transfer: [], hatch: [], dates: [] },
        },
      }),
      say: () => 'no days off',
    });
  return ways;
}

/**
 * The least changes that would free a plan, one of each kind. The relaxed program finds the least
 * amount that could do; a whole plan with it, simulated, shows that it does.
 */
export async function limitsOf(
  season: Season,
  now: Now,
  rates: FarmRates,
  outlookOf: (season: Season) => Outlook,
  options: PlanOptions,
  plan: PlanResult,
): Promise<Limit[]> {
  const asked = askedOf(plan);
  const found: Limit[] = [];
  for (const way of waysOf(season, now, plan)) {
    const could = (amount: number) => {
      const changed = way.change(amount);
      const base = options.replan
        ? { ...changed, planned: changed.planned.filter((line) => line.on < now.day) }
        : changed;
      const problem = seasonProblem(base, now, rates, goalsOf(base), options);
      const needs = problem.goals.map((goal, i) => needOf(problem, rates, goal, asked[i]!));
      return couldMeet(problem, needs);
    };
    let high = way.most;
    if (!(await could(high))) continue;
    let low = 0;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (await could(middle)) high = middle;
      else low = middle;
    }
    for (let amount = high, turn = 0; amount <= way.most && turn < TRIES; turn++) {
      const freed = await planSeason(way.change(amount), now, rates, outlookOf, {
        ...options,
        finer: false,
      });
      if (freed.status === 'infeasible') {
        amount += Math.max(1, Math.round(MORE * amount));
        continue;
      }
      const worst = plan.goals
        .map((one, i) => ({ one, i }))
        .filter(({ one }) => !one.met)
        .map(({ one, i }) => freed.goals[i]!.probability - one.probability);
      found.push({
        limit: way.limit,
        change: way.say(amount, freed),
        gain: Math.max(...worst),
        words: way.say(amount, freed),
      });
      break;
    }
  }
  return found;
}
