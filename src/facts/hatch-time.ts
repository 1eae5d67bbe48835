/**
 * When a set hatches, and when its hatch is over: from its kind, its line, the days its eggs lay in
 * store, the power cuts it lay through, and what the machine it was set in has done so far. Tasks, hatchers, cleaning, plan, checks
 * and sheets ask here.
 */

import type { Drawn, EggSet, PlannedSet, Season, Share } from '../season/model.ts';
import type { Species } from '../season/species.ts';
import { addDays, compareOn, type Day, later, type On } from '../text/day.ts';
import { largest, smallest } from '../text/lists.ts';
import { hoursLost, isShortCut, writtenCuts } from './cooling.ts';
import { addElapsedHours, elapsedHours, type LocalMinute } from './local-time.ts';
import { work } from './tasks/work.ts';

/** Elapsed hours from setting to the first, the middle and the last chick expected. */
export type HatchHours = { readonly first: number; readonly middle: number; readonly last: number };

/** The dates of a share or set, by local calendar day; day 0 is the day of setting. */
export type Milestones = {
  readonly set: Day;
  readonly candle: readonly Day[];
  /** Last look, turning stops, eggs go to the hatcher, damp up. */
  readonly transfer: Day;
  /** First pips may be seen. */
  readonly watch: Day;
  readonly hatch: Day;
  /** By kind, line and storage alone: what a machine's doings are measured against. */
  readonly hatchHours: number;
  /** With what the machine has done so far. */
  readonly expected: HatchHours;
  /** The wall clock at the middle of the hatch, if the minute of setting is known. */
  readonly hatchAt: LocalMinute | null;
  /** The hatch is over, by what is known now: before this nothing is opened for good or cleaned. */
  readonly overAt: LocalMinute;
  /** The day of `overAt`, or of the opening that closed the share. */
  readonly lastOpening: Day;
};

const HOURS_A_DAY = 24;

/** Stands for a minute that nobody wrote down: at most half a day off. */
const NOON = '12:00';

const minuteOf = (on: On): LocalMinute => `${on.day}T${on.time ?? NOON}`;

/** Hours that storage adds to incubation for one egg of this age in days. */
export function storageHours(species: Species, age: number): number {
  const { after_days, hours_per_day } = species.storage_extra_hours.value;
  return Math.max(0, age - after_days) * hours_per_day;
}

/**
 * Days from setting to the last opening of fresh eggs: the end of the kind's window, or as long as
 * the hatcher is kept after the day of hatch.
 */
export function lastOpeningDay(species: Species): number {
  return Math.max(
    species.hatch_window_days.value.high,
    species.hatch_day.value + species.hatcher_days_after_hatch.value,
  );
}

/**
 * Hours to the first, middle and last chick. The first comes of the freshest eggs at the start of the
 * kind's window, the last of the oldest at its end; the middle by the mean of what storage adds.
 * @param drawn ages of the eggs; empty if not known: then storage adds nothing
 * @param machine hours late (early if negative) that the machine has hatched so far
 */
export function hatchHoursOf(
  species: Species,
  drawn: readonly Drawn[],
  machine: number,
): HatchHours {
  const { low, high } = species.hatch_window_days.value;
  const added = drawn.map((one) => ({
    hours: storageHours(species, one.age),
    eggs: one.eggs,
  }));
  const eggs = added.reduce((sum, one) => sum + one.eggs, 0);
  const mean = eggs === 0 ? 0 : added.reduce((sum, one) => sum + one.eggs * one.hours, 0) / eggs;
  const hours = added.map((one) => one.hours);
  return {
    first: low * HOURS_A_DAY + machine + (eggs === 0 ? 0 : smallest(hours)),
    middle: species.hatch_day.value * HOURS_A_DAY + machine + mean,
    last: high * HOURS_A_DAY + machine + (eggs === 0 ? 0 : largest(hours)),
  };
}

/** An opening that found chicks, and the look into the hatcher before it. */
export type ChicksFound = {
  readonly on: On;
  /** Null where nobody had looked before: then the chicks hatched at any time up to `on`. */
  readonly before: On | null;
  /** Chicks out of the shell, alive or dead. */
  readonly chicks: number;
};

/** The openings of a set that found chicks, whichever share they are written for, in order. */
export function chicksFound(set: Pick<EggSet, 'shares'>): ChicksFound[] {
  const rows = set.shares
    .flatMap((share) => share.openings)
    .map(({ on, values }) => ({ on, chicks: values.hatched + values.dead }))
    .sort((a, b) => compareOn(a.on, b.on));
  const out: ChicksFound[] = [];
  let before: On | null = null;
  for (let from = 0, to = 0; from < rows.length; from = to) {
    const { on } = rows[from]!;
    while (to < rows.length && compareOn(rows[to]!.on, on) === 0) to += 1;
    const chicks = rows.slice(from, to).reduce((sum, row) => sum + row.chicks, 0);
    if (chicks > 0) out.push({ on, before, chicks });
    before = on;
  }
  return out;
}

/**
 * Hours late (early if negative) at which the middle chick of a set came at the least, against what
 * is expected of its kind, line and storage; 0 where the openings agree with that. Null until the
 * set is closed, or if it gave no chick.
 * @param cut hours of growth lost in power cuts, which are no fault of a machine
 */
export function hoursLate(set: EggSet, zone: string, cut = 0): number | null {
  const found = chicksFound(set);
  const [share] = set.shares;
  if (found.length === 0 || set.shares.some((one) => one.stage !== 'finished')) return null;
  const all = found.reduce((sum, one) => sum + one.chicks, 0);
  let out = 0;
  const middle = found.find((one) => {
    out += one.chicks;
    return 2 * out >= all;
  })!;
  const hours = (on: On): number => elapsedHours(minuteOf(set.on), minuteOf(on), zone);
  const expected = hatchHoursOf(
    share!.pen.line.species,
    set.shares.flatMap((one) => one.drawn),
    cut,
  ).middle;
  const latest = hours(middle.on);
  const earliest = middle.before === null ? Number.NEGATIVE_INFINITY : hours(middle.before);
  if (expected > latest) return latest - expected;
  return expected < earliest ? earliest - expected : 0;
}

const machines = new WeakMap<Season, Map<string, { sum: number; sets: number }>>();

/**
 * Hours late (early if negative) to expect of a setter, by the closed sets that were set in it. A
 * machine is thought to be right until several sets say otherwise: their mean is drawn to 0 as by
 * some sets that hatched on time (`machine_doubt_sets` of seeds/work.yaml).
 */
export function machineHours(season: Season, setter: string): number {
  let known = machines.get(season);
  if (known === undefined) {
    known = new Map();
    for (const set of season.sets.values()) {
      const late = hoursLate(set, season.zone, hoursInCuts(set.shares[0]!, season));
      if (late === null) continue;
      for (const name of new Set(settersOf(set))) {
        const one = known.get(name) ?? { sum: 0, sets: 0 };
        known.set(name, { sum: one.sum + late, sets: one.sets + 1 });
      }
    }
    machines.set(season, known);
  }
  const one = known.get(setter);
  return one === undefined ? 0 : one.sum / (one.sets + work.machine_doubt_sets.value);
}

function settersOf(set: Pick<EggSet, 'shares'>): string[] {
  return set.shares.flatMap((share) => share.trays.map((one) => one.setter));
}

/** The machines that a share lay in by what is written, over half-open days; `to` is null while it is there. */
export function machinesOf(share: Share): { machine: string; from: Day; to: Day | null }[] {
  const { hatcher, transferredOn, finishedOn } = share;
  const end = finishedOn === null ? null : addDays(finishedOn, 1);
  const isMoved = hatcher !== null && transferredOn !== null;
  const setters = new Set(share.underHen ? [] : share.trays.map((one) => one.setter));
  return [
    ...[...setters].map((machine) => ({
      machine,
      from: share.on.day,
      to: isMoved ? transferredOn : end,
    })),
    ...(isMoved ? [{ machine: hatcher, from: transferredOn, to: end }] : []),
  ];
}

/** Hours of growth that the long power cuts of a day cost what lay in a machine. */
type LostInDay = { readonly machine: string; readonly day: Day; hours: number };

const lost = new WeakMap<Season, readonly LostInDay[]>();

function lostIn(season: Season): readonly LostInDay[] {
  let made = lost.get(season);
  if (made === undefined) {
    const days = new Map<string, LostInDay>();
    for (const { row, hours, roomC } of writtenCuts(season)) {
      if (hours === null || isShortCut(hours)) continue;
      const { machine } = row.values;
      const key = `${row.on.day} ${machine}`;
      const one = days.get(key) ?? { machine, day: row.on.day, hours: 0 };
      one.hours += hoursLost(hours, roomC);
      days.set(key, one);
    }
    made = [...days.values()];
    lost.set(season, made);
  }
  return made;
}

/** Hours by which long power cuts, in the machines that it lay in, have moved the hatch of a share. */
function hoursInCuts(share: Share, season: Season): number {
  const stays = machinesOf(share);
  let sum = 0;
  for (const one of lostIn(season))
    if (
      stays.some(
        ({ machine, from, to }) =>
          machine === one.machine && from <= one.day && (to === null || one.day < to),
      )
    )
      sum += one.hours;
  return sum;
}

/** What is known of eggs whose milestones are asked for. */
type HatchKnown = {
  readonly species: Species;
  readonly on: On;
  readonly drawn: readonly Drawn[];
  readonly zone: string;
  readonly machine: number;
  /** Hours of growth lost in power cuts. */
  readonly cut: number;
  readonly found: readonly ChicksFound[];
  /** The day the last egg or chick was out, if it is past. */
  readonly emptied: Day | null;
};

/**
 * A hatch is over at the latest of: the end of the kind's window, with what storage adds for the
 * oldest eggs and a slow machine for all; some hours after its first chick was seen; some hours after
 * the last opening that found a chick (`seeds/work.yaml`, with sources).
 */
function overAtOf({ species, on, drawn, zone, machine, cut, found }: HatchKnown): LocalMinute {
  const start = minuteOf(on);
  const oldest = drawn.reduce((most, one) => Math.max(most, storageHours(species, one.age)), 0);
  const window = lastOpeningDay(species) * HOURS_A_DAY + oldest + Math.max(0, machine) + cut;
  const ends = [addElapsedHours(start, window, zone)];
  const [first] = found;
  const last = found.at(-1);
  if (first !== undefined)
    ends.push(addElapsedHours(minuteOf(first.on), work.over_after_first_hours.value, zone));
  if (last !== undefined)
    ends.push(addElapsedHours(minuteOf(last.on), work.over_after_last_hours.value, zone));
  return ends.sort().at(-1)!;
}

function milestonesFrom(known: HatchKnown): Milestones {
  const { species, on, drawn, zone, machine, cut, emptied } = known;
  const at = (days: number): Day => addDays(on.day, days);
  const expected = hatchHoursOf(species, drawn, machine + cut);
  return {
    set: on.day,
    candle: species.candle_days.value.map(at),
    transfer: at(species.transfer_day.value),
    watch: at(species.watch_from_day.value),
    hatch: at(species.hatch_day.value),
    hatchHours: hatchHoursOf(species, drawn, 0).middle,
    expected,
    // Worked out when they are asked for, which is not of sets long hatched.
    get hatchAt() {
      return on.time === null ? null : addElapsedHours(minuteOf(on), expected.middle, zone);
    },
    get overAt() {
      return overAtOf(known);
    },
    get lastOpening() {
      return emptied ?? (overAtOf(known).slice(0, on.day.length) as Day);
    },
  };
}

/**
 * The milestones of eggs of a species set on a day. `drawn` gives their ages; empty if not known,
 * then no delay is added. The day of transfer and of hatch are the species' own, never derived.
 */
export function milestonesOf(
  species: Species,
  on: On,
  drawn: readonly Drawn[],
  zone: string,
): Milestones {
  return milestonesFrom({ species, on, drawn, zone, machine: 0, cut: 0, found: [], emptied: null });
}

/** The milestones of a recorded share; its hatch is over when that of its set is. */
export function milestonesOfShare(share: Share, season: Season): Milestones {
  const set = season.sets.get(share.set) ?? { shares: [share] };
  const setters = [...new Set(share.trays.map((one) => one.setter))];
  const hours = setters.map((setter) => machineHours(season, setter));
  return milestonesFrom({
    species: share.pen.line.species,
    on: share.on,
    drawn: share.drawn,
    zone: season.zone,
    machine: hours.length === 0 ? 0 : hours.reduce((sum, one) => sum + one, 0) / hours.length,
    cut: hoursInCuts(share, season),
    get found() {
      return chicksFound(set);
    },
    emptied: emptiedOn(share),
  });
}

/** The day a share's last egg or chick left the hatcher, or null while some are there. */
export function emptiedOn(share: Share): Day | null {
  if (share.finishedOn !== null) return share.finishedOn;
  if (share.transferredOn === null || share.live > 0) return null;
  return share.openings.map((row) => row.on.day).reduce(later, share.transferredOn);
}

/** The milestones of a planned set; its eggs are not laid yet, so storage adds nothing. */
export function milestonesOfPlanned(planned: PlannedSet, season: Season): Milestones {
  return milestonesFrom({
    species: planned.species,
    on: { day: planned.on, time: null },
    drawn: [],
    zone: season.zone,
    machine: machineHours(season, planned.setter),
    cut: 0,
    found: [],
    emptied: null,
  });
}

/** The latest of its shares' last openings, transfers and so on: the set as one body. */
export function milestonesOfSet(set: EggSet, season: Season): Milestones {
  const all = set.shares.map((share) => milestonesOfShare(share, season));
  return all.reduce((a, b) => (b.lastOpening > a.lastOpening ? b : a));
}

/** Planned sets that no row has recorded yet. */
export function openPlan(season: Season): PlannedSet[] {
  return season.planned.filter((one) => !season.sets.has(one.name));
}
