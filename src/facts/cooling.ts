import file from '../../seeds/power.yaml';
import type { FigureTable } from '../season/figure.ts';
import type { Season } from '../season/model.ts';
import { celsius } from '../season/weather.ts';

type PowerKey =
  | 'short_hours'
  | 'young_days'
  | 'late_share'
  | 'suspended_c'
  | 'cooling_hours'
  | 'room_c'
  | 'delay_hours';

/** The figures of `seeds/power.yaml`. */
export const powerFigures = (
  file as { power: FigureTable<PowerKey, 'candle_after_days' | 'unbalanced_c'> }
).power;

/** True for a cut of so many hours that does no great harm. */
export const isShortCut = (hours: number): boolean => hours <= powerFigures.short_hours.value;

/** A power cut as it is written: one row for one machine. */
export type WrittenCut = {
  readonly row: Season['rows']['reading'][number];
  readonly hours: number | null;
  /** °C of the room: as written with it, else as the figures have it. */
  readonly roomC: number;
};

const cuts = new WeakMap<Season, readonly WrittenCut[]>();

/** Every power cut that is written down. */
export function writtenCuts(season: Season): readonly WrittenCut[] {
  let found = cuts.get(season);
  if (found === undefined) {
    const unit = season.values.units.temperature;
    found = season.rows.reading
      .filter((row) => row.values.event === 'power-off')
      .map((row) => ({
        row,
        hours: row.values.minutes === null ? null : row.values.minutes / 60,
        roomC:
          row.values.room === null ? powerFigures.room_c.value : celsius(row.values.room, unit),
      }));
    cuts.set(season, found);
  }
  return found;
}

/** °C at which machines run, near enough to reckon how far they cool. */
export const RUNNING_C = 37.5;

/**
 * °C of eggs after hours in a machine without power, by Newton's law of cooling from the figure of
 * the machine to that of the room. The time constant is a judgement (`seeds/power.yaml`).
 */
export function cooledTo(startC: number, roomC: number, hours: number): number {
  return roomC + (startC - roomC) * Math.exp(-hours / powerFigures.cooling_hours.value);
}

/** Parts of an hour in which growth is added up. */
const STEPS_AN_HOUR = 4;

/**
 * Hours by which a cut moves a hatch: growth goes on in full down to the warm end of `unbalanced_c`,
 * stands still at its cold end, and slows evenly between; at most `delay_hours` (`seeds/power.yaml`).
 */
export function hoursLost(hours: number, roomC: number): number {
  const { low, high } = powerFigures.unbalanced_c.value;
  let lost = 0;
  for (let step = 0; step < hours * STEPS_AN_HOUR; step += 1) {
    const c = cooledTo(RUNNING_C, roomC, (step + 0.5) / STEPS_AN_HOUR);
    lost += Math.min(1, Math.max(0, (high - c) / (high - low))) / STEPS_AN_HOUR;
    if (lost >= powerFigures.delay_hours.value) return powerFigures.delay_hours.value;
  }
  return lost;
}
