import { looksOf } from '../facts/looks.ts';
import { totalKnown } from '../facts/tally.ts';
import { rateNames } from '../judge/rate-names.ts';
import { outcomesOf } from '../judge/review/outcome.ts';
import type { LogColumn } from '../records/column.ts';
import { kindOf, recordNames } from '../records/index.ts';
import type { Row } from '../records/record.ts';
import type { Season, Share } from '../season/model.ts';
import { type AnyTable, jsonRows, tableOf, type WholeColumn } from './columns.ts';
import { csvTable } from './csv.ts';
import { anything } from './schema.ts';

export type FieldType = 'integer' | 'number' | 'string' | 'date' | 'time' | 'datetime' | 'boolean';
export type Value = string | number | boolean | null;

type FieldAbout = { readonly unit?: string | null; readonly required?: boolean };

/** One column of an exported table, with its type as Table Schema has it; `unit` is our addition. */
export type Field<Row> = WholeColumn<Row> & {
  readonly type: FieldType;
  readonly required: boolean;
};

export type ForeignKey = {
  readonly fields: readonly string[];
  readonly resource: string;
  readonly to: readonly string[];
};

export type Resource = {
  readonly name: string;
  readonly description: string;
  // The rows of a table are its own business: a writer only hands them to the fields.
  // biome-ignore lint/suspicious/noExplicitAny: an existential type, which TypeScript does not have
  readonly fields: readonly Field<any>[];
  readonly primaryKey: readonly string[];
  readonly foreignKeys: readonly ForeignKey[];
  readonly rows: readonly unknown[];
};

const field = <Row>(
  key: string,
  type: FieldType,
  doc: string,
  of: (row: Row) => Value,
  { unit = null, required = false }: FieldAbout = {},
): Field<Row> => {
  const about = { key, heading: key, kind: 'data', schema: anything, type, doc, required } as const;
  return { ...about, ...(unit === null ? {} : { unit }), of };
};
const eggs = { unit: 'eggs' };
const chicks = { unit: 'chicks' };
const birds = { unit: 'birds' };
const known = { required: true };

const keyTo = (resource: string, ...fields: string[]): ForeignKey => ({
  fields: ['season', ...fields],
  resource,
  to: ['season', ...fields],
});

/**
 * The season as tidy tables: stock, shares with their sums and their rates as counts, and every
 * log's rows that stand.
 */
export function resourcesOf(season: Season): Resource[] {
  const name = String(season.values.season);
  /** Every table begins with the season, so that those of several years stack into one. */
  const resource = <Row>(
    table: string,
    description: string,
    key: readonly string[],
    foreignKeys: readonly ForeignKey[],
    rows: readonly Row[],
    fields: readonly Field<Row>[],
  ): Resource => ({
    name: table,
    description,
    fields: [field<Row>('season', 'string', 'name of the season', () => name, known), ...fields],
    primaryKey: ['season', ...key],
    foreignKeys,
    rows,
  });
  return [
    resource(
      'season',
      'the season and the units its figures are in',
      [],
      [],
      [season.values],
      [
        field('place', 'string', 'name of the place', ({ place }) => place.name),
        field(
          'timezone',
          'string',
          'time zone of every day and minute',
          (one) => one.place.timezone,
        ),
        field('altitude_m', 'number', 'height above the sea', (one) => one.place.altitude_m, {
          unit: 'm',
        }),
        field(
          'temperature_unit',
          'string',
          'unit of dry, wet, low and high',
          ({ units }) => units.temperature,
        ),
        field('currency', 'string', 'unit of money', ({ units }) => units.currency),
      ],
    ),
    resource(
      'lines',
      'breeds or strains kept as one population each',
      ['line'],
      [keyTo('season')],
      [...season.lines.values()],
      [
        field('line', 'string', 'name of the line', (line) => line.name, known),
        field('species', 'string', 'species', (line) => line.speciesName, known),
        field('class', 'string', 'use, such as layer or dual-purpose', (line) => line.class),
        field('down', 'string', 'colour of the down', (line) => line.down),
        field('egg_g', 'number', 'usual mass of an egg', (line) => line.egg_g, { unit: 'g' }),
      ],
    ),
    resource(
      'pens',
      'mating groups',
      ['pen'],
      [keyTo('lines', 'line')],
      [...season.pens.values()],
      [
        field('pen', 'string', 'name of the pen', (pen) => pen.name, known),
        field('line', 'string', 'line it breeds', (pen) => pen.line.name, known),
        field('hens', 'integer', 'hens joined', (pen) => pen.hens, birds),
        field('males', 'integer', 'males joined', (pen) => pen.males, birds),
        field('joined', 'date', 'day the males were joined to the hens', (pen) => pen.joined),
        field('parted', 'date', 'day they were parted', (pen) => pen.parted),
      ],
    ),
    resource(
      'machines',
      'setters and hatchers',
      ['kind', 'machine'],
      [keyTo('season')],
      [...season.setters.values(), ...season.hatchers.values()],
      [
        field(
          'kind',
          'string',
          'setter or hatcher',
          (one) => ('trays' in one ? 'setter' : 'hatcher'),
          known,
        ),
        field('machine', 'string', 'name of the machine', (one) => one.name, known),
        field('trays', 'integer', 'trays of a setter', (one) =>
          'trays' in one ? one.trays : null,
        ),
      ],
    ),
    resource(
      'shares',
      'one row a share (the eggs of one pen in one set) with the sums of its records; an empty cell means not known, not zero',
      ['set', 'pen'],
      [keyTo('pens', 'pen')],
      [...season.sets.values()].flatMap((set) => set.shares),
      shareFields,
    ),
    resource(
      'rates',
      'one row a share and rate, as review counts it: add up x and n over any shares, then divide; a rate that is not known has no row. The share fit to set is of eggs laid, not of sets: kept and laid of the table eggs, where laid was written',
      ['set', 'pen', 'rate'],
      [keyTo('shares', 'set', 'pen')],
      outcomesOf(season).flatMap(({ set, pen, rates }) =>
        rateNames.flatMap((rate) => {
          const part = rates[rate];
          return part === null ? [] : [{ set, pen, rate, ...part }];
        }),
      ),
      [
        field('set', 'string', 'name of the set', (one) => one.set, known),
        field('pen', 'string', 'name of the pen', (one) => one.pen, known),
        field('rate', 'string', 'name of the rate', (one) => one.rate, known),
        field(
          'x',
          'number',
          'how many; part of an egg where a sample of opened eggs was scaled up',
          (one) => one.x,
          known,
        ),
        field('n', 'number', 'of how many', (one) => one.n, known),
        field(
          'sampled',
          'number',
          'variance that opening only a sample adds to x',
          (one) => one.sampled ?? 0,
          known,
        ),
      ],
    ),
    ...recordNames.map((record) => {
      const { file, summary, columns } = kindOf(record);
      const all = Object.entries(columns) as [string, LogColumn<unknown>][];
      const hasShare = all.some(([column, { refers }]) => column === 'set' && refers === 'set');
      const ofShare = hasShare && Object.hasOwn(columns, 'pen');
      return resource<Row>(
        file.replace(/\.csv$/, ''),
        summary,
        ['entry'],
        [
          ...(ofShare ? [keyTo('shares', 'set', 'pen')] : []),
          ...all
            .filter(
              ([column, { refers }]) =>
                (refers === 'pen' && !ofShare) || (refers === 'line' && column === 'line'),
            )
            .map(([column, { refers }]) => ({
              fields: ['season', column],
              resource: `${refers}s`,
              to: ['season', refers as string],
            })),
        ],
        season.rows[record],
        [
          field('entry', 'string', 'identity of the row', (row) => row.entry, known),
          field('recorded', 'datetime', 'instant of writing', (row) => row.recorded),
          field('on', 'date', 'local day it happened', (row) => row.on.day),
          field('at', 'time', 'local minute it happened, where written', ({ on }) =>
            on.time === null ? null : `${on.time}:00`,
          ),
          ...all.map(([column, { about, type, unit, required }]) =>
            field<Row>(column, type, about, (row) => cellOf(season, row, column, ofShare), {
              unit,
              required,
            }),
          ),
          field('by', 'string', 'who recorded it', (row) => row.by || null),
          field('note', 'string', 'note', (row) => row.note || null),
        ],
      );
    }),
  ];
}

const joined = (values: readonly (string | number)[]): string | null =>
  values.length === 0 ? null : [...new Set(values.map(String))].join('+');

/** Mean age of the eggs of a share at setting, days; null where no lots are recorded. */
function meanAge({ drawn }: Share): number | null {
  const eggs = drawn.reduce((sum, lot) => sum + lot.eggs, 0);
  return eggs === 0 ? null : drawn.reduce((sum, lot) => sum + lot.age * lot.eggs, 0) / eggs;
}

type TallyKey = 'clear' | 'quit' | 'cracked' | 'rotten' | 'weak' | 'dead' | 'pipped' | 'unpipped';

/** A count of a share's tally, null before its first look: of eggs at a candling or the transfer. */
const removed = (key: TallyKey, doc: string): Field<Share> =>
  field(
    key,
    'integer',
    doc,
    ({ tally, candlings, transfers }) =>
      candlings.length + transfers.length > 0 ? tally[key] : null,
    eggs,
  );
/** The same at the openings of the hatcher. */
const found = (key: TallyKey, doc: string, about: FieldAbout): Field<Share> =>
  field(
    key,
    'integer',
    doc,
    ({ tally, openings }) => (openings.length > 0 ? tally[key] : null),
    about,
  );

const shareFields: readonly Field<Share>[] = [
  field('set', 'string', 'name of the set', (share) => share.set, known),
  field('pen', 'string', 'name of the pen', ({ pen }) => pen.name, known),
  field('line', 'string', 'line of the pen', ({ pen }) => pen.line.name, known),
  field('species', 'string', 'species', ({ pen }) => pen.line.speciesName, known),
  field('on', 'date', 'day of setting', (share) => share.on.day),
  field('stage', 'string', 'in-setter, in-hatcher or finished', (share) => share.stage),
  field('eggs', 'integer', 'eggs set', (share) => share.eggs, eggs),
  field(
    'storage_days',
    'number',
    'mean age of the eggs at setting, where lots are recorded',
    meanAge,
    { unit: 'days' },
  ),
  field('setter', 'string', 'setter; several are parted by a plus sign', ({ trays }) =>
    joined(trays.map((one) => one.setter)),
  ),
  field('trays', 'string', 'tray numbers; several are parted by a plus sign', ({ trays }) =>
    joined(trays.flatMap((one) => (one.tray === null ? [] : [one.tray]))),
  ),
  field('hatcher', 'string', 'hatcher', (share) => share.hatcher),
  field(
    'candled',
    'boolean',
    'true if a candling was recorded, or clear or quit eggs sorted out at transfer',
    (share) => looksOf(share) !== null,
  ),
  removed('clear', 'taken out as clear, candlings and transfer together'),
  removed('quit', 'taken out as begun and died'),
  removed('cracked', 'taken out as cracked'),
  removed('rotten', 'taken out as rotten'),
  field('moved', 'integer', 'live eggs moved to the hatcher', ({ tally }) => tally.moved, eggs),
  field('hatched', 'integer', 'live chicks taken off', ({ tally }) => tally.hatched, chicks),
  found('weak', 'of those, culled or not sound', chicks),
  found('dead', 'found dead in the hatcher', chicks),
  found('pipped', 'broke the shell and died', eggs),
  found('unpipped', 'left whole at the last opening', eggs),
  field(
    'unaccounted',
    'integer',
    'eggs that no record accounts for; once finished',
    ({ tally }) => totalKnown([tally.missingAtTransfer, tally.missingAtHatch], (one) => one),
    eggs,
  ),
];

function cellOf(season: Season, row: Row, column: string, ofShare: boolean): Value {
  const value = row.values[column] as Value | undefined;
  // A pen left out because the set has one share is written out, so that tables join.
  if (ofShare && column === 'pen' && (value ?? null) === null) {
    const shares = season.sets.get(String(row.values.set))?.shares ?? [];
    return shares.length === 1 ? (shares[0]?.pen.name ?? null) : null;
  }
  return value === '' || value === undefined ? null : value;
}

const tableOfResource = ({ fields, rows }: Resource): AnyTable => tableOf(fields, rows);

/** The rows by the names of their fields. */
export const rowsOf = (resource: Resource): Record<string, unknown>[] =>
  jsonRows(tableOfResource(resource));

/** The rows as CSV. */
export const csvOf = (resource: Resource): string => csvTable(tableOfResource(resource));

/** The same rows as one JSON object a line; nothing is guarded, as nothing runs them. */
export const ndjsonOf = (resource: Resource): string =>
  rowsOf(resource)
    .map((row) => `${JSON.stringify(row)}\n`)
    .join('');

/** The descriptor of the whole: a Frictionless Tabular Data Package. */
export function descriptorOf(
  season: Season,
  resources: readonly Resource[],
  created: string,
  version: string,
): unknown {
  const name = `traybook-${String(season.values.season)}`
    .toLowerCase()
    .replace(/[^a-z0-9._-]+/g, '-');
  return {
    profile: 'tabular-data-package',
    name,
    title: `${season.values.place.name}, season ${season.values.season}`,
    created,
    version,
    resources: resources.map((resource) => ({
      profile: 'tabular-data-resource',
      name: resource.name,
      description: resource.description,
      path: `${resource.name}.csv`,
      format: 'csv',
      mediatype: 'text/csv',
      encoding: 'utf-8',
      dialect: { lineTerminator: '\n', header: true, doubleQuote: true },
      schema: {
        fields: resource.fields.map(({ key: name, type, doc, unit, required }) => ({
          name,
          type,
          description: doc,
          ...(unit === undefined ? {} : { unit }),
          ...(type === 'datetime' ? { format: 'any' } : {}),
          ...(required ? { constraints: { required: true } } : {}),
        })),
        missingValues: [''],
        primaryKey: resource.primaryKey,
        ...(resource.foreignKeys.length === 0
          ? {}
          : {
              foreignKeys: resource.foreignKeys.map((one) => ({
                fields: one.fields,
                reference: { resource: one.resource, fields: one.to },
              })),
            }),
      },
    })),
  };
}
