import { nightsOf, roofHeatOf, staysOf } from '../facts/birds/brooders.ts';
import { flockOf } from '../facts/birds/groups.ts';
import { heatText, unsuitedText } from '../facts/heat.ts';
import { cutMeaning, cutsOf } from '../facts/power.ts';
import { courseOf } from '../facts/water-loss.ts';
import type { RecordName } from '../records/index.ts';
import type { Row } from '../records/record.ts';
import type { Now, Season } from '../season/model.ts';
import { fixed } from '../tables/numbers.ts';
import { addAll } from '../text/lists.ts';
import { type Alarm, Farm } from './alarms/alarm.ts';
import { alarmsAt } from './alarms/alarms.ts';
import { adviceOnLoss } from './alarms/bird-rules.ts';
import { bandText, degreesText, humidityText } from './alarms/machine-rules.ts';

/** Records whose rows can bring an alarm about. */
const TELLING: ReadonlySet<RecordName> = new Set([
  'reading',
  'weighing',
  'candling',
  'transfer',
  'hatch',
  'group',
  'move',
  'loss',
]);

/**
 * What a new row means now, in lines: a reading against the band that all eggs in the machine share,
 * and its aim; a weighing and its course; the heat of a roof that birds came to; what the row breaks.
 */
export function meaningOf(record: RecordName, row: Row, season: Season, now: Now): string[] {
  if (!TELLING.has(record)) return [];
  const lines: string[] = [];
  if (record === 'reading') addAll(lines, readingLines(row, season, now));
  if (record === 'weighing') addAll(lines, weighingLines(row, season));
  if (record === 'group' && row.values.brooder !== null)
    addAll(lines, roofLines(String(row.values.brooder), season, now));
  if (record === 'move') addAll(lines, roofLines(String(row.values.to), season, now));
  for (const alarm of alarmsAt(season, now).filter((one) => isAbout(one, row))) {
    lines.push(`alarm: ${alarm.title}`);
    const [first] = alarm.next;
    if (first !== undefined) lines.push(`first: ${first}`);
  }
  if (record === 'loss') {
    const advice = adviceOnLoss(row as Parameters<typeof adviceOnLoss>[0]);
    const first = `first: ${advice?.first}`;
    if (advice !== null && !lines.includes(first)) lines.push(advice.means, first);
  }
  return lines;
}

function isAbout({ place, sets, code }: Alarm, row: Row): boolean {
  const { machine, group, brooder, to, set } = row.values;
  if ([machine, group, brooder, to].includes(place)) return true;
  return typeof set === 'string' && (place === set || (sets.includes(set) && code === 'set-lost'));
}

function readingLines(row: Row, season: Season, now: Now): string[] {
  const machine = String(row.values.machine);
  const farm = new Farm(season, now);
  if (row.values.event === 'power-off')
    return cutsOf(season)
      .filter((cut) => cut.entry === row.entry)
      .flatMap((cut) => {
        const { lines, next } = cutMeaning(cut, farm.unit);
        return [`${cut.machine}: ${lines.join('; ')}`, ...next];
      });
  const sample = farm.samples(machine).find((one) => one.entry === row.entry);
  if (sample === undefined || (sample.temperature === null && sample.humidity === null)) return [];
  const seen = [
    ...(sample.temperature === null ? [] : [degreesText(sample.temperature, farm.unit)]),
    ...(sample.humidity === null ? [] : [`${Math.round(sample.humidity)} % humidity`]),
  ].join(', ');
  const bands = farm.bands(machine, row.on.day);
  if (bands === null) return [`${machine}: ${seen}; no eggs are in it`];
  const { temperature, humidity, wants, sets } = bands;
  const of = sets.join(', ');
  const parts = [
    temperature.isShared
      ? `${bandText(temperature, farm.unit)}, aim ${degreesText(temperature.aim, farm.unit)}`
      : `no one temperature suits all (${wants.map((one) => `${one.sets.join(', ')} ${bandText(one.temperature, farm.unit)}`).join('; ')})`,
    humidity.isShared
      ? `${humidityText(humidity)}, aim ${Math.round(humidity.aim)} %`
      : `no one humidity suits all (${wants.map((one) => `${one.sets.join(', ')} ${humidityText(one.humidity)}`).join('; ')})`,
  ];
  return [`${machine}: ${seen}; ${of}: ${parts.join('; ')}`];
}

function weighingLines(row: Row, season: Season): string[] {
  const set = season.sets.get(String(row.values.set));
  const shares = set?.shares.filter(
    (share) => row.values.pen === null || share.pen.name === row.values.pen,
  );
  return (shares ?? []).flatMap((share) => {
    const course = courseOf(season, share).find((one) => one.on.day === row.on.day);
    if (course === undefined) return [];
    const { low, high } = course.target;
    return [
      `${share.set} ${share.pen.name}: ${fixed(course.lost, 1)} % of water lost by day ${course.day}, on the way to ${fixed(course.atTransfer, 1)} % at transfer (${low}–${high} %)`,
    ];
  });
}

function roofLines(roof: string, season: Season, now: Now): string[] {
  if (!season.brooders.has(roof)) return [];
  const groups = [...flockOf(season).groups.values()].filter((group) => group.living > 0);
  const stays = staysOf(season, groups, now, nightsOf(season));
  const heat = roofHeatOf(season, stays, roof)(now.day);
  if (heat === null) return [`${roof}: no heat needed by age`];
  const clash = unsuitedText(heat, season.values.units.temperature);
  return [
    `${roof}: ${heatText(heat, season.values.units.temperature)} at the edge of the heat${clash === null ? '' : `; ${clash}`}`,
  ];
}
