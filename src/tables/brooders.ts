/** Brooders: room, heat, when birds may move out, and the weeks to come. */
import { roomLimits, roomWords } from '../facts/birds/room.ts';
import { heatText, unsuitedText } from '../facts/heat.ts';
import type { BrooderAhead, BrooderReport, LimitAhead } from '../flock/brooder-report.ts';
import type { WeekRoom } from '../flock/room-ahead.ts';
import { type CautionKey, cautionLines } from '../season/cautions.ts';
import { largest } from '../text/lists.ts';
import { type AnyTable, type Column, tableOf } from './columns.ts';
import {
  between,
  count,
  counted,
  figures,
  fixed,
  measured,
  money,
  percent,
  type Units,
  unitOf,
} from './numbers.ts';
import type { Paper, Say, Screen } from './terminal.ts';
import { heads } from './words.ts';
import { padded } from './wrap.ts';

type What = LimitAhead['what'];

/** An amount of floor, feeder or places, without its unit. */
export function amount(what: What, value: number, units: Units): string {
  const { measure } = roomLimits[what];
  return measure === null ? count(Math.round(value)) : figures(value, measure, units);
}

/** `floor (m²)`, `places under the heat`. */
export function limitHeading(what: What, units: Units): string {
  const { name, measure } = roomLimits[what];
  return measure === null ? name : `${name} (${unitOf(measure, units)})`;
}

type RoomRow = LimitAhead & { readonly brooder: string; readonly birds: number };

const roomColumns = (units: Units): readonly Column<RoomRow>[] => [
  heads.brooder,
  heads.birds,
  {
    key: 'limit',
    kind: 'text',
    doc: 'what may run short',
    of: (row) => limitHeading(row.what, units),
  },
  {
    key: 'now',
    heading: 'needed now',
    kind: 'name',
    doc: 'needed now',
    of: (row) => amount(row.what, row.now, units),
  },
  {
    key: 'need',
    heading: 'at most',
    kind: 'name',
    doc: 'the most needed in these weeks',
    of: (row) => amount(row.what, row.need, units),
  },
  { ...heads.on, kind: 'day', doc: 'first day of the most', priority: 1 },
  {
    key: 'least',
    heading: 'least allowed',
    kind: 'name',
    doc: 'the least that texts allow',
    priority: 2,
    of: (row) => amount(row.what, row.least, units),
  },
  {
    key: 'have',
    heading: 'there is',
    kind: 'name',
    doc: 'what there is',
    of: (row) => (row.have === null ? 'not said' : amount(row.what, row.have, units)),
  },
];

type Out = BrooderReport['leaving'][number];

const outColumns: readonly Column<Out>[] = [
  heads.group,
  {
    key: 'feathered',
    kind: 'day',
    doc: 'first day they may be feathered',
    of: (row) => row.feathered.from,
  },
  {
    key: 'earliest',
    heading: 'earliest out',
    kind: 'name',
    doc: 'first day they may go out',
    of: (row) => row.earliest ?? `${row.youngest}?`,
  },
  {
    key: 'safe',
    heading: '9 nights in 10 warm enough',
    kind: 'day',
    doc: 'day from which nine nights in ten are warm enough',
  },
  {
    key: 'night_low',
    heading: 'nights they bear',
    kind: 'measure',
    measure: 'temperature',
    digits: 0,
    doc: 'lowest night they bear',
    of: (row) => row.nightLow,
  },
  {
    key: 'held_by',
    kind: 'text',
    doc: 'what keeps them in',
    priority: 1,
    of: (row) => (row.heldBy === 'unknown' ? 'age; no nights' : row.heldBy),
  },
];

const pair = (median: string, high: string): string => `${median}\u00a0(${high})`;

function weekTable(weeks: readonly WeekRoom[], units: Units): AnyTable {
  type Row = Pick<WeekRoom, 'limits'> & {
    readonly week: string;
    readonly birds: WeekRoom['birds'] | null;
  };
  return tableOf<Row>(
    [
      { ...heads.week, kind: 'name' },
      {
        ...heads.birds,
        kind: 'name',
        of: ({ birds }) =>
          birds === null
            ? null
            : pair(count(Math.round(birds.median)), count(Math.round(birds.high))),
      },
      ...weeks[0]!.limits.map(
        ({ what }, index): Column<Row> => ({
          key: what,
          heading: limitHeading(what, units),
          kind: 'name',
          doc: roomLimits[what].name,
          of: ({ birds, limits }) => {
            const limit = limits[index]!;
            if (birds !== null)
              return pair(amount(what, limit.median, units), amount(what, limit.high, units));
            return limit.have === null ? 'not said' : amount(what, limit.have, units);
          },
        }),
      ),
    ],
    weeks.map((week) => ({ ...week, week: week.from })),
    { week: 'there is', birds: null, limits: weeks[0]!.limits },
  );
}

/** Floor needed week by week against what there is: solid the median, light up to nine in ten. */
function floorChart(weeks: readonly WeekRoom[], { ascii, width }: Paper): string {
  const ink = ascii ? { bar: '#', light: '-', edge: '|' } : { bar: '█', light: '░', edge: '│' };
  const floors = weeks.map((week) => week.limits.find((limit) => limit.what === 'floor')!);
  const have = floors[0]!.have;
  const most = largest([have ?? 0, ...floors.map((floor) => floor.high)]);
  if (most <= 0) return '';
  const room = Math.min(50, width - 24);
  const long = (value: number): number => Math.round((value / most) * room);
  const rows = weeks.map((week, index) => {
    const floor = floors[index]!;
    const cells = padded(
      ink.bar.repeat(long(floor.median)) + ink.light.repeat(long(floor.high) - long(floor.median)),
      room + 1,
    ).split('');
    if (have !== null) cells[long(have)] = ink.edge;
    const note = have === null ? '' : percent(floor.high / have);
    return `${week.from}  ${cells.join('')} ${note}`.trimEnd();
  });
  const key = `${ink.bar} median, ${ink.light} up to nine in ten${have === null ? '' : `, ${ink.edge} all there is`}`;
  return `${key}\n${rows.join('\n')}\n`;
}

function heatWords(brooder: BrooderAhead, weeks: number, units: Units): string {
  const { heat } = brooder;
  const words = [
    brooder.roof_heat === null
      ? 'no heat needed now'
      : `${heatText(brooder.roof_heat, units.temperature)} at the edge of the heat now`,
  ];
  const clash = brooder.roof_heat && unsuitedText(brooder.roof_heat, units.temperature);
  if (clash) words.push(clash);
  if (heat === null) words.push('season.yaml names no heat');
  else if (heat.hours > 0) {
    const cost = brooder.heat_cost === null ? '' : `, ${money(brooder.heat_cost, units)}`;
    words.push(
      `${fixed(heat.watts)}\u00a0W, about ${counted(Math.round(heat.hours), 'hour')} and ${measured(heat.kwh, 'energy', units)}${cost} in ${counted(weeks, 'week')}`,
    );
    if (heat.daysUnknown > 0)
      words.push(
        `${counted(heat.daysUnknown, 'day')} without a temperature counted at the usual use`,
      );
  }
  return words.join('; ');
}

/** What is short now or will be, chicks that wait, a lone lamp. */
function exceptionsOf(report: BrooderReport, units: Units): Say[] {
  return [
    ...report.waiting.map(
      (one): Say => ({
        meaning: 'act',
        text: `${one.set}: ${counted(one.chicks, 'chick')} waiting ${between(fixed(Math.floor(one.low)), fixed(Math.ceil(one.high)))}\u00a0hours; put them under heat with feed and water before ${one.actHours}.`,
      }),
    ),
    ...report.brooders.flatMap(({ name, limits }) =>
      limits.flatMap((limit): Say[] => {
        const { what, have, now, need } = limit;
        if (have === null || need <= have) return [];
        const short = now > have;
        const said = roomWords(what, short ? now : need, have, units);
        return [
          {
            meaning: short ? 'act' : 'watch',
            text: `${name}: ${said.need} needed ${short ? 'now' : `on ${limit.on}`}, and it has ${said.have}.`,
          },
        ];
      }),
    ),
    ...report.brooders.flatMap(({ name, lamps }): Say[] =>
      lamps === 1
        ? [
            {
              meaning: 'watch',
              text: `${name}: one lamp only. Hang a second: one bulb must not decide.`,
            },
          ]
        : [],
    ),
  ];
}

/** Room, heat and moving out as a screen. */
export function broodersScreen(
  report: BrooderReport,
  title: string,
  weeks: number,
  units: Units,
): Screen {
  const birds = report.brooders.reduce((sum, brooder) => sum + brooder.birds, 0);
  const exceptions = exceptionsOf(report, units);
  const next = report.leaving
    .flatMap(({ group, earliest }) => (earliest === null ? [] : [{ group, earliest }]))
    .sort((a, b) => (a.earliest < b.earliest ? -1 : 1))[0];
  const cautions = new Set<CautionKey>(['watch-the-birds', 'dust-and-ammonia']);
  if (report.brooders.some((one) => one.lamps !== null)) cautions.add('heat-lamp');
  if (report.brooders.some((one) => one.lamps === 1)) {
    cautions.add('power-cut');
    cautions.add('carbon-monoxide');
  }
  if (report.waiting.length > 0) cautions.add('holding');
  const hasWeeks = report.weeks.some((week) => week.birds.high > 0.5);
  const parts: Screen['parts'] = [
    {
      heading: 'Room, brooder by brooder',
      table: tableOf<RoomRow>(
        roomColumns(units),
        report.brooders.flatMap(({ name, birds, limits }) =>
          limits.map((limit) => ({ ...limit, brooder: name, birds })),
        ),
      ),
    },
    {
      heading: 'Heat',
      lines: report.brooders.map((one) => ({
        name: one.name,
        text: heatWords(one, weeks, units),
      })),
    },
    {
      heading: 'Moving out',
      table: tableOf(outColumns, report.leaving),
    },
    report.nightsMissing.length > 0 && {
      heading: null,
      reasons: [
        `${counted(report.nightsMissing.length, 'night')} have no low in log/weather.csv, the first ${report.nightsMissing[0]}; normals and other nights stand in for them.`,
      ],
    },
    ...(hasWeeks
      ? [
          {
            heading: 'All brooders with the chicks still to hatch: median (nine in ten)',
            table: weekTable(report.weeks, units),
          },
          { heading: 'Floor', picture: (paper: Paper) => floorChart(report.weeks, paper) },
        ]
      : []),
  ];
  return {
    title,
    answer: [
      `${counted(birds, 'bird')} in brooders; ${exceptions.length === 0 ? `room and heat are enough for ${counted(weeks, 'week')}` : `${counted(exceptions.length, 'thing')} to look at`}.${next === undefined ? '' : ` Next out: ${next.group}, from ${next.earliest}.`}${report.empty.length === 0 ? '' : ` No birds in ${report.empty.join(', ')}.`}`,
    ],
    exceptions,
    parts,
    notes: [
      'Floor and places are trade figures: traybook guide figures KIND names each source.',
      ...cautionLines(cautions).map((line) => `Caution: ${line}`),
    ],
  };
}
