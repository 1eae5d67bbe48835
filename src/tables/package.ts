import { looksOf } from '../facts/looks.ts';
import { totalKnown } from '../facts/tally.ts';
import { rateNames } from '../judge/norms.ts';
import { outcomesOf } from '../judge/review/outcome.ts';
import type { LogColumn } from '../records/column.ts';
import { kindOf, recordNames } from '../records/index.ts';
import type { Row } from '../records/record.ts';
import type { EggSet, Season, Share } from '../season/model.ts';
import { there } from '../text/lists.ts';
import { type Column, jsonRows, tableOf } from './columns.ts';
import { csvTable } from './csv.ts';
import { anything } from './schema.ts';

export type FieldType = 'integer' | 'number' | 'string' | 'date' | 'time' | 'datetime' | 'boolean';
export type Value = string | number | boolean | null;

type ExportedRow = Readonly<Record<string, Value>>;

/** One column of an exported table, with its type as Table Schema has it; `unit` is our addition. */
export type Field = Column<ExportedRow> & { readonly type: FieldType; readonly required?: boolean };

export type ForeignKey = {
  readonly fields: readonly string[];
  readonly resource: string;
  readonly to: readonly string[];
};

export type Resource = {
  readonly name: string;
  readonly description: string;
  readonly fields: readonly Field[];
  readonly primaryKey: readonly string[];
  readonly foreignKeys: readonly ForeignKey[];
  readonly rows: readonly ExportedRow[];
};

const field = (
  name: string,
  type: FieldType,
  doc: string,
  more: Partial<Pick<Field, 'unit' | 'required'>> = {},
): Field => ({
  key: name,
  heading: name,
  kind: 'data',
  schema: anything,
  type,
  doc,
  of: (row) => row[name] ?? null,
  ...more,
});
const key = (name: string, description: string): Field =>
  field(name, 'string', description, { required: true });
const eggs = { unit: 'eggs' };
const chicks = { unit: 'chicks' };
// Every table begins with the season, so that those of several years stack into one.
const seasonField = key('season', 'name of the season');

/**
 * The season as tidy tables: stock, shares with their sums and their rates as counts, and every
 * log's rows that stand.
 */
export function resourcesOf(season: Season): Resource[] {
  const name = String(season.values.season);
  return [
    seasonResource(season, name),
    linesResource(season, name),
    pensResource(season, name),
    machinesResource(season, name),
    sharesResource(season, name),
    ratesResource(season, name),
    ...recordNames.map((record) => recordResource(season, name, record)),
  ];
}

function seasonResource(season: Season, name: string): Resource {
  const { place, units } = season.values;
  return {
    name: 'season',
    description: 'the season and the units its figures are in',
    fields: [
      seasonField,
      field('place', 'string', 'name of the place'),
      field('timezone', 'string', 'time zone of every day and minute'),
      field('altitude_m', 'number', 'height above the sea', { unit: 'm' }),
      field('temperature_unit', 'string', 'unit of dry, wet, low and high'),
      field('currency', 'string', 'unit of money'),
    ],
    primaryKey: ['season'],
    foreignKeys: [],
    rows: [
      {
        season: name,
        place: place.name,
        timezone: place.timezone,
        altitude_m: place.altitude_m,
        temperature_unit: units.temperature,
        currency: units.currency,
      },
    ],
  };
}

function linesResource(season: Season, name: string): Resource {
  return {
    name: 'lines',
    description: 'breeds or strains kept as one population each',
    fields: [
      seasonField,
      key('line', 'name of the line'),
      key('species', 'species'),
      field('class', 'string', 'use, such as layer or dual-purpose'),
      field('down', 'string', 'colour of the down'),
      field('egg_g', 'number', 'usual mass of an egg', { unit: 'g' }),
    ],
    primaryKey: ['season', 'line'],
    foreignKeys: [{ fields: ['season'], resource: 'season', to: ['season'] }],
    rows: [...season.lines.values()].map((line) => ({
      season: name,
      line: line.name,
      species: line.speciesName,
      class: line.class,
      down: line.down,
      egg_g: line.egg_g,
    })),
  };
}

function pensResource(season: Season, name: string): Resource {
  return {
    name: 'pens',
    description: 'mating groups',
    fields: [
      seasonField,
      key('pen', 'name of the pen'),
      key('line', 'line it breeds'),
      field('hens', 'integer', 'hens joined', { unit: 'birds' }),
      field('males', 'integer', 'males joined', { unit: 'birds' }),
      field('joined', 'date', 'day the males were joined to the hens'),
      field('parted', 'date', 'day they were parted'),
    ],
    primaryKey: ['season', 'pen'],
    foreignKeys: [{ fields: ['season', 'line'], resource: 'lines', to: ['season', 'line'] }],
    rows: [...season.pens.values()].map((pen) => ({
      season: name,
      pen: pen.name,
      line: pen.line.name,
      hens: pen.hens,
      males: pen.males,
      joined: pen.joined,
      parted: pen.parted,
    })),
  };
}

function machinesResource(season: Season, name: string): Resource {
  return {
    name: 'machines',
    description: 'setters and hatchers',
    fields: [
      seasonField,
      key('kind', 'setter or hatcher'),
      key('machine', 'name of the machine'),
      field('trays', 'integer', 'trays of a setter'),
    ],
    primaryKey: ['season', 'kind', 'machine'],
    foreignKeys: [{ fields: ['season'], resource: 'season', to: ['season'] }],
    rows: [
      ...[...season.setters.values()].map((one) => ({
        season: name,
        kind: 'setter',
        machine: one.name,
        trays: one.trays,
      })),
      ...[...season.hatchers.values()].map((one) => ({
        season: name,
        kind: 'hatcher',
        machine: one.name,
        trays: null,
      })),
    ],
  };
}

function sharesResource(season: Season, name: string): Resource {
  return {
    name: 'shares',
    description:
      'one row a share (the eggs of one pen in one set) with the sums of its records; an empty cell means not known, not zero',
    fields: [
      seasonField,
      key('set', 'name of the set'),
      key('pen', 'name of the pen'),
      key('line', 'line of the pen'),
      key('species', 'species'),
      field('on', 'date', 'day of setting'),
      field('stage', 'string', 'in-setter, in-hatcher or finished'),
      field('eggs', 'integer', 'eggs set', eggs),
      field('storage_days', 'number', 'mean age of the eggs at setting, where lots are recorded', {
        unit: 'days',
      }),
      field('setter', 'string', 'setter; several are parted by a plus sign'),
      field('trays', 'string', 'tray numbers; several are parted by a plus sign'),
      field('hatcher', 'string', 'hatcher'),
      field(
        'candled',
        'boolean',
        'true if a candling was recorded, or clear or quit eggs sorted out at transfer',
      ),
      field('clear', 'integer', 'taken out as clear, candlings and transfer together', eggs),
      field('quit', 'integer', 'taken out as begun and died', eggs),
      field('cracked', 'integer', 'taken out as cracked', eggs),
      field('rotten', 'integer', 'taken out as rotten', eggs),
      field('moved', 'integer', 'live eggs moved to the hatcher', eggs),
      field('hatched', 'integer', 'live chicks taken off', chicks),
      field('weak', 'integer', 'of those, culled or not sound', chicks),
      field('dead', 'integer', 'found dead in the hatcher', chicks),
      field('pipped', 'integer', 'broke the shell and died', eggs),
      field('unpipped', 'integer', 'left whole at the last opening', eggs),
      field('unaccounted', 'integer', 'eggs that no record accounts for; once finished', eggs),
    ],
    primaryKey: ['season', 'set', 'pen'],
    foreignKeys: [{ fields: ['season', 'pen'], resource: 'pens', to: ['season', 'pen'] }],
    rows: [...season.sets.values()].flatMap((set) =>
      set.shares.map((share) => shareRow(name, set, share)),
    ),
  };
}

const joined = (values: readonly (string | number)[]): string | null =>
  values.length === 0 ? null : [...new Set(values.map(String))].join('+');

function shareRow(season: string, set: EggSet, share: Share): Record<string, Value> {
  const { tally } = share;
  const drawn = share.drawn.reduce((sum, lot) => sum + lot.eggs, 0);
  const looked = share.candlings.length + share.transfers.length > 0;
  const opened = share.openings.length > 0;
  return {
    season,
    set: set.name,
    pen: share.pen.name,
    line: share.pen.line.name,
    species: set.speciesName,
    on: share.on.day,
    stage: share.stage,
    eggs: share.eggs,
    storage_days:
      drawn === 0 ? null : share.drawn.reduce((sum, lot) => sum + lot.age * lot.eggs, 0) / drawn,
    setter: joined(share.trays.map((one) => one.setter)),
    trays: joined(share.trays.flatMap((one) => (one.tray === null ? [] : [one.tray]))),
    hatcher: share.hatcher,
    candled: looksOf(share) !== null,
    clear: looked ? tally.clear : null,
    quit: looked ? tally.quit : null,
    cracked: looked ? tally.cracked : null,
    rotten: looked ? tally.rotten : null,
    moved: tally.moved,
    hatched: tally.hatched,
    weak: opened ? tally.weak : null,
    dead: opened ? tally.dead : null,
    pipped: opened ? tally.pipped : null,
    unpipped: opened ? tally.unpipped : null,
    unaccounted: totalKnown([tally.missingAtTransfer, tally.missingAtHatch], (one) => one),
  };
}

function ratesResource(season: Season, name: string): Resource {
  return {
    name: 'rates',
    description:
      'one row a share and rate, as review counts it: add up x and n over any shares, then divide; a rate that is not known has no row. The share fit to set is of eggs laid, not of sets: kept and laid of the table eggs, where laid was written',
    fields: [
      seasonField,
      key('set', 'name of the set'),
      key('pen', 'name of the pen'),
      key('rate', 'name of the rate'),
      field('x', 'number', 'how many; part of an egg where a sample of opened eggs was scaled up', {
        required: true,
      }),
      field('n', 'number', 'of how many', { required: true }),
      field('sampled', 'number', 'variance that opening only a sample adds to x', {
        required: true,
      }),
    ],
    primaryKey: ['season', 'set', 'pen', 'rate'],
    foreignKeys: [
      {
        fields: ['season', 'set', 'pen'],
        resource: 'shares',
        to: ['season', 'set', 'pen'],
      },
    ],
    rows: outcomesOf(season).flatMap((one) =>
      rateNames.flatMap((rate) => {
        const part = one.rates[rate];
        return part === null
          ? []
          : [
              {
                season: name,
                set: one.set,
                pen: one.pen,
                rate,
                x: part.x,
                n: part.n,
                sampled: part.sampled ?? 0,
              },
            ];
      }),
    ),
  };
}

function recordResource(
  season: Season,
  name: string,
  record: (typeof recordNames)[number],
): Resource {
  const kind = kindOf(record);
  const columns = Object.entries(kind.columns) as [string, LogColumn<unknown>][];
  const hasShare = columns.some(([column, { refers }]) => column === 'set' && refers === 'set');
  const ofShare = hasShare && columns.some(([column]) => column === 'pen');
  return {
    name: kind.file.replace(/\.csv$/, ''),
    description: kind.summary,
    fields: [
      seasonField,
      key('entry', 'identity of the row'),
      field('recorded', 'datetime', 'instant of writing'),
      field('on', 'date', 'local day it happened'),
      field('at', 'time', 'local minute it happened, where written'),
      ...columns.map(([column, { about, type, unit, required }]) =>
        field(column, type, about, {
          ...(unit === null ? {} : { unit }),
          ...(required ? { required } : {}),
        }),
      ),
      field('by', 'string', 'who recorded it'),
      field('note', 'string', 'note'),
    ],
    primaryKey: ['season', 'entry'],
    foreignKeys: there([
      ofShare && {
        fields: ['season', 'set', 'pen'],
        resource: 'shares',
        to: ['season', 'set', 'pen'],
      },
      ...columns
        .filter(
          ([column, { refers }]) =>
            (refers === 'pen' && !ofShare) || (refers === 'line' && column === 'line'),
        )
        .map(([column, { refers }]) => ({
          fields: ['season', column],
          resource: `${refers}s`,
          to: ['season', refers as string],
        })),
    ]),
    rows: (season.rows[record] as readonly Row[]).map((row) => ({
      season: name,
      entry: row.entry,
      recorded: row.recorded,
      on: row.on.day,
      at: row.on.time === null ? null : `${row.on.time}:00`,
      ...Object.fromEntries(
        columns.map(([column]) => [column, cellOf(season, row, column, ofShare)]),
      ),
      by: row.by === '' ? null : row.by,
      note: row.note === '' ? null : row.note,
    })),
  };
}

function cellOf(season: Season, row: Row, column: string, ofShare: boolean): Value {
  const value = row.values[column] as Value | undefined;
  // A pen left out because the set has one share is written out, so that tables join.
  if (ofShare && column === 'pen' && (value ?? null) === null) {
    const shares = season.sets.get(String(row.values.set))?.shares ?? [];
    return shares.length === 1 ? (shares[0]?.pen.name ?? null) : null;
  }
  return value === '' || value === undefined ? null : value;
}

/** The rows as CSV. */
export function csvOf(resource: Resource): string {
  return csvTable(tableOf(resource.fields, resource.rows));
}

/** The same rows as one JSON object a line; nothing is guarded, as nothing runs them. */
export function ndjsonOf(resource: Resource): string {
  return jsonRows(tableOf(resource.fields, resource.rows))
    .map((row) => `${JSON.stringify(row)}\n`)
    .join('');
}

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
