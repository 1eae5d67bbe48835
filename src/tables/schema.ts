/** JSON Schema (draft 2020-12) of what `--json` prints, made of the columns that print it. */
import { type AnyColumn, dataColumns, type Kind, type Schema } from './columns.ts';
import { metric, unitOf } from './numbers.ts';

const nullable = ({ type, ...rest }: Schema): Schema =>
  typeof type === 'string'
    ? {
        type: [type, 'null'],
        ...rest,
        ...(rest.enum ? { enum: [...(rest.enum as []), null] } : {}),
      }
    : { type, ...rest };

export const text: Schema = { type: 'string' };
export const count: Schema = { type: 'number', minimum: 0 };
export const number: Schema = { type: 'number' };
export const whole: Schema = { type: 'integer' };
/** A rate or a chance, 0 to 1. */
export const share: Schema = { type: 'number', minimum: 0, maximum: 1 };
export const yes: Schema = { type: 'boolean' };
/** A local day: `2027-03-06`. */
export const day: Schema = { type: 'string', pattern: '^\\d{4}-\\d{2}-\\d{2}$' };
/** A day, or a minute of the wall clock: `2027-03-06T18:30`. */
export const moment: Schema = {
  type: 'string',
  pattern: '^\\d{4}-\\d{2}-\\d{2}(T\\d{2}:\\d{2})?$',
};
export const instant: Schema = { type: 'string', pattern: '^\\d{4}-\\d{2}-\\d{2}T\\d{2}:\\d{2}' };
export const anything: Schema = {};

/** The same, or null where it is not known. */
export const maybe = nullable;

export const oneOf = (...words: readonly string[]): Schema => ({ type: 'string', enum: words });
export const list = (items: Schema): Schema => ({ type: 'array', items });
export const map = (values: Schema): Schema => ({ type: 'object', additionalProperties: values });

/**
 * An object with these keys, all there but those in `optional`. Shapes may gain keys from one version
 * to the next, so others may stand beside them.
 */
export function object(
  properties: Readonly<Record<string, Schema>>,
  optional: readonly string[] = [],
): Schema {
  return {
    type: 'object',
    properties,
    required: Object.keys(properties).filter((key) => !optional.includes(key)),
  };
}

const rangeSchema = object({ low: number, high: number });

const kinds: Readonly<Record<Exclude<Kind, 'data'>, Schema>> = {
  name: text,
  text,
  names: list(text),
  count,
  number,
  typed: number,
  rate: object({
    count: maybe(count),
    of: maybe(count),
    share: maybe(share),
    low: maybe(share),
    high: maybe(share),
  }),
  percent: number,
  chance: share,
  range: rangeSchema,
  percentRange: rangeSchema,
  measure: number,
  measureRange: rangeSchema,
  money: number,
  day,
  moment,
  yes,
};

/** The shape of one row of a table. */
export function rowSchema(columns: readonly AnyColumn[]): Schema {
  return object(
    Object.fromEntries(dataColumns(columns).map((column) => [column.key, columnSchema(column)])),
  );
}

function columnSchema(column: AnyColumn): Schema {
  if (column.kind === 'data') return { ...column.schema, description: column.doc };
  const unit =
    column.kind === 'measure' || column.kind === 'measureRange'
      ? unitOf(column.measure, metric)
      : (column.unit ?? null);
  return {
    ...maybe(kinds[column.kind]),
    description: unit === null ? column.doc : `${column.doc}, ${unit}`,
  };
}

/** The document `traybook NAME --json` prints. */
export function documentSchema(
  name: string,
  properties: Readonly<Record<string, Schema>>,
  optional: readonly string[] = [],
): Schema {
  const format = `traybook.${name}/1`;
  return {
    $schema: 'https://json-schema.org/draft/2020-12/schema',
    title: format,
    ...object({ format: { type: 'string', const: format }, ...properties }, optional),
  };
}
