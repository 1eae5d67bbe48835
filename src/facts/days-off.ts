import type { Line, Season } from '../season/model.ts';
import { addDays, type Day, daysBetween, weekdayOf } from '../text/day.ts';

export type Labour = 'set' | 'candle' | 'transfer' | 'hatch';

/** True if the keeper does not do this work on this day. */
export function isDayOff(season: Season, labour: Labour, day: Day): boolean {
  const off = season.values.days_off;
  return off[labour].includes(weekdayOf(day)) || off.dates.includes(day);
}

/** True if eggs of a kind may be set on a day: in the setting season, and no work of set, transfer and hatch falls on a day off. */
export function isSettingDay(season: Season, species: Line['species'], day: Day): boolean {
  const { from, to } = season.values.setting;
  return (
    (from === undefined || day >= from) &&
    (to === undefined || day <= to) &&
    !isDayOff(season, 'set', day) &&
    !isDayOff(season, 'transfer', addDays(day, species.transfer_day.value)) &&
    !isDayOff(season, 'hatch', addDays(day, species.hatch_day.value))
  );
}

/** The first working day from `from` to `until`, both included; `from` itself if there is none. */
export function workingDay(season: Season, labour: Labour, from: Day, until: Day): Day {
  for (let step = 0; step <= daysBetween(from, until); step += 1) {
    const day = addDays(from, step);
    if (!isDayOff(season, labour, day)) return day;
  }
  return from;
}
