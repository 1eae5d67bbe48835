import type * as z from 'zod';
import { expectedFound, type Fault, fault, quoted } from '../text/fault.ts';
import { didYouMean } from '../text/nearest.ts';
import type { Place, Source } from '../text/source.ts';
import { readYaml, type YamlPath, type YamlRead } from '../text/yaml.ts';
import {
  type HatcherValues,
  type PenValues,
  type PlannedValues,
  type SeasonValues,
  type SetterValues,
  seasonSchema,
} from './schema.ts';
import { speciesNames } from './species.ts';

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
  const parsed = seasonSchema.safeParse(yaml.value, { reportInput: true });
  const faults = [
    ...(parsed.success ? [] : parsed.error.issues.flatMap((issue) => faultsOf(issue, yaml))),
    ...references(parsed.success ? parsed.data : outlineOf(yaml.value), yaml),
  ];
  return { file: parsed.success ? { values: parsed.data, placeOf: yaml.placeOf } : null, faults };
}

function pathWords(path: YamlPath): string {
  return path.length === 0
    ? 'season.yaml'
    : path.map((part) => (typeof part === 'number' ? part + 1 : part)).join(' › ');
}

/** What was expected, in words: our own where the schema gives them, else made from the bound. */
function expectedOf(issue: z.core.$ZodIssue): string {
  const isOurs = !/^(Invalid|Too|Unrecognized)/.test(issue.message);
  if (isOurs) return issue.message;
  if (issue.code === 'invalid_type')
    return issue.expected === 'int' ? 'a whole number' : `a ${issue.expected}`;
  if (issue.code === 'too_small') return `at least ${issue.minimum}`;
  if (issue.code === 'too_big') return `at most ${issue.maximum}`;
  return 'another value';
}

function shown(value: unknown): string {
  if (value === undefined || value === null) return 'nothing';
  if (typeof value === 'string') return quoted(value);
  if (Array.isArray(value)) return `a list of ${value.length}`;
  if (typeof value === 'object') return 'a mapping';
  return String(value);
}

function faultsOf(issue: z.core.$ZodIssue, yaml: YamlRead): Fault[] {
  const path = issue.path as (string | number)[];
  if (issue.code === 'unrecognized_keys') {
    return issue.keys.map((key) =>
      fault(
        'unknown-key',
        yaml.placeOfKey(path, key),
        `${pathWords(path)}: the key ${quoted(key)} is not known here`,
        {
          hint: didYouMean(key, knownKeysAt(path)),
        },
      ),
    );
  }
  if (issue.code === 'invalid_key') {
    const key = String(path.at(-1));
    return [
      fault(
        'bad-value',
        yaml.placeOfKey(path.slice(0, -1), key),
        expectedFound(pathWords(path), issue.issues[0]?.message ?? 'a name', quoted(key)),
      ),
    ];
  }
  if (issue.input === undefined && issue.code !== 'custom') {
    const key = String(path.at(-1) ?? 'season.yaml');
    return [
      fault(
        'missing-key',
        yaml.placeOf(path),
        expectedFound(pathWords(path), expectedOf(issue), 'nothing'),
        {
          hint: `add the key ${key}`,
        },
      ),
    ];
  }
  const listed = /^one of (.*)$/.exec(issue.message)?.[1]?.split(', ');
  return [
    fault(
      'bad-value',
      yaml.placeOf(path),
      expectedFound(pathWords(path), expectedOf(issue), shown(foundBy(issue))),
      {
        hint: listed && typeof issue.input === 'string' ? didYouMean(issue.input, listed) : null,
      },
    ),
  ];
}

/** What an issue is about: a rule between keys of a mapping points to one of them. */
function foundBy(issue: z.core.$ZodIssue): unknown {
  const { input } = issue;
  const key = issue.path.at(-1);
  if (issue.code !== 'custom' || typeof input !== 'object' || input === null) return input;
  return typeof key === 'string' && Object.hasOwn(input, key)
    ? (input as Record<string, unknown>)[key]
    : input;
}

/** The keys allowed in the mapping at a path, read from the schema itself. */
function knownKeysAt(path: YamlPath): string[] {
  let schema: unknown = seasonSchema;
  for (const part of [...path, null]) {
    schema = unwrap(schema);
    const definition = (
      schema as {
        def?: {
          type?: string;
          shape?: Record<string, unknown>;
          valueType?: unknown;
          element?: unknown;
        };
      }
    ).def;
    if (part === null) return Object.keys(definition?.shape ?? {});
    if (definition?.type === 'object') schema = definition.shape?.[String(part)];
    else if (definition?.type === 'record') schema = definition.valueType;
    else if (definition?.type === 'array') schema = definition.element;
    else return [];
  }
  return [];
}

function unwrap(schema: unknown): unknown {
  let one = schema;
  for (;;) {
    const inner = (one as { def?: { innerType?: unknown } } | undefined)?.def?.innerType;
    if (inner === undefined) return one;
    one = inner;
  }
}

/** Stands for a name that the schema has refused already. No name can hold this character. */
const NOT_SAID = '\0';

/** What `references` looks at: a whole season, or as much of one as can be made out. */
type Outline = {
  lines: Record<string, { species: string }>;
  pens: Record<string, Pick<PenValues, 'line' | 'joined' | 'parted'>>;
  next_pens: Record<string, { line: string }>;
  setters: Record<string, Pick<SetterValues, 'trays' | 'tray_holds'>>;
  hatchers: Record<string, Pick<HatcherValues, 'holds'>>;
  goals: { line: string }[];
  rates: Record<string, unknown>;
  plan: Pick<PlannedValues, 'set' | 'setter' | 'hatcher' | 'trays' | 'shares'>[];
};

/**
 * The names in a file that the schema refused, so that a wrong name is told in the same run. A part
 * of the wrong shape is given a likeness that raises no second fault.
 */
function outlineOf(value: unknown): Outline {
  const map = (of: unknown): Record<string, unknown> =>
    typeof of === 'object' && of !== null && !Array.isArray(of)
      ? (of as Record<string, unknown>)
      : {};
  const list = (of: unknown): unknown[] => (Array.isArray(of) ? of : []);
  const season = map(value);
  const each = <T>(of: unknown, make: (one: Record<string, unknown>) => T): Record<string, T> =>
    Object.fromEntries(Object.entries(map(of)).map(([name, one]) => [name, make(map(one))]));
  const wordOr = <T>(of: unknown, other: T): string | T => (typeof of === 'string' ? of : other);
  const numbers = (of: unknown): number[] =>
    list(of).map((one) => (typeof one === 'number' ? one : 0));
  const setters = each(season.setters, (one) => ({
    trays: typeof one.trays === 'number' ? one.trays : Number.POSITIVE_INFINITY,
    tray_holds: map(one.tray_holds) as Record<string, number>,
  }));
  return {
    lines: each(season.lines, (one) => ({ species: wordOr(one.species, NOT_SAID) })),
    pens: each(season.pens, (one) => ({
      line: wordOr(one.line, NOT_SAID),
      joined: '' as PenValues['joined'],
      parted: undefined,
    })),
    next_pens: each(season.next_pens, (one) => ({ line: wordOr(one.line, NOT_SAID) })),
    setters,
    hatchers: each(season.hatchers, (one) => ({
      holds: map(one.holds) as Record<string, number>,
    })),
    goals: list(season.goals).map((one) => ({ line: wordOr(map(one).line, NOT_SAID) })),
    rates: map(season.rates),
    plan: list(season.plan).map((one, index) => ({
      set: wordOr(map(one).set, `${NOT_SAID}${index}`),
      setter: wordOr(map(one).setter, Object.keys(setters)[0]),
      hatcher: wordOr(map(one).hatcher, undefined),
      trays: numbers(map(one).trays),
      shares: map(map(one).shares) as Record<string, number>,
    })),
  };
}

/** Names in the file that must point at something in it. */
function references(values: Outline, yaml: YamlRead): Fault[] {
  const faults: Fault[] = [];
  const known = (path: YamlPath, name: string, all: Iterable<string>, what: string): void => {
    // A name that is itself the key stands before its value.
    const isKey = path.at(-1) === name;
    const names = [...all];
    if (name === NOT_SAID || names.includes(name)) return;
    faults.push(
      fault(
        'unknown-name',
        isKey ? yaml.placeOfKey(path.slice(0, -1), name) : yaml.placeOf(path),
        expectedFound(pathWords(path), `the name of a ${what}`, quoted(name)),
        {
          hint:
            didYouMean(name, names) ??
            (names.length === 0 ? `no ${what} is named in season.yaml` : null),
        },
      ),
    );
  };
  for (const [name, line] of Object.entries(values.lines)) {
    known(['lines', name, 'species'], line.species, speciesNames(), 'species');
  }
  for (const [name, pen] of Object.entries(values.pens)) {
    known(['pens', name, 'line'], pen.line, Object.keys(values.lines), 'line');
    if (pen.parted !== undefined && pen.parted < pen.joined)
      faults.push(
        fault(
          'bad-value',
          yaml.placeOf(['pens', name, 'parted']),
          `pens › ${name} › parted: ${pen.parted} is before joined ${pen.joined}`,
        ),
      );
  }
  for (const [name, pen] of Object.entries(values.next_pens))
    known(['next_pens', name, 'line'], pen.line, Object.keys(values.lines), 'line');
  for (const [kind, machines] of [
    ['setters', values.setters],
    ['hatchers', values.hatchers],
  ] as const) {
    for (const [name, machine] of Object.entries(machines)) {
      const holds = 'tray_holds' in machine ? 'tray_holds' : 'holds';
      const table = 'tray_holds' in machine ? machine.tray_holds : machine.holds;
      for (const species of Object.keys(table))
        known([kind, name, holds, species], species, speciesNames(), 'species');
      if (kind === 'hatchers' && Object.hasOwn(values.setters, name))
        faults.push(
          fault(
            'name-taken',
            yaml.placeOfKey(['hatchers'], name),
            `hatchers: ${quoted(name)} is the name of a setter already`,
            {
              hint: 'readings go by the name of the machine: give the two compartments two names',
            },
          ),
        );
    }
  }
  values.goals.forEach((goal, index) => {
    known(['goals', index, 'line'], goal.line, Object.keys(values.lines), 'line');
  });
  for (const name of Object.keys(values.rates))
    known(['rates', name], name, Object.keys(values.lines), 'line');
  const sets = new Map<string, number>();
  values.plan.forEach((one, index) => {
    const path = ['plan', index] as const;
    const before = sets.get(one.set);
    if (before !== undefined)
      faults.push(
        fault(
          'name-taken',
          yaml.placeOf([...path, 'set']),
          `plan: the set ${quoted(one.set)} is planned twice`,
          { set: one.set },
        ),
      );
    sets.set(one.set, index);
    if (one.setter !== undefined)
      known([...path, 'setter'], one.setter, Object.keys(values.setters), 'setter');
    else if (Object.keys(values.setters).length !== 1)
      faults.push(
        fault(
          'missing-key',
          yaml.placeOf(path),
          expectedFound(`plan › ${index + 1} › setter`, 'the name of a setter', 'nothing'),
          {
            set: one.set,
          },
        ),
      );
    if (one.hatcher !== undefined)
      known([...path, 'hatcher'], one.hatcher, Object.keys(values.hatchers), 'hatcher');
    const setter = values.setters[one.setter ?? Object.keys(values.setters)[0] ?? ''];
    one.trays.forEach((tray, at) => {
      if (setter && tray > setter.trays)
        faults.push(
          fault(
            'bad-value',
            yaml.placeOf([...path, 'trays', at]),
            expectedFound('tray', `a tray from 1 to ${setter.trays}`, String(tray)),
            {
              set: one.set,
            },
          ),
        );
    });
    const species = new Map<string, string>();
    for (const pen of Object.keys(one.shares)) {
      known([...path, 'shares', pen], pen, Object.keys(values.pens), 'pen');
      const kind = values.lines[values.pens[pen]?.line ?? '']?.species;
      if (kind !== undefined) species.set(kind, pen);
    }
    if (species.size > 1)
      faults.push(
        fault(
          'wrong-species',
          yaml.placeOf([...path, 'shares']),
          `plan: the set ${quoted(one.set)} mixes ${[...species.keys()].join(' and ')}; a set is of one species`,
          { set: one.set, hint: 'give each species a set of its own on that day' },
        ),
      );
  });
  return faults;
}
