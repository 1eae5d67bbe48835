import file from '../../seeds/alarms.yaml';
import type { Bounds, Figure, FigureTable } from '../season/figure.ts';
import type { EggSet, Season, Share } from '../season/model.ts';
import { addDays, type Day, earlier } from '../text/day.ts';
import { largest, smallest } from '../text/lists.ts';
import { hasHatched } from './expected.ts';
import { machinesOf, milestonesOfShare } from './hatch-time.ts';
import type { Span } from './spans.ts';

type RangeKey = 'possible_c' | 'tolerated_c' | 'deadly_c';
type NumberKey =
  | 'setter_rh_asked'
  | 'class_c'
  | 'together_c'
  | 'hatching_low_c'
  | 'humidity_margin'
  | 'drift_slack_c'
  | 'drift_limit_c'
  | 'drift_sigma_c'
  | 'drift_learn'
  | 'dry_wick_c'
  | 'early_hours'
  | 'weight_margin'
  | 'runaway_days'
  | 'cause_days'
  | 'lost_set_eggs';

/** The figures of `seeds/alarms.yaml`: when a morning is to be woken. */
export const alarmFigures = (
  file as {
    alarms: FigureTable<NumberKey, RangeKey> & {
      cause_birds: Figure<Readonly<Record<string, number>>>;
    };
  }
).alarms;

/** Eggs of a share in a machine over half-open days; `to` runs ahead while they are in it. */
export type MachineStay = Span & {
  readonly machine: string;
  readonly set: EggSet;
  readonly share: Share;
};

/** Days past the last opening that a set nobody closed is still taken to be in its machine. */
const UNCLOSED_DAYS = 3;

/** Which eggs are in which machine, from what is written. */
export function machineStays(season: Season): MachineStay[] {
  const out: MachineStay[] = [];
  for (const set of season.sets.values())
    for (const share of set.shares) {
      const unclosed = addDays(milestonesOfShare(share, season).lastOpening, UNCLOSED_DAYS);
      const lastLook = share.candlings.at(-1)?.on.day ?? share.on.day;
      const isEmptied = share.stage === 'in-setter' && share.live <= 0;
      for (const { machine, from, to } of machinesOf(share)) {
        const end = isEmptied ? addDays(lastLook, 1) : (to ?? unclosed);
        const ends = machine === share.hatcher ? end : earlier(end, unclosed);
        out.push({ machine, set, share, from, to: ends });
      }
    }
  return out;
}

/** What one kind at its stage wants of a machine. */
export type MachineWant = {
  readonly sets: readonly string[];
  readonly species: string;
  readonly stage: 'setter' | 'hatcher';
  readonly temperature: Bounds & { readonly aim: number };
  readonly humidity: Bounds & { readonly aim: number };
};

/** The band that all eggs in a machine share on a day: their intersection, null where there is none. */
export type Band = Bounds & {
  readonly aim: number;
  /** False where no figure suits all: then this is from the lowest to the highest that any wants. */
  readonly isShared: boolean;
};

export type MachineBands = {
  readonly sets: readonly string[];
  readonly wants: readonly MachineWant[];
  readonly temperature: Band;
  readonly humidity: Band;
};

/**
 * What all eggs in a machine want on a day, °C and percent: the intersection of the bands of the
 * kinds that are in it that day, each at its stage. Null when nothing is in it.
 */
export function bandsOn(
  season: Season,
  stays: readonly MachineStay[],
  machine: string,
  day: Day,
): MachineBands | null {
  const wants = new Map<string, MachineWant>();
  for (const stay of stays) {
    if (stay.machine !== machine || day < stay.from || day >= stay.to) continue;
    const want = wantOf(season, stay, day);
    const key = `${want.species} ${want.stage} ${want.temperature.low} ${want.humidity.low} ${want.humidity.high}`;
    const same = wants.get(key);
    if (same === undefined) wants.set(key, want);
    else if (!same.sets.includes(stay.set.name))
      wants.set(key, { ...same, sets: [...same.sets, stay.set.name] });
  }
  if (wants.size === 0) return null;
  const all = [...wants.values()];
  return {
    sets: [...new Set(all.flatMap((want) => want.sets))],
    wants: all,
    temperature: shared(all.map((want) => want.temperature)),
    humidity: shared(all.map((want) => want.humidity)),
  };
}

function shared(wanted: readonly (Bounds & { readonly aim: number })[]): Band {
  const low = largest(wanted.map((one) => one.low));
  const high = smallest(wanted.map((one) => one.high));
  const mean = wanted.reduce((sum, one) => sum + one.aim, 0) / wanted.length;
  if (low <= high) return { low, high, aim: Math.min(high, Math.max(low, mean)), isShared: true };
  return {
    low: smallest(wanted.map((one) => one.low)),
    high: largest(wanted.map((one) => one.high)),
    aim: mean,
    isShared: false,
  };
}

/** A species' figures for one share on a day: the setter's until its transfer, then the hatcher's. */
function wantOf(season: Season, { machine, set, share }: MachineStay, day: Day): MachineWant {
  const { species, speciesName } = share.pen.line;
  const setter = season.setters.get(machine);
  const hatcher = season.hatchers.get(machine);
  // Where eggs hatch in the machine they were turned in, the last days are the hatcher's.
  const stays = share.hatcher === null && day >= milestonesOfShare(share, season).transfer;
  const isHatching = share.hatcher === machine && setter === undefined ? true : stays;
  const isStill = (hatcher?.air ?? setter?.air) === 'still';
  const figure = isStill ? species.still_air_c : species.forced_air_c;
  const range = rangeOf(figure);
  const rh = isHatching ? species.hatcher_rh : species.setter_rh;
  const wide = rh.range ?? rh.value;
  const humidity = {
    low: Math.min(wide.low, rh.value.low),
    high: Math.max(wide.high, rh.value.high),
    aim: (rh.value.low + rh.value.high) / 2,
  };
  if (!isHatching)
    return {
      sets: [set.name],
      species: speciesName,
      stage: 'setter',
      temperature: { ...range, aim: figure.value },
      humidity,
    };
  const cool = isStill ? figure.value : species.hatcher_c.value;
  const low = rangeOf({ value: cool, range: species.hatcher_c.range }).low;
  return {
    sets: [set.name],
    species: speciesName,
    stage: 'hatcher',
    temperature: {
      // Once chicks are out the machine may be cooler, and is often turned down.
      low: set.shares.some(hasHatched) ? Math.min(low, alarmFigures.hatching_low_c.value) : low,
      // Many hatch at the figure of the setter: that is no fault.
      high: Math.max(range.high, cool),
      aim: cool,
    },
    humidity,
  };
}

function rangeOf(figure: { value: number; range?: Bounds | undefined }): Bounds {
  const slack = alarmFigures.class_c.value;
  return figure.range ?? { low: figure.value - slack, high: figure.value + slack };
}
