import {
  isCollection,
  isMap,
  isScalar,
  isSeq,
  type Node,
  type Pair,
  parseDocument,
  visit,
  type YAMLMap,
  type YAMLParseError,
} from 'yaml';
import { type Fault, fault, quoted } from './fault.ts';
import { addAll } from './lists.ts';
import { headOf, type Place, placeAt, type Source } from './source.ts';
import { unfinishedMerge } from './unfinished-merge.ts';
import { boundsOfYaml } from './yaml-bounds.ts';
import type { YamlPath } from './yaml-limits.ts';

/** The most faults of the writing that are told at once. */
const MOST_ERRORS = 20;

/** What the library says is wrong, without its advice to programmers. */
function sentenceOf({ code, message }: YAMLParseError): string {
  if (code === 'MULTIPLE_DOCS') return 'a second document begins here';
  return message.split(/ at line \d+|\n/)[0] || code;
}

export type YamlRead = {
  /** The plain value, or undefined if the file cannot be used. */
  readonly value: unknown;
  readonly faults: readonly Fault[];
  /** Where the value at a path stands; climbs to the nearest parent that is there. */
  placeOf(path: YamlPath): Place;
  /** Where a key stands in the mapping at a path. */
  placeOfKey(path: YamlPath, key: string): Place;
};

/**
 * Reads a YAML 1.2 core document (dates stay text). Aliases are refused, size and depth bounded;
 * every fault carries its place.
 */
export function readYaml(source: Source): YamlRead {
  const nowhere = { placeOf: () => headOf(source.path), placeOfKey: () => headOf(source.path) };
  const merge = unfinishedMerge(source);
  const refused = merge === null ? boundsOfYaml(source) : [merge];
  if (refused.length > 0) return { value: undefined, faults: refused, ...nowhere };
  const faults: Fault[] = [];
  // The library's own search for keys that stand twice grows with their square.
  const document = parseDocument(source.text, {
    version: '1.2',
    schema: 'core',
    uniqueKeys: false,
  });
  // After the first few, what is wrong follows from what was wrong before.
  for (const error of document.errors.slice(0, MOST_ERRORS)) {
    const sentence = sentenceOf(error);
    const before = source.text.slice(
      source.text.lastIndexOf('\n', error.pos[1] - 1) + 1,
      error.pos[1],
    );
    faults.push(
      fault('yaml-syntax', placeAt(source, error.pos[0]), `cannot be read as YAML: ${sentence}`, {
        hint: before.startsWith('\t')
          ? 'indent with spaces, not tabs'
          : 'look at the indent and the colons around here',
      }),
    );
  }
  visit(document, { Map: (_, map) => addAll(faults, faultsOfKeys(map as YAMLMap<Node>, source)) });
  if (faults.length > 0) return { value: undefined, faults, ...nowhere };

  const nodeOf = (path: YamlPath): unknown => {
    let node: unknown = document.contents;
    for (const step of path) {
      if (isMap(node)) node = pairsOf(node as YAMLMap<Node>).get(String(step))?.value;
      else if (isSeq(node)) node = node.items[Number(step)];
      else return undefined;
    }
    return node;
  };
  const nodeAt = (path: YamlPath): Node | null => {
    for (let length = path.length; length >= 0; length -= 1) {
      const node = nodeOf(path.slice(0, length));
      if (node && typeof node === 'object' && 'range' in (node as object)) return node as Node;
    }
    return null;
  };
  const pairAt = (path: YamlPath, key: string): Pair<Node> | undefined => {
    const map = path.length === 0 ? document.contents : nodeOf(path);
    return isMap(map) ? pairsOf(map as YAMLMap<Node>).get(key) : undefined;
  };
  const placeOf = (path: YamlPath): Place => {
    const node = nodeAt(path);
    // A block collection begins at its first child; its key is the better place to point at.
    const last = path.at(-1);
    if (node && isCollection(node) && !node.flow && typeof last === 'string') {
      const pair = pairAt(path.slice(0, -1), last);
      if (pair?.key.range) return placeAt(source, pair.key.range[0]);
    }
    return placeAt(source, node?.range?.[0] ?? 0);
  };
  return {
    value: document.toJS({ maxAliasCount: 0 }),
    faults,
    placeOf,
    placeOfKey: (path, key) => {
      const pair = pairAt(path, key);
      return pair?.key.range ? placeAt(source, pair.key.range[0]) : placeOf(path);
    },
  };
}

/** The pairs of each mapping by key: to search a long one again for every fault would take long. */
const pairsByKey = new WeakMap<YAMLMap<Node>, ReadonlyMap<string, Pair<Node>>>();

function pairsOf(map: YAMLMap<Node>): ReadonlyMap<string, Pair<Node>> {
  let pairs = pairsByKey.get(map);
  if (pairs === undefined) {
    pairs = new Map(
      map.items.flatMap((pair) =>
        isScalar(pair.key) ? [[String(pair.key.value), pair] as const] : [],
      ),
    );
    pairsByKey.set(map, pairs);
  }
  return pairs;
}

/** Keys that stand twice in a mapping, or may not stand in any. */
function faultsOfKeys(map: YAMLMap<Node>, source: Source): Fault[] {
  const faults: Fault[] = [];
  const keys = new Set<string>();
  for (const { key } of map.items) {
    if (!isScalar(key)) continue;
    const name = String(key.value);
    const at = placeAt(source, key.range?.[0] ?? 0);
    if (keys.has(name))
      faults.push(
        fault('yaml-duplicate-key', at, `the key ${quoted(name)} stands twice in one mapping`, {
          hint: 'keep one of the two, or give the second another name',
        }),
      );
    if (name === '__proto__')
      faults.push(fault('unknown-key', at, 'the key "__proto__" means nothing here'));
    keys.add(name);
  }
  return faults;
}
