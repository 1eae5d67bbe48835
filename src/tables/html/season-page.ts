/** The season in one self-contained HTML page: the answers, then a picture for each question. */

import type { Costs } from '../../costs/costs.ts';
import { roomLimits } from '../../facts/birds/room.ts';
import type { BirdSummary } from '../../facts/birds/summary.ts';
import type { Finding } from '../../judge/diagnose/finding.ts';
import type { LossLineOf, Review } from '../../judge/review/review.ts';
import type { Summary } from '../../judge/summary/way.ts';
import type { YearTurn } from '../../planner/year/turn.ts';
import { type CautionKey, cautionLines } from '../../season/cautions.ts';
import type { EggSet, Now, Season } from '../../season/model.ts';
import { type Day, daysBetween, earlier, later } from '../../text/day.ts';
import { groupedBy, largest, there } from '../../text/lists.ts';
import { birdTable, livingTable, lossSay } from '../birds.ts';
import { claimMeaning } from '../claims.ts';
import { type AnyTable, tableOf } from '../columns.ts';
import { costsAnswer, costTable, eachTable, incomeTable } from '../costs.ts';
import { isRaised, sentence } from '../diagnosis.ts';
import {
  chance,
  count,
  counted,
  dayYear,
  fixed,
  longDay,
  figures as measureFigures,
  money,
  percent,
  rateWords,
  signed,
  type Units,
  unitOf,
} from '../numbers.ts';
import { type PlaceShown as PlaceOfStays, stayRows, stayTable } from '../occupancy.ts';
import type { Meaning } from '../paint.ts';
import { reviewColumns } from '../review.ts';
import {
  fateTable,
  goalTable,
  penTable,
  setTable,
  summaryCaution,
  unaccountedTable,
  wayTable,
} from '../summary.ts';
import { rates } from '../words.ts';
import { againstTable, differentlyTable, manyCauses, turnNote } from '../year.ts';
import { type Chart, type Figures, figure, folded } from './chart.ts';
import { type Child, html, type Markup } from './element.ts';
import { htmlPage } from './page.ts';
import {
  type IntervalBar,
  intervalPicture,
  needPicture,
  type Panel,
  panelsPicture,
  piecesPicture,
  progressPicture,
  rateAxis,
  staysPicture,
  stepsPicture,
  type TreeBird,
  treePicture,
} from './pictures.ts';

/** A goal or an order as the page tells it, with what the forecast says of it. */
export type PageGoal = {
  readonly words: string;
  readonly by: Day;
  readonly count: number;
  readonly confidence: number;
  /** What there is of it; null for an order, whose birds are not told apart. */
  readonly soFar: string | null;
  /** Birds that count so far, by the day they hatched; null for an order. */
  readonly steps: readonly { readonly day: Day; readonly count: number }[] | null;
  /** Null where its day is past. */
  readonly forecast: {
    readonly probability: number;
    readonly onCourse: boolean;
    readonly median: number;
    readonly low: number;
    readonly high: number;
  } | null;
};

/** Places under the heat that are needed, by day. */
export type HeatNeed = {
  readonly points: readonly {
    readonly day: Day;
    readonly need: number;
    readonly high: number | null;
  }[];
  readonly room: number | null;
};

export type SeasonPage = {
  readonly season: Season;
  readonly summary: Summary;
  readonly birds: BirdSummary;
  readonly goals: readonly PageGoal[];
  readonly costs: Costs;
  readonly places: readonly PlaceOfStays[];
  readonly heat: HeatNeed;
  readonly review: Review;
  readonly findings: readonly Finding[];
  readonly turn: YearTurn;
  readonly tree: readonly TreeBird[];
  readonly now: Now;
  readonly version: string;
};

/** The whole page. */
export function seasonPage(matter: SeasonPage): string {
  const { season, now, version } = matter;
  const charts = chartsOf(matter).filter((chart) => chart !== null);
  const units = season.values.units;
  return htmlPage({
    title: `${season.values.place.name}, season ${season.values.season}`,
    lead: `As the book stands on ${longDay(now.day)}.`,
    sections: [
      { id: 'now', title: 'Where the season stands', body: standing(matter) },
      {
        id: 'pictures',
        title: 'Pictures',
        body: html`<div class="plates">${charts.map(figure)}</div>`,
      },
      { id: 'next', title: 'For next year', body: suggestions(matter.turn) },
      { id: 'figures', title: 'Figures', body: appendix(matter, charts, units) },
      { id: 'reading', title: 'How to read this', body: reading(matter) },
    ],
    foot: `Written by traybook ${version} on ${now.day}. Nothing in this page is fetched from elsewhere.`,
  });
}

const SIGNS = { act: '▲', watch: '◆', settled: '√' } as const;
/** Sign, word and colour say the same. */
function say(meaning: Meaning, ...words: Child[]): Markup {
  return html`
    <li class="${meaning}"><strong class="meaning">${SIGNS[meaning]} ${meaning}</strong> ${words}</li>
  `;
}

function goalSay(goal: PageGoal): Markup {
  const { words, by, confidence, forecast, steps } = goal;
  const so = goal.soFar === null ? '' : `; ${goal.soFar}`;
  if (forecast === null && steps === null)
    return html`<li>${words}<small> by ${dayYear(by)}, which is past.</small></li>`;
  if (forecast === null) {
    const have = (steps ?? []).reduce((sum, step) => sum + step.count, 0);
    const short = goal.count - Math.round(have);
    const met = short <= 0 ? 'met' : `not met, ${short} short`;
    return say(
      claimMeaning(short <= 0, 0, confidence, true),
      html`<span>${words}</span><small> by ${dayYear(by)}: ${met}${so}</small>`,
    );
  }
  const { probability, onCourse } = forecast;
  return say(
    claimMeaning(onCourse, probability, confidence, false),
    html`<b class="figure">${chance(probability)}</b><span> chance of ${words}</span>`,
    html`<small> by ${dayYear(by)}, asked ${percent(confidence)}${so}</small>`,
  );
}

/** The first screen: goals and orders, what is wrong since when, birds living, eggs missing. */
function standing({ season, summary, birds, goals, findings, now }: SeasonPage): Child {
  const missing = summary.unaccounted.reduce((sum, one) => sum + Math.abs(one.eggs), 0);
  const raised = findings
    .filter(isRaised)
    .map((finding) =>
      say(
        finding.verdict === 'act' ? 'act' : 'watch',
        sentence(finding, season.values.units),
        finding.next.length > 0 && html`<small> Next: ${finding.next[0]}</small>`,
      ),
    );
  const { placed, living, lost, left } = birds;
  const many = birds.beyond_usual.map(lossSay).map(({ meaning, text }) => say(meaning, text));
  const wrong = [...raised, ...many];
  return html`
    <h3>Goals and orders</h3>
    ${
      goals.length === 0
        ? html`<p>season.yaml names no goals.</p>`
        : html`<ul class="says-list">${goals.map(goalSay)}</ul>`
    }
    <h3>What is wrong</h3><ul class="says-list">
    ${wrong.length === 0 ? say('settled', 'Nothing stands out in the records.') : wrong}</ul>
    <h3>Birds and eggs</h3><ul class="says-list plain">
    ${
      placed > 0 &&
      html`
        <li><b class="figure">${count(living)}</b>
        ${` ${living === 1 ? 'bird' : 'birds'} living of ${count(placed)} placed; ${count(lost)} lost, ${count(left)} left.`}</li>
      `
    }
    ${say(
      missing === 0 ? 'settled' : 'watch',
      html`<b class="figure">${count(missing)}</b>`,
      ` ${missing === 1 ? 'egg' : 'eggs'} not accounted for.`,
    )}
    <li>${inMachines(season, now)}</li></ul>
  `;
}

function inMachines(season: Season, now: Now): string {
  const open = [...season.sets.values()].filter((set) =>
    set.shares.some((share) => share.stage !== 'finished'),
  );
  if (open.length === 0) return 'No eggs are in the machines.';
  const eggs = open.reduce(
    (sum, set) => sum + set.shares.reduce((all, share) => all + share.live, 0),
    0,
  );
  const names = open.map((set) => `${set.name} (day ${daysBetween(set.on.day, now.day)})`);
  return `${counted(eggs, 'egg')} in the machines: ${names.join(', ')}.`;
}

/** The pictures in the order in which a keeper asks. */
function chartsOf(matter: SeasonPage): (Chart | null)[] {
  return [
    ...matter.goals.map((goal, index) => goalChart(goal, index, matter)),
    ...machineCharts(matter),
    deathsChart(matter),
    pensChart(matter),
    placesChart(matter),
    ...waterCharts(matter.review),
    hoursChart(matter.review),
    heatChart(matter),
    stepsChart(matter),
    treeChart(matter),
    ...matter.turn.against.map((one, index) => yearChart(one, index, matter)),
  ];
}

function goalChart(
  goal: PageGoal,
  index: number,
  { summary, birds, season, now }: SeasonPage,
): Chart | null {
  if (goal.steps === null) return null;
  const days = [
    ...[...season.sets.values()].map((set) => set.on.day),
    ...goal.steps.map((step) => step.day),
  ];
  if (days.length === 0) return null;
  const from = days.reduce(earlier);
  const ahead = goal.forecast;
  return {
    id: `chart-goal-${index + 1}`,
    title: `${goal.words} by ${dayYear(goal.by)}`,
    says: `Solid: what counts so far, by the day it hatched (${goal.soFar}). ${
      ahead === null
        ? 'The day is past.'
        : `Dashed: what ${dayYear(goal.by)} is expected to bring, ${fixed(ahead.median)}; in 95 of 100 seasons from ${fixed(ahead.low)} to ${fixed(ahead.high)}.`
    } Dotted: what is wanted.`,
    picture: progressPicture({
      wanted: goal.count,
      from,
      by: goal.by,
      today: now.day,
      steps: goal.steps,
      ahead,
    }),
    figures: index === 0 ? [{ caption: 'goals', table: goalTable(summary, birds) }] : [],
  };
}

/** Days with a reading that make a line. */
const LEAST_DAYS = 3;

type DayValue = { readonly day: Day; readonly value: number };

function machineCharts({ review, season, findings }: SeasonPage): Chart[] {
  const units = season.values.units;
  return review.readings.flatMap((one): Chart[] => {
    const daily = [...(one.temperature_c?.daily ?? []), ...(one.humidity?.daily ?? [])];
    if (new Set(daily.map((at) => at.day)).size < LEAST_DAYS) return [];
    const shifts = review.timing.sets.flatMap((set) => {
      const known = season.sets.get(set.set);
      if (set.shift === null || known === undefined || !isIn(known, one.machine)) return [];
      return [{ set: set.set, day: hatchDayOf(known), value: set.shift }];
    });
    const days = [...daily.map((at) => at.day), ...shifts.map((at) => at.day)];
    const from = days.reduce(earlier);
    const to = days.reduce(later);
    const notes = findings
      .filter(isRaised)
      .flatMap(({ where, since }) =>
        since !== null && (where.setter === one.machine || where.hatcher === one.machine)
          ? [{ day: since, label: `from ${where.set ?? setOn(season, since) ?? since}` }]
          : [],
      );
    const panel = (
      label: string,
      points: readonly DayValue[],
      band: readonly [number, number] | null,
      print: (value: number) => string,
    ): Panel => ({
      label,
      band,
      print,
      isJoined: true,
      points: points.map((at) => ({ ...at, says: `${dayYear(at.day)}: ${print(at.value)}` })),
    });
    const { temperature_c: warmth, humidity } = one;
    const panels: Panel[] = there([
      warmth !== null &&
        panel(
          `temperature (${unitOf('temperature', units)})`,
          warmth.daily,
          [warmth.target.low, warmth.target.high],
          (value) => measureFigures(value, 'temperature', units),
        ),
      humidity !== null &&
        panel(
          'humidity (%)',
          humidity.daily,
          [humidity.target.low, humidity.target.high],
          (value) => fixed(value),
        ),
      shifts.length > 0 && {
        label: 'hatched early (−) or late (+), hours',
        band: null,
        print: (value: number) => signed(value),
        isJoined: false,
        points: shifts.map((at) => ({ ...at, says: `${at.set}: ${signed(at.value)} h` })),
      },
    ]);
    return [
      {
        id: `chart-machine-${slug(one.machine)}`,
        title: `${one.machine}: gauge and hatch`,
        says: `Each line is the mean of the day's readings; the band is what is aimed at.${shifts.length === 0 ? '' : ' Each dot below is a set of this machine, at its hatch day: hours before or after what its kind and storage let expect.'}${notes.length === 0 ? '' : ` The mark shows where something changed: ${notes.map((note) => note.label).join(', ')}.`}`,
        picture: panelsPicture(panels, from, to, notes),
        figures: [
          { caption: `${one.machine}, readings day by day`, table: readingTable(one) },
          ...(shifts.length === 0 ? [] : [{ caption: 'hatch times', table: timeTable(review) }]),
        ],
      },
    ];
  });
}

const slug = (name: string): string => name.replace(/[^A-Za-z0-9]+/g, '-');

function isIn(set: EggSet, machine: string): boolean {
  return set.shares.some(
    (share) => share.hatcher === machine || share.trays.some((one) => one.setter === machine),
  );
}

function hatchDayOf(set: EggSet): Day {
  const days = set.shares.flatMap((share) => share.openings.map((row) => row.on.day));
  return days.length === 0 ? set.on.day : days.reduce(earlier);
}

const setOn = (season: Season, day: Day): string | undefined =>
  [...season.sets.values()].find((set) => set.on.day === day)?.name;

type DayRow = {
  readonly day: Day;
  readonly warmth: number | null;
  readonly humidity: number | null;
};

function readingTable(one: Review['readings'][number]): AnyTable {
  const rows = new Map<Day, DayRow>();
  const put = (day: Day, change: Partial<DayRow>): void => {
    rows.set(day, { ...(rows.get(day) ?? { day, warmth: null, humidity: null }), ...change });
  };
  for (const { day, value } of one.temperature_c?.daily ?? []) put(day, { warmth: value });
  for (const { day, value } of one.humidity?.daily ?? []) put(day, { humidity: value });
  return tableOf<DayRow>(
    [
      { key: 'day', kind: 'day', doc: 'day of the readings' },
      {
        key: 'temperature',
        kind: 'measure',
        measure: 'temperature',
        doc: 'mean temperature of the day',
        of: (row) => row.warmth,
      },
      { key: 'humidity', kind: 'number', digits: 0, unit: '%', doc: 'mean humidity of the day' },
    ],
    [...rows.values()].sort((a, b) => (a.day < b.day ? -1 : 1)),
  );
}

const timeTable = (review: Review): AnyTable => tableOf(reviewColumns.times, review.timing.sets);

function deathsChart({ season, summary }: SeasonPage): Chart | null {
  const done = [...season.sets.values()].filter((set) =>
    set.shares.every((share) => share.stage === 'finished'),
  );
  if (done.length === 0) return null;
  const rows = done.map((set) => {
    const sum = (of: (tally: EggSet['shares'][number]['tally']) => number): number =>
      set.shares.reduce((all, share) => all + of(share.tally), 0);
    const pieces = [
      { name: 'sound', count: sum((t) => t.sound), fill: 0 },
      { name: 'weak or dead chick', count: sum((t) => t.weak + t.dead), fill: 1 },
      { name: 'late', count: sum((t) => t.pipped + t.unpipped), fill: 2 },
      { name: 'quit', count: sum((t) => t.quit), fill: 3 },
      { name: 'clear', count: sum((t) => t.clear), fill: 4 },
      { name: 'cracked, rotten', count: sum((t) => t.cracked + t.rotten), fill: 5 },
      {
        name: 'missing',
        count: sum((t) => Math.max(0, (t.missingAtTransfer ?? 0) + (t.missingAtHatch ?? 0))),
        fill: 6,
      },
    ];
    const eggs = set.shares.reduce((all, share) => all + share.eggs, 0);
    return { label: set.name, note: `${pieces[0]!.count} of ${eggs}`, pieces, eggs };
  });
  const worst = [...rows].sort(
    (a, b) => a.pieces[0]!.count / a.eggs - b.pieces[0]!.count / b.eggs,
  )[0]!;
  const pooled = summary.hatch_of_set;
  return {
    id: 'chart-deaths',
    title: 'Where eggs died, by set',
    says: `Each bar is the eggs of a finished set; at the right its sound chicks. ${pooled.share === null ? '' : `Hatch of all: ${rateWords(pooled)}. `}Fewest sound chicks: ${worst.label}, ${worst.note}. Late is eggs left at the last opening, pipped or not; clear eggs may have died in their first days.`,
    picture: piecesPicture(
      rows.map((row) => ({ ...row, pieces: row.pieces.filter((piece) => piece.count > 0) })),
    ),
    figures: there([
      { caption: 'sets', table: setTable(summary) },
      { caption: 'where the eggs of finished shares went', table: fateTable(summary) },
      { caption: "the eggs' way", table: wayTable(summary) },
      summary.unaccounted.length > 0 && {
        caption: 'not accounted for',
        table: unaccountedTable(summary),
      },
    ]),
  };
}

function pensChart({ season, summary }: SeasonPage): Chart | null {
  const rows = summary.pens
    .filter((pen) => pen.fertile_apparent.share !== null)
    .flatMap((pen): IntervalBar[] => {
      const row = (label: string, rate: (typeof pen)['hatch_of_set']): IntervalBar => ({
        label,
        value: rate.share,
        low: rate.low,
        high: rate.high,
        note: rate.of === null ? '' : `${count(rate.count)} of ${count(rate.of)}`,
      });
      return there([
        row(`${pen.pen}, fertile`, pen.fertile_apparent),
        pen.hatch_of_fertile.share !== null && row(`${pen.pen}, hatch`, pen.hatch_of_fertile),
      ]);
    });
  if (rows.length === 0) return null;
  const males = [...season.pens.values()]
    .filter((pen) => pen.sires.length > 0)
    .map((pen) => `${pen.name} ${pen.sires.join(' and ')}`);
  return {
    id: 'chart-pens',
    title: 'Pens and their males side by side',
    says: `${males.length === 0 ? '' : `Males: ${males.join('; ')}. `}Fertile is apparent: an egg that died in its first days looks clear. Hatch is of fertile. Bars are 95 % intervals; pens whose bars overlap much may differ by chance alone.`,
    picture: intervalPicture(rows, rateAxis()),
    figures: [{ caption: 'pens', table: penTable(summary) }],
  };
}

function placesChart({ places, now }: SeasonPage): Chart | null {
  const rows = stayRows(places);
  const all = rows.flatMap(({ stays }) => stays);
  if (all.length === 0) return null;
  const from = all.map((one) => one.from).reduce(earlier);
  const to = all.map((one) => one.to).reduce(later);
  return {
    id: 'chart-places',
    title: 'The season on one line: trays, hatchers, brooders',
    says: `From ${dayYear(from)} to ${dayYear(to)}. Dark is what the records say, pale what is planned or expected. A bar ends on the day the place was free again.`,
    picture: staysPicture(rows, from, to, now.day),
    figures: [{ caption: 'stays', table: stayTable(places) }],
  };
}

/** Percent that should be lost by a day, on the straight line to the target at transfer. */
const aimOn = (one: LossLineOf, day: number): number =>
  (one.course.target.target * day) / one.transferDay;

/** Water lost against the target, a row a set; one picture for each target. */
function waterCharts(review: Review): Chart[] {
  const kinds = groupedBy(
    review.losses,
    (one) => `${one.transferDay} ${one.course.target.low} ${one.course.target.high}`,
  );
  return [...kinds.values()].map((losses, index) => {
    const { transferDay, course } = losses[0]!;
    const { target } = course;
    const sets = [...groupedBy(losses, (one) => one.set)];
    const mean = (values: readonly number[]): number =>
      values.reduce((sum, value) => sum + value, 0) / values.length;
    const rows = sets.map(([set, shares]): IntervalBar & { isOut: boolean } => {
      const off = mean(shares.map((one) => one.course.atTransfer)) - target.target;
      const low = mean(shares.map((one) => one.course.low)) - target.target;
      const high = mean(shares.map((one) => one.course.high)) - target.target;
      return {
        label: set,
        value: off,
        low,
        high,
        note: `day ${fixed(largest(shares.map((one) => one.course.elapsed)))}`,
        isExpected: true,
        measured: mean(shares.map((one) => one.course.lost - aimOn(one, one.course.elapsed))),
        isOut: off + target.target < target.low || off + target.target > target.high,
      };
    });
    const out = rows.filter((row) => row.isOut).map((row) => row.label);
    const reach = largest([
      ...rows.flatMap((row) => [row.value, row.low, row.high].map((value) => Math.abs(value ?? 0))),
      target.high - target.target,
      target.target - target.low,
    ]);
    return {
      id: `chart-water-${index + 1}`,
      title: `Water lost against the target, by transfer on day\u00a0${transferDay}`,
      says: `Points of percentage more (+) or less (−) than the target of ${target.target} %; the band is ${target.low}–${target.high} %. Full dot and solid line: the last weighing, whose day is at the right. Open dot and dashed line: what is expected at transfer, with its 95 % range. ${out.length === 0 ? 'Every set weighed is on the way to end inside the band.' : `On the way to end outside it: ${out.join(', ')}.`}`,
      picture: intervalPicture(rows, {
        domain: [-Math.ceil(reach), Math.ceil(reach)],
        print: (value) => signed(value, Number.isInteger(value) ? 0 : 1),
        band: [target.low - target.target, target.high - target.target],
        reference: 0,
        label: 'points off the target',
      }),
      figures: [
        {
          caption: `water lost, transfer on day ${transferDay}`,
          table: tableOf(reviewColumns.losses, losses),
        },
      ],
    };
  });
}

function hoursChart(review: Review): Chart | null {
  const sets = review.timing.sets.filter((one) => one.shift !== null);
  if (sets.length === 0) return null;
  const rows = sets.map((one): IntervalBar => {
    const isSeen = one.intervals >= 3;
    return {
      label: one.set,
      value: one.shift,
      low: isSeen ? one.spread.p10 - one.expected : null,
      high: isSeen ? one.spread.p90 - one.expected : null,
      note: `${one.chicks}`,
    };
  });
  const reach = largest([
    24,
    ...rows.flatMap((row) => [row.value, row.low, row.high].map((value) => Math.abs(value ?? 0))),
  ]);
  const unseen = rows.filter((row) => row.low === null).length;
  return {
    id: 'chart-hours',
    title: 'Hatch over hours, against the hour expected',
    says: `Each dot is the mean of a set, hours before (−) or after (+) what its kind and storage let expect; its bar holds the middle eight tenths of the chicks; at the right its chicks.${unseen === 0 ? '' : ` ${counted(unseen, 'set')} had too few openings to see the spread.`}${review.timing.clockUnknown ? ' Some settings or openings have no hour: all may be half a day off.' : ''}`,
    picture: intervalPicture(rows, {
      domain: [-12 * Math.ceil(reach / 12), 12 * Math.ceil(reach / 12)],
      print: (value) => signed(value),
      reference: 0,
      label: 'hours',
    }),
    figures: [],
  };
}

function heatChart({ heat, now, birds }: SeasonPage): Chart | null {
  if (heat.points.length < 2 || birds.placed === 0) return null;
  const most = heat.points.reduce((a, b) => ((b.high ?? b.need) > (a.high ?? a.need) ? b : a));
  return {
    id: 'chart-heat',
    title: `Room under heat: ${roomLimits.heat.name}`,
    says: `Solid: what the birds in the brooders needed up to ${dayYear(now.day)}; dashed: what those to come are expected to need, and above it up to nine in ten. Most about ${dayYear(most.day)}: ${fixed(most.high ?? most.need)}${heat.room === null ? '' : ` of ${fixed(heat.room)} that there are`}.`,
    picture: needPicture(heat.points, heat.room, now.day),
    figures: [
      { caption: 'birds: placed = living + lost + left', table: birdTable(birds) },
      { caption: 'living birds by group over time', table: livingTable(birds) },
    ],
  };
}

function stepsChart({ costs, season }: SeasonPage): Chart | null {
  const units = season.values.units;
  const { steps, cost } = costs.perPullet;
  const tables: Figures[] = there([
    { caption: 'cost of one', table: eachTable(costs, units) },
    { caption: 'costs so far', table: costTable(costs, units) },
    costs.income.length > 0 && {
      caption: 'income, not taken off the costs',
      table: incomeTable(costs, units),
    },
  ]);
  if (steps === null || cost === null) return null;
  return {
    id: 'chart-cost',
    title: 'What a pullet at point of lay cost',
    says: `${costsAnswer(costs, units)} Each step is carried by the pullets that came to lay, those that died before included.${costs.missing.length === 0 ? '' : ` Missing, so left out: ${costs.missing.join('; ')}.`}`,
    picture: stepsPicture(
      [
        { label: 'her chick', amount: steps.chick },
        { label: 'feed', amount: steps.feed },
        { label: 'heat', amount: steps.heat },
        { label: 'other', amount: steps.other },
      ],
      'a pullet',
      (amount) => money(amount, units),
    ),
    figures: tables,
  };
}

function treeChart({ tree }: SeasonPage): Chart | null {
  if (!tree.some((bird) => bird.parents.length > 0)) return null;
  return {
    id: 'chart-tree',
    title: 'Family of the birds that are here',
    says: 'Squares are males, circles females; a line leads from each parent that is known to its young. A bird without a line came from elsewhere, or its parents are known by the pen alone.',
    picture: treePicture(tree),
    figures: [],
  };
}

function yearChart(
  one: YearTurn['against'][number],
  index: number,
  { season }: SeasonPage,
): Chart | null {
  const name = String(season.values.season);
  if (one.rates.length === 0) return null;
  const rows = one.rates.map((row): IntervalBar => {
    const { estimate, low, high } = row.now;
    return {
      label: rates[row.rate].name,
      value: estimate!,
      low: low!,
      high: high!,
      before: row.before.estimate!,
      note: `${signed(100 * row.difference)} points`,
    };
  });
  return {
    id: `chart-year-${index + 1}`,
    title: `Season ${name} over ${one.season}`,
    says: `Full dots are ${name} with 95 % intervals, open ones ${one.season}. A dot that lies well outside the bar is a change larger than chance.`,
    picture: intervalPicture(rows, rateAxis()),
    figures: there([
      { caption: `rates against season ${one.season}`, table: againstTable(one.rates) },
      one.differently.length > 0 && { caption: manyCauses, table: differentlyTable(one, name) },
    ]),
  };
}

function suggestions(turn: YearTurn): Child {
  const all = turn.suggestions.map(
    ({ says, because, backed }) =>
      html`<li><strong>${says}</strong> Because ${because}. Rests on: ${backed}.</li>`,
  );
  return [all.length > 0 && html`<ol>${all}</ol>`, html`<p>${turnNote(turn)}</p>`];
}

/** Every table of the page, each behind a line that names it. */
function appendix({ summary, costs }: SeasonPage, charts: readonly Chart[], units: Units): Child {
  const told = charts.filter((chart) => chart.figures.length > 0);
  const tells = (id: string): boolean => told.some((chart) => chart.id === id);
  const isEmpty = costs.items.every((item) => (item.quantity ?? 0) === 0 && !item.amount);
  const ofCosts: Figures[] = there([
    { caption: costsAnswer(costs, units), table: costTable(costs, units) },
    costs.income.length > 0 && { caption: 'income', table: incomeTable(costs, units) },
  ]);
  const ofWay = [{ caption: "the eggs' way", table: wayTable(summary) }];
  return [
    told.map((chart) => folded(chart.id, chart.title, chart.figures, units)),
    !tells('chart-cost') && !isEmpty && folded('costs', 'Costs', ofCosts, units),
    !tells('chart-deaths') && folded('way', 'From egg to chick', ofWay, units),
  ];
}

/** Cautions that this season's records call for, each once. */
function cautionsOf({ season, birds, costs }: SeasonPage): CautionKey[] {
  return [
    'hygiene',
    ...(birds.placed > 0 ? (['heat-lamp', 'disease'] as const) : []),
    ...(costs.perKg.over > 0 ? (['slaughter'] as const) : []),
    ...(costs.income.length > 0 ? (['sale'] as const) : []),
    ...(season.rows.treatment.length > 0 ? (['withdrawal'] as const) : []),
  ];
}

function reading(matter: SeasonPage): Child {
  const cautions = [
    ...cautionLines(cautionsOf(matter)),
    'Heat, disinfectants, medicines and slaughter: follow the label, your local rules and a vet.',
  ];
  return [
    html`<p>${summaryCaution}</p>`,
    html`<p>${'Hatch of set, of fertile and of transferred are three different numbers; the headings say which. The diagnosis reads counts, not birds: birds that are ill are for a vet.'}</p>`,
    cautions.map((caution) => html`<p class="caution">${caution}</p>`),
  ];
}
