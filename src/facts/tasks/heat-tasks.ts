import { isHers } from '../../season/hens.ts';
import type { Line, Now, Season } from '../../season/model.ts';
import { addDays, type Day, daysIn, earlier, later } from '../../text/day.ts';
import { occupantsOn, type Stay } from '../birds/brooders.ts';
import { kindOfLine } from '../birds/groups.ts';
import { claimsOf } from '../claims.ts';
import { hasHatched } from '../expected.ts';
import { milestonesOfSet } from '../hatch-time.ts';
import { heatStep, heatText, heatUnder, type RoofHeat, unsuitedText } from '../heat.ts';
import { type Put, type TaskDraft, taskOf } from './task.ts';
import { work } from './work.ts';

/** A day on which something is to be done about the heat of a roof; `after` is null where birds need none. */
type HeatChange = {
  readonly roof: string;
  readonly day: Day;
  readonly step: NonNullable<ReturnType<typeof heatStep>>;
  after: RoofHeat | null;
  readonly birds: number;
};

/** Changes of heat under one roof since it was last empty, and those to come, in order of day. */
function heatChanges(
  season: Season,
  stays: readonly Stay[],
  roof: string,
  today: Day,
): HeatChange[] {
  const own = stays.filter((stay) => stay.brooder === roof);
  if (own.length === 0) return [];
  const out: HeatChange[] = [];
  let before: RoofHeat | null | undefined;
  // What was before a day on which it was empty says nothing any more.
  let from = addDays(today, 1);
  for (let begun = today; ; begun = from) {
    const before = own.filter((stay) => stay.from < from && stay.to >= begun);
    if (before.length === 0) break;
    from = before.map((stay) => stay.from).reduce(earlier);
  }
  const to = own.map((stay) => stay.to).reduce(later);
  for (const day of daysIn(from, later(to, addDays(today, 1)))) {
    const birds = occupantsOn(season, own, roof, day);
    if (birds.length === 0) {
      if (day <= today) out.length = 0;
      before = undefined;
      continue;
    }
    const after = heatUnder(birds);
    const step = before === undefined ? null : heatStep(before, after);
    const last = out.at(-1);
    if (step !== null) {
      const count = Math.round(birds.reduce((sum, one) => sum + one.birds, 0));
      out.push({ roof, day, step, after, birds: count });
    } else if (last !== undefined && (day <= today || last.day > today)) last.after = after;
    // What is left as it is stays as it was set.
    before = step === null && before && after ? { ...before, unsuited: after.unsuited } : after;
  }
  return out;
}

/**
 * One task a roof for each change of its heat: up when younger birds come, down as the youngest grow,
 * off at the end. What a later change has replaced is left out.
 */
export function heatTasks(season: Season, stays: readonly Stay[], now: Now): TaskDraft[] {
  return [...season.brooders.values()].flatMap((brooder) => {
    if (brooder.heat?.kind === 'none') return [];
    const changes = heatChanges(season, stays, brooder.name, now.day);
    return changes
      .filter((_, index) => changes[index + 1] === undefined || changes[index + 1]!.day > now.day)
      .map((one) => taskOf(changeTask(season, one)));
  });
}

function changeTask(season: Season, { roof, day, step, after, birds }: HeatChange): Put {
  const unit = season.values.units.temperature;
  const id = `${roof}/heat/${day}`;
  const common = { id, kind: 'heat', due: day, place: roof, count: birds } as const;
  const lowering = addDays(day, work.heat_lower_days.value);
  if (after === null)
    return {
      ...common,
      until: lowering,
      title: `${roof}: heat off by day; on again if the birds huddle`,
      why: 'the youngest are past the age of heat; cold nights and the birds override the table',
    };
  const range = heatText(after, unit);
  const clash = unsuitedText(after, unit);
  return {
    ...common,
    until: step === 'lower' ? lowering : day,
    title:
      step === 'part'
        ? `Part the kinds in ${roof}: ${range} suits not all`
        : `${step === 'lower' ? 'Lower' : 'Raise'} ${roof} to ${range}`,
    why:
      (clash ??
        `its youngest, ${after.species}, are ${after.ageDays} days old; keep a cooler end, and watch the birds: they override the table`) +
      assumedHeat(season, roof),
  };
}

/** Birds need their warmth whether or not the file says where it comes from. */
const assumedHeat = (season: Season, roof: string): string =>
  season.brooders.get(roof)!.heat === undefined
    ? '; no heat is written for it in season.yaml: some is assumed'
    : '';

/** Every brooder under heat today, as the daily round says it: `barn 34–35 °C`. */
export function heatRound(season: Season, stays: readonly Stay[], now: Now): TaskDraft[] {
  const unit = season.values.units.temperature;
  return [...season.brooders.values()].flatMap((brooder) => {
    const heat = heatUnder(occupantsOn(season, stays, brooder.name, now.day));
    if (heat === null || brooder.heat?.kind === 'none') return [];
    return [
      taskOf({
        id: `${brooder.name}/${now.day}/warm`,
        kind: 'warmth',
        due: now.day,
        place: brooder.name,
        daily: true,
        title: `${brooder.name} ${heatText(heat, unit)}`,
        why:
          (unsuitedText(heat, unit) ?? 'at the edge of the heat, at the height of the chicks') +
          assumedHeat(season, brooder.name),
      }),
    ];
  });
}

/** True for a line whose every goal is sold or given at the hatch: its chicks wait for their buyers, no longer. */
function goesAtHatch(season: Season, line: Line): boolean {
  const goals = claimsOf(season).filter((one) => one.kind === 'goal' && one.line === line);
  return (
    goals.length > 0 &&
    goals.every(({ at, fate }) => at === 'hatch' && (fate === 'sold' || fate === 'given'))
  );
}

/** The brooder is made warm the day before chicks come; the first opening settles it. */
export function warmTasks(season: Season, now: Now): TaskDraft[] {
  const unit = season.values.units.temperature;
  const [only] = season.brooders.size === 1 ? season.brooders.keys() : [];
  return [...season.sets.values()].flatMap((set) => {
    const open = set.shares.filter((share) => share.stage !== 'finished' && share.live > 0);
    // A hen warms her own.
    if (open.length === 0 || open.some(isHers) || set.shares.some(hasHatched)) return [];
    const isSold = open.every((share) => goesAtHatch(season, share.pen.line));
    const { hatch, watch, lastOpening } = milestonesOfSet(set, season);
    // Past the end of its hatch the set is to be closed: no chick is waited for.
    if (lastOpening < now.day) return [];
    const heat = heatUnder(
      open.map((share) => ({
        kind: kindOfLine(season, share.pen.line),
        ageDays: 0,
        birds: share.live,
      })),
    )!;
    return [
      taskOf({
        id: `${set.name}/warm`,
        kind: 'heat',
        // A kind with a wide window may have its first chick long before its day.
        due: earlier(watch, addDays(hatch, -1)),
        until: hatch,
        set: set.name,
        place: isSold ? null : (only ?? null),
        count: open.reduce((sum, share) => sum + share.live, 0),
        title: isSold
          ? `Keep a warm box for chicks of ${set.name} until they go: ${heatText(heat, unit)}`
          : `Warm ${only ?? 'a brooder'} for ${set.name}: ${heatText(heat, unit)}`,
        why:
          unsuitedText(heat, unit) ??
          'litter and drinkers warm before they come; lamps hung by two fixings',
      }),
    ];
  });
}
