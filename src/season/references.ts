import { expectedFound, type Fault, fault, quoted } from '../text/fault.ts';
import { didYouMean, nearest } from '../text/nearest.ts';
import type { YamlRead } from '../text/yaml.ts';
import type { YamlPath } from '../text/yaml-limits.ts';
import { usualSetter } from './hens.ts';
import { groupKinds, needsOwn } from './kinds.ts';
import type { HatcherValues, PenValues, PlannedValues, SetterValues } from './schema.ts';
import { speciesNames } from './species.ts';

/** Where things of a season file stand. */
type Places = Pick<YamlRead, 'placeOf' | 'placeOfKey'>;

/** A path of the file as a keeper reads it. */
export function pathWords(path: YamlPath): string {
  return path.length === 0
    ? 'season.yaml'
    : path.map((part) => (typeof part === 'number' ? part + 1 : part)).join(' › ');
}

/** Stands for a name that the schema has refused already. No name can hold this character. */
const NOT_SAID = '\0';

/** What `references` looks at: a whole season, or as much of one as can be made out. */
type Outline = {
  kinds: Record<string, Record<string, unknown>>;
  storage: { max_days?: number | Record<string, number> | undefined };
  lines: Record<string, { species: string }>;
  pens: Record<string, Pick<PenValues, 'line' | 'joined' | 'parted'>>;
  next_pens: Record<string, { line: string }>;
  setters: Record<string, Pick<SetterValues, 'trays' | 'tray_holds' | 'broody'>>;
  hatchers: Record<string, Pick<HatcherValues, 'holds'>>;
  brooders: Record<string, unknown>;
  runs: Record<string, unknown>;
  goals: { line: string }[];
  orders: { line: string }[];
  rates: Record<string, unknown>;
  plan: Pick<PlannedValues, 'set' | 'setter' | 'hatcher' | 'trays' | 'shares'>[];
};

/**
 * The names in a file that the schema refused, so that a wrong name is told in the same run. A part
 * of the wrong shape is given a likeness that raises no second fault.
 */
export function outlineOf(value: unknown): Outline {
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
    broody: one.broody === true,
  }));
  const maxDays = map(season.storage).max_days;
  return {
    kinds: each(season.kinds, (one) => one),
    storage: { max_days: map(maxDays) as Record<string, number> },
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
    brooders: map(season.brooders),
    runs: map(season.runs),
    goals: list(season.goals).map((one) => ({ line: wordOr(map(one).line, NOT_SAID) })),
    orders: list(season.orders).map((one) => ({ line: wordOr(map(one).line, NOT_SAID) })),
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
export function references(values: Outline, yaml: Places): Fault[] {
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
            what === 'species' && nearest(name, names).length === 0
              ? `tell a kind of your own by its likeness: kinds: {${name}: {like: goose}}; of the table: ${speciesNames().join(', ')}`
              : (didYouMean(name, names) ??
                (names.length === 0 ? `no ${what} is named in season.yaml` : null)),
        },
      ),
    );
  };
  const kinds = [...speciesNames(), ...Object.keys(values.kinds)];
  kindFaults(values.kinds, yaml, known, faults);
  if (typeof values.storage.max_days === 'object')
    for (const kind of Object.keys(values.storage.max_days))
      known(['storage', 'max_days', kind], kind, kinds, 'species');
  for (const [name, line] of Object.entries(values.lines)) {
    known(['lines', name, 'species'], line.species, kinds, 'species');
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
        known([kind, name, holds, species], species, kinds, 'species');
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
  for (const [name, { broody }] of Object.entries(values.setters))
    for (const other of ['brooders', 'runs'] as const)
      if (broody && Object.hasOwn(values[other], name))
        faults.push(
          fault(
            'name-taken',
            yaml.placeOfKey([other], name),
            `${other}: ${quoted(name)} is the name of a hen already`,
            { hint: 'chicks go by the name of the place: give one of them another' },
          ),
        );
  values.goals.forEach((goal, index) => {
    known(['goals', index, 'line'], goal.line, Object.keys(values.lines), 'line');
  });
  values.orders.forEach((order, index) => {
    known(['orders', index, 'line'], order.line, Object.keys(values.lines), 'line');
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
    else if (usualSetter(Object.entries(values.setters)) === null)
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
    const setter = values.setters[one.setter ?? usualSetter(Object.entries(values.setters)) ?? ''];
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

type KnownNames = (path: YamlPath, name: string, all: Iterable<string>, what: string) => void;

/** A kind of one's own has a name of its own, and takes what it does not say from one of the table. */
function kindFaults(
  kinds: Outline['kinds'],
  yaml: Places,
  known: KnownNames,
  faults: Fault[],
): void {
  for (const [name, one] of Object.entries(kinds)) {
    const path = ['kinds', name] as const;
    if (speciesNames().includes(name))
      faults.push(
        fault(
          'name-taken',
          yaml.placeOfKey(['kinds'], name),
          `kinds: ${quoted(name)} is a species of the table already`,
          { hint: `give it another name, with like: ${name}` },
        ),
      );
    if (typeof one.like === 'string') {
      known([...path, 'like'], one.like, speciesNames(), 'species');
      continue;
    }
    const missing = needsOwn.filter((key) => one[key] === undefined);
    if (one.like === undefined && missing.length > 0)
      faults.push(
        fault(
          'missing-key',
          yaml.placeOf(path),
          expectedFound(
            `kinds › ${name}`,
            `like: and a species, or figures of its own (${needsOwn.join(', ')})`,
            `no ${missing.join(', ')}`,
          ),
          { hint: `name the nearest species: like: ${groupKinds.waterfowl}, for one` },
        ),
      );
  }
}
