import { cutMeaning, cutsOf, type Outage } from '../../facts/power.ts';
import type { Season } from '../../season/model.ts';
import { numberOfDay, type On } from '../../text/day.ts';
import { type GaugeReadings, gaugesOf } from '../gauges.ts';
import { studentQuantile } from '../statistics/distributions.ts';

export type Measured = {
  daily: GaugeReadings['daily'];
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
  /** Change a week, by least squares; null with fewer than three days. */
  drift: { perWeek: number } | null;
  target: GaugeReadings['target'];
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

/** What the instruments of each machine say, °C and percent, corrected by its calibrations. */
export function readingsOf(season: Season, gauges = gaugesOf(season)): MachineReadings[] {
  const told = (cut: Outage): PowerCut => {
    const { lines, next } = cutMeaning(cut, season.values.units.temperature);
    return { ...cut, advice: [...lines, ...next].join('; ') };
  };
  return gauges.map(({ machine, kind, temperature, humidity, samples }) => ({
    machine,
    kind,
    temperature_c: temperature && measuredBy(temperature),
    humidity: humidity && measuredBy(humidity),
    powerCuts: cutsOf(season).flatMap((cut) => (cut.machine === machine ? [told(cut)] : [])),
    turningStopped: samples
      .filter((one) => one.event === 'turning-stopped')
      .map(({ on, minutes }) => ({ on, minutes })),
    doors: samples.filter((one) => one.event === 'door').length,
    queries: samples.flatMap(({ on, query, slip, depression, humidity: rh }) =>
      query !== null
        ? [query]
        : slip !== null
          ? [`${on.day}: ${slip.column} ${slip.found}: expected ${slip.expected}; left out`]
          : depression !== null && rh === null
            ? [`${on.day}: the wet bulb does not go with the dry bulb; left out`]
            : [],
    ),
  }));
}

function hoursOf(on: On): number {
  const hour =
    on.time === null ? 12 : Number(on.time.slice(0, 2)) + Number(on.time.slice(3, 5)) / 60;
  return numberOfDay(on.day) * 24 + hour;
}

/** Share of the time out of the range: a reading stands for the time up to the next, a day at most. */
function outOfRange({ readings }: GaugeReadings): number {
  let time = 0;
  let out = 0;
  readings.forEach(({ on, value, band }, i) => {
    const next = readings[i + 1];
    const stood = next === undefined ? 1 : hoursOf(next.on) - hoursOf(on);
    const hours = Math.min(24, Math.max(0, stood)) || 1;
    time += hours;
    if (value < band.low || value > band.high) out += hours;
  });
  return out / time;
}

/** Slope a day of the least-squares line through the means of days. */
function slopeOf(daily: GaugeReadings['daily']): number {
  const mid = daily.reduce((s, m) => s + m.number, 0) / daily.length;
  let top = 0;
  let bottom = 0;
  for (const { number, value } of daily) {
    top += (number - mid) * value;
    bottom += (number - mid) ** 2;
  }
  return top / bottom;
}

function measuredBy(gauge: GaugeReadings): Measured {
  const { daily, readings, target } = gauge;
  const k = daily.length;
  const mean = daily.reduce((s, m) => s + m.value, 0) / k;
  const variance = k > 1 ? daily.reduce((s, m) => s + (m.value - mean) ** 2, 0) / (k - 1) : null;
  // Days that hang together count as fewer: the lag-one correlation thins them out.
  let lag = 0;
  if (variance) {
    let sum = 0;
    for (let i = 1; i < k; i++) sum += (daily[i]!.value - mean) * (daily[i - 1]!.value - mean);
    lag = Math.min(0.9, Math.max(0, sum / ((k - 1) * variance)));
  }
  const se = variance === null ? null : Math.sqrt((variance / k) * ((1 + lag) / (1 - lag)));
  const half = se === null ? null : studentQuantile(0.975, k - 1) * se;
  return {
    daily,
    readings: readings.length,
    days: k,
    mean,
    low: half === null ? null : mean - half,
    high: half === null ? null : mean + half,
    se,
    outOfRange: outOfRange(gauge),
    drift: k > 2 ? { perWeek: 7 * slopeOf(daily) } : null,
    target,
  };
}
