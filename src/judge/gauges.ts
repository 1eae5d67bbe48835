/** What the gauges of a machine read, day by day, and what they should: of reviews and diagnoses alike. */
import {
  type Band,
  bandsOn,
  type MachineBands,
  type MachineStay,
  machineStays,
} from '../facts/machine-bands.ts';
import type { Season } from '../season/model.ts';
import { type Day, numberOfDay, type On } from '../text/day.ts';
import { groupedBy } from '../text/lists.ts';
import { type Sample, samplesOf } from './alarms/samples.ts';

/** The readings of one gauge in order of time, °C or percent. */
export type GaugeReadings = {
  /** What it should be on most days with a reading. */
  readonly target: Band;
  readonly readings: readonly { readonly on: On; readonly value: number; readonly band: Band }[];
  /** The mean of each day that has a reading, and what was aimed at that day. */
  readonly daily: readonly {
    readonly day: Day;
    readonly number: number;
    readonly value: number;
    readonly aim: number;
  }[];
};

type MachineGauges = {
  readonly machine: string;
  readonly kind: 'setter' | 'hatcher';
  readonly temperature: GaugeReadings | null;
  readonly humidity: GaugeReadings | null;
  readonly samples: readonly Sample[];
};

/** The gauges of every machine that was read; one without a reading to believe is null. */
export function gaugesOf(season: Season): MachineGauges[] {
  const machines = new Set(season.rows.reading.map((row) => row.values.machine));
  const stays = groupedBy(machineStays(season), (stay) => stay.machine);
  return [...machines].map((machine) => {
    const samples = samplesOf(season, machine);
    const bands = bandsBySample(season, stays.get(machine) ?? [], machine, samples);
    return {
      machine,
      kind: season.setters.has(machine) ? 'setter' : 'hatcher',
      temperature: gaugeOf(samples, bands, 'temperature'),
      humidity: gaugeOf(samples, bands, 'humidity'),
      samples,
    };
  });
}

/** What the eggs in a machine wanted at each reading; of an empty one, those before it, else those to come. */
function bandsBySample(
  season: Season,
  stays: readonly MachineStay[],
  machine: string,
  samples: readonly Sample[],
): readonly (MachineBands | null)[] {
  const onDay = new Map<Day, MachineBands | null>();
  const bands = samples.map(({ on: { day } }) => {
    if (!onDay.has(day)) onDay.set(day, bandsOn(season, stays, machine, day));
    return onDay.get(day)!;
  });
  let last = bands.find((one) => one !== null) ?? null;
  return bands.map((one) => {
    last = one ?? last;
    return last;
  });
}

function gaugeOf(
  samples: readonly Sample[],
  bands: readonly (MachineBands | null)[],
  of: 'temperature' | 'humidity',
): GaugeReadings | null {
  const readings = samples.flatMap(({ on, [of]: value }, index) => {
    const band = bands[index]?.[of];
    return value === null || band === undefined ? [] : [{ on, value, band }];
  });
  const days = new Map<Day, { sum: number; count: number; band: Band }>();
  const usual = new Map<string, { band: Band; days: number }>();
  for (const { on, value, band } of readings) {
    const day = days.get(on.day) ?? { sum: 0, count: 0, band };
    if (day.count === 0) {
      const key = `${band.low} ${band.high} ${band.aim}`;
      const same = usual.get(key) ?? { band, days: 0 };
      usual.set(key, { band, days: same.days + 1 });
    }
    days.set(on.day, day);
    day.sum += value;
    day.count += 1;
  }
  if (readings.length === 0) return null;
  const daily = [...days].map(([day, { sum, count, band }]) => ({
    day,
    number: numberOfDay(day),
    value: sum / count,
    aim: band.aim,
  }));
  const { band: target } = [...usual.values()].reduce((a, b) => (b.days > a.days ? b : a));
  return { target, readings, daily };
}
