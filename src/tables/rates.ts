/** The rates of a farm, line by line: expected, counted, and what follows. */

import { penStages, type Stage, seedSpread, stages, storageSeeds } from '../facts/stages.ts';
import type { FarmRate, FarmRates, RateTally } from '../judge/rates/rates.ts';
import type { StorageScale } from '../judge/rates/storage.ts';
import { seenWords } from '../season/figure.ts';
import type { Line, Pen, Season } from '../season/model.ts';
import { largest, smallest } from '../text/lists.ts';
import { type Column, jsonRows, type Schema, tableOf } from './columns.ts';
import { count, counted, fixed, percent, range } from './numbers.ts';
import { maybe, number, object, share, text } from './schema.ts';
import type { Screen, ScreenPart } from './terminal.ts';
import { heads, stageNames } from './words.ts';

export interface RateRow {
  line: Line;
  stage: Stage;
  /** The pen, for what is the pen's own; else the whole line. */
  pen: string | null;
  rate: FarmRate;
  /** Where the prior stands. */
  from: string;
}

export interface LineRates {
  line: Line;
  pens: readonly Pen[];
  rows: readonly RateRow[];
  storage: StorageScale;
  /** Where the table's points of storage loss come from. */
  storageSource: string;
}

/** What is known of the rates of every line that has a pen, in the order of season.yaml. */
export function ratesOfLines(season: Season, rates: FarmRates): LineRates[] {
  return [...season.lines.values()].flatMap((line) => {
    const pens = [...season.pens.values()].filter((pen) => pen.line === line);
    if (pens.length === 0) return [];
    const from = (stage: Stage): string => {
      if (season.values.rates[line.name]?.[stage] === undefined)
        return `seeds/rates.yaml: species, ${line.speciesName}, ${stage}`;
      const { file, line: at } = season.file.placeOf(['rates', line.name, stage]);
      return `${file}:${at}`;
    };
    const rows = stages.flatMap((stage): RateRow[] =>
      (penStages.includes(stage) ? pens : pens.slice(0, 1)).map((pen) => ({
        line,
        stage,
        pen: penStages.includes(stage) ? pen.name : null,
        rate: rates.rate(stage, pen),
        from: from(stage),
      })),
    );
    return [
      {
        line,
        pens,
        rows,
        storage: rates.storage(line.speciesName),
        storageSource: line.species.storage_penalty.source,
      },
    ];
  });
}

/** What each stage is a part of. */
const partOf: Readonly<Record<Stage, string>> = {
  lay: stageNames.lay,
  kept: 'laid',
  fertile: 'set',
  candled: 'fertile',
  transferred: 'those',
  hatched: 'moved',
  sound: 'hatched',
  reared: 'sound',
  female: 'reared',
};

const ofCounts = ({ x, n }: RateTally): string | null =>
  n > 0 ? `${count(x)} of ${count(n)}` : null;
const interval = { mean: number, low: number, high: number };
const intervalOf = ({ mean, low, high }: { mean: number; low: number; high: number }) => ({
  mean,
  low,
  high,
});
const tally = object({ x: number, n: number, sets: number });

const data = <Row>(
  key: string,
  doc: string,
  schema: Schema,
  of: (row: Row) => unknown,
): Column<Row> => ({ key, heading: key, kind: 'data', doc, schema, of });

/** Rates of every stage; what other programs get is in full. */
export const rateColumns: readonly Column<RateRow>[] = [
  { ...heads.line, show: 'data', of: ({ line }) => line.name },
  { ...heads.species, show: 'data', of: ({ line }) => line.speciesName },
  { ...heads.stage, show: 'people', of: ({ stage }) => stageNames[stage] },
  { ...heads.pen, show: 'filled' },
  data('stage', 'stage of the chain, by its code', text, ({ stage }) => stage),
  data('of', 'what it is a part of', text, ({ stage }) => partOf[stage]),
  {
    key: 'expected',
    heading: 'expected before',
    kind: 'percent',
    show: 'people',
    priority: 1,
    doc: 'what was expected before any count',
    of: ({ rate }) => rate.prior.mean,
  },
  data(
    'prior',
    'what was expected before any count, and how many counts it weighs',
    object({ mean: share, strength: maybe(number), source: text, seen: text, from: text }),
    ({ rate: { prior }, from }) => ({
      mean: prior.mean,
      strength: prior.strength,
      source: prior.source,
      seen: prior.seen,
      from,
    }),
  ),
  {
    ...heads.earlierSeasons,
    show: 'people',
    priority: 2,
    of: ({ rate }) => ofCounts(rate.earlier),
  },
  { ...heads.thisSeason, show: 'people', priority: 2, of: ({ rate }) => ofCounts(rate.own) },
  data('this_season', 'counts of this season', tally, ({ rate }) => rate.own),
  data('other_pens', 'counts of the other pens', tally, ({ rate }) => rate.others),
  data('earlier', 'counts of earlier seasons', tally, ({ rate }) => rate.earlier),
  {
    key: 'mean',
    heading: 'expected now',
    kind: 'percent',
    doc: 'what is expected with all counts',
    of: ({ rate }) => rate.mean,
  },
  { ...heads.range95, kind: 'percentRange', show: 'people', of: ({ rate }) => rate },
  { ...heads.low, kind: 'percent', of: ({ rate }) => rate.low },
  { ...heads.high, kind: 'percent', of: ({ rate }) => rate.high },
  data(
    'spread',
    'correlation of the eggs of a set',
    object({ prior: share, ...interval }),
    ({ stage, rate }) => ({ prior: seedSpread(stage).within, ...intervalOf(rate.spread) }),
  ),
];

const spreadColumns: readonly Column<RateRow>[] = [
  { ...heads.stage, of: ({ stage }) => stageNames[stage] },
  {
    key: 'strength',
    heading: 'beforehand weighs',
    kind: 'count',
    unit: 'eggs, birds',
    doc: 'counts that what was expected beforehand weighs as much as',
    of: ({ rate }) => rate.prior.strength,
  },
  {
    key: 'scatter_prior',
    heading: 'scatter expected',
    kind: 'number',
    digits: 3,
    doc: 'correlation of the eggs of a set that was expected',
    of: ({ stage }) => seedSpread(stage).within,
  },
  {
    key: 'scatter',
    heading: 'scatter now',
    kind: 'number',
    digits: 3,
    doc: 'correlation of the eggs of a set, with all counts',
    of: ({ rate }) => rate.spread.mean,
  },
  { ...heads.range95, kind: 'range', digits: 3, of: ({ rate }) => rate.spread },
];

function oneAStage(rows: readonly RateRow[]): RateRow[] {
  return rows.filter((row, i) => rows.findIndex((other) => other.stage === row.stage) === i);
}

/** What a hundred eggs may come to, by pen, from the mean of each stage. */
function answerOf({ line, rows, pens }: LineRates): string {
  const through = (to: Stage, pen: Pen): number =>
    stages
      .slice(stages.indexOf('fertile'), stages.indexOf(to) + 1)
      .map(
        (stage) => rows.find((row) => row.stage === stage && [null, pen.name].includes(row.pen))!,
      )
      .reduce((left, { rate }) => left * rate.mean, 100);
  const parts = (to: Stage): string => {
    const each = pens.map((pen) => through(to, pen));
    return range(smallest(each), largest(each));
  };
  return `${line.name} (${line.speciesName}): of 100 eggs set, fresh, expect ${parts('sound')} sound chicks${pens.length > 1 ? ', by pen' : ''}; ${parts('reared')} are reared.`;
}

function sourcesPart({ line, rows, storageSource }: LineRates): ScreenPart {
  return {
    heading: `What was expected of ${line.name} beforehand`,
    lines: [
      ...oneAStage(rows).map(({ stage, rate: { prior }, from }) => {
        const seen = seenWords(prior.seen as Parameters<typeof seenWords>[0]);
        const marks = seen === '' || prior.source.includes(prior.seen) ? '' : ` (${seen})`;
        const said = prior.seen === 'keeper' ? 'your own' : `${prior.source}${marks}`;
        return { name: stageNames[stage], text: `${said} [${from}]` };
      }),
      { name: 'storage', text: `${storageSource} [seeds/species.yaml: storage_penalty]` },
    ],
  };
}

function storageText({ eggs, mean, low, high }: StorageScale): string {
  const own =
    eggs.stored === 0
      ? 'No finished set of yours held eggs so long, so the table stands.'
      : `Your ${counted(eggs.sets, 'finished share')}, with ${eggs.stored} of ${counted(eggs.all, 'egg')} stored so long, make it ${fixed(mean, 1)} times that (95 % range ${range(low, high, 1)}).`;
  return `Storage: each day past the free ones takes points off a hatch of ${percent(storageSeeds.usual_hatch.value)}, as the table says. ${own}`;
}

/** What is expected of the eggs, as a screen. */
export function ratesScreen(
  lines: readonly LineRates[],
  previous: { readonly named: number; readonly read: readonly string[] },
  title: string,
  sources: boolean,
): Screen {
  const earlier =
    previous.read.length > 0
      ? `Earlier seasons: counts of every pen of the kind in ${previous.read.join(', ')}.`
      : `No earlier season ${previous.named === 0 ? 'is named under previous: in season.yaml' : 'named under previous: in season.yaml can be read'}.`;
  return {
    title,
    answer: lines.map(answerOf),
    parts: [
      ...lines.map((one) => ({
        heading: `What to expect next of ${one.line.name} (${one.line.speciesName})`,
        table: tableOf(rateColumns, one.rows),
        reasons: [storageText(one.storage)],
      })),
      ...lines.map((one) => ({
        heading: `How sets of ${one.line.name} scatter`,
        table: tableOf(spreadColumns, oneAStage(one.rows)),
        reasons: ['Scatter is the correlation of eggs within a set; 0 is chance alone.'],
        show: 'full' as const,
      })),
      ...(sources ? lines.map(sourcesPart) : []),
    ],
    notes: [
      earlier,
      'Fertile: not clear at candling. Where clears of the pen were opened, those that had died early count as fertile, and the clears left shut as those opened.',
      'Pens of a kind borrow from each other: the fewer its own counts, the more. What eggs did, each pen by its own counts: traybook review.',
      !sources && 'What was expected beforehand, and where it is from: --sources.',
    ],
  };
}

/** The same for other programs. */
export function ratesJson(lines: readonly LineRates[]): object {
  return {
    rates: lines.flatMap(({ rows }) => jsonRows(tableOf(rateColumns, rows))),
    storage: lines.map(({ line, storage, storageSource }) => ({
      line: line.name,
      times_table: intervalOf(storage),
      eggs: storage.eggs,
      table: line.species.storage_penalty.value,
      source: storageSource,
    })),
  };
}
