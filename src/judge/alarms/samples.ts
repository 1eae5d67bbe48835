import type { LocalMinute } from '../../facts/local-time.ts';
import { type ReadingSlip, readingSlip } from '../../facts/readings.ts';
import type { Season } from '../../season/model.ts';
import { celsius } from '../../season/weather.ts';
import { compareOn, type On } from '../../text/day.ts';
import { airFromWetBulb, fahrenheitStepToCelsius, standardPressure } from '../psychrometrics.ts';

/** What the instruments of a machine said at a minute, corrected by its calibrations. */
export type Sample = {
  readonly at: LocalMinute;
  readonly on: On;
  /** °C; null if not read, or not to be believed. */
  readonly temperature: number | null;
  /** Percent; from the wet bulb where there is one. */
  readonly humidity: number | null;
  /** °C that the wet bulb stands below the dry one. */
  readonly depression: number | null;
  readonly event: 'power-off' | 'door' | 'turning-stopped' | 'calibration' | null;
  readonly minutes: number | null;
  readonly slip: ReadingSlip | null;
  /** A calibration that could not be applied, in words. */
  readonly query: string | null;
  readonly entry: string;
};

/** The minute of a row; of one that gives only its day the first, so that it is heard at once. */
export const minuteOf = (on: On): LocalMinute => `${on.day}T${on.time ?? '00:00'}`;

/** A correction is a few degrees; a value above this is the true temperature itself. */
const LARGEST_OFFSET_C = 10;

/**
 * The readings of a machine in order of time, in °C and percent. A `calibration` row holds what is
 * to be added from then on, or the true value beside the reading of the same day.
 */
export function samplesOf(season: Season, machine: string): Sample[] {
  const { temperature: unit } = season.values.units;
  const pressure = standardPressure(season.values.place.altitude_m);
  const step = (t: number): number => (unit === 'F' ? fahrenheitStepToCelsius(t) : t);
  const isSetter = season.setters.has(machine) && season.hatchers.size > 0;
  const rows = season.rows.reading
    .filter((row) => row.values.machine === machine)
    .sort((a, b) => compareOn(a.on, b.on));
  const offset = { dry: 0, wet: 0, rh: 0 };
  let shown: { dry: number | null; wet: number | null; day: string } | null = null;
  return rows.map((row): Sample => {
    const v = row.values;
    const slip = readingSlip(v, unit, isSetter);
    const blank = {
      at: minuteOf(row.on),
      on: row.on,
      temperature: null,
      humidity: null,
      depression: null,
      event: v.event,
      minutes: v.minutes,
      slip,
      query: null,
      entry: row.entry,
    };
    if (v.event === 'calibration') {
      let query: string | null = null;
      for (const bulb of ['dry', 'wet'] as const) {
        const value = v[bulb];
        if (value === null) continue;
        const beside = shown?.day === row.on.day ? shown[bulb] : null;
        if (Math.abs(step(value)) <= LARGEST_OFFSET_C) offset[bulb] = step(value);
        else if (beside !== null) offset[bulb] = celsius(value, unit) - celsius(beside, unit);
        else
          query = `${row.on.day}: a calibration of ${value} is no correction, and no reading of that day stands beside it; not applied`;
      }
      if (v.rh !== null) offset.rh = v.rh;
      return { ...blank, query };
    }
    // What an instrument shows in a power cut or with the door open is not how the machine runs.
    if (v.event !== null || (slip !== null && slip.column !== 'rh')) return blank;
    const rh = slip === null ? v.rh : null;
    shown = { dry: v.dry, wet: v.wet, day: row.on.day };
    const temperature = v.dry === null ? null : celsius(v.dry, unit) + offset.dry;
    if (v.wet === null || temperature === null)
      return { ...blank, temperature, humidity: rh === null ? null : rh + offset.rh };
    const wet = celsius(v.wet, unit) + offset.wet;
    return {
      ...blank,
      temperature,
      humidity: humidityOf(temperature, wet, pressure),
      depression: temperature - wet,
    };
  });
}

function humidityOf(dry: number, wet: number, pressure: number): number | null {
  try {
    return airFromWetBulb(dry, wet, pressure).rh_percent;
  } catch {
    return null;
  }
}
