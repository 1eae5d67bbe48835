import type { LocalMinute } from '../../facts/local-time.ts';
import { alarmFigures, type Band, type MachineBands } from '../../facts/machine-bands.ts';
import { cutMeaning, cutsOf, type Outage } from '../../facts/power.ts';
import { fixed } from '../../tables/numbers.ts';
import { daysBetween } from '../../text/day.ts';
import { type AlarmCode, type AlarmRule, type Farm, type Look, ruleOf } from './alarm.ts';
import type { Sample } from './samples.ts';

/** `37.5 °C`, to a tenth, in the season's unit. */
export function degreesText(celsius: number, unit: 'C' | 'F'): string {
  return `${fixed(unit === 'F' ? (celsius * 9) / 5 + 32 : celsius, 1)} °${unit}`;
}

/** `37.2–37.8 °C`. */
export function bandText({ low, high }: { low: number; high: number }, unit: 'C' | 'F'): string {
  const from = degreesText(low, unit).split(' ')[0]!;
  return from === degreesText(high, unit).split(' ')[0]
    ? degreesText(low, unit)
    : `${from}–${degreesText(high, unit)}`;
}

/** `50–61 %`. */
export function humidityText({ low, high }: { low: number; high: number }): string {
  return `${Math.round(low)}–${Math.round(high)} %`;
}

/** A number seen in a machine on a day, and how far it stands outside the band of that day. */
type BandLook = Look & {
  readonly value: number;
  readonly band: Band;
  readonly bands: MachineBands;
  /** Above the band if positive, below it if negative, else 0. */
  readonly beyond: number;
  /** The two readings before, if of the last two days. */
  readonly before: readonly number[];
  /** °C or points beyond the band on the same side, this reading and those before it together. */
  readonly together: number;
  /** Eggs were set that day: cold eggs cool a machine for hours. */
  readonly isSettling: boolean;
};

const RECENT_DAYS = 2;
/** Readings that are looked at together: the one in hand and two before it. */
const TOGETHER = 3;

function bandLooks(
  farm: Farm,
  seenIn: (sample: Sample) => number | null,
  bandOf: (bands: MachineBands) => Band,
): { place: string; looks: BandLook[] }[] {
  return farm.machines().map((place) => {
    const looks: BandLook[] = [];
    for (const sample of farm.samples(place)) {
      const value = seenIn(sample);
      const bands = value === null ? null : farm.bands(place, sample.on.day);
      if (value === null || bands === null) continue;
      const band = bandOf(bands);
      const beyond =
        value > band.high ? value - band.high : value < band.low ? value - band.low : 0;
      const recent = looks
        .slice(1 - TOGETHER)
        .filter((one) => daysBetween(one.at.slice(0, 10) as never, sample.on.day) <= RECENT_DAYS);
      const before = recent.map((one) => one.beyond);
      const same = before.filter((one) => one * beyond > 0);
      const sum = same.reduce((all, one) => all + one, beyond);
      // An unbroken run counts from its beginning.
      const run = (before.at(-1) ?? 0) * beyond > 0 ? looks.at(-1)!.together + beyond : beyond;
      looks.push({
        at: sample.at,
        value,
        band,
        bands,
        beyond: Math.abs(beyond) < 1e-9 ? 0 : beyond,
        before,
        together: Math.abs(run) > Math.abs(sum) ? run : sum,
        isSettling: farm.isLoading(place, sample.on.day),
      });
    }
    return { place, looks };
  });
}

const temperatureLooks = (farm: Farm) =>
  bandLooks(
    farm,
    (sample) => sample.temperature,
    (bands) => bands.temperature,
  );

const humidityLooks = (farm: Farm) =>
  bandLooks(
    farm,
    (sample) => sample.humidity,
    (bands) => bands.humidity,
  );

function setsText(sets: readonly string[]): string {
  return sets.length === 0 ? 'no eggs' : sets.join(', ');
}

/** Whether a temperature outside its band is told: far out by itself, else with those before it. */
function isTold({ value, beyond, together, isSettling }: BandLook): boolean {
  const { together_c, tolerated_c } = alarmFigures;
  if (beyond === 0 || (isSettling && beyond < 0)) return false;
  const isFar = value > tolerated_c.value.high || value < tolerated_c.value.low;
  return isFar || Math.abs(together) >= together_c.value - 1e-9;
}

function temperatureRule(side: 1 | -1, code: AlarmCode): AlarmRule<BandLook> {
  const warm = side > 0;
  const { deadly_c } = alarmFigures;
  return {
    code,
    looks: (farm) => farm.once(temperatureLooks),
    holds: (look) => look.beyond * side > 0 && isTold(look),
    clears: ({ beyond }) => beyond * side <= 0,
    judge: ({ value, band, bands }, farm, place) => {
      const isDeadly = warm ? value >= deadly_c.value.high : value <= deadly_c.value.low;
      const seen = degreesText(value, farm.unit);
      return {
        sets: bands.sets,
        value: seen,
        expected: bandText(band, farm.unit),
        title: `${place} ${seen}, ${warm ? 'above' : 'below'} ${bandText(band, farm.unit)}: ${setsText(bands.sets)}`,
        why: isDeadly
          ? warm
            ? 'hours at this kill'
            : 'hours at this kill, most of all late in the term'
          : undefined,
        next:
          !warm && value >= WET_BULB_C.low && value <= WET_BULB_C.high
            ? [`was the wet bulb typed as the dry one? ${seen} is what a wet bulb shows`]
            : [],
      };
    },
    means: warm
      ? 'too warm hatches early, with more deaths and weak chicks; heat hurts more than cold'
      : 'cool eggs hatch late, and fewer of them',
    look: warm
      ? [
          'a second thermometer beside the eggs',
          'the thermostat and the fan; open the vents or the door until it is in band',
          'read again within the hour',
        ]
      : [
          'a second thermometer beside the eggs',
          'power, the heater, the door',
          'read again within the hour',
        ],
    mutes: ['drift'],
  };
}

/** °C that a wet bulb shows in a machine that runs as it should. */
const WET_BULB_C = { low: 27, high: 34.5 };

function humidityRule(side: 1 | -1, code: AlarmCode): AlarmRule<BandLook> {
  const damp = side > 0;
  const { humidity_margin } = alarmFigures;
  const isOff = (beyond: number): boolean => beyond * side > humidity_margin.value;
  return {
    code,
    looks: (farm) => farm.once(humidityLooks),
    holds: ({ beyond, before }) => isOff(beyond) && before.length > 0 && isOff(before.at(-1)!),
    clears: ({ beyond }) => beyond * side <= 0,
    judge: ({ value, band, bands }, _farm, place) => ({
      sets: bands.sets,
      value: `${Math.round(value)} %`,
      expected: humidityText(band),
      title: `${place} ${Math.round(value)} % humidity, ${damp ? 'above' : 'below'} ${humidityText(band)}: ${setsText(bands.sets)}`,
      why: bands.wants.some((want) => want.stage === 'hatcher')
        ? damp
          ? 'chicks may drown in the shell'
          : 'dry membranes hold chicks fast'
        : undefined,
    }),
    means: damp
      ? 'damp air: too little water is lost, and chicks are wet and late'
      : 'dry air: too much water is lost, and chicks are small and stuck',
    look: damp
      ? ['weigh a tray: weight decides, not the hygrometer', 'less water surface, more vent']
      : ['weigh a tray: weight decides, not the hygrometer', 'water, the wick, the vents'],
  };
}

type SlipLook = Look & { readonly sample: Sample };

function sampleLooks(farm: Farm): { place: string; looks: SlipLook[] }[] {
  return farm.machines().map((place) => ({
    place,
    looks: farm
      .samples(place)
      .filter((sample) => sample.event === null)
      .map((sample) => ({ at: sample.at, sample })),
  }));
}

/** The sets that were in a machine when it was read. */
const setsAt = (farm: Farm, place: string, { on }: Sample): readonly string[] =>
  farm.bands(place, on.day)?.sets ?? [];

const impossibleReading: AlarmRule<SlipLook> = {
  code: 'impossible-reading',
  looks: (farm) => farm.once(sampleLooks),
  holds: ({ sample }) => sample.slip !== null,
  clears: ({ sample }) => sample.slip === null,
  judge: ({ sample }, farm, place) => ({
    sets: setsAt(farm, place, sample),
    value: `${sample.slip!.column} ${sample.slip!.found}`,
    expected: sample.slip!.expected,
    title: `${place}: ${sample.slip!.column} ${sample.slip!.found} cannot be; expected ${sample.slip!.expected}`,
    next: [
      sample.slip!.hint ?? 'read the machine again',
      `mend the row: traybook amend ${sample.entry} ${sample.slip!.column}=N`,
    ],
  }),
  means: 'no machine gives this; the row is left out of every figure until it is mended',
  look: [],
};

const dryWick: AlarmRule<SlipLook> = {
  code: 'dry-wick',
  looks: (farm) => farm.once(sampleLooks),
  holds: ({ sample }) =>
    sample.depression !== null && sample.depression <= alarmFigures.dry_wick_c.value,
  clears: ({ sample }) =>
    (sample.depression !== null && sample.depression > alarmFigures.dry_wick_c.value) ||
    (sample.depression === null && sample.humidity !== null),
  judge: ({ sample }, farm, place) => ({
    sets: setsAt(farm, place, sample),
    value: `wet bulb ${degreesText(sample.temperature! - sample.depression!, farm.unit)}`,
    expected: `well below the dry bulb of ${degreesText(sample.temperature!, farm.unit)}`,
    title: `${place}: the wet bulb reads as the dry one: a dry wick, or one typed for the other`,
  }),
  means: 'a dry wick shows the dry bulb, and humidity is not known',
  look: ['wet or change the wick, fill its cup, read again in half an hour'],
  mutes: ['too-damp'],
};

type DriftLook = Look & {
  readonly value: number;
  readonly usual: number;
  /** Cumulative sums up and down, and what they may reach. */
  readonly up: number;
  readonly down: number;
  readonly limit: number;
  readonly sets: readonly string[];
};

/** Mean moving range of two to standard deviation, for n = 2, as printed in handbooks. */
const MOVING_RANGE = 1.128;

/**
 * A cumulative sum each way of readings against what the machine showed before (Page's test);
 * begun anew by a calibration, by an alarm of its temperature, and when it is back where it was.
 */
function driftLooks(farm: Farm): { place: string; looks: DriftLook[] }[] {
  const { drift_slack_c, drift_limit_c, drift_sigma_c, drift_learn } = alarmFigures;
  const temperatures = new Map(farm.once(temperatureLooks).map((one) => [one.place, one.looks]));
  return farm.machines().map((place) => {
    const looks: DriftLook[] = [];
    const told = new Set(temperatures.get(place)!.flatMap((one) => (isTold(one) ? one.at : [])));
    let learnt: number[] = [];
    let isWarming = false;
    let [range, steps] = [0, 0];
    let [up, down, last]: [number, number, number | null] = [0, 0, null];
    /** Another machine from now on, or another thermometer: what was told of the old one is over. */
    const beginAnew = (at: LocalMinute): void => {
      learnt = [];
      [up, down, last] = [0, 0, null];
      looks.push({ at, value: 0, usual: 0, up, down, limit: 0, sets: [] });
    };
    for (const sample of farm.samples(place)) {
      if (sample.event === 'calibration') {
        beginAnew(sample.at);
        continue;
      }
      const value = sample.temperature;
      const bands = value === null ? null : farm.bands(place, sample.on.day);
      if (sample.event === 'power-off') isWarming = true;
      if (value === null || bands === null) continue;
      // A machine on its way up after a power cut is as it was.
      isWarming &&= value < bands.temperature.low;
      if (isWarming) continue;
      // What is told by itself is no drift, and whoever mends it leaves the machine another one.
      if (told.has(sample.at)) {
        beginAnew(sample.at);
        continue;
      }
      const isLoading = farm.isLoading(place, sample.on.day);
      // Cold eggs cool a machine for hours; none warms it.
      if (isLoading && (learnt.length < drift_learn.value || value < median(learnt))) continue;
      if (last !== null) {
        range += Math.abs(value - last);
        steps += 1;
      }
      last = value;
      if (learnt.length < drift_learn.value) {
        learnt.push(value);
        continue;
      }
      const usual = learnt.reduce((sum, one) => sum + one, 0) / learnt.length;
      const sigma = Math.max(drift_sigma_c.value, range / steps / MOVING_RANGE);
      const slack = drift_slack_c.value;
      // Back where it was: a reading just short of the slack is the drift still.
      if (Math.abs(value - usual) <= slack / 2) [up, down] = [0, 0];
      up = Math.max(0, up + value - usual - slack);
      down = Math.max(0, down + usual - value - slack);
      // What is as usual teaches what is usual.
      if (up === 0 && down === 0) learnt = [...learnt.slice(1 - MOST_LEARNT), value];
      looks.push({
        at: sample.at,
        value,
        usual,
        up,
        down,
        limit: Math.max(drift_limit_c.value, DRIFT_SIGMAS * sigma),
        sets: bands.sets,
      });
    }
    return { place, looks };
  });
}

/** Readings that are kept of what is usual: some weeks of them. */
const MOST_LEARNT = 60;

/** Standard deviations that a cumulative sum must reach (see `drift_limit_c`). */
const DRIFT_SIGMAS = 5;

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length / 2;
  return (sorted[Math.floor(middle)]! + sorted[Math.ceil(middle) - 1]!) / 2;
}

const drift: AlarmRule<DriftLook> = {
  code: 'drift',
  looks: driftLooks,
  holds: ({ up, down, limit }) => up > limit || down > limit,
  clears: ({ up, down }) => up === 0 && down === 0,
  judge: ({ value, usual, up, down, sets }, farm, place) => ({
    sets,
    value: degreesText(value, farm.unit),
    expected: `about ${degreesText(usual, farm.unit)}, as before`,
    title: `${place} has drifted ${up > down ? 'up' : 'down'}, from ${degreesText(usual, farm.unit)} to ${degreesText(value, farm.unit)}: ${setsText(sets)}`,
  }),
  means: 'the machine or its thermometer has changed, within the band or near it',
  look: [
    'a second thermometer beside the eggs: which of the two is right?',
    'write what you find: traybook add reading MACHINE --event calibration --dry CORRECTION',
  ],
};

type CutLook = Look & { readonly cut: Outage | null };

const powerCut: AlarmRule<CutLook> = {
  code: 'power-cut',
  looks: (farm) =>
    farm.machines().map((place) => ({
      place,
      looks: farm.samples(place).flatMap((sample): CutLook[] => {
        if (sample.event === 'power-off') {
          const cut = cutsOf(farm.season).find(
            (one) => one.entry === sample.entry && one.machine === place,
          );
          return [{ at: sample.at, cut: cut ?? null }];
        }
        if (sample.temperature === null) return [];
        const bands = farm.bands(place, sample.on.day);
        const isBack =
          bands === null ||
          (sample.temperature >= bands.temperature.low &&
            sample.temperature <= bands.temperature.high);
        return isBack ? [{ at: sample.at, cut: null }] : [];
      }),
    })),
  holds: ({ cut }) => cut !== null && !cut.isShort && cut.sets.length > 0,
  clears: ({ cut }) => cut === null,
  judge: ({ cut }, farm, place) => {
    const { lines, next } = cutMeaning(cut!, farm.unit);
    return {
      sets: cut!.sets.map((one) => one.set),
      value: cut!.hours === null ? 'hours not written' : `${fixed(cut!.hours, 1)} h without power`,
      expected: 'power',
      title: `${place}: power off ${cut!.hours === null ? 'for a time not written' : `${Math.round(cut!.hours * 10) / 10} h`}: ${setsText(cut!.sets.map((one) => one.set))}`,
      why: lines.join('; '),
      next,
    };
  },
  means: 'throw nothing out on the strength of the cut alone',
  look: ['write a reading once it is back in band: that settles this'],
  mutes: ['too-cold'],
};

export const machineRules = [
  ruleOf(temperatureRule(1, 'too-warm')),
  ruleOf(temperatureRule(-1, 'too-cold')),
  ruleOf(powerCut),
  ruleOf(impossibleReading),
  ruleOf(dryWick),
  ruleOf(humidityRule(1, 'too-damp')),
  ruleOf(humidityRule(-1, 'too-dry')),
  ruleOf(drift),
];
