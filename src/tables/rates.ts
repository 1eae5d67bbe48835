/** The rates of a farm, line by line: expected, counted, and what follows. */

import {
  penStages,
  type Stage,
  seedSpread,
  stages,
  stageWords,
  storageSeeds,
} from '../facts/stages.ts';
import type { FarmRate, FarmRates, RateTally } from '../judge/rates/rates.ts';
import type { StorageScale } from '../judge/rates/storage.ts';
import { seenWords } from '../season/figure.ts';
import type { Line, Pen, Season } from '../season/model.ts';
import type { Table } from './table.ts';
import { hanging, wrapped } from './wrap.ts';

export interface RateRow {
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

const percent = (share: number, digits = 0) => (100 * share).toFixed(digits);
const range = (low: number, high: number) => `${percent(low)} to ${percent(high)}`;
const countsOf = ({ x, n }: RateTally) => (n > 0 ? `${x} of ${n}` : null);

function ratesTable({ rows, pens }: LineRates): Table {
  return {
    columns: [
      { heading: 'share that is' },
      { heading: 'prior (%)', align: 'right' },
      { heading: 'earlier', align: 'right' },
      { heading: 'this season', align: 'right' },
      { heading: 'now (%)', align: 'right' },
      { heading: '95 % range', align: 'right' },
    ],
    rows: rows.map(({ stage, pen, rate }) => {
      const name = stage === 'fertile' ? 'fertile' : stageWords[stage].name;
      return [
        pen === null || pens.length === 1 ? name : `${name}, ${pen}`,
        percent(rate.prior.mean),
        countsOf(rate.earlier),
        countsOf(rate.own),
        percent(rate.mean),
        range(rate.low, rate.high),
      ];
    }),
  };
}

function spreadTable({ rows }: LineRates): Table {
  return {
    columns: [
      { heading: 'share' },
      { heading: 'prior weighs', align: 'right' },
      { heading: 'scatter prior', align: 'right' },
      { heading: 'now', align: 'right' },
      { heading: '95 % range', align: 'right' },
    ],
    rows: oneAStage(rows).map(({ stage, rate }) => [
      stage === 'fertile' ? 'fertile' : stageWords[stage].name,
      rate.prior.strength,
      seedSpread(stage).within.toFixed(3),
      rate.spread.mean.toFixed(3),
      `${rate.spread.low.toFixed(3)} to ${rate.spread.high.toFixed(3)}`,
    ]),
  };
}

function oneAStage(rows: readonly RateRow[]): RateRow[] {
  return rows.filter((row, i) => rows.findIndex((other) => other.stage === row.stage) === i);
}

function sourcesText({ rows }: LineRates, width: number): string {
  return oneAStage(rows)
    .map(({ stage, rate, from }) => {
      const seen = seenWords(rate.prior.seen as Parameters<typeof seenWords>[0]);
      const marks = seen === '' || rate.prior.source.includes(rate.prior.seen) ? '' : ` (${seen})`;
      const said = rate.prior.seen === 'keeper' ? 'your own' : `${rate.prior.source}${marks}`;
      return hanging(`  ${stage}: `, `${said} [${from}]`, width);
    })
    .join('\n');
}

function storageText({ storage, storageSource }: LineRates, width: number): string {
  const { eggs, mean, low, high } = storage;
  const own =
    eggs.stored === 0
      ? 'No finished set of yours held eggs past the free days, so the table stands.'
      : `Your ${eggs.sets} finished shares, ${eggs.stored} of ${eggs.all} eggs past the free days, make it ${mean.toFixed(1)} times the table (95 %: ${low.toFixed(1)} to ${high.toFixed(1)}).`;
  return wrapped(
    `Storage: the table's points of hatch lost a day [seeds/species.yaml: storage_penalty; ${storageSource}], taken of a hatch of ${percent(storageSeeds.usual_hatch.value)} %. ${own}`,
    width,
  );
}

/** The screen: a section a line. `draw` makes text of a table. */
export function ratesText(
  lines: readonly LineRates[],
  previous: { readonly named: number; readonly read: readonly string[] },
  draw: (table: Table) => string,
  width: number,
  sources: boolean,
): string {
  const parts = lines.flatMap((one) => [
    `${one.line.name.toUpperCase()} (${one.line.speciesName})\n${draw(ratesTable(one))}`,
    `${wrapped('How much the prior weighs (eggs or birds), and how sets scatter (correlation of eggs within a set; 0 is chance alone)', width)}\n${draw(spreadTable(one))}`,
    storageText(one, width),
    ...(sources ? [`Priors\n${sourcesText(one, width)}`] : []),
  ]);
  const earlier =
    previous.read.length > 0
      ? `Earlier: counts of every pen of the species in ${previous.read.join(', ')}.`
      : previous.named === 0
        ? 'No earlier season is named under previous: in season.yaml.'
        : 'No earlier season named under previous: in season.yaml can be read.';
  const notes = [
    earlier,
    'Pens of a species borrow from each other: the fewer its own counts, the more.',
    ...(sources ? [] : ['Where each prior comes from: traybook rates --sources']),
  ];
  return `${parts.map((part) => part.trimEnd()).join('\n\n')}\n\n${notes
    .map((note) => wrapped(note, width).trimEnd())
    .join('\n')}\n`;
}

export function ratesJson(lines: readonly LineRates[]): object {
  const interval = ({ mean, low, high }: { mean: number; low: number; high: number }) => ({
    mean,
    low,
    high,
  });
  return {
    rates: lines.flatMap(({ line, rows }) =>
      rows.map(({ stage, pen, rate, from }) => ({
        line: line.name,
        species: line.speciesName,
        pen,
        stage,
        of: stageWords[stage].of.replace(/^of /, ''),
        prior: {
          mean: rate.prior.mean,
          strength: rate.prior.strength,
          source: rate.prior.source,
          seen: rate.prior.seen,
          from,
        },
        this_season: rate.own,
        other_pens: rate.others,
        earlier: rate.earlier,
        ...interval(rate),
        spread: { prior: seedSpread(stage).within, ...interval(rate.spread) },
      })),
    ),
    storage: lines.map(({ line, storage, storageSource }) => ({
      line: line.name,
      times_table: interval(storage),
      eggs: storage.eggs,
      table: line.species.storage_penalty.value,
      source: storageSource,
    })),
  };
}
