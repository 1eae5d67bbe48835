import type { Now, Season } from '../../season/model.ts';
import { type Alarm, Farm, standingAlarms } from './alarm.ts';
import { birdRules } from './bird-rules.ts';
import { machineRules } from './machine-rules.ts';
import { setRules } from './set-rules.ts';

/** Every rule, live birds first, then machines, then sets: the order in which alarms are told. */
export const alarmRules = [...birdRules, ...machineRules, ...setRules];

/**
 * The alarms that stand at a moment, from the rows up to it alone: nothing is kept, so that any past
 * morning can be gone through again. Settled by a reading in band, a tick of the alarm's id, or an
 * acceptance; an alarm that shows again after that is a new one.
 */
export function alarmsAt(season: Season, now: Now): Alarm[] {
  return standingAlarms(alarmRules, new Farm(season, now));
}
