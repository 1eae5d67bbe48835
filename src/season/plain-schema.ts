/**
 * A small likeness of zod: the words of it that the schema of season.yaml is said with, and of each
 * only whether a value is without fault and what comes of it. A file that this takes need not go by
 * zod itself, whose loading alone costs half of Node's own start; a property test holds the two
 * equal. Whatever it does not take goes to zod, which tells what is wrong.
 */
import type * as Zod from 'zod';
import { rateOverridesIn } from './own-rates-schema.ts';
import { type SchemaParts, type SeasonValues, seasonSchemaIn } from './schema.ts';

/** Says that a value is not taken. */
const NOT_TAKEN = Symbol('not taken');

type Take = (value: unknown) => unknown;
type Shape = Readonly<Record<string, Plain>>;

const copied = (value: unknown): unknown =>
  Array.isArray(value)
    ? [...value]
    : typeof value === 'object' && value !== null
      ? { ...value }
      : value;

const sizeOf = (value: unknown): number =>
  typeof value === 'number' ? value : (value as string | readonly unknown[]).length;

/** A schema: what it takes, and the words that narrow it. */
class Plain {
  readonly take: Take;
  readonly shape: Shape | null;

  constructor(take: Take, shape: Shape | null = null) {
    this.take = take;
    this.shape = shape;
  }

  refine(holds: (value: never) => boolean): Plain {
    return new Plain((value) => {
      const taken = this.take(value);
      return taken !== NOT_TAKEN && holds(taken as never) ? taken : NOT_TAKEN;
    });
  }
  min(least: number): Plain {
    return this.refine((value) => sizeOf(value) >= least);
  }
  max(most: number): Plain {
    return this.refine((value) => sizeOf(value) <= most);
  }
  gt(bound: number): Plain {
    return this.refine((value) => value > bound);
  }
  lt(bound: number): Plain {
    return this.refine((value) => value < bound);
  }
  transform(change: (value: never) => unknown): Plain {
    return new Plain((value) => {
      const taken = this.take(value);
      return taken === NOT_TAKEN ? NOT_TAKEN : change(taken as never);
    });
  }
  optional(): Plain {
    return new Plain((value) => (value === undefined ? undefined : this.take(value)));
  }
  default(usual: unknown): Plain {
    return new Plain((value) => (value === undefined ? copied(usual) : this.take(value)));
  }
  prefault(usual: unknown): Plain {
    return new Plain((value) => this.take(value === undefined ? copied(usual) : value));
  }
  partial(): Plain {
    return mapping(
      Object.fromEntries(Object.entries(this.shape!).map(([key, one]) => [key, one.optional()])),
    );
  }
}

function mapping(shape: Shape): Plain {
  const keys = Object.keys(shape);
  return new Plain((value) => {
    if (!isMapping(value)) return NOT_TAKEN;
    for (const key in value) if (!Object.hasOwn(shape, key)) return NOT_TAKEN;
    const out: Record<string, unknown> = {};
    for (const key of keys) {
      const taken = shape[key]!.take(value[key]);
      if (taken === NOT_TAKEN) return NOT_TAKEN;
      if (taken !== undefined) out[key] = taken;
    }
    return out;
  }, shape);
}

function isMapping(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

const when = (holds: (value: unknown) => boolean): Plain =>
  new Plain((value) => (holds(value) ? value : NOT_TAKEN));

/** The words of zod by their names there. */
const words = {
  string: () => when((value) => typeof value === 'string'),
  boolean: () => when((value) => typeof value === 'boolean'),
  number: () => when((value) => Number.isFinite(value)),
  int: () => when((value) => Number.isSafeInteger(value)),
  literal: (one: unknown) => when((value) => value === one),
  enum: (list: readonly unknown[]) => when((value) => list.includes(value)),
  union: (all: readonly Plain[]) =>
    new Plain((value) => {
      for (const one of all) {
        const taken = one.take(value);
        if (taken !== NOT_TAKEN) return taken;
      }
      return NOT_TAKEN;
    }),
  array: (element: Plain) =>
    new Plain((value) => {
      if (!Array.isArray(value)) return NOT_TAKEN;
      const out: unknown[] = [];
      for (const one of value) {
        const taken = element.take(one);
        if (taken === NOT_TAKEN) return NOT_TAKEN;
        out.push(taken);
      }
      return out;
    }),
  record: (key: Plain, element: Plain) =>
    new Plain((value) => {
      if (!isMapping(value)) return NOT_TAKEN;
      const out: Record<string, unknown> = {};
      for (const name in value) {
        const taken = element.take(value[name]);
        if (taken === NOT_TAKEN || key.take(name) === NOT_TAKEN) return NOT_TAKEN;
        out[name] = taken;
      }
      return out;
    }),
  strictObject: (shape: Shape) => mapping(shape),
};

/** The values of a season file that is without fault, or null: then zod tells what it is. */
export function plainSeasonValues(value: unknown): SeasonValues | null {
  const z = words as unknown as typeof Zod;
  // A line's own figures are rare, and their schema is large: a file with some goes by zod.
  const override = when(() => false) as unknown as SchemaParts['override'];
  const kind = override as unknown as SchemaParts['kind'];
  const schema = seasonSchemaIn(z, {
    override,
    kind,
    rates: rateOverridesIn(z),
  }) as unknown as Plain;
  const taken = schema.take(value);
  return taken === NOT_TAKEN ? null : (taken as SeasonValues);
}
