import { cutMeaning, cutsOf, type Outage } from '../../facts/power.ts';
import type { Season, Share } from '../../season/model.ts';
import { type Day, daysBetween, numberOfDay, type On } from '../../text/day.ts';
import { largest, smallest } from '../../text/lists.ts';
import { norms } from '../norms.ts';
import {
  airFromWetBulb,
  fahrenheitStepToCelsius,
  fahrenheitToCelsius,
  standardPressure,
} from '../psychrometrics.ts';
import { studentQuantile } from '../statistics/distributions.ts';
import { lineFit } from '../statistics/line-fit.ts';

/** A range a machine should be in; several species in it widen the range. */
export type Target = { low: number; high: number; aim: number; source: string };

export type Measured = {
  /** The mean of each day that has a reading, and what is aimed at. */
  daily: readonly { readonly day: Day; readonly value: number }[];
  /** Readings, days with one, and the mean of the days' means. */
  readings: number;
  days: number;
  mean: number;
  low: number | null;
  high: number | null;
  /** Standard error of the mean, from day to day. */
  se: number | null;
  /** Share of the time between readings spent out of the range, each reading standing for itself. */
  outOfRange: number;
  /** Change a week, and its p value; null with fewer than three days. */
  drift: { perWeek: number; p: number | null } | null;
  target: Target;
};

/** A power cut, with what it meant for the eggs and what to do. */
export type PowerCut = Outage & { readonly advice: string };

export type MachineReadings = {
  machine: string;
  kind: 'setter' | 'hatcher';
  temperature_c: Measured | null;
  humidity: Measured | null;
  powerCuts: PowerCut[];
  turningStopped: { on: On; minutes: number | null }[];
  doors: number;
  /** What was wrong with single rows, in words. */
  queries: string[];
};

type Offsets = { dry: number; wet: number; rh: number };

/**
 * What the instruments of each machine say, °C and percent. A `calibration` row holds what is to be
 * added to this machine's readings from then on: dry and wet in degrees, rh in points; one that
 * reads like a machine's temperature is the true value beside the reading of the same minute.
 */
export function readingsOf(season: Season): MachineReadings[] {
  const out: MachineReadings[] = [];
  const inFahrenheit = season.values.units.temperature === 'F';
  const celsius = (t: number): number => (inFahrenheit ? fahrenheitToCelsius(t) : t);
  const step = (t: number): number => (inFahrenheit ? fahrenheitStepToCelsius(t) : t);
  const told = (cut: Outage): PowerCut => {
    const { lines, next } = cutMeaning(cut, season.values.units.temperature);
    return { ...cut, advice: [...lines, ...next].join('; ') };
  };
  const pressure = standardPressure(season.values.place.altitude_m);
  for (const [machine, rows] of byMachine(season.rows.reading)) {
    const kind = season.setters.has(machine) ? 'setter' : 'hatcher';
    const targets = targetsOf(season, machine, kind);
    const queries: string[] = [];
    let offsets: Offsets = { dry: 0, wet: 0, rh: 0 };
    let latest: { dry: number | null; wet: number | null; on: On } | null = null;
    const dry = targets.temperature && new Gauge(targets.temperature);
    const rh = targets.humidity && new Gauge(targets.humidity);
    const turningStopped: MachineReadings['turningStopped'] = [];
    let doors = 0;
    for (const row of rows) {
      const v = row.values;
      const { on } = row;
      switch (v.event) {
        case 'calibration':
          offsets = calibrated(v, latest, offsets, on, queries, step, celsius);
          continue;
        case 'turning-stopped':
          turningStopped.push({ on, minutes: v.minutes });
          break;
        case 'door':
          doors += 1;
          break;
        case null:
          latest = { dry: v.dry, wet: v.wet, on };
          break;
      }
      // What an instrument shows in a power cut or with the door open is not how the machine runs.
      if (v.event !== null) continue;
      const t = v.dry === null ? null : celsius(v.dry) + offsets.dry;
      if (t !== null) dry?.add(on, t);
      if (v.wet !== null && t !== null) {
        const wet = celsius(v.wet) + offsets.wet;
        try {
          rh?.add(on, airFromWetBulb(t, wet, pressure).rh_percent);
        } catch {
          queries.push(`${on.day}: wet bulb ${v.wet} does not go with dry bulb ${v.dry}`);
        }
      } else if (v.rh !== null) {
        if (kind === 'setter' && v.rh > norms.loss.rh_query.value) {
          queries.push(
            `${on.day}: humidity ${v.rh} % in a setter: was it a wet bulb in °F? left out`,
          );
        } else rh?.add(on, v.rh + offsets.rh);
      }
    }
    out.push({
      machine,
      kind,
      temperature_c: dry?.measured() ?? null,
      humidity: rh?.measured() ?? null,
      powerCuts: cutsOf(season).flatMap((cut) => (cut.machine === machine ? [told(cut)] : [])),
      turningStopped,
      doors,
      queries,
    });
  }
  return out;
}

/** The readings of each machine, in the order they stand. */
function byMachine(
  rows: Season['rows']['reading'],
): Map<string, Season['rows']['reading'][number][]> {
  const out = new Map<string, Season['rows']['reading'][number][]>();
  for (const row of rows) {
    const { machine } = row.values;
    const same = out.get(machine);
    if (same) same.push(row);
    else out.set(machine, [row]);
  }
  return out;
}

function hourOf(on: On): number {
  return on.time === null ? 12 : Number(on.time.slice(0, 2)) + Number(on.time.slice(3, 5)) / 60;
}

// A correction is a few degrees; a value above this is the true temperature itself.
const LARGEST_OFFSET_C = 10;

function calibrated(
  v: { dry: number | null; wet: number | null; rh: number | null },
  latest: { dry: number | null; wet: number | null; on: On } | null,
  before: Offsets,
  on: On,
  queries: string[],
  step: (t: number) => number,
  celsius: (t: number) => number,
): Offsets {
  const degree = (value: number | null, shown: number | null | undefined, was: number): number => {
    if (value === null) return was;
    if (Math.abs(step(value)) <= LARGEST_OFFSET_C) return step(value);
    if (shown != null && latest?.on.day === on.day) return celsius(value) - celsius(shown);
    queries.push(
      `${on.day}: a calibration of ${value} is no correction, and no reading of that day stands beside it; not applied`,
    );
    return was;
  };
  return {
    dry: degree(v.dry, latest?.dry, before.dry),
    wet: degree(v.wet, latest?.wet, before.wet),
    rh: v.rh ?? before.rh,
  };
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

type GaugeDay = { readonly day: Day; readonly number: number; sum: number; count: number };

/** The readings of one instrument in order of time; of each only its part of the sums is kept. */
class Gauge {
  readonly #target: Target;
  readonly #days: GaugeDay[] = [];
  readonly #byDay = new Map<Day, GaugeDay>();
  #readings = 0;
  #before: { hours: number; isOut: boolean } | null = null;
  #time = 0;
  #out = 0;

  constructor(target: Target) {
    this.#target = target;
  }

  add(on: On, value: number): void {
    let today = this.#days.at(-1);
    if (today?.day !== on.day) {
      today = this.#byDay.get(on.day);
      if (today === undefined) {
        today = { day: on.day, number: numberOfDay(on.day), sum: 0, count: 0 };
        this.#days.push(today);
        this.#byDay.set(on.day, today);
      }
    }
    today.sum += value;
    today.count += 1;
    this.#readings += 1;
    const hours = today.number * 24 + hourOf(on);
    this.#stood(hours);
    this.#before = { hours, isOut: value < this.#target.low || value > this.#target.high };
  }

  /** A reading stands for the time up to the next, a day at most. */
  #stood(until: number): void {
    if (this.#before === null) return;
    const hours = Math.min(24, Math.max(0, until - this.#before.hours)) || 1;
    this.#time += hours;
    if (this.#before.isOut) this.#out += hours;
  }

  measured(): Measured | null {
    if (this.#before === null) return null;
    this.#stood(this.#before.hours + 1);
    const means = this.#days.map(({ day, sum, count }) => ({ day, value: sum / count }));
    const k = means.length;
    const mean = means.reduce((s, m) => s + m.value, 0) / k;
    const variance = k > 1 ? means.reduce((s, m) => s + (m.value - mean) ** 2, 0) / (k - 1) : null;
    const first = means[0]!.day;
    const x = means.map((m) => daysBetween(first, m.day));
    const fit =
      k > 2
        ? lineFit(
            x,
            means.map((m) => m.value),
          )
        : null;
    // Days that hang together count as fewer: the lag-one correlation thins them out.
    let lag = 0;
    if (variance) {
      let sum = 0;
      for (let i = 1; i < k; i++) sum += (means[i]!.value - mean) * (means[i - 1]!.value - mean);
      lag = Math.min(0.9, Math.max(0, sum / ((k - 1) * variance)));
    }
    const se = variance === null ? null : Math.sqrt((variance / k) * ((1 + lag) / (1 - lag)));
    const half = se === null ? null : studentQuantile(0.975, k - 1) * se;
    return {
      daily: means,
      readings: this.#readings,
      days: k,
      mean,
      low: half === null ? null : mean - half,
      high: half === null ? null : mean + half,
      se,
      outOfRange: this.#out / this.#time,
      drift: fit ? { perWeek: fit.slope * 7, p: fit.pSlope } : null,
      target: this.#target,
    };
  }
}
