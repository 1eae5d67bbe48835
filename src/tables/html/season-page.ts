import type { Costs } from '../../costs/costs.ts';
import type { BrooderSpan } from '../../facts/birds/brooders.ts';
import type { BirdSummary } from '../../facts/birds/summary.ts';
import { looksOf } from '../../facts/looks.ts';
import type { Occupancy } from '../../facts/occupancy.ts';
import type { Finding } from '../../judge/diagnose/finding.ts';
import type { Review } from '../../judge/review/review.ts';
import { wilson } from '../../judge/statistics/proportion.ts';
import type { Rate, Summary, WayStage } from '../../judge/summary/way.ts';
import type { YearTurn } from '../../planner/year/turn.ts';
import { type CautionKey, cautionLines } from '../../season/cautions.ts';
import type { Now, Season, Share } from '../../season/model.ts';
import { type Day, daysBetween, earlier, later } from '../../text/day.ts';
import { birdsAnswer, birdTable, countSoFar, livingTable, soFar } from '../birds.ts';
import { costParts, eachTable } from '../costs.ts';
import { lanes } from '../occupancy.ts';
import type { Cell, TableColumn } from '../table.ts';
import { stackPicture } from './bird-pictures.ts';
import { type Chart, figure, figures, percent, tableFigures } from './chart.ts';
import { type Child, element, type Markup } from './element.ts';
import { lossCharts, spreadChart } from './machine-charts.ts';
import { htmlPage, type Section } from './page.ts';
import {
  type Interval,
  intervalPicture,
  monthMarks,
  plotPicture,
  type Series,
  staysPicture,
  wayPicture,
} from './pictures.ts';
import { diagnosisPart, turnPart } from './year.ts';

export type SeasonPage = {
  readonly season: Season;
  readonly summary: Summary;
  readonly birds: BirdSummary;
  readonly costs: Costs;
  readonly occupancy: Occupancy;
  readonly brooders: readonly BrooderSpan[];
  readonly review: Review;
  readonly findings: readonly Finding[];
  readonly turn: YearTurn;
  readonly now: Now;
  readonly version: string;
};

const WEEK = 7;
/** Part of a week's room that its pens take up. */
const PEN_ROOM = 0.4;

/** The season in one self-contained HTML page, with a picture and a table for each question. */
export function seasonPage(matter: SeasonPage): string {
  const { season, now, version } = matter;
  const sections: (Section | null)[] = [
    section('glance', 'At a glance', glance(matter)),
    section('way', 'From egg to chick', plates(wayChart(matter), hatchChart(matter))),
    section('pens', 'Pens and storage', plates(fertilityChart(season), storageChart(season))),
    section(
      'machine',
      'Water and time',
      plates(...lossCharts(matter.review), spreadChart(matter.review), timeChart(season)),
    ),
    section(
      'places',
      'Trays, hatchers and brooders',
      plates(placesChart(matter), broodersChart(matter)),
    ),
    section('birds', 'Birds', birdsOf(matter)),
    section('costs', 'Costs', costsPart(matter)),
    section('goals', 'Goals', goals(matter)),
    section('diagnosis', 'What the numbers say', diagnosisPart(matter.findings)),
    section(
      'turn',
      'The year’s turn',
      turnPart(matter.turn, String(season.values.season), season.values.units),
    ),
    section('unaccounted', 'Not accounted for', unaccounted(matter)),
    section('reading', 'How to read this', reading(matter)),
  ];
  return htmlPage({
    title: `${season.values.place.name}, season ${season.values.season}`,
    lead: `As the book stands on ${now.day}. Every rate is of pooled counts and shown with its count.`,
    sections: sections.filter((one) => one !== null),
    foot: `Written by traybook ${version} on ${now.day}. Nothing in this page is fetched from elsewhere.`,
  });
}

function section(id: string, title: string, body: Child): Section | null {
  return body === null ? null : { id, title, body };
}

function plates(...charts: (Chart | null)[]): Child {
  const drawn = charts.filter((chart) => chart !== null);
  return drawn.length === 0 ? null : element('div', { class: 'plates' }, drawn.map(figure));
}

/** A share with its interval, whose heading says that it is one: `86 % (84–88)`. */
const withInterval = (share: number, low: number, high: number): string =>
  `${percent(share)} (${Math.round(low * 100)}–${Math.round(high * 100)})`;

const interval = (rate: Rate): string =>
  rate.share === null || rate.low === null || rate.high === null
    ? 'too few to say'
    : withInterval(rate.share, rate.low, rate.high);

function glance({ season, summary, birds }: SeasonPage): Markup {
  const step = (stage: WayStage) => summary.way.find((one) => one.stage === stage);
  const item = (name: string, value: string | number, small: string): Markup =>
    element(
      'div',
      {},
      element('dt', {}, name),
      element('dd', {}, value, element('small', {}, ` ${small}`)),
    );
  const rate = (name: string, stage: WayStage, of: string): Markup | null => {
    const one = step(stage);
    return one === undefined || one.share === null
      ? null
      : item(name, percent(one.share), `${one.count} of ${one.of} ${of}`);
  };
  const { whereabouts } = summary;
  return element(
    'dl',
    { class: 'glance' },
    item('sets', season.sets.size, ''),
    item('eggs set', step('set')?.count ?? 0, ''),
    item('live chicks', step('hatched')?.count ?? 0, 'in finished sets'),
    rate('fertility, apparent', 'fertile', 'looked at'),
    rate('hatch of transferred', 'hatched', 'moved'),
    whereabouts.set === 0
      ? null
      : item(
          'hatch of set',
          percent((whereabouts.sound + whereabouts.weak) / whereabouts.set),
          `${whereabouts.sound + whereabouts.weak} of ${whereabouts.set} set`,
        ),
    item(
      'not accounted for',
      whereabouts.unaccounted,
      whereabouts.unaccounted === 1 ? 'egg' : 'eggs',
    ),
    birds.placed === 0 ? null : item('birds living', birds.living, `of ${birds.placed} placed`),
  );
}

const stageWords: Readonly<Record<WayStage, string>> = {
  laid: 'laid',
  kept: 'kept',
  set: 'set',
  fertile: 'fertile',
  moved: 'transferred',
  hatched: 'live chicks',
  sound: 'sound',
};

function wayChart({ summary }: SeasonPage): Chart | null {
  const steps = summary.way.filter((step) => step.count > 0);
  if (steps.length < 2) return null;
  const last = steps.at(-1);
  return {
    id: 'chart-way',
    title: 'The egg’s way',
    says: `Of ${steps[0]?.count} eggs ${stageWords[steps[0]?.stage ?? 'laid']}, the book follows ${last?.count} to ${stageWords[last?.stage ?? 'sound']}. Sets still in the machine are in the upper bars and not yet in the lower ones; each share in the table is of its own base.`,
    picture: wayPicture(
      steps.map((step) => ({
        label: stageWords[step.stage],
        count: step.count,
        lost: step.share === null ? '' : `${percent(step.share)} ${step.base.split(/[,;]/)[0]}`,
      })),
    ),
    table: {
      columns: [
        { heading: 'stage' },
        { heading: 'count' },
        { heading: 'of' },
        { heading: 'share (95 % interval)' },
        { heading: 'divided by' },
      ],
      rows: steps.map((step) => [
        stageWords[step.stage],
        step.count,
        step.of,
        step.share === null ? null : interval(step),
        step.base,
      ]),
    },
  };
}

function hatchChart({ summary }: SeasonPage): Chart | null {
  const done = summary.sets.filter((set) => set.hatch_of_set.share !== null);
  if (done.length === 0) return null;
  const eggs = done.reduce((sum, set) => sum + (set.hatch_of_set.of ?? 0), 0);
  const chicks = done.reduce((sum, set) => sum + set.hatch_of_set.count, 0);
  const rows: Interval[] = done.map(({ set, hatch_of_set: rate }) => ({
    label: set,
    value: rate.share,
    low: rate.low,
    high: rate.high,
    note: `${rate.count} of ${rate.of}`,
  }));
  const best = [...done].sort((a, b) => (b.hatch_of_set.share ?? 0) - (a.hatch_of_set.share ?? 0));
  return {
    id: 'chart-hatch',
    title: 'Hatch of set, each set in order',
    says: `${chicks} chicks of ${eggs} eggs in ${done.length} finished sets, ${percent(chicks / eggs)} (dotted). Highest ${best[0]?.set}, lowest ${best.at(-1)?.set}; bars are 95 % intervals, and sets whose bars overlap much may differ by chance alone.`,
    picture: intervalPicture(rows, chicks / eggs),
    table: {
      columns: [
        { heading: 'set' },
        { heading: 'set on' },
        { heading: 'pens' },
        { heading: 'eggs' },
        { heading: 'chicks' },
        { heading: 'hatch of set (95 % interval)' },
      ],
      rows: done.map((set) => [
        set.set,
        set.on,
        set.pens.join(', '),
        set.eggs,
        set.hatched,
        interval(set.hatch_of_set),
      ]),
    },
  };
}

const allShares = (season: Season): Share[] =>
  [...season.sets.values()].flatMap((set) => set.shares);

function fertilityChart(season: Season): Chart | null {
  const looked = allShares(season).filter((share) => looksOf(share) !== null);
  if (looked.length === 0) return null;
  const first = looked.map((share) => share.on.day).reduce(earlier);
  const week = (share: Share): number => Math.floor(daysBetween(first, share.on.day) / WEEK);
  const rows: Cell[][] = [];
  const pens = [...new Set(looked.map((share) => share.pen.name))];
  // Pens of one week stand beside one another, so that their intervals do not cover each other.
  const beside = (pen: string): number =>
    pens.length < 2 ? 0 : PEN_ROOM * (pens.indexOf(pen) / (pens.length - 1) - 0.5);
  const series = [...season.pens.keys()]
    .map((pen): Series => {
      const weeks = new Map<number, { fertile: number; eggs: number }>();
      for (const share of looked.filter((one) => one.pen.name === pen)) {
        const looks = looksOf(share)!;
        const sum = weeks.get(week(share)) ?? { fertile: 0, eggs: 0 };
        weeks.set(week(share), {
          fertile: sum.fertile + looks.apparent,
          eggs: sum.eggs + looks.eggs,
        });
      }
      return {
        label: pen,
        points: [...weeks]
          .sort(([a], [b]) => a - b)
          .map(([at, { fertile, eggs }]) => {
            const [low, high] = wilson(fertile, eggs);
            rows.push([pen, at + 1, eggs, fertile, withInterval(fertile / eggs, low, high)]);
            return { x: at + 1 + beside(pen), y: fertile / eggs, low, high };
          }),
      };
    })
    .filter((one) => one.points.length > 0);
  const last = Math.max(...looked.map(week)) + 1;
  return {
    id: 'chart-fertility',
    title: 'Fertility by pen over the weeks, apparent',
    says: `Eggs not clear, of eggs set and looked at, by week of setting from ${first}. Apparent: an egg that died in its first days looks clear.`,
    picture: plotPicture({
      series,
      x: { domain: [0.5, Math.max(2, last) + 0.5], label: `week of setting, 1 begins ${first}` },
      y: { domain: [0, 1], label: 'apparent fertility' },
      yPrint: percent,
      xMarks: Array.from({ length: last }, (_, index) => ({
        at: index + 1,
        label: String(index + 1),
      })),
      join: 'straight',
    }),
    table: { columns: columns('pen', 'week', 'eggs', 'not clear', 'share (95 % interval)'), rows },
  };
}

const columns = (...headings: string[]): TableColumn[] => headings.map((heading) => ({ heading }));

function storageChart(season: Season): Chart | null {
  const done = allShares(season).filter(
    (share) => share.stage === 'finished' && share.drawn.length > 0,
  );
  if (done.length === 0) return null;
  const ages = new Map<number, { hatched: number; eggs: number }>();
  for (const share of done) {
    const drawn = share.drawn.reduce((sum, lot) => sum + lot.eggs, 0);
    const age = Math.round(share.drawn.reduce((sum, lot) => sum + lot.age * lot.eggs, 0) / drawn);
    const sum = ages.get(age) ?? { hatched: 0, eggs: 0 };
    ages.set(age, {
      hatched: sum.hatched + (share.tally.hatched ?? 0),
      eggs: sum.eggs + share.eggs,
    });
  }
  const points = [...ages]
    .sort(([a], [b]) => a - b)
    .map(([age, { hatched, eggs }]) => {
      const [low, high] = wilson(Math.min(hatched, eggs), eggs);
      return { x: age, y: hatched / eggs, low, high, hatched, eggs };
    });
  const most = Math.max(1, ...points.map((point) => point.x));
  return {
    id: 'chart-storage',
    title: 'Age at setting and hatch of set',
    says: `Shares pooled by the mean age of their eggs in days; ${points.length < 3 ? 'too few ages to show a trend' : 'a trend is real only if it is larger than the intervals'}.`,
    picture: plotPicture({
      series: [{ label: 'hatch of set', points }],
      x: { domain: [0, most + 1], label: 'mean age at setting (days)' },
      y: { domain: [0, 1], label: 'hatch of set' },
      yPrint: percent,
      xMarks: Array.from({ length: most + 1 }, (_, index) => ({ at: index, label: String(index) })),
      join: 'none',
    }),
    table: {
      columns: columns('mean age (days)', 'eggs', 'chicks', 'hatch of set (95 % interval)'),
      rows: points.map((point) => [
        point.x,
        point.eggs,
        point.hatched,
        withInterval(point.y, point.low, point.high),
      ]),
    },
  };
}

function timeChart(season: Season): Chart | null {
  const rows: Cell[][] = [];
  const spans = [...season.sets.values()].flatMap((set, index): Series[] => {
    const taken = set.shares
      .flatMap((share) => share.openings)
      .filter((row) => row.values.hatched > 0)
      .map((row) => ({ day: daysBetween(set.on.day, row.on.day), chicks: row.values.hatched }));
    if (taken.length === 0) return [];
    const byDay = new Map<number, number>();
    for (const one of taken) byDay.set(one.day, (byDay.get(one.day) ?? 0) + one.chicks);
    return [
      {
        label: set.name,
        points: [...byDay].map(([day, chicks]) => {
          rows.push([set.name, day, set.species.hatch_day.value, chicks]);
          return { x: index + 1, y: day - set.species.hatch_day.value };
        }),
      },
    ];
  });
  if (spans.length === 0) return null;
  const points = spans.flatMap((one) => one.points);
  const names = [...season.sets.keys()];
  const low = Math.min(-2, ...points.map((point) => point.y));
  const high = Math.max(2, ...points.map((point) => point.y));
  return {
    id: 'chart-time',
    title: 'When chicks were taken off',
    says: 'Each dot is a day on which chicks of a set were taken off, against the hatch day of its kind. Chicks had hatched some hours before: the dots say when you looked, not when they broke the shell.',
    picture: plotPicture({
      series: [{ label: 'opening', points }],
      x: { domain: [0.5, names.length + 0.5], label: 'set' },
      y: { domain: [low, high], label: 'days against the hatch day' },
      yPrint: (value) => (Number.isInteger(value) ? (value > 0 ? `+${value}` : String(value)) : ''),
      xMarks: names.map((label, index) => ({ at: index + 1, label })),
      join: 'none',
    }),
    table: { columns: columns('set', 'day taken off', 'hatch day', 'chicks'), rows },
  };
}

function placesChart({ season, occupancy, now }: SeasonPage): Chart | null {
  const spans = [...occupancy.trays, ...occupancy.hatchers];
  if (spans.length === 0) return null;
  const from = spans.map((span) => span.from).reduce(earlier);
  const to = spans.map((span) => span.to).reduce(later);
  const trays = [...season.setters.values()].flatMap((setter) =>
    Array.from({ length: setter.trays }, (_, index) => ({
      label: `${setter.name} ${index + 1}`,
      stays: occupancy.trays.filter((one) => one.setter === setter.name && one.tray === index + 1),
    })),
  );
  const hatchers = [...season.hatchers.keys()].map((name) => ({
    label: name,
    stays: occupancy.hatchers.filter((one) => one.hatcher === name),
  }));
  const rows: Cell[][] = [];
  const places = [...trays, ...hatchers].map(({ label, stays }) => ({
    label,
    stays: stays.map((stay: { set: string; from: Day; to: Day; state: string; eggs: number }) => {
      rows.push([label, stay.set, stay.from, stay.to, stay.eggs, stay.state]);
      return { label: stay.set, from: stay.from, to: stay.to, planned: stay.state === 'planned' };
    }),
  }));
  return {
    id: 'chart-places',
    title: `Who was where, ${monthMarks(from, to).length > 0 ? `${from} to ${to}` : ''}`,
    says: `Filled is what the records say, pale is what is planned or still due on ${now.day}. The end of a stay is the day the place was free again.`,
    picture: staysPicture(places, from, to),
    table: {
      columns: columns('place', 'set', 'from (day)', 'free on (day)', 'eggs', 'state'),
      rows,
    },
  };
}

/** Groups in brooders over the season, one beside the other where a brooder holds several. */
function broodersChart({ season, brooders, now }: SeasonPage): Chart | null {
  if (brooders.length === 0) return null;
  const from = brooders.map((span) => span.from).reduce(earlier);
  const to = brooders.map((span) => span.to).reduce(later);
  const places = [...season.brooders.keys()]
    .map((label) => ({ label, spans: brooders.filter((span) => span.brooder === label) }))
    .filter(({ spans }) => spans.length > 0);
  const unused = [...season.brooders.keys()].filter(
    (name) => !brooders.some((span) => span.brooder === name),
  );
  const most = places
    .map(({ label, spans }) => ({ label, together: lanes(spans).length }))
    .reduce((a, b) => (b.together > a.together ? b : a));
  return {
    id: 'chart-brooders',
    title: `Brooders, ${from} to ${to}`,
    says: `A bar a group, from the day it came to the day it left; groups that share a brooder lie below one another, at most ${most.together} in ${most.label}. Filled is what the records say up to ${now.day}, pale is how long they are expected to stay by the nights and their feathers.${unused.length === 0 ? '' : ` Not used so far: ${unused.join(', ')}.`}`,
    picture: staysPicture(
      places.map(({ label, spans }) => ({
        label,
        stays: spans.map((span) => ({
          // A stay that goes on as expected is named once.
          label: spans.some((other) => other.group === span.group && other.to === span.from)
            ? ''
            : span.group,
          from: span.from,
          to: span.to,
          planned: span.state === 'planned',
        })),
      })),
      from,
      to,
    ),
    table: {
      columns: columns(
        'brooder',
        'group',
        'from (day)',
        'out on (day)',
        'birds on the first day',
        'state',
      ),
      rows: places.flatMap(({ label, spans }) =>
        spans.map((span): Cell[] => [
          label,
          span.group,
          span.from,
          span.to,
          span.birds,
          span.state,
        ]),
      ),
    },
  };
}

function birdsOf({ season, birds, now }: SeasonPage): Child {
  if (birds.groups.length === 0) return null;
  const days = birds.over.map((one) => one.day);
  const peak = birds.over
    .map((one) => ({ day: one.day, all: one.living.reduce((sum, each) => sum + each, 0) }))
    .reduce((most, one) => (one.all > most.all ? one : most));
  const balance = birdTable(birds);
  return [
    element('p', {}, birdsAnswer(birds)),
    tableFigures(balance, season.values.units, 'birds: placed = living + lost + left'),
    days.length < 2
      ? null
      : element(
          'div',
          { class: 'plates wide' },
          figure({
            id: 'chart-birds',
            title: 'Birds living, by group over time',
            says: `A band a group, the first lowest, by the book week by week to ${now.day}. Most were alive about ${peak.day}: ${peak.all}. A band narrows when birds die or leave; one too thin for its name is in the table.`,
            picture: stackPicture(
              days,
              birds.groups.map((group, index) => ({
                label: group.group,
                birds: birds.over.map((one) => one.living[index]!),
              })),
            ),
            table: livingTable(birds),
          }),
        ),
  ];
}

function costsPart({ costs, season }: SeasonPage): Child {
  if (costs.items.every((item) => (item.quantity ?? 0) === 0 && !item.amount)) return null;
  return [
    tableFigures(eachTable(costs, season.values.units), season.values.units, 'cost of one'),
    costParts(costs, season.values.units).map(({ heading, table }) =>
      table === undefined ? null : tableFigures(table, season.values.units, heading ?? ''),
    ),
    costs.missing.length === 0
      ? null
      : element('p', {}, `Missing, so left out of the sums: ${costs.missing.join('; ')}.`),
  ];
}

/** Met or not where the count can say it; while birds grow, the forecast answers. */
function standingOf(goal: Summary['goals'][number], birds: BirdSummary, day: Day): string {
  const have = countSoFar(goal, birds);
  if (goal.by < day) return have >= goal.count ? 'met' : `not met: ${goal.count - have} short`;
  if (goal.want !== 'chicks') return 'see forecast';
  return have >= goal.count ? 'met' : 'not met so far';
}

function goals({ summary, birds, now }: SeasonPage): Child {
  if (summary.goals.length === 0) return null;
  return figures(
    {
      columns: columns('line', 'wanted', 'by (day)', 'so far', 'standing'),
      rows: summary.goals.map((goal) => [
        goal.line,
        `${goal.count} ${goal.want}${goal.at === null ? '' : ` at ${goal.at}`}`,
        goal.by,
        soFar(goal, birds),
        standingOf(goal, birds, now.day),
      ]),
    },
    'goals',
  );
}

function unaccounted({ summary }: SeasonPage): Child {
  if (summary.unaccounted.length === 0)
    return element('p', {}, 'Every egg set in a finished share is accounted for.');
  return figures(
    {
      columns: columns('set', 'pen', 'eggs', 'found missing at'),
      rows: summary.unaccounted.map((one) => [one.set, one.pen, one.eggs, one.at]),
    },
    'not accounted for',
  );
}

/** Cautions that this season's records call for, each once. */
function cautionsOf({ season, birds, costs }: SeasonPage): CautionKey[] {
  const keys: CautionKey[] = ['hygiene'];
  if (birds.placed > 0) keys.push('heat-lamp', 'disease');
  if (costs.perKg.over > 0) keys.push('slaughter');
  if (costs.income.length > 0) keys.push('sale');
  if (season.rows.treatment.length > 0) keys.push('withdrawal');
  return keys;
}

function reading(matter: SeasonPage): Child {
  return [
    element(
      'p',
      {},
      'A rate of few eggs is uncertain: its interval (95 %, Wilson’s method, 1927) says how much. Rates are of pooled counts, never means of percentages.',
    ),
    element(
      'p',
      {},
      'Fertility from candling is apparent. Hatch of set, of fertile and of transferred are three different numbers; the headings say which.',
    ),
    ...cautionLines(cautionsOf(matter)).map((caution) =>
      element('p', { class: 'caution' }, caution),
    ),
    element(
      'p',
      { class: 'caution' },
      'Heat, disinfectants, medicines and slaughter: follow the label, your local rules and a vet.',
    ),
  ];
}
