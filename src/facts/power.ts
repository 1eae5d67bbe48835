import type { Season } from '../season/model.ts';
import { celsius } from '../season/weather.ts';
import { addDays, type Day, daysBetween, type On } from '../text/day.ts';
import {
  cooledTo,
  hoursLost,
  isShortCut,
  powerFigures,
  RUNNING_C,
  writtenCuts,
} from './cooling.ts';
import { wholeDegrees } from './heat.ts';
import { machineStays } from './machine-bands.ts';

/** How far the eggs of a set were when the power failed. */
export type CutSet = {
  readonly set: string;
  readonly day: number;
  readonly stage: 'young' | 'middle' | 'late';
  /** The days on which what died then shows, half-open; null where its last look at transfer comes by then. */
  readonly candle: { readonly from: Day; readonly to: Day } | null;
};

/** Hours without power in one machine. One row for several machines is one cut in each. */
export type Outage = {
  readonly machine: string;
  readonly on: On;
  readonly hours: number | null;
  /** °C that the machine fell to: as written with the cut, else reckoned for the room. */
  readonly lowestC: number | null;
  readonly isReckoned: boolean;
  /** °C of the room: as written, else `room_c` of the figures. */
  readonly roomC: number;
  readonly isRoomKnown: boolean;
  readonly isShort: boolean;
  readonly sets: readonly CutSet[];
  readonly entry: string;
};

/** Every power cut written down, machine by machine. */
export function cutsOf(season: Season): Outage[] {
  const known = cuts.get(season);
  if (known !== undefined) return known;
  const written = writtenCuts(season);
  const unit = season.values.units.temperature;
  const stays = written.length > 0 ? machineStays(season) : [];
  const hit = new Map<string, readonly CutSet[]>();
  /** The sets that a cut of a day in a machine hits: many cuts of one day hit the same. */
  const hitBy = (machine: string, day: Day): readonly CutSet[] => {
    const key = `${day} ${machine}`;
    const made = hit.get(key) ?? setsIn(stays, machine, day);
    hit.set(key, made);
    return made;
  };
  const found = written.map(({ row, hours, roomC }): Outage => {
    const { machine, dry, room } = row.values;
    return {
      machine,
      on: row.on,
      hours,
      lowestC:
        dry !== null
          ? celsius(dry, unit)
          : hours === null
            ? null
            : cooledTo(RUNNING_C, roomC, hours),
      isReckoned: dry === null,
      roomC,
      isRoomKnown: room !== null,
      isShort: hours !== null && isShortCut(hours),
      sets: hitBy(machine, row.on.day),
      entry: row.entry,
    };
  });
  cuts.set(season, found);
  return found;
}

const cuts = new WeakMap<Season, Outage[]>();

function setsIn(stays: ReturnType<typeof machineStays>, machine: string, cutOn: Day): CutSet[] {
  const sets = new Map<string, CutSet>();
  for (const { machine: where, set, share, from, to } of stays) {
    if (where !== machine || cutOn < from || cutOn >= to) continue;
    const { species } = share.pen.line;
    const day = daysBetween(set.on.day, cutOn);
    const { low, high } = powerFigures.candle_after_days.value;
    const transfer = addDays(set.on.day, species.transfer_day.value);
    const candle = { from: addDays(cutOn, low), to: addDays(cutOn, high + 1) };
    sets.set(set.name, {
      set: set.name,
      day,
      stage:
        day > powerFigures.late_share.value * species.hatch_day.value
          ? 'late'
          : day <= powerFigures.young_days.value
            ? 'young'
            : 'middle',
      candle: candle.to <= transfer ? candle : null,
    });
  }
  return [...sets.values()];
}

/** What is to be done after a long cut: late eggs first, then the machine, then the look days later. */
export const cutSteps = [
  'give late eggs air, and warmth first',
  'bring it up no higher than its usual figure: too hot afterwards is worse than the cold',
  `candle ${powerFigures.candle_after_days.value.low} to ${powerFigures.candle_after_days.value.high} days later: what died then shows; throw nothing out before`,
] as const;

/** What a cut means for the eggs that were in the machine, and what to do, in words. */
export function cutMeaning(cut: Outage, unit: 'C' | 'F'): { lines: string[]; next: string[] } {
  const { sets, hours } = cut;
  if (sets.length === 0) return { lines: ['no eggs were in the machine'], next: [] };
  if (cut.isShort)
    return {
      lines: [
        `up to ${powerFigures.short_hours.value} hours do no great harm: keep the machine shut`,
      ],
      next: [],
    };
  const of = (stage: CutSet['stage']): string =>
    sets
      .filter((one) => one.stage === stage)
      .map((one) => `${one.set} (day ${one.day})`)
      .join(', ');
  const { lowestC } = cut;
  const fell =
    lowestC === null
      ? ''
      : `${cut.isReckoned ? `reckoned for a room of ${wholeDegrees(cut.roomC, unit)} °${unit}${cut.isRoomKnown ? '' : ', as none is written'}, it fell` : 'it fell'} to ${wholeDegrees(lowestC, unit)} °${unit}: ${
          lowestC < powerFigures.suspended_c.value
            ? 'growth stood still, which young eggs bear best'
            : 'growth went on slowly and out of step'
        }`;
  const [young, middle, late] = [of('young'), of('middle'), of('late')];
  const lines = [
    fell,
    young && `${young}: young embryos bear cold better than heat`,
    middle && `${middle}: likely a delay`,
    late && `${late}: late eggs make heat of their own and suffer most from long cold or no air`,
    hours === null
      ? 'how long it lasted is not written'
      : `the hatch is expected ${Math.round(hoursLost(hours, cut.roomC))} hours later`,
  ].filter((one) => one !== '');
  const looks = sets.filter((one) => one.candle !== null);
  const next = [
    late ? cutSteps[0] : '',
    cutSteps[1],
    looks.length > 0
      ? `candle ${looks.map((one) => one.set).join(', ')} from ${looks[0]!.candle!.from} on: what died then shows`
      : '',
  ].filter((one) => one !== '');
  return { lines, next };
}
