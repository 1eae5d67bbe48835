/**
 * Does a plan keep what it promises? Farms drawn from the priors, their seasons planned by the planner
 * for nine chances in ten and played out egg by egg; each class of promises is told apart:
 *   npm run calibrate:plans [-- SEASONS_A_KIND [SEED [KIND]]]
 * KIND is part of the name of a kind of farm, or of a way in which priors are wrong.
 */
import { onTerminal } from '../../src/io/progress.ts';
import { wilson } from '../../src/judge/statistics/proportion.ts';
import { kinds, wrongs } from './calibrate.ts';
import { classes, type Promised, playPlan } from './planned.ts';
import type { FarmKind } from './season.ts';
import { right, type Wrong } from './truth.ts';

/** Worlds a plan is made by. */
const DRAWS = 600;

/**
 * Goals and orders of one line that compete: sets of one Monday have their chicks three weeks and a day
 * later, so that days of orders have some hatches of their own and share some with others.
 */
const one = kinds[1]!;
const pullets = (count: number) => ({ line: 'sussex', want: 'pullets' as const, count });
const chicks = (count: number) => ({ line: 'sussex', want: 'chicks' as const, count });
export const competing: readonly FarmKind[] = [
  {
    ...one,
    name: 'chicks sold, pullets kept',
    goals: [{ ...chicks(20), fate: 'sold' }, pullets(14)],
  },
  {
    ...one,
    name: 'an order, pullets kept',
    goals: [pullets(4)],
    orders: [{ ...chicks(28), from: '03-20', by: '04-02' }],
  },
  {
    ...one,
    name: 'chicks sold, then an order',
    goals: [{ ...chicks(30), by: '04-08', fate: 'sold' }],
    orders: [{ ...chicks(25), from: '04-05', by: '04-22' }],
  },
  {
    ...one,
    name: 'two orders, pullets kept',
    goals: [pullets(3)],
    orders: [
      { ...chicks(24), from: '03-20', by: '04-02' },
      { ...chicks(20), from: '03-28', by: '04-15' },
    ],
  },
  {
    ...one,
    name: 'chicks sold, pullets ordered',
    goals: [{ ...chicks(20), fate: 'sold' }],
    orders: [pullets(12)],
  },
  {
    ...one,
    name: 'an order in mid-season',
    weeks: 9,
    running: 4,
    goals: [pullets(20)],
    orders: [{ ...chicks(45), from: '04-05', by: '04-22' }],
  },
];

export interface Kept {
  name: string;
  promised: number;
  /** Goals that the plan said cannot be met. */
  refused: number;
  met: number;
  chance: number;
  sets: number;
}

/** Seasons of a kind; seeds follow on from `seed`. */
export async function playPlans(
  kind: FarmKind,
  wrong: Wrong,
  seasons: number,
  seed: number,
  draws = DRAWS,
): Promise<Promised[]> {
  const all: Promised[] = [];
  const progress = onTerminal(`${kind.name}, seasons planned`);
  for (let i = 0; i < seasons; i++) {
    progress.tell(i, seasons);
    all.push(...(await playPlan(kind, wrong, seed + i, draws)));
  }
  progress.end();
  return all;
}

export function keptOf(name: string, all: readonly Promised[]): Kept {
  const promised = all.filter((one) => one.chance !== null);
  const mean = (of: (one: Promised) => number) =>
    promised.reduce((sum, one) => sum + of(one), 0) / Math.max(1, promised.length);
  return {
    name,
    promised: promised.length,
    refused: all.length - promised.length,
    met: promised.filter((one) => one.met).length,
    chance: mean((one) => one.chance ?? 0),
    sets: mean((one) => one.sets),
  };
}

function lineText({ name, promised, refused, met, chance, sets }: Kept): string {
  const [low, high] = promised > 0 ? wilson(met, promised) : [0, 1];
  const percent = (share: number) => (100 * share).toFixed(1).padStart(5);
  return `${name.padEnd(32)} ${String(promised).padStart(5)} ${String(refused).padStart(7)}  ${percent(met / promised)} (${percent(low).trim()} to ${percent(high).trim()})  ${percent(chance)}  ${sets.toFixed(1).padStart(4)}\n`;
}

/** Sets are whole, so that many promises come out higher than asked: those below this are as asked. */
const JUST = 0.92;

/** A line for each class of promises that there are. */
function tellClasses(all: readonly Promised[]): void {
  for (const name of classes) {
    const own = all.filter((one) => one.of === name);
    if (own.length === 0) continue;
    process.stdout.write(lineText(keptOf(`  ${name}`, own)));
    const just = own.filter(({ chance }) => chance !== null && chance < JUST);
    if (just.length > 0) process.stdout.write(lineText(keptOf('    promised just so', just)));
  }
}

const SEEDS_A_KIND = 1_000_000;
const FIRST = 50_000_000;

export async function main(words: readonly string[]): Promise<number> {
  const [seasons = 150, seed = 1] = words.slice(0, 2).map(Number);
  const only = words[2];
  if (![seasons, seed].every((n) => Number.isInteger(n) && n >= 1)) {
    process.stderr.write('usage: npm run calibrate:plans [-- SEASONS_A_KIND [SEED [KIND]]]\n');
    return 2;
  }
  const head = `${''.padEnd(32)} goals refused   met, % (95 %)          promised, %  sets\n`;
  const chosen = (name: string) => only === undefined || name.includes(only);
  const every = [...kinds, ...competing];
  const farms = every.filter((kind) => chosen(kind.name));
  if (farms.length === 0 && !wrongs.some(([name]) => chosen(name))) {
    const names = [...every.map((kind) => kind.name), ...wrongs.map(([name]) => name)];
    process.stderr.write(`no kind is called "${only}"; known:\n  ${names.join('\n  ')}\n`);
    return 2;
  }
  if (farms.length > 0) process.stdout.write(`planned for 90 %, priors right\n${head}`);
  const all: Promised[] = [];
  for (const kind of farms) {
    const first = FIRST + seed + every.indexOf(kind) * SEEDS_A_KIND;
    const results = await playPlans(kind, right, seasons, first);
    all.push(...results);
    process.stdout.write(lineText(keptOf(kind.name, results)));
    if (competing.includes(kind)) tellClasses(results);
  }
  if (farms.length > 1) {
    process.stdout.write(lineText(keptOf('all', all)));
    tellClasses(all);
  }
  for (const [w, [name, wrong]] of wrongs.entries()) {
    if (!chosen(name)) continue;
    process.stdout.write(`\n${name}\n${head}`);
    for (const kind of [kinds[3]!, kinds[5]!]) {
      const first = FIRST + seed + (100 + w) * SEEDS_A_KIND;
      process.stdout.write(
        lineText(keptOf(kind.name, await playPlans(kind, wrong, seasons, first))),
      );
    }
  }
  return 0;
}
