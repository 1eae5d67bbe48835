/** What the counts of a season say: how it went, what stands out, then rates by pen, tray and week. */
import { fromTo, work } from '../facts/tasks/work.ts';
import type { Finding } from '../judge/diagnose/finding.ts';
import { asRate } from '../judge/model/counted.ts';
import { usualOf } from '../judge/norms.ts';
import { moreIsBetter, type RateName, rateNames } from '../judge/rate-names.ts';
import type { Comparison } from '../judge/review/comparisons.ts';
import type { Cut, GroupRates, GroupShare } from '../judge/review/groups.ts';
import type { MachineReadings, Measured } from '../judge/review/readings.ts';
import {
  type ChartPoint,
  type ControlChart,
  countingRules,
  type LossLineOf,
  type Review,
} from '../judge/review/review.ts';
import type { SetTimes } from '../judge/review/timing.ts';
import { printOn } from '../text/day.ts';
import { there } from '../text/lists.ts';
import { type Column, jsonRows, tableOf } from './columns.ts';
import { sentence } from './diagnosis.ts';
import {
  between,
  count,
  counted,
  fixed,
  percent,
  percentRange,
  pValue,
  type Units,
} from './numbers.ts';
import { maybe, number, object } from './schema.ts';
import { type Strokes, shareStrip } from './strips.ts';
import type { Say, Screen, ScreenPart } from './terminal.ts';
import { heads, rates as names } from './words.ts';
import { againstTable } from './year.ts';

/** Groups shown in the tables; null is the usual ones, all but pens only with --full. */
export type ReviewWishes = { readonly by: readonly Cut[] | null };

/** A season reviewed: its counts, what the diagnosis raises of them, and the tests where they were asked for. */
export type Reviewed = {
  readonly review: Review;
  readonly raised: readonly Finding[];
  readonly tests: readonly Comparison[] | null;
};

const usualCuts: readonly Cut[] = ['pen', 'line', 'tray', 'storage age', 'week'];

const wholeSeason = (review: Review): GroupRates => review.groups.find((g) => g.by === 'season')!;
const sentenceCase = (words: string): string => words.charAt(0).toUpperCase() + words.slice(1);

type RateLine = { readonly name: RateName; readonly rate: GroupShare };

const rateLines = ({ rates }: GroupRates): RateLine[] =>
  Object.entries(rates).map(([name, rate]) => ({ name: name as RateName, rate }));

const rateColumns: readonly Column<RateLine>[] = [
  { ...heads.rate, kind: 'text', of: ({ name }) => names[name].name },
  { ...heads.count, priority: 1, of: ({ rate }) => (rate.n > 0 ? rate.x : null) },
  {
    ...heads.of,
    kind: 'name',
    priority: 1,
    of: ({ name, rate: { n } }) => (n > 0 ? `${count(n)} ${names[name].of}` : null),
  },
  { ...heads.rated, of: ({ rate }) => asRate(rate) },
  {
    ...heads.usual,
    kind: 'range',
    unit: '%',
    of: ({ name }) => ({ low: 100 * usualOf(name).low, high: 100 * usualOf(name).high }),
  },
  {
    key: 'against',
    heading: 'against usual',
    kind: 'name',
    doc: 'lower, within or higher',
    of: ({ name, rate: { estimate } }) => {
      if (estimate === null) return null;
      const { low, high } = usualOf(name);
      return estimate < low ? 'lower' : estimate > high ? 'higher' : 'within';
    },
  },
];

/** The rates that have a column of their own. */
const groupColumns = rateNames.flatMap((key): Column<GroupRates>[] => {
  const { name, of, column: priority } = names[key];
  const doc = `${name}, of ${of}`;
  const rateOf = ({ rates }: GroupRates) => {
    const share = rates[key];
    return share === undefined ? null : asRate(share);
  };
  return priority === undefined
    ? []
    : [{ key, heading: name, kind: 'rate', doc, priority, of: rateOf }];
});

const cutColumns = (cut: Cut): readonly Column<GroupRates>[] => [
  {
    key: 'key',
    heading: cut === 'storage age' ? 'stored (days)' : cut,
    kind: 'name',
    doc: `the ${cut}`,
  },
  { ...heads.eggs, of: ({ counts }) => counts.set },
  ...groupColumns,
];

const testColumns: readonly Column<Comparison>[] = [
  { ...heads.rate, kind: 'text', of: ({ rate }) => names[rate].name },
  {
    key: 'by',
    heading: 'compared by',
    kind: 'text',
    doc: 'what was compared',
  },
  { key: 'method', heading: 'test', kind: 'text', doc: 'the test' },
  { key: 'p', kind: 'name', doc: 'p value', of: ({ p }) => (p === null ? null : pValue(p)) },
  { ...heads.pOfAll, of: ({ p_adjusted: p }) => (p === null ? null : pValue(p)) },
];

/** The tests that stand up to having asked so often. */
function testsPart(tests: readonly Comparison[]): ScreenPart {
  const sure = tests.filter((t) => t.p_adjusted !== null && t.p_adjusted < 0.05);
  const asked = tests.filter((t) => t.p !== null).length;
  const stands = sure.length === 1 ? 'stands' : 'stand';
  return {
    heading: 'What differs',
    ...(sure.length === 0 ? {} : { table: tableOf(testColumns, sure) }),
    reasons: [
      asked === 0
        ? 'Nothing to compare yet: too few groups, or all of them alike.'
        : `${counted(asked, 'comparison')} made; ${sure.length === 0 ? 'none stands' : `${sure.length} ${stands}`} up to having asked so often (Holm, 5 %). Chance alone is allowed for, not the scatter of sets: what stands out above is judged with it.`,
    ],
  };
}

const lossColumns: readonly Column<LossLineOf>[] = [
  heads.set,
  heads.pen,
  {
    ...heads.lost,
    kind: 'number',
    unit: '%',
    doc: 'lost so far, of the mass when set',
    of: ({ course }) => course.lost,
  },
  {
    key: 'day',
    heading: 'on day',
    kind: 'number',
    priority: 1,
    doc: 'day of the last weighing, from setting',
    of: ({ course }) => course.elapsed,
  },
  {
    key: 'forecast',
    heading: 'by transfer',
    kind: 'number',
    unit: '%',
    doc: 'expected by transfer',
    of: ({ course }) => course.atTransfer,
  },
  {
    ...heads.range95,
    kind: 'range',
    digits: 1,
    unit: '%',
    show: 'people',
    of: ({ course }) => course,
  },
  { ...heads.low, kind: 'number', of: ({ course }) => course.low },
  { ...heads.high, kind: 'number', of: ({ course }) => course.high },
  {
    key: 'target',
    kind: 'range',
    unit: '%',
    doc: 'what the kind should lose to transfer',
    of: ({ course }) => course.target,
  },
  {
    key: 'advice',
    kind: 'data',
    schema: maybe(object({ aim: number, next: number })),
    doc: 'humidity to aim at, and the next step to it, %',
  },
];

function lossPart({ losses }: Review): ScreenPart {
  const heading = 'Weight loss';
  if (losses.length === 0)
    return { heading, reasons: ['Nothing was weighed from the fourth day on.'] };
  return {
    heading,
    table: tableOf(lossColumns, losses),
    reasons: ['Of the mass when set.'],
    lines: losses.flatMap(({ set, pen, advice }) =>
      advice === null
        ? []
        : [
            {
              name: `${set} ${pen}`,
              text: `aim at about ${fixed(advice.aim)} % humidity, next step ${fixed(advice.next)} %; weigh again in ${fromTo(work.weigh_again_days)} days. It is advice to approach in steps: let weight decide.`,
            },
          ],
    ),
  };
}

const hours = (
  key: string,
  heading: string,
  doc: string,
  of: (one: SetTimes) => number | null,
): Column<SetTimes> => ({ key, heading, kind: 'measure', measure: 'hours', doc, of });

const timeColumns: readonly Column<SetTimes>[] = [
  heads.set,
  { ...heads.chicks, key: 'chicks' },
  { key: 'openings', kind: 'count', priority: 1, doc: 'looks into the hatcher' },
  hours(
    'expected',
    'expected',
    'hours from setting to hatch that were expected',
    (one) => one.expected,
  ),
  { ...hours('shift', 'early (−) or late', 'hours early (below 0) or late', (one) => one.shift) },
  {
    ...hours('spread', '10 to 90 % took', 'hours from the first tenth to the last', (one) =>
      one.intervals < 3 ? null : one.spread.p90 - one.spread.p10,
    ),
    show: 'people',
  },
  ...(['p10', 'p50', 'p90'] as const).map(
    (key): Column<SetTimes> => ({
      ...hours(
        key === 'p50' ? 'median' : key,
        key,
        'hours to that part of the chicks',
        ({ spread }) => spread[key],
      ),
      show: 'data',
    }),
  ),
  hours(
    'first_waited',
    'waited up to',
    'hours the first chicks may have waited for a look',
    (one) => one.firstWaited,
  ),
  {
    key: 'waiting_chick_hours',
    heading: 'waiting',
    kind: 'data',
    schema: object({ midpoint: number, minimum: number, maximum: number }),
    doc: 'hours that chicks waited, all together',
    of: ({ spread }) => spread.waiting,
  },
];

function timingPart({ timing: { sets, pooled, clockUnknown } }: Review): ScreenPart {
  const heading = 'Hatch times';
  if (sets.length === 0) return { heading, reasons: ['No chicks have hatched yet.'] };
  return {
    heading,
    table: tableOf(timeColumns, sets),
    reasons: [
      'Hours from setting.',
      pooled &&
        `Over ${counted(pooled.sets, 'set')} chicks hatched ${fixed(Math.abs(pooled.shift), 1)} hours ${pooled.shift < 0 ? 'before' : 'after'} the time expected for their storage (95 % interval ${between(fixed(pooled.low, 1), fixed(pooled.high, 1))} hours).`,
      clockUnknown &&
        'Some settings or openings have no hour: noon was taken, so times may be half a day off.',
    ],
  };
}

type Gauge = { readonly machine: string; readonly measured: Measured };

/** Columns of what the gauges of the machines said: heat in the season's unit, humidity in %. */
function gaugeColumns(of: 'temperature' | 'humidity'): readonly Column<Gauge>[] {
  const heat = of === 'temperature';
  const figure = (
    key: string,
    heading: string,
    doc: string,
    digits: number,
    value: (one: Measured) => number | null,
  ): Column<Gauge> => ({
    key,
    heading,
    doc,
    digits,
    ...(heat
      ? { kind: 'measure', measure: key === 'drift' ? 'warmth' : 'temperature' }
      : { kind: 'number', unit: '%' }),
    of: ({ measured }) => value(measured),
  });
  return [
    { key: 'machine', kind: 'name', doc: 'the machine' },
    {
      key: 'days',
      heading: 'days read',
      kind: 'count',
      priority: 1,
      doc: 'days with a reading',
      of: ({ measured }) => measured.days,
    },
    figure('mean', heat ? 'mean heat' : 'mean humidity', 'mean of the days', 1, (one) => one.mean),
    {
      key: 'target',
      heading: 'should be',
      doc: 'what it should be',
      digits: 1,
      ...(heat ? { kind: 'measureRange', measure: 'temperature' } : { kind: 'range', unit: '%' }),
      of: ({ measured }) => measured.target,
    },
    {
      key: 'out',
      heading: 'time outside',
      kind: 'percent',
      doc: 'time spent outside of it',
      of: ({ measured }) => measured.outOfRange,
    },
    figure('drift', 'drift a week', 'change a week', 2, (one) => one.drift?.perWeek ?? null),
  ];
}

function machineParts({ readings }: Review): ScreenPart[] {
  if (readings.length === 0)
    return [{ heading: 'Machines', show: 'full', reasons: ['No machine was read.'] }];
  const gauges = (of: 'temperature_c' | 'humidity'): Gauge[] =>
    readings.flatMap(({ machine, [of]: measured }) =>
      measured === null ? [] : [{ machine, measured }],
    );
  const heat = gauges('temperature_c');
  const humidity = gauges('humidity');
  return there([
    heat.length > 0 && {
      heading: 'Heat in the machines',
      table: tableOf(gaugeColumns('temperature'), heat),
    },
    humidity.length > 0 && {
      heading: 'Humidity in the machines',
      table: tableOf(gaugeColumns('humidity'), humidity),
    },
    { heading: 'What befell the machines', lines: readings.flatMap(machineLines) },
  ])
    .filter((part) => !('lines' in part) || part.lines.length > 0)
    .map((part) => ({ ...part, show: 'full' }));
}

function machineLines(one: MachineReadings): { name: string; text: string }[] {
  const { machine: name } = one;
  const long = (minutes: number | null): string =>
    minutes === null ? '' : ` for ${counted(minutes, 'minute')}`;
  return [
    ...one.powerCuts.map(({ on, hours, advice }) => ({
      name,
      text: `power off on ${printOn(on)}${long(hours === null ? null : Math.round(hours * 60))}: ${advice}.`,
    })),
    ...one.turningStopped.map(({ on, minutes }) => ({
      name,
      text: `turning stood still on ${printOn(on)}${long(minutes)}.`,
    })),
    ...one.queries.map((query) => ({ name, text: `${query}.` })),
  ];
}

const pointColumns: readonly Column<ChartPoint>[] = [
  heads.set,
  { ...heads.count, of: (one) => one.x },
  { ...heads.of, of: (one) => one.n },
  { key: 'share', heading: 'part', kind: 'percent', doc: 'part of them' },
  {
    key: 'limits',
    heading: 'limits of the count',
    kind: 'range',
    doc: 'counts that chance and the scatter of sets make',
    of: ({ lower, upper }) => ({ low: lower, high: upper }),
  },
  { key: 'signal', heading: 'outside', kind: 'name', doc: 'high or low' },
];

function chartWords({ points, pooled }: ControlChart): string {
  const out = points.filter((p) => p.signal !== null).map((p) => p.set);
  const is =
    out.length === 0 ? 'No set is' : `${out.join(', ')} ${out.length === 1 ? 'is' : 'are'}`;
  return `${is} outside what chance and the scatter of sets make (three sigma) around ${percent(pooled)}.`;
}

/** Sets in order: one line a set on a terminal, a table in a document. */
function chartPart(chart: ControlChart): ScreenPart {
  const rows = chart.points.map((p) => ({
    label: p.set,
    value: p.share,
    low: p.lower / p.n,
    high: p.upper / p.n,
    note: `${p.x} of ${p.n}${p.signal === null ? '' : `, ${p.signal}`}`,
    marked: p.signal !== null,
  }));
  return {
    heading: `Sets in order: ${names[chart.rate].name}`,
    picture: (paper: Strokes) => shareStrip(rows, chart.pooled, paper),
    reasons: [`Dot: the set; line: its limits; rule: all sets. ${chartWords(chart)}`],
  };
}

/** Pens of one kind that surely differ in a rate: their intervals, as the tables show them, do not meet. */
function pensApart(review: Review): string[] {
  const pens = review.groups.filter((g) => g.by === 'pen');
  return (['fertile_apparent', 'hatch_of_fertile'] as const).flatMap((rate) =>
    [...new Set(pens.flatMap((g) => g.kinds))].flatMap((kind) => {
      const known = pens
        .filter((g) => g.kinds.includes(kind) && g.rates[rate]?.estimate != null)
        .sort((a, b) => a.rates[rate]!.estimate! - b.rates[rate]!.estimate!);
      const [low, high] = [known[0], known.at(-1)];
      if (!low || !high || low.rates[rate]!.high! >= high.rates[rate]!.low!) return [];
      const part = ({ key, rates }: GroupRates): string =>
        `${key} ${count(rates[rate]!.x)} of ${count(rates[rate]!.n)}`;
      return [`Pens differ in ${names[rate].name}: ${part(high)}, ${part(low)}.`];
    }),
  );
}

/** How the season went, in eggs, and what stands out of it. */
function reviewAnswer({ review, raised }: Reviewed, units: Units): Say[] {
  const hatch = wholeSeason(review).rates.hatch_of_set;
  if (hatch?.estimate == null)
    return ['No set has been closed yet, so nothing has hatched to count.'];
  const lost = review.largestLoss;
  const { low, high } = usualOf('hatch_of_set');
  return [
    `${count(hatch.x)} of ${count(hatch.n)} eggs hatched (${percent(hatch.estimate)}; usual ${percentRange(low, high)})${lost === null ? '' : `; the largest loss: ${count(Math.round(lost.eggs))} ${lost.to === 'clear' ? 'were clear' : names[lost.to].name}`}.`,
    ...raised.map(
      (f): Say => ({
        meaning: f.verdict === 'act' ? 'act' : 'watch',
        text: `${sentence(f, units)}${f.evidence[0] ? ` ${sentenceCase(f.evidence[0].says)}.` : ''}`,
      }),
    ),
    ...pensApart(review),
    ...(raised.length === 0 ? ['The diagnosis raises nothing.'] : []),
  ];
}

/** Rates wholly on the bad side of the usual, eggs nobody accounts for, counts that contradict. */
function reviewExceptions(review: Review): Say[] {
  const bad = rateLines(wholeSeason(review)).filter(({ name, rate: { low, high } }) => {
    const usual = usualOf(name);
    return moreIsBetter[name]
      ? high !== null && high < usual.low
      : low !== null && low > usual.high;
  });
  return there([
    ...bad.map(({ name, rate }) => {
      const usual = usualOf(name);
      return `${names[name].name} ${percent(rate.estimate!)} (${percentRange(rate.low!, rate.high!)}); usual ${percentRange(usual.low, usual.high)}.`;
    }),
    review.unaccounted.length > 0 &&
      `Not accounted for: ${review.unaccounted.map(({ set, pen, eggs }) => `${set} ${pen} ${counted(eggs, 'egg')}`).join(', ')}.`,
    review.leftOut.length > 0 &&
      `Left out, because the counts contradict each other: ${review.leftOut.map(({ set, pen, why }) => `${set} ${pen} (${why})`).join('; ')}. See: traybook check`,
  ]).map((words) => ({ meaning: 'watch', text: sentenceCase(words) }));
}

/** What the rates of the season rest on. */
function seasonReasons(review: Review): string[] {
  const { opened, rates } = wholeSeason(review);
  const looked = (
    [
      ['clears', opened.clear],
      ['quits', opened.quit],
      ['unhatched', opened.unhatched],
    ] as const
  ).filter(([, one]) => one.of > 0);
  return there([
    looked.length > 0 &&
      `Opened: ${looked.map(([name, o]) => `${o.opened} of ${o.of} ${name}`).join(', ')}.`,
    review.notOpened.length > 0 &&
      (rates.fertile?.n ?? 0) > 0 &&
      `Corrected fertility is that of the other pens: no clears of ${review.notOpened.join(', ')} were opened.`,
    ...(review.running.length === 0 ? [] : [`Still running: ${review.running.join(', ')}.`]),
    review.notCandled.length > 0 &&
      `Not candled, so fertility is not known: ${review.notCandled.join(', ')}.`,
  ]);
}

function cutParts(review: Review, by: ReviewWishes['by']): ScreenPart[] {
  return (by ?? usualCuts).flatMap((cut): ScreenPart[] => {
    const groups = review.groups.filter((g) => g.by === cut && g.counts.set > 0);
    return cut === 'season' || groups.length === 0
      ? []
      : [
          {
            heading: `By ${cut}`,
            table: tableOf(cutColumns(cut), groups),
            ...(by === null && cut !== 'pen' ? { show: 'full' } : {}),
          },
        ];
  });
}

/** The review as a screen. */
export function reviewScreen(
  reviewed: Reviewed,
  title: string,
  units: Units,
  wishes: ReviewWishes,
): Screen {
  const { review, tests } = reviewed;
  const charts = review.charts.map(chartPart);
  const first = Math.max(
    0,
    review.charts.findIndex(({ rate }) => rate === 'hatch_of_fertile'),
  );
  const seasons = [...new Set(review.previous.map(({ season }) => season))];
  return {
    title,
    answer: reviewAnswer(reviewed, units),
    exceptions: reviewExceptions(review),
    parts: [
      {
        heading: 'The season, as counted',
        table: tableOf(rateColumns, rateLines(wholeSeason(review))),
        reasons: seasonReasons(review),
      },
      ...cutParts(review, wishes.by),
      ...charts.slice(first, first + 1),
      ...(tests === null ? [] : [testsPart(tests)]),
      ...seasons.map((season) => ({
        heading: `Against season ${season}`,
        table: againstTable(review.previous.filter((one) => one.season === season)),
        show: 'full' as const,
      })),
      { ...lossPart(review), show: 'full' },
      { ...timingPart(review), show: 'full' },
      ...machineParts(review),
      tests !== null && { heading: 'How eggs are counted', reasons: countingRules },
    ],
    notes: [
      'These eggs, each row by its own counts. What to expect of the next: traybook rates.',
      tests === null && '--numbers shows the tests, and how eggs are counted.',
    ],
  };
}

/** The same for a document: every chart is a table, and how eggs are counted stands below. */
export function reviewDocument(
  reviewed: Reviewed,
  title: string,
  units: Units,
  wishes: ReviewWishes,
): Screen {
  const screen = reviewScreen(reviewed, title, units, wishes);
  return {
    ...screen,
    parts: [
      ...there(screen.parts).filter(({ picture }) => picture === undefined),
      ...reviewed.review.charts.map((chart) => ({
        heading: chartPart(chart).heading,
        table: tableOf(pointColumns, chart.points),
        reasons: [chartWords(chart)],
      })),
    ],
    notes: countingRules,
  };
}

/** Tables of the review that other programs get, for the shape of its JSON as well. */
export const reviewColumns = { losses: lossColumns, times: timeColumns };

/** The review for other programs. */
export function reviewJson({ review, tests }: Omit<Reviewed, 'raised'>): object {
  const { timing } = review;
  return {
    groups: review.groups,
    tests,
    weight_loss: jsonRows(tableOf(lossColumns, review.losses)),
    hatch_times: {
      sets: jsonRows(tableOf(timeColumns, timing.sets)),
      shift: timing.pooled?.shift ?? null,
      low: timing.pooled?.low ?? null,
      high: timing.pooled?.high ?? null,
      clock_unknown: timing.clockUnknown,
    },
    readings: review.readings,
    charts: review.charts,
    previous: review.previous,
    left_out: review.leftOut,
    unaccounted: review.unaccounted,
    running: review.running,
    not_candled: review.notCandled,
    rules: countingRules,
  };
}
