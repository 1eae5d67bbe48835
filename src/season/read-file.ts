import * as z from 'zod/mini';
import { expectedFound, type Fault, fault, quoted } from '../text/fault.ts';
import { didYouMean } from '../text/nearest.ts';
import type { Place, Source } from '../text/source.ts';
import { readYaml, type YamlRead } from '../text/yaml.ts';
import type { YamlPath } from '../text/yaml-limits.ts';
import { pathWords, references } from './references.ts';
import { type SeasonValues, seasonSchema } from './schema.ts';
import { farDays } from './years.ts';

export type SeasonFile = {
  readonly values: SeasonValues;
  /** Where the value at a path of the file stands. */
  placeOf(path: YamlPath): Place;
};

export type SeasonFileRead = {
  readonly file: SeasonFile | null;
  readonly faults: readonly Fault[];
};

/** Reads `season.yaml` whole: every fault in one run, each with its place. */
export function readSeasonFile(source: Source): SeasonFileRead {
  const yaml = readYaml(source);
  if (yaml.faults.length > 0) return { file: null, faults: yaml.faults };
  const parsed = z.safeParse(seasonSchema, yaml.value);
  const faults = [
    ...(parsed.success ? [] : parsed.error.issues.flatMap((issue) => faultsOf(issue, yaml))),
    ...references(parsed.success ? parsed.data : yaml.value, yaml),
    ...(parsed.success ? farDays(parsed.data, yaml.placeOf) : []),
  ];
  return { file: parsed.success ? { values: parsed.data, placeOf: yaml.placeOf } : null, faults };
}

/** What zod calls the types that have another name here. */
const typeWords: Readonly<Record<string, string>> = {
  int: 'a whole number',
  array: 'a list',
  object: 'a mapping (key: value lines)',
  string: 'a text',
};

/** What was expected, in words: our own where the schema gives them, else made from the bound. */
function expectedOf(issue: z.core.$ZodIssue): string {
  const isOurs = !/^(Invalid|Too|Unrecognized)/.test(issue.message);
  if (isOurs) return issue.message;
  if (issue.code === 'invalid_type') return typeWords[issue.expected] ?? `a ${issue.expected}`;
  if (issue.code === 'too_small')
    return `${issue.inclusive ? 'at least' : 'more than'} ${issue.minimum}`;
  if (issue.code === 'too_big') return `at most ${issue.maximum}`;
  return 'another value';
}

function shown(value: unknown): string {
  if (value === null) return 'nothing';
  if (typeof value === 'string') return quoted(value);
  if (Array.isArray(value)) return `a list of ${value.length}`;
  if (typeof value === 'object') return 'a mapping';
  if (typeof value === 'number' && !Number.isFinite(value))
    return Number.isNaN(value) ? '.nan, which is no number' : 'a number that is too large';
  return String(value);
}

function faultsOf(issue: z.core.$ZodIssue, yaml: YamlRead): Fault[] {
  const path = issue.path as (string | number)[];
  const words = pathWords(path);
  if (issue.code === 'unrecognized_keys')
    return issue.keys.map((key) =>
      fault(
        'unknown-key',
        yaml.placeOfKey(path, key),
        `${words}: the key ${quoted(key)} is not known here`,
        { hint: didYouMean(key, knownKeysAt(path)) },
      ),
    );
  const key = String(path.at(-1) ?? 'season.yaml');
  if (issue.code === 'invalid_key') {
    const expected = issue.issues[0]!.message;
    const at = yaml.placeOfKey(path.slice(0, -1), key);
    return [fault('bad-value', at, expectedFound(words, expected, quoted(key)))];
  }
  const at = yaml.placeOf(path);
  const expected = expectedOf(issue);
  // A rule between keys may ask for one of them, so that what it was given is not what was found.
  const value = valueAt(yaml.value, path);
  if (value === undefined)
    return [
      fault('missing-key', at, expectedFound(words, expected, 'nothing'), {
        hint: `add the key ${key}`,
      }),
    ];
  const listed = /^one of (.*)$/.exec(issue.message)?.[1]?.split(', ');
  return [
    fault('bad-value', at, expectedFound(words, expected, shown(value)), {
      hint: listed && typeof value === 'string' ? didYouMean(value, listed) : null,
    }),
  ];
}

function valueAt(value: unknown, path: YamlPath): unknown {
  return path.reduce(
    (of, key) => (of as Record<string | number, unknown> | undefined)?.[key],
    value,
  );
}

/** The keys allowed in the mapping at a path, read from the schema itself. */
function knownKeysAt(path: YamlPath): string[] {
  let at = definitionOf(seasonSchema);
  for (const key of path) at = definitionOf(at?.shape?.[key] ?? at?.valueType ?? at?.element);
  return Object.keys(at?.shape ?? {});
}

/** What a schema is made of: the schemas of its keys, of each value, of each item, or one it wraps. */
type Definition = {
  readonly shape?: Readonly<Record<string, unknown>>;
  readonly valueType?: unknown;
  readonly element?: unknown;
  readonly innerType?: unknown;
  readonly in?: unknown;
  readonly getter?: () => unknown;
};

function definitionOf(schema: unknown): Definition | undefined {
  const definition = (schema as { def?: Definition } | undefined)?.def;
  const inner = definition?.innerType ?? definition?.in ?? definition?.getter?.();
  return inner === undefined ? definition : definitionOf(inner);
}
