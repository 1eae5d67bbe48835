import type { Limit } from '../facts/birds/room.ts';
import { heatText, unsuitedText } from '../facts/heat.ts';
import type { BrooderAhead, BrooderReport } from '../flock/brooder-report.ts';
import type { WeekRoom } from '../flock/room-ahead.ts';
import type { CautionKey } from '../season/cautions.ts';
import type { Day } from '../text/day.ts';
import { cautionText } from './cautions.ts';
import { longDay } from './numbers.ts';
import type { Table } from './table.ts';
import { hanging, padded, wrapped } from './wrap.ts';

/** How a season writes what is shown. */
export type BroodersPaper = {
  readonly day: Day;
  readonly weeks: number;
  readonly unit: 'C' | 'F';
  readonly currency: string;
  readonly width: number;
  readonly ascii: boolean;
  readonly draw: (table: Table) => string;
};

const limitWords: Record<Limit['what'], string> = {
  floor: 'floor (m²)',
  heat: 'heat (places)',
  feeder: 'feeder (cm)',
  drinker: 'drinker (cm)',
};

const one = (value: number): string => value.toFixed(1);
const whole = (value: number): string => String(Math.round(value));
/** Floor to a tenth of a square metre; places and centimetres whole. */
const shown = (what: Limit['what'], value: number): string =>
  what === 'floor' ? one(value) : whole(value);

/** Room, heat and moving out as text. Ends with a line feed. */
export function broodersText(report: BrooderReport, paper: BroodersPaper): string {
  const { width } = paper;
  const degrees = (celsius: number) =>
    Math.round(paper.unit === 'F' ? (celsius * 9) / 5 + 32 : celsius);
  const parts: string[] = [];
  const birds = report.brooders.reduce((sum, brooder) => sum + brooder.birds, 0);
  parts.push(
    `${longDay(paper.day)}: ${birds} birds in brooders\n`,
    report.waiting
      .map((one) =>
        hanging(
          '',
          `${one.set}: ${one.chicks} chicks waiting ${Math.floor(one.low)} to ${Math.ceil(one.high)} hours; under heat, fed and watered before ${one.actHours}\n`,
          width,
        ),
      )
      .join(''),
  );
  if (report.brooders.length > 0) {
    parts.push(`ROOM, BROODER BY BROODER\n${paper.draw(roomTable(report.brooders))}`);
    parts.push(
      report.brooders
        .map((one) => `${hanging(`${one.name}: `, heatWords(one, paper), width)}\n`)
        .join(''),
    );
  }
  if (report.empty.length > 0)
    parts.push(`${wrapped(`no birds in ${report.empty.join(', ')}`, width)}\n`);
  if (report.leaving.length > 0)
    parts.push(
      `MOVING OUT\n${paper.draw({
        columns: [
          { heading: 'group' },
          { heading: 'feathered' },
          { heading: 'earliest out' },
          { heading: '9 nights in 10' },
          { heading: `nights borne (°${paper.unit})` },
          { heading: 'held by' },
        ],
        rows: report.leaving.map((one) => [
          one.group,
          one.feathered.from,
          one.earliest ?? `${one.youngest}?`,
          one.safe,
          degrees(one.nightLow),
          one.heldBy === 'unknown' ? 'age; no nights' : one.heldBy,
        ]),
      })}`,
    );
  if (report.nightsMissing.length > 0)
    parts.push(
      `${wrapped(`${report.nightsMissing.length} nights have no low in log/weather.csv, the first ${report.nightsMissing[0]}; normals and other nights stand in for them`, width)}\n`,
    );
  if (report.weeks.some((week) => week.birds.high > 0.5))
    parts.push(
      `ALL BROODERS, WITH CHICKS STILL TO HATCH: MIDDLE (AND NINE IN TEN)\n${paper.draw(weekTable(report.weeks))}`,
      floorChart(report.weeks, paper),
    );
  const cautions = new Set<CautionKey>(['watch-the-birds']);
  if (report.brooders.some((one) => one.lamps !== null)) cautions.add('heat-lamp');
  if (report.brooders.some((one) => one.lamps === 1)) cautions.add('power-cut');
  if (report.waiting.length > 0) cautions.add('holding');
  parts.push(
    `${wrapped('Floor and places are trade figures: `guide brooding-figures` names each source, and how well it was seen.', width)}\n${cautionText(cautions, width)}\n`,
  );
  return parts.filter((part) => part !== '').join('\n');
}

function roomTable(brooders: readonly BrooderAhead[]): Table {
  return {
    columns: [
      { heading: 'brooder' },
      { heading: 'birds' },
      { heading: 'limit' },
      { heading: 'needs now', align: 'right' },
      { heading: 'at most', align: 'right' },
      { heading: 'on (day)' },
      { heading: 'least', align: 'right' },
      { heading: 'has', align: 'right' },
    ],
    rows: brooders.flatMap((brooder) =>
      brooder.limits.map((limit) => [
        brooder.name,
        brooder.birds,
        limitWords[limit.what],
        shown(limit.what, limit.now),
        shown(limit.what, limit.need),
        limit.on,
        shown(limit.what, limit.least),
        limit.have === null ? 'not said' : shown(limit.what, limit.have),
      ]),
    ),
  };
}

function heatWords(brooder: BrooderAhead, paper: BroodersPaper): string {
  const words = [
    brooder.roof_heat === null
      ? 'no heat needed now'
      : `${heatText(brooder.roof_heat, paper.unit)} at the edge of the heat now`,
  ];
  const clash = brooder.roof_heat && unsuitedText(brooder.roof_heat, paper.unit);
  if (clash) words.push(clash);
  const { heat } = brooder;
  if (heat === null) words.push('season.yaml names no heat');
  else if (heat.hours > 0) {
    const cost =
      brooder.heat_cost === null ? '' : `, ${brooder.heat_cost.toFixed(2)} ${paper.currency}`;
    words.push(
      `${heat.watts} W, about ${whole(heat.hours)} hours and ${whole(heat.kwh)} kWh${cost.trimEnd()} in ${paper.weeks} weeks`,
    );
    if (heat.daysUnknown > 0)
      words.push(`${heat.daysUnknown} days without a temperature go by the usual duty`);
  }
  if (brooder.lamps === 1) words.push('one lamp only: one bulb must not decide a hatch');
  return words.join('; ');
}

function weekTable(weeks: readonly WeekRoom[]): Table {
  const whats = weeks[0]!.limits.map((limit) => limit.what);
  const pair = (print: (value: number) => string, median: number, high: number): string =>
    `${print(median)} (${print(high)})`;
  return {
    columns: [
      { heading: 'week from' },
      { heading: 'birds', align: 'right' },
      ...whats.map((what) => ({ heading: limitWords[what], align: 'right' as const })),
    ],
    rows: [
      ...weeks.map((week) => [
        week.from,
        pair(whole, week.birds.median, week.birds.high),
        ...week.limits.map((limit) =>
          pair((value) => shown(limit.what, value), limit.median, limit.high),
        ),
      ]),
      [
        'there is',
        null,
        ...weeks[0]!.limits.map((limit) =>
          limit.have === null ? 'not said' : shown(limit.what, limit.have),
        ),
      ],
    ],
  };
}

/** Floor needed week by week against what there is: solid the middle, light up to nine in ten. */
function floorChart(weeks: readonly WeekRoom[], paper: BroodersPaper): string {
  const ink = paper.ascii
    ? { bar: '#', light: '-', edge: '|' }
    : { bar: '█', light: '░', edge: '│' };
  const floors = weeks.map((week) => week.limits.find((limit) => limit.what === 'floor')!);
  const have = floors[0]!.have;
  const most = Math.max(have ?? 0, ...floors.map((floor) => floor.high));
  if (most <= 0) return '';
  const room = Math.min(50, paper.width - 24);
  const long = (value: number): number => Math.round((value / most) * room);
  const rows = weeks.map((week, index) => {
    const floor = floors[index]!;
    const cells = padded(
      ink.bar.repeat(long(floor.median)) + ink.light.repeat(long(floor.high) - long(floor.median)),
      room + 1,
    ).split('');
    if (have !== null) cells[long(have)] = ink.edge;
    const note = have === null ? '' : `${Math.round((100 * floor.high) / have)} %`;
    return `${week.from}  ${cells.join('')} ${note}`.trimEnd();
  });
  return `FLOOR: ${ink.bar} MIDDLE, ${ink.light} TO NINE IN TEN${have === null ? '' : `, ${ink.edge} ALL THERE IS`}\n${rows.join('\n')}\n`;
}
