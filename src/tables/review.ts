import { norms, type RateName } from '../judge/norms.ts';
import type { Comparison } from '../judge/review/comparisons.ts';
import { type Cut, cuts, type GroupRates } from '../judge/review/groups.ts';
import type { Measured } from '../judge/review/readings.ts';
import {
  type AgainstPrevious,
  type ControlChart,
  countingRules,
  type Review,
} from '../judge/review/review.ts';
import { printOn } from '../text/day.ts';
import { escapeMarkdown } from '../text/escape.ts';
import { addAll } from '../text/lists.ts';
import { figures, fixed, percent as percentOf, signed, type Units, unitOf } from './numbers.ts';
import { type Strokes, shareStrip } from './strips.ts';
import {
  type Cell,
  markdownOfCells as markdownTable,
  type Table,
  type TableColumn,
} from './table.ts';
import { wrapped } from './wrap.ts';

const percent = (rate: number | null) => (rate === null ? null : percentOf(rate));

export type ReviewHead = { readonly place: string; readonly season: string; readonly day: string };

export type ReviewWishes = {
  /** Groups shown in the tables; the season itself always is. */
  readonly by: readonly Cut[];
  readonly ascii: boolean;
  /** The tests behind what stands out. */
  readonly numbers?: boolean;
  readonly units: Units;
};

type ReviewSection = {
  readonly heading: string;
  readonly tables: readonly Table[];
  readonly text: readonly string[];
};

/** Rates in the keeper's words. */
export const rateWords: Readonly<Record<RateName, string>> = {
  settable: 'fit to set',
  fertile_apparent: 'fertile, apparent',
  fertile: 'fertile, corrected',
  early: 'died early',
  middle: 'died mid-term',
  late: 'died late',
  pipped: 'pipped and died',
  rotten: 'rotten',
  hatch_of_set: 'hatch of set',
  hatch_of_fertile: 'hatch of fertile',
  weak: 'weak chicks',
  dead: 'dead in hatcher',
};

const dividedBy: Readonly<Record<RateName, string>> = {
  settable: 'laid',
  fertile_apparent: 'set',
  fertile: 'set',
  early: 'fertile',
  middle: 'fertile',
  late: 'fertile',
  pipped: 'fertile',
  rotten: 'set',
  hatch_of_set: 'set',
  hatch_of_fertile: 'fertile',
  weak: 'hatched',
  dead: 'hatched',
};

const normOf = (rate: RateName): { low: number; high: number } =>
  norms.rates[rate === 'fertile_apparent' ? 'fertile' : rate].value;

const right = (heading: string): TableColumn => ({ heading, align: 'right' });
const whole = (p: number): string => (100 * p).toFixed(0);
// A sample of breakouts scaled up gives parts of eggs.
const count = (x: number): string => (Number.isInteger(x) ? String(x) : x.toFixed(1));

function ratesTable(group: GroupRates): Table {
  const rows: Cell[][] = [];
  for (const [name, rate] of Object.entries(group.rates) as [
    RateName,
    GroupRates['rates'][RateName],
  ][]) {
    const norm = normOf(name);
    const usual = `${whole(norm.low)}-${whole(norm.high)}`;
    rows.push(
      !rate || rate.estimate === null
        ? [rateWords[name], null, null, 'not known', null, usual]
        : [
            rateWords[name],
            count(rate.x),
            count(rate.n),
            percent(rate.estimate),
            `${(100 * rate.low!).toFixed(1)}-${(100 * rate.high!).toFixed(1)}`,
            usual,
          ],
    );
  }
  return {
    columns: [
      { heading: 'rate' },
      right('count'),
      right('of'),
      right('share'),
      { heading: '95 % interval (%)', align: 'right' },
      right('usual (%)'),
    ],
    rows: rows.map((r, i) => [
      String(r[0]).startsWith('hatch')
        ? r[0]!
        : `${r[0]} (of ${dividedBy[(Object.keys(group.rates) as RateName[])[i]!]})`,
      ...r.slice(1),
    ]),
  };
}

const shown: readonly RateName[] = [
  'fertile_apparent',
  'early',
  'late',
  'hatch_of_set',
  'hatch_of_fertile',
];

// Short enough for eighty columns; the section says what they are.
const shortWords = ['apparent (%)', 'early (%)', 'late (%)', 'of set (%)', 'of fert. (%)'] as const;
const cutWords =
  'Apparent fertility; early and late deaths (of fertile); hatch of set and of fertile; in brackets the 95 % interval.';

function cutTable(cut: Cut, groups: readonly GroupRates[]): Table {
  return {
    columns: [
      { heading: cut === 'storage age' ? 'stored (d)' : cut },
      right('eggs'),
      ...shortWords.map((word) => right(word)),
    ],
    rows: groups.map((g) => [
      g.key,
      g.counts.set,
      ...shown.map((rate): Cell => {
        const r = g.rates[rate];
        return r?.estimate == null
          ? null
          : `${whole(r.estimate)} (${whole(r.low!)}-${whole(r.high!)})`;
      }),
    ]),
  };
}

const pText = (p: number | null): string | null =>
  p === null ? null : p < 0.0005 ? '<0.001' : p.toFixed(3);

function testsSection(tests: readonly Comparison[]): ReviewSection {
  const sure = tests.filter((t) => t.p_adjusted !== null && t.p_adjusted < 0.05);
  const text: string[] = [];
  const asked = tests.filter((t) => t.p !== null).length;
  if (asked === 0) text.push('Nothing to compare yet: too few groups, or all of them alike.');
  else
    text.push(
      sure.length === 0
        ? `${asked} comparisons were made; none stands up to having asked so often (Holm, 5 %).`
        : `${asked} comparisons were made; ${sure.length} ${sure.length === 1 ? 'stands' : 'stand'} up to having asked so often (Holm, 5 %):`,
    );
  for (const t of tests) {
    if (t.p === null && t.note !== null && t.method.startsWith('logistic'))
      text.push(`${rateWords[t.rate]}, model of ${t.by}: ${t.note}.`);
  }
  const effects = sure.flatMap((t) => t.effects.map((e) => ({ rate: t.rate, ...e })));
  const tables: Table[] = [];
  if (sure.length > 0)
    tables.push({
      columns: [
        { heading: 'rate' },
        { heading: 'by' },
        { heading: 'method' },
        right('p'),
        right('p, Holm'),
      ],
      rows: sure.map((t) => [
        rateWords[t.rate],
        t.by.replace(/, with .* in the model$/, ' *'),
        t.method,
        pText(t.p),
        pText(t.p_adjusted),
      ]),
    });
  if (effects.length > 0) {
    text.push('* pen, tray, storage days and week in one model. Odds ratios of the terms above:');
    tables.push({
      columns: [
        { heading: 'rate' },
        { heading: 'term' },
        right('odds ratio'),
        right('95 % interval'),
      ],
      rows: effects.map((e) => [
        rateWords[e.rate],
        e.term,
        e.ratio.toFixed(2),
        `${e.low.toFixed(2)}-${e.high.toFixed(2)}`,
      ]),
    });
  }
  return { heading: 'What differs', tables, text };
}

/** Rates now and in an earlier season, with Newcombe's interval of each difference. */
export function previousTable(rows: readonly AgainstPrevious[], withSeason = false): Table {
  return {
    columns: [
      ...(withSeason ? [{ heading: 'season' }] : []),
      { heading: 'rate' },
      right('now'),
      right('then'),
      right('difference, points'),
      right('p, Holm'),
    ],
    rows: rows.map((r) => [
      ...(withSeason ? [r.season] : []),
      rateWords[r.rate],
      `${count(r.now.x)} of ${count(r.now.n)}`,
      `${count(r.before.x)} of ${count(r.before.n)}`,
      `${(100 * r.difference).toFixed(1)} (${(100 * r.low).toFixed(1)} to ${(100 * r.high).toFixed(1)})`,
      pText(r.p_adjusted),
    ]),
  };
}

function previousSection(rows: readonly AgainstPrevious[]): ReviewSection | null {
  return rows.length === 0
    ? null
    : { heading: 'Against earlier seasons', text: [], tables: [previousTable(rows, true)] };
}

function lossSection(review: Review): ReviewSection {
  if (review.losses.length === 0)
    return { heading: 'Weight loss', tables: [], text: ['Nothing was weighed twice.'] };
  const advice = review.losses.flatMap((l) =>
    l.advice === null
      ? []
      : [
          `${l.set} ${l.pen}: aim at about ${l.advice.aim.toFixed(0)} % humidity, next step ${l.advice.next.toFixed(0)} %; weigh again in 2 to 3 days. It is advice to approach in steps: let weight decide.`,
        ],
  );
  return {
    heading: 'Weight loss, percent of set mass',
    text: advice,
    tables: [
      {
        columns: [
          { heading: 'set' },
          { heading: 'pen' },
          right('lost (%)'),
          right('on day'),
          right('by transfer (%)'),
          right('95 % range'),
          right('target (%)'),
        ],
        rows: review.losses.map((l) => [
          l.set,
          l.pen,
          l.loss.lost.toFixed(1),
          Number(l.loss.lastDay.toFixed(1)),
          l.loss.forecast.toFixed(1),
          l.loss.interval === null
            ? null
            : `${l.loss.interval[0].toFixed(1)}-${l.loss.interval[1].toFixed(1)}`,
          `${l.target.low}-${l.target.high}`,
        ]),
      },
    ],
  };
}

function timingSection(review: Review): ReviewSection {
  const { sets, pooled, interval, clockUnknown } = review.timing;
  if (sets.length === 0)
    return { heading: 'Hatch times', tables: [], text: ['No chicks have hatched yet.'] };
  const text: string[] = [];
  if (pooled && interval)
    text.push(
      `Over ${pooled.groups} sets chicks hatched ${Math.abs(pooled.shift).toFixed(1)} hours ${pooled.shift < 0 ? 'before' : 'after'} the time expected for their storage (95 % interval ${interval[0].toFixed(1)} to ${interval[1].toFixed(1)} hours).`,
    );
  if (pooled && !pooled.sdKnown)
    text.push(
      'Openings are too few to see how long a hatch takes; a usual one (24 to 48 hours) was assumed.',
    );
  if (clockUnknown)
    text.push(
      'Some settings or openings have no hour: noon was taken, so times may be half a day off.',
    );
  return {
    heading: 'Hatch times, hours after setting',
    text,
    tables: [
      {
        columns: [
          { heading: 'set' },
          right('chicks'),
          right('looks'),
          right('expected (h)'),
          right('off by (h)'),
          right('10-90 % (h)'),
          right('waited up to (h)'),
        ],
        rows: sets.map((s) => [
          s.set,
          s.chicks,
          s.openings,
          s.expected.toFixed(0),
          s.shift === null ? null : `${s.shift > 0 ? '+' : ''}${s.shift.toFixed(0)}`,
          s.intervals < 3 ? null : (s.spread.p90 - s.spread.p10).toFixed(0),
          s.firstWaited.toFixed(0),
        ]),
      },
    ],
  };
}

function readingsSection(review: Review, units: Units): ReviewSection {
  if (review.readings.length === 0)
    return { heading: 'Machines', tables: [], text: ['No machine was read.'] };
  const row = (
    machine: string,
    what: string,
    m: Measured | null,
    measure?: 'temperature',
  ): Cell[][] => {
    const text = (value: number): string =>
      measure === undefined ? fixed(value, 1) : figures(value, measure, units);
    return m === null
      ? []
      : [
          [
            machine,
            what,
            m.days,
            text(m.mean),
            `${text(m.target.low)}-${text(m.target.high)}`,
            whole(m.outOfRange),
            m.drift === null
              ? null
              : signed(m.drift.perWeek * (measure && units.temperature === 'F' ? 9 / 5 : 1), 2),
            m.drift === null ? null : pText(m.drift.p),
          ],
        ];
  };
  const text: string[] = [];
  for (const m of review.readings) {
    for (const cut of m.powerCuts)
      text.push(
        `Power off in ${m.machine} on ${printOn(cut.on)}${cut.minutes === null ? '' : ` for ${cut.minutes} minutes`}${cut.sets.length === 0 ? '' : `: ${cut.sets.map((s) => `${s.set} at day ${s.day}`).join(', ')}`}. ${cut.advice}`,
      );
    for (const stop of m.turningStopped)
      text.push(
        `Turning stood still in ${m.machine} on ${printOn(stop.on)}${stop.minutes === null ? '' : ` for ${stop.minutes} minutes`}.`,
      );
    addAll(
      text,
      m.queries.map((q) => `${m.machine}, ${q}.`),
    );
  }
  return {
    heading: 'Machines',
    text,
    tables: [
      {
        columns: [
          { heading: 'machine' },
          { heading: 'what' },
          right('days'),
          right('mean'),
          right('range'),
          right('out (%)'),
          right('drift/week'),
          right('p'),
        ],
        rows: review.readings.flatMap((m) => [
          ...row(
            m.machine,
            `heat (${unitOf('temperature', units)})`,
            m.temperature_c,
            'temperature',
          ),
          ...row(m.machine, 'humidity (%)', m.humidity),
        ]),
      },
    ],
  };
}

/** A control chart in letters: one line a set, its share as a dot on the line of its limits. */
function chartStrip(chart: ControlChart, strokes: Strokes): string {
  return shareStrip(
    chart.points.map((p) => ({
      label: p.set,
      value: p.share,
      low: p.lower / p.n,
      high: p.upper / p.n,
      note: `${p.x} of ${p.n}${p.signal === null ? '' : `, ${p.signal}`}`,
      marked: p.signal !== null,
    })),
    chart.pooled,
    strokes,
  );
}

function chartWords(chart: ControlChart): string {
  const out = chart.points.filter((p) => p.signal !== null).map((p) => p.set);
  const scatter =
    chart.scatter !== null && chart.scatter > 1.5
      ? ` Sets scatter ${chart.scatter.toFixed(1)} times what chance would; ${chart.beyondScatter.length === 0 ? 'none is' : `${chart.beyondScatter.join(', ')} ${chart.beyondScatter.length === 1 ? 'is' : 'are'}`} outside limits that allow for that.`
      : '';
  return `${out.length === 0 ? 'No set' : out.join(', ')} ${out.length > 1 ? 'are' : 'is'} outside exact binomial limits (three sigma) around ${percent(chart.pooled)}.${scatter}`;
}

function leading(review: Review): string[] {
  const out: string[] = [];
  const whole = review.groups.find((g) => g.by === 'season')!;
  const { clear, quit, unhatched } = whole.opened;
  const opened = [
    ['clears', clear],
    ['quits', quit],
    ['unhatched', unhatched],
  ] as const;
  const pools = opened.filter(([, o]) => o.of > 0);
  if (pools.length > 0)
    out.push(`Opened: ${pools.map(([name, o]) => `${o.opened} of ${o.of} ${name}`).join(', ')}.`);
  const corrected = whole.rates.fertile;
  if (review.notOpened.length > 0 && corrected && corrected.n > 0)
    out.push(
      `Corrected fertility is that of the other pens: no clears of ${review.notOpened.join(', ')} were opened.`,
    );
  if (review.unaccounted.length > 0)
    out.push(
      `Not accounted for: ${review.unaccounted.map((u) => `${u.set} ${u.pen} ${u.eggs}`).join(', ')}.`,
    );
  if (review.leftOut.length > 0)
    out.push(
      `Left out, because the counts contradict each other: ${review.leftOut.map((l) => `${l.set} ${l.pen} (${l.why})`).join('; ')}. See: traybook check`,
    );
  if (review.running.length > 0) out.push(`Still running: ${review.running.join(', ')}.`);
  if (review.notCandled.length > 0)
    out.push(`Not candled, so fertility is not known: ${review.notCandled.join(', ')}.`);
  return out;
}

/** A rate that tells two places apart, in eggs: for the first lines of a review. */
function standsOut(review: Review, t: Comparison): string | null {
  const kind = /\((.*)\)$/.exec(t.by)?.[1];
  const cut = cuts.find((one) => t.by === one || t.by === `${one} (${kind})`);
  const what = rateWords[t.rate];
  if (cut === undefined || cut === 'set') return null;
  if (cut === 'week' || cut === 'storage age') {
    const falls = (t.statistic ?? 0) < 0;
    const course = cut === 'week' ? 'through the season' : 'with the days in store';
    return `${sentenceCase(what)} ${falls ? 'falls' : 'rises'} ${course}.`;
  }
  const groups = review.groups
    .filter(
      (g) =>
        g.by === cut &&
        g.rates[t.rate]?.estimate != null &&
        (kind === undefined || g.kinds.every((one) => one === kind)),
    )
    .sort((a, b) => a.rates[t.rate]!.estimate! - b.rates[t.rate]!.estimate!);
  const [low, high] = [groups[0], groups.at(-1)];
  if (!low || !high || low === high) return null;
  const part = (g: GroupRates): string =>
    `${cut} ${g.key} ${count(g.rates[t.rate]!.x)} of ${count(g.rates[t.rate]!.n)}`;
  return `${sentenceCase(what)} differs: ${part(high)}, ${part(low)}.`;
}

const sentenceCase = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

/** How the season went, in eggs, and what stands out of it. */
function reviewAnswer(review: Review): string[] {
  const whole = review.groups.find((g) => g.by === 'season')!;
  const hatch = whole.rates.hatch_of_set;
  const out: string[] = [];
  if (hatch?.estimate == null)
    out.push('No set has been closed yet, so nothing has hatched to count.');
  else {
    const losses = [
      ['were clear', whole.counts.clear],
      ['died early', whole.rates.early?.x ?? 0],
      ['died in mid-term', whole.rates.middle?.x ?? 0],
      ['died late', whole.rates.late?.x ?? 0],
      ['pipped and died', whole.rates.pipped?.x ?? 0],
    ] as const;
    const [how, most] = losses.reduce((a, b) => (b[1] > a[1] ? b : a));
    out.push(
      `${count(hatch.x)} of ${count(hatch.n)} eggs hatched (${percent(hatch.estimate)})${most > 0 ? `; the largest loss: ${count(Math.round(most))} ${how}` : ''}.`,
    );
  }
  const sure = review.tests.filter((t) => t.p_adjusted !== null && t.p_adjusted < 0.05);
  const said = [...new Set(sure.flatMap((t) => standsOut(review, t) ?? []))];
  addAll(out, said.length > 0 ? said : ['No pen, tray, week or storage age stands out.']);
  return out;
}

function sections(review: Review, wishes: ReviewWishes): ReviewSection[] {
  const season = review.groups.find((g) => g.by === 'season')!;
  const out: ReviewSection[] = [
    { heading: 'The season', tables: [ratesTable(season)], text: leading(review) },
  ];
  for (const cut of cuts) {
    if (cut === 'season' || !wishes.by.includes(cut)) continue;
    const groups = review.groups.filter((g) => g.by === cut && g.counts.set > 0);
    if (groups.length > 0)
      out.push({
        heading: `By ${cut}`,
        tables: [cutTable(cut, groups)],
        text: out.length === 1 ? [cutWords] : [],
      });
  }
  if (wishes.numbers) out.push(testsSection(review.tests));
  const previous = previousSection(review.previous);
  if (previous) out.push(previous);
  out.push(lossSection(review), timingSection(review), readingsSection(review, wishes.units));
  return out;
}

/** The review as text. `draw` makes a table fit; ends with a line feed. */
export function reviewText(
  review: Review,
  head: ReviewHead,
  draw: (table: Table) => string,
  width: number,
  wishes: ReviewWishes,
): string {
  const answer = reviewAnswer(review).map((line) => `${wrapped(line, width)}\n`);
  const parts = [`${head.place}, season ${head.season}, on ${head.day}\n${answer.join('')}`];
  for (const s of sections(review, wishes)) {
    const text = s.text.map((t) => `${wrapped(t, width)}\n`).join('');
    const tables = s.tables.map(draw);
    parts.push(
      `${s.heading.toUpperCase()}\n${s.heading === 'What differs' ? `${text}${tables.join('')}` : `${tables.join('')}${text}`}`,
    );
  }
  const chart = review.charts.find((c) => c.rate === 'hatch_of_fertile') ?? review.charts[0];
  if (chart)
    parts.push(
      `SETS IN ORDER: ${rateWords[chart.rate].toUpperCase()}\n${chartStrip(chart, { width, ascii: wishes.ascii })}${wrapped(`Dot: the set; line: its limits; rule: all sets. ${chartWords(chart)}`, width)}\n`,
    );
  parts.push(
    wishes.numbers
      ? countingRules.map((rule) => `${wrapped(rule, width)}\n`).join('')
      : `${wrapped('--numbers shows the tests, and how eggs are counted.', width)}\n`,
  );
  return parts.join('\n');
}

/** The same in Markdown. */
export function reviewMarkdown(review: Review, head: ReviewHead, wishes: ReviewWishes): string {
  const parts = [
    `# Review: ${escapeMarkdown(head.place)}, season ${escapeMarkdown(head.season)}\n\nAs of ${head.day}. ${escapeMarkdown(reviewAnswer(review).join(' '))}\n`,
  ];
  for (const s of sections(review, wishes)) {
    const text = s.text.map((t) => `${escapeMarkdown(t)}\n`).join('\n');
    parts.push(
      `## ${s.heading}\n\n${s.tables.map(markdownTable).join('\n')}${text ? `\n${text}` : ''}`,
    );
  }
  for (const chart of review.charts)
    parts.push(
      `## Sets in order: ${rateWords[chart.rate]}\n\n${markdownTable({
        columns: [
          { heading: 'set' },
          right('count'),
          right('of'),
          right('%'),
          right('limits'),
          { heading: 'signal' },
        ],
        rows: chart.points.map((p) => [
          p.set,
          p.x,
          p.n,
          whole(p.share),
          `${p.lower} to ${p.upper}`,
          p.signal,
        ]),
      })}\n${escapeMarkdown(chartWords(chart))}\n`,
    );
  parts.push(countingRules.map((rule) => `- ${escapeMarkdown(rule)}\n`).join(''));
  return parts.join('\n');
}

/** What `--json` prints. */
export function reviewJson(review: Review): object {
  return {
    groups: review.groups,
    tests: review.tests,
    differences: review.differences,
    weight_loss: review.losses.map(({ loss, ...l }) => ({
      set: l.set,
      pen: l.pen,
      lost: loss.lost,
      day: loss.lastDay,
      forecast: loss.forecast,
      low: loss.interval?.[0] ?? null,
      high: loss.interval?.[1] ?? null,
      target: l.target,
      basis: loss.basis,
      advice: l.advice,
    })),
    hatch_times: {
      sets: review.timing.sets.map((s) => ({
        set: s.set,
        chicks: s.chicks,
        expected: s.expected,
        median: s.spread.p50,
        p10: s.spread.p10,
        p90: s.spread.p90,
        shift: s.shift,
        first_waited: s.firstWaited,
        waiting_chick_hours: s.spread.waiting,
      })),
      shift: review.timing.pooled?.shift ?? null,
      low: review.timing.interval?.[0] ?? null,
      high: review.timing.interval?.[1] ?? null,
      sd: review.timing.pooled?.sd ?? null,
      clock_unknown: review.timing.clockUnknown,
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
