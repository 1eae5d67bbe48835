import {
  isCollection,
  isMap,
  isScalar,
  type Node,
  type Pair,
  parseDocument,
  visit,
  type YAMLMap,
} from 'yaml';
import { type Fault, fault, quoted } from './fault.ts';
import { headOf, type Place, placeAt, type Source } from './source.ts';
import { YAML_LIMITS, type YamlPath } from './yaml-limits.ts';

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
  if (source.text.length > YAML_LIMITS.characters) {
    return {
      value: undefined,
      faults: [
        fault(
          'file-too-large',
          headOf(source.path),
          `expected at most ${YAML_LIMITS.characters} characters, found ${source.text.length}`,
        ),
      ],
      ...nowhere,
    };
  }
  if (deepestFlow(source.text) > YAML_LIMITS.depth) {
    return { value: undefined, faults: [tooDeep(source)], ...nowhere };
  }
  const faults: Fault[] = [];
  const document = parseDocument(source.text, { version: '1.2', schema: 'core', uniqueKeys: true });
  for (const error of document.errors) {
    const at = placeAt(source, error.pos[0]);
    if (error.code === 'DUPLICATE_KEY') {
      const key = /^[^\s:]+/.exec(source.text.slice(error.pos[0]))?.[0] ?? '';
      faults.push(
        fault('yaml-duplicate-key', at, `the key ${quoted(key)} stands twice in one mapping`, {
          hint: 'keep one of the two, or give the second another name',
        }),
      );
    } else {
      const [sentence = error.code] = error.message.split(/ at line \d+|\n/);
      const hasTab = source.text.slice(0, error.pos[1]).split('\n').at(-1)?.startsWith('\t');
      faults.push(
        fault('yaml-syntax', at, `cannot be read as YAML: ${sentence}`, {
          hint: hasTab
            ? 'indent with spaces, not tabs'
            : 'look at the indent and the colons around here',
        }),
      );
    }
  }
  let deepest = 0;
  visit(document, {
    Alias: (_, node) => {
      const at = placeAt(source, node.range?.[0] ?? 0);
      // A line full of them is one thing to mend.
      if (faults.some((one) => one.code === 'yaml-alias' && one.at.line === at.line)) return;
      faults.push(
        fault('yaml-alias', at, 'aliases (*name) are not read here', {
          hint: 'write the value out',
        }),
      );
    },
    Pair: (_, pair, path) => {
      if (path.length > deepest) deepest = path.length;
      if (isScalar(pair.key) && pair.key.value === '__proto__') {
        faults.push(
          fault(
            'unknown-key',
            placeAt(source, pair.key.range?.[0] ?? 0),
            'the key "__proto__" means nothing here',
          ),
        );
      }
    },
  });
  // A path alternates maps and pairs, so two steps are one level.
  if (deepest > YAML_LIMITS.depth * 2) faults.push(tooDeep(source));
  if (faults.length > 0) return { value: undefined, faults, ...nowhere };

  const nodeAt = (path: YamlPath): Node | null => {
    for (let length = path.length; length >= 0; length -= 1) {
      const node = length === 0 ? document.contents : document.getIn(path.slice(0, length), true);
      if (node && typeof node === 'object' && 'range' in (node as object)) return node as Node;
    }
    return null;
  };
  const pairAt = (path: YamlPath, key: string): Pair<Node> | undefined => {
    const map = path.length === 0 ? document.contents : document.getIn(path, true);
    if (!isMap(map)) return undefined;
    return (map as YAMLMap<Node>).items.find(
      (pair) => isScalar(pair.key) && String(pair.key.value) === key,
    );
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

function tooDeep(source: Source): Fault {
  return fault(
    'yaml-too-deep',
    headOf(source.path),
    `nested deeper than ${YAML_LIMITS.depth} levels`,
  );
}

/** Nesting of brackets, counted before parsing: a deep one would exhaust the parser's stack. */
function deepestFlow(text: string): number {
  let depth = 0;
  let deepest = 0;
  for (let index = 0; index < text.length; index += 1) {
    const code = text.charCodeAt(index);
    if (code === 91 || code === 123) depth += 1;
    else if (code === 93 || code === 125) depth = Math.max(0, depth - 1);
    else if (code === 10 && text.charCodeAt(index + 1) > 32) depth = 0;
    if (depth > deepest) deepest = depth;
  }
  return deepest;
}
