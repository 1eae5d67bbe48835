import { parseDay } from '../text/day.ts';
import { expectedFound, type Fault, type FaultCode, fault, quoted } from '../text/fault.ts';
import { didYouMean, nearest } from '../text/nearest.ts';
import type { YamlRead } from '../text/yaml.ts';
import type { YamlPath } from '../text/yaml-limits.ts';
import { feedTables } from './brooding.ts';
import { usualSetter } from './hens.ts';
import { groupKinds, needsOwn } from './kinds.ts';
import { speciesNames } from './species.ts';

/** Where things of a season file stand. */
type Places = Pick<YamlRead, 'placeOf' | 'placeOfKey'>;

/** A path of the file as a keeper reads it. */
export function pathWords(path: YamlPath): string {
  return path.length === 0
    ? 'season.yaml'
    : path.map((part) => (typeof part === 'number' ? part + 1 : part)).join(' › ');
}

const isMapping = (of: unknown): of is Record<string, unknown> =>
  typeof of === 'object' && of !== null && !Array.isArray(of);

/** The value of a key; undefined where there is none, or no mapping. */
const under = (of: unknown, key: string): unknown =>
  isMapping(of) && Object.hasOwn(of, key) ? of[key] : undefined;

const textOf = (of: unknown, key: string): string | undefined => {
  const value = under(of, key);
  return typeof value === 'string' ? value : undefined;
};

const namesIn = (of: unknown): string[] => (isMapping(of) ? Object.keys(of) : []);

type FilePart = { readonly key: string; readonly one: unknown; readonly path: YamlPath };

/** The entries of a mapping, or of a list, with their paths; none of anything else. */
function partsOf(of: unknown, path: YamlPath): FilePart[] {
  if (Array.isArray(of)) return of.map((one, at) => ({ key: '', one, path: [...path, at] }));
  return namesIn(of).map((key) => ({ key, one: under(of, key), path: [...path, key] }));
}

/**
 * Names in the file that must point at something in it.
 *
 * @param season the file as read, be it as the schema wants it or not: a wrong name is told in the
 *   same run as a wrong shape, of which the schema tells and this says nothing
 */
export function* references(season: unknown, yaml: Places): Generator<Fault> {
  const partsIn = (key: string): FilePart[] => partsOf(under(season, key), [key]);
  const [lines, pens, setters, hatchers] = ['lines', 'pens', 'setters', 'hatchers'].map((key) =>
    under(season, key),
  );
  const kinds = [...speciesNames(), ...namesIn(under(season, 'kinds'))];
  function* known(
    path: YamlPath,
    name: string | undefined,
    names: readonly string[],
    what: string,
  ): Generator<Fault> {
    if (name === undefined || names.includes(name)) return;
    // A name that is itself the key stands before its value.
    const isKey = path.at(-1) === name;
    yield fault(
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
    );
  }
  function* knownKeys(of: unknown, path: YamlPath, what: string, names: readonly string[]) {
    for (const { key, path: at } of partsOf(of, path)) yield* known(at, key, names, what);
  }
  function* knownTables(of: unknown, path: YamlPath) {
    for (const { key, one } of partsOf(under(of, 'feed'), []))
      yield* known(
        [...path, 'feed', key, 'table'],
        textOf(one, 'table'),
        Object.keys(feedTables),
        'feed table',
      );
  }
  const taken = (section: string, name: string, already: string, hint: string): Fault =>
    fault(
      'name-taken',
      yaml.placeOfKey([section], name),
      `${section}: ${quoted(name)} is ${already} already`,
      { hint },
    );

  for (const { key, one, path } of partsIn('kinds')) {
    if (speciesNames().includes(key))
      yield taken(
        'kinds',
        key,
        'a species of the table',
        `give it another name, with like: ${key}`,
      );
    yield* known([...path, 'like'], textOf(one, 'like'), speciesNames(), 'species');
    yield* knownTables(one, path);
    const missing = needsOwn.filter((figure) => under(one, figure) === undefined);
    if (isMapping(one) && under(one, 'like') === undefined && missing.length > 0)
      yield fault(
        'missing-key',
        yaml.placeOf(path),
        expectedFound(
          `kinds › ${key}`,
          `like: and a species, or figures of its own (${needsOwn.join(', ')})`,
          `no ${missing.join(', ')}`,
        ),
        { hint: `name the nearest species: like: ${groupKinds.waterfowl}, for one` },
      );
  }
  const maxDays = under(under(season, 'storage'), 'max_days');
  yield* knownKeys(maxDays, ['storage', 'max_days'], 'species', kinds);
  for (const { one, path } of partsIn('lines')) {
    yield* known([...path, 'species'], textOf(one, 'species'), kinds, 'species');
    yield* knownTables(under(one, 'override'), [...path, 'override']);
  }
  for (const { one, path } of partsIn('pens')) {
    yield* known([...path, 'line'], textOf(one, 'line'), namesIn(lines), 'line');
    const joined = parseDay(textOf(one, 'joined') ?? '');
    const parted = parseDay(textOf(one, 'parted') ?? '');
    if (joined !== null && parted !== null && parted < joined)
      yield fault(
        'bad-value',
        yaml.placeOf([...path, 'parted']),
        `${pathWords(path)} › parted: ${parted} is before joined ${joined}`,
      );
  }
  for (const { one, path } of partsIn('next_pens'))
    yield* known([...path, 'line'], textOf(one, 'line'), namesIn(lines), 'line');
  for (const [section, holds] of [
    ['setters', 'tray_holds'],
    ['hatchers', 'holds'],
  ] as const)
    for (const { key, one, path } of partsIn(section)) {
      yield* knownKeys(under(one, holds), [...path, holds], 'species', kinds);
      if (section === 'hatchers' && under(setters, key) !== undefined)
        yield taken(
          section,
          key,
          'the name of a setter',
          'readings go by the name of the machine: give the two compartments two names',
        );
    }
  for (const { key, one } of partsIn('setters'))
    for (const place of ['brooders', 'runs'])
      if (under(one, 'broody') === true && under(under(season, place), key) !== undefined)
        yield taken(
          place,
          key,
          'the name of a hen',
          'chicks go by the name of the place: give one of them another',
        );
  for (const { one, path } of [...partsIn('goals'), ...partsIn('orders')])
    yield* known([...path, 'line'], textOf(one, 'line'), namesIn(lines), 'line');
  yield* knownKeys(under(season, 'rates'), ['rates'], 'line', namesIn(lines));

  const usual = usualSetter(
    partsIn('setters').map(({ key, one }) => [key, { broody: under(one, 'broody') === true }]),
  );
  const sets = new Set<string>();
  for (const { one, path } of partsIn('plan')) {
    const set = textOf(one, 'set');
    const tell = (code: FaultCode, at: YamlPath, message: string, hint: string | null = null) =>
      fault(code, yaml.placeOf([...path, ...at]), message, { set, hint });
    if (set !== undefined) {
      if (sets.has(set))
        yield tell('name-taken', ['set'], `plan: the set ${quoted(set)} is planned twice`);
      sets.add(set);
    }
    const setter = textOf(one, 'setter') ?? usual;
    yield* known([...path, 'setter'], setter ?? undefined, namesIn(setters), 'setter');
    if (isMapping(one) && under(one, 'setter') === undefined && isMapping(setters) && !setter)
      yield tell(
        'missing-key',
        [],
        expectedFound(`${pathWords(path)} › setter`, 'the name of a setter', 'nothing'),
      );
    yield* known([...path, 'hatcher'], textOf(one, 'hatcher'), namesIn(hatchers), 'hatcher');
    const most = under(under(setters, setter ?? ''), 'trays');
    for (const { one: tray, path: at } of partsOf(under(one, 'trays'), ['trays']))
      if (typeof tray === 'number' && typeof most === 'number' && tray > most)
        yield tell(
          'bad-value',
          at,
          expectedFound('tray', `a tray from 1 to ${most}`, String(tray)),
        );
    const shares = partsOf(under(one, 'shares'), [...path, 'shares']);
    for (const { key, path: at } of shares) yield* known(at, key, namesIn(pens), 'pen');
    const species = new Set(
      shares
        .map(({ key }) => under(lines, textOf(under(pens, key), 'line') ?? ''))
        .map((line) => textOf(line, 'species'))
        .filter((kind) => kind !== undefined),
    );
    if (species.size > 1)
      yield tell(
        'wrong-species',
        ['shares'],
        `plan: the set ${quoted(set ?? '')} mixes ${[...species].join(' and ')}; a set is of one species`,
        'give each species a set of its own on that day',
      );
  }
}
