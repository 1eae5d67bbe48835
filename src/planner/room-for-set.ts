/** Whether one more set has room: trays free until it is moved, then a hatcher free and clean. */

import { isDayOff } from '../facts/days-off.ts';
import { milestonesOfPlanned } from '../facts/hatch-time.ts';
import type { Occupancy } from '../facts/occupancy.ts';
import { overlaps } from '../facts/spans.ts';
import { machineSetters } from '../season/hens.ts';
import type { Line, PlannedSet, Season } from '../season/model.ts';
import { addDays, type Day } from '../text/day.ts';

/**
 * True if so many eggs of a line can be set on a day with what is recorded and planned: none of its
 * dates falls on a day off, one setter has the trays, one hatcher the room. A season without setters
 * says nothing of room: then only the days count.
 */
export function hasRoom(
  season: Season,
  occupancy: Occupancy,
  line: Line,
  on: Day,
  eggs: number,
): boolean {
  const { speciesName, species } = line;
  const one: PlannedSet = {
    name: '',
    on,
    setter: '',
    trays: [],
    shares: [],
    hatcher: null,
    species,
    speciesName,
    at: { file: '', line: 0, column: 0 },
  };
  const { transfer, hatch, lastOpening } = milestonesOfPlanned(one, season);
  if (
    isDayOff(season, 'set', on) ||
    isDayOff(season, 'transfer', transfer) ||
    isDayOff(season, 'hatch', hatch)
  )
    return false;
  const stays = season.hatchers.size === 0;
  const inTray = { from: on, to: stays ? lastOpening : transfer };
  const setters = machineSetters(season);
  const hasTrays = setters.some(({ name, trays, tray_holds }) => {
    const holds = tray_holds[speciesName] ?? 0;
    if (holds === 0) return false;
    const taken = new Set(
      occupancy.trays
        .filter((span) => span.setter === name && overlaps(span, inTray))
        .map((span) => span.tray),
    );
    return trays - taken.size >= Math.ceil(eggs / holds);
  });
  if (setters.length > 0 && !hasTrays) return false;
  if (stays) return true;
  return [...season.hatchers.values()].some(({ name, holds, clean_days, one_set_at_a_time }) => {
    const room = holds[speciesName] ?? 0;
    const inHatcher = { from: transfer, to: addDays(lastOpening, clean_days) };
    const beside = occupancy.hatchers.filter(
      (span) => span.hatcher === name && overlaps(span, inHatcher),
    );
    if (beside.length === 0) return eggs <= room;
    const together = beside.every(
      (span) => span.speciesName === speciesName && span.hatch === hatch,
    );
    const lying = beside.reduce((sum, span) => sum + span.eggs, 0);
    return !one_set_at_a_time && together && lying + eggs <= room;
  });
}
