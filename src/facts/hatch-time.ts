import type { Drawn, EggSet, PlannedSet, Season, Share } from '../season/model.ts';
import type { Species } from '../season/species.ts';
import { addDays, type Day, type On } from '../text/day.ts';
import { addElapsedHours, type LocalMinute } from './local-time.ts';

/** The dates of a share, by local calendar day; day 0 is the day of setting. */
export type Milestones = {
  readonly set: Day;
  readonly candle: readonly Day[];
  /** Last look, turning stops, eggs go to the hatcher, damp up. */
  readonly transfer: Day;
  /** First pips may be seen. */
  readonly watch: Day;
  readonly hatch: Day;
  /** Nominal hours from setting to hatch, with what storage adds on the average of its eggs. */
  readonly hatchHours: number;
  /** The wall clock at `hatchHours`, if the minute of setting is known. */
  readonly hatchAt: LocalMinute | null;
  /** Last opening, with what storage adds for the oldest eggs. */
  readonly lastOpening: Day;
};

const HOURS_A_DAY = 24;

/** Hours that storage adds to incubation for one egg of this age in days. */
export function storageHours(species: Species, age: number): number {
  const { after_days, hours_per_day } = species.storage_extra_hours.value;
  return Math.max(0, age - after_days) * hours_per_day;
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
  const at = (days: number): Day => addDays(on.day, days);
  const eggs = drawn.reduce((sum, one) => sum + one.eggs, 0);
  const delay =
    eggs === 0
      ? 0
      : drawn.reduce((sum, one) => sum + one.eggs * storageHours(species, one.age), 0) / eggs;
  const oldest = drawn.reduce((most, one) => Math.max(most, storageHours(species, one.age)), 0);
  const hatchHours = species.hatch_day.value * HOURS_A_DAY + delay;
  return {
    set: on.day,
    candle: species.candle_days.value.map(at),
    transfer: at(species.transfer_day.value),
    watch: at(species.watch_from_day.value),
    hatch: at(species.hatch_day.value),
    hatchHours,
    // Worked out when it is asked for, which is not of sets long hatched.
    get hatchAt() {
      return on.time === null ? null : addElapsedHours(`${on.day}T${on.time}`, hatchHours, zone);
    },
    lastOpening: at(
      species.hatch_day.value +
        species.hatcher_days_after_hatch.value +
        Math.round(oldest / HOURS_A_DAY),
    ),
  };
}

/** The milestones of a recorded share. */
export function milestonesOfShare(share: Share, season: Season): Milestones {
  return milestonesOf(share.pen.line.species, share.on, share.drawn, season.zone);
}

/** The milestones of a planned set; its eggs are not laid yet, so storage adds nothing. */
export function milestonesOfPlanned(planned: PlannedSet, season: Season): Milestones {
  return milestonesOf(planned.species, { day: planned.on, time: null }, [], season.zone);
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
