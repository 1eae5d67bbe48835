/** One simulated season as its keeper would live it: planned for nine chances in ten, played out. */

import { farmRates } from '../../src/judge/rates/rates.ts';
import { simulatedOutlook } from '../../src/planner/outlook.ts';
import { planSeason } from '../../src/planner/plan.ts';
import { weeklyOn } from '../../src/planner/problem.ts';
import type { Season } from '../../src/season/model.ts';
import { addDays, type Day } from '../../src/text/day.ts';
import { nowAt } from '../support/season.ts';
import { begun, type FarmKind, wantedOf } from './season.ts';
import { FIRST_SET, type Wanted, type Wrong } from './truth.ts';

export const classes = [
  'pullets',
  'chicks',
  'orders due first',
  'orders due after others',
] as const;

/** What a plan promised for one goal or order, and what came. */
export interface Promised {
  /** The class of promises it is of. */
  of: (typeof classes)[number];
  /** Chance promised; null where the plan itself said that the goal cannot be met. */
  chance: number | null;
  met: boolean;
  birds: number;
  sets: number;
}

/** Machines of a usual size: they may bind. */
const machines = `setters: {cabinet: {trays: 6, tray_holds: {chicken: 42, duck: 30}}}
hatchers: {lower: {holds: {chicken: 120, duck: 80}}, upper: {holds: {chicken: 80, duck: 60}}}
brooders: {barn: {area: 50}}`;

/**
 * Draws a farm, keeps its records, plans the season with the planner as the keeper would, sets what
 * the plan says as far as the eggs are there, the freshest first, and counts the birds of each goal and order.
 */
export async function playPlan(
  kind: FarmKind,
  wrong: Wrong,
  seed: number,
  draws: number,
): Promise<Promised[]> {
  // The pens are parted when the season is over, so that no plan goes beyond what is played.
  const last = addDays(`${YEAR}-02-01` as Day, FIRST_SET + (kind.weeks - 1) * 7 + 1);
  const { truth, today, season, previous } = begun(
    kind,
    wrong,
    seed,
    machines,
    `, parted: ${last}`,
  );
  const now = nowAt(today);
  const rates = farmRates(season, previous, today);
  const outlookOf = (base: Season) => simulatedOutlook(base, today, rates, draws, seed);
  const plan = await planSeason(season, now, rates, outlookOf, {
    replan: false,
    rhythm: weeklyOn(['mon']),
  });
  for (const line of [...plan.lines].sort((a, b) => (a.on < b.on ? -1 : 1)))
    truth.run(
      line.set,
      line.on,
      Object.entries(line.shares).map(([name, eggs]) => ({
        pen: kind.pens.find((pen) => pen.name === name)!,
        eggs,
      })),
    );
  const wanted = wantedOf(kind, YEAR);
  const had = truth.shared(wanted);
  return plan.claims.map(({ claim, probability, met }, i) => ({
    of: classOf(wanted, i, claim.kind === 'order'),
    chance: met ? probability : null,
    met: had[i]! >= claim.count,
    birds: had[i]!,
    sets: plan.lines.length,
  }));
}

/** Of what class of promises one is: orders by whether others of their line have birds before them. */
function classOf(wanted: readonly Wanted[], at: number, isOrder: boolean): Promised['of'] {
  const own = wanted[at]!;
  if (!isOrder) return own.want;
  const isBehind = wanted.some(
    (one, i) =>
      i !== at &&
      one.line === own.line &&
      !one.isKept &&
      (one.by < own.by || (one.by === own.by && i < at)),
  );
  return isBehind ? 'orders due after others' : 'orders due first';
}

const YEAR = 2027;
