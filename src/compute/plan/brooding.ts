/**
 * Room under heat for the chicks of a plan: they grow, and a brooder must hold them at the age at
 * which they leave it. Chicks of sets to come have no brooder yet, so all brooders are taken together.
 */
import { broodingOf } from '../../season/brooding.ts';
import type { Line, Now, Season } from '../../season/model.ts';
import { addDays, type Day, daysBetween, later } from '../../text/day.ts';
import { nightsOf, occupantsOn, roomOf, staysOf } from '../flock/brooders.ts';
import { expectedHatches } from '../flock/expected-chicks.ts';
import { flockOf, kindOfLine } from '../flock/groups.ts';
import { movingOut } from '../flock/moving-out.ts';
import { type BrooderRoom, type Limit, limitsOf } from '../flock/room.ts';
import type { Goal } from './goals.ts';
import { meanRate } from './needs.ts';
import type { PlanLine } from './plan-lines.ts';
import type { FarmRates } from './rates.ts';

/** Chicks whose heat is not known are rated as under lamps, the thriftiest. */
const underLamps: BrooderRoom = {
  area_m2: 0,
  heat: { kind: 'lamp', count: 1, watts: null, area_m2: null, places: null },
  feeder_cm: null,
  drinker_cm: null,
  house_c: null,
};
/** Days between looks at the room: needs grow by steps of a week and more. */
const EVERY = 4;
/** Chicks of a usual set, for the rules that ask how many they are. */
const USUAL_CHICKS = 30;

/** A limit of all brooders together on the day it is most exceeded. */
export interface Crowding {
  what: Limit['what'];
  unit: Limit['unit'];
  day: Day;
  need: number;
  have: number;
}

/** Where a plan asks more of the brooders than they have; none where season.yaml names no brooders. */
export function crowdingOf(
  season: Season,
  now: Now,
  rates: FarmRates,
  goals: readonly Goal[],
  lines: readonly PlanLine[],
): Crowding[] {
  if (season.brooders.size === 0) return [];
  // Chicks wanted at the hatch leave with it.
  const raised = new Set(goals.filter((goal) => goal.at !== 'hatch').map((goal) => goal.line));
  const nightOn = nightsOf(season);
  const exits = new Map<string, Day>();
  const exitOf = (line: Line, hatch: Day): Day => {
    const key = `${line.name} ${hatch}`;
    const known = exits.get(key);
    if (known) return known;
    const kind = kindOfLine(season, line);
    const isSlow = season.values.lines[line.name]?.feathers === 'slow';
    const out = movingOut(kind, hatch, USUAL_CHICKS, isSlow, nightOn);
    const made =
      out.earliest ?? later(addDays(hatch, broodingOf(kind).heat_until_day.value), out.youngest);
    exits.set(key, made);
    return made;
  };
  const stays = staysOf(season, flockOf(season).groups.values(), now, nightOn);
  const coming = expectedHatches(season, now, rates).filter((one) => raised.has(one.line));
  const added = lines.flatMap((line) =>
    Object.entries(line.shares).map(([name, eggs]) => {
      const pen = season.pens.get(name)!;
      const mean = eggs * meanRate(rates, { want: 'chicks', at: 'hatch' }, pen);
      return { line: pen.line, hatch: line.hatch, mean };
    }),
  );
  const chicks = [...coming, ...added.filter((one) => raised.has(one.line))];
  if (chicks.length === 0) return [];
  const brooders = [...season.brooders.values()].map((one) => roomOf(season, one));
  const worst = new Map<Limit['what'], Crowding>();
  const until = chicks.map((one) => exitOf(one.line, one.hatch)).reduce(later);
  for (let day = now.day; day < until; day = addDays(day, EVERY)) {
    const offered = [...season.brooders.keys()].map((name, i) =>
      limitsOf(brooders[i]!, occupantsOn(season, stays, name, day)),
    );
    const awaited = limitsOf(
      underLamps,
      chicks
        .filter((one) => one.hatch <= day && day < exitOf(one.line, one.hatch))
        .map((one) => ({
          kind: kindOfLine(season, one.line),
          ageDays: daysBetween(one.hatch, day),
          birds: one.mean,
        })),
    );
    awaited.forEach(({ what, unit, need: coming_ }, w) => {
      let need = coming_;
      let have: number | null = 0;
      for (const limits of offered) {
        need += limits[w]!.need;
        have = have === null || limits[w]!.have === null ? null : have + limits[w]!.have;
      }
      if (have === null || need <= have) return;
      const before = worst.get(what);
      if (!before || need - have > before.need - before.have)
        worst.set(what, { what, unit, day, need, have });
    });
  }
  return [...worst.values()];
}
