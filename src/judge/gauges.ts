/** What the gauges of a machine read, day by day, and what they should: of reviews and diagnoses alike. */
import type { Season, Share } from '../season/model.ts';
import { type Day, numberOfDay, type On } from '../text/day.ts';
import { largest, smallest } from '../text/lists.ts';
import { type Sample, samplesOf } from './alarms/samples.ts';

/** A range a machine should be in; several species in it widen the range. */
export type Target = { low: number; high: number; aim: number; source: string };

/** The readings of one gauge in order of time, °C or percent. */
export type GaugeReadings = {
  readonly target: Target;
  readonly readings: readonly { readonly on: On; readonly value: number }[];
  /** The mean of each day that has a reading. */
  readonly daily: readonly { readonly day: Day; readonly number: number; readonly value: number }[];
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
  return [...machines].map((machine) => {
    const kind = season.setters.has(machine) ? 'setter' : 'hatcher';
    const targets = targetsOf(season, machine, kind);
    const samples = samplesOf(season, machine);
    return {
      machine,
      kind,
      temperature: gaugeOf(samples, 'temperature', targets.temperature),
      humidity: gaugeOf(samples, 'humidity', targets.humidity),
      samples,
    };
  });
}

function gaugeOf(
  samples: readonly Sample[],
  of: 'temperature' | 'humidity',
  target: Target | null,
): GaugeReadings | null {
  const readings = samples.flatMap((one) =>
    one[of] === null ? [] : [{ on: one.on, value: one[of] }],
  );
  if (target === null || readings.length === 0) return null;
  const days = new Map<Day, { sum: number; count: number }>();
  for (const { on, value } of readings) {
    const day = days.get(on.day) ?? { sum: 0, count: 0 };
    days.set(on.day, day);
    day.sum += value;
    day.count += 1;
  }
  const daily = [...days].map(([day, { sum, count }]) => ({
    day,
    number: numberOfDay(day),
    value: sum / count,
  }));
  return { target, readings, daily };
}

function targetsOf(
  season: Season,
  machine: string,
  kind: 'setter' | 'hatcher',
): { temperature: Target | null; humidity: Target | null } {
  const species = new Map<string, Share['pen']['line']['species']>();
  for (const set of season.sets.values())
    for (const share of set.shares)
      if (
        kind === 'setter'
          ? share.trays.some((t) => t.setter === machine)
          : share.hatcher === machine
      )
        species.set(share.pen.line.speciesName, share.pen.line.species);
  if (species.size === 0)
    for (const line of season.lines.values()) species.set(line.speciesName, line.species);
  const air =
    kind === 'setter' ? season.setters.get(machine)?.air : season.hatchers.get(machine)?.air;
  const temperature: Target[] = [];
  const humidity: Target[] = [];
  for (const one of species.values()) {
    const t =
      kind === 'hatcher' ? one.hatcher_c : air === 'still' ? one.still_air_c : one.forced_air_c;
    // One class of setting is a quarter of a degree wide either way where no range is printed.
    const range = t.range ?? { low: t.value - 0.3, high: t.value + 0.3 };
    temperature.push({ ...range, aim: t.value, source: t.source });
    const h = kind === 'hatcher' ? one.hatcher_rh : one.setter_rh;
    const wide = h.range ?? h.value;
    humidity.push({
      low: Math.min(wide.low, h.value.low),
      high: Math.max(wide.high, h.value.high),
      aim: (h.value.low + h.value.high) / 2,
      source: h.source,
    });
  }
  const join = (list: readonly Target[]): Target | null =>
    list.length === 0
      ? null
      : {
          low: smallest(list.map((t) => t.low)),
          high: largest(list.map((t) => t.high)),
          aim: list.reduce((s, t) => s + t.aim, 0) / list.length,
          source: list[0]!.source,
        };
  return { temperature: join(temperature), humidity: join(humidity) };
}
