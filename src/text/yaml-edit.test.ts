import * as fc from 'fast-check';
import { expect, test } from 'vitest';
import { parse, parseDocument, type Scalar } from 'yaml';
import { isLongRun } from '../../tests/support/long.ts';
import { removeIn, setIn, YamlEditRefused, type YamlValue } from './yaml-edit.ts';
import type { YamlPath } from './yaml-limits.ts';

const SEASON = `# The season of the two lines
format: traybook/1
season: 2027        # the second with the pond

place: {name: "Hollin Bank", timezone: 'Europe/London'}


pens:
  north: {line: dorking, hens: 11, males: 1}   # old cock
  # the south pen gets a second male
  south:
    line: dorking
    hens: 13     # one lame
    males: 2

rates: {}            # overrides
plan:
  # the first two by the moon
  - {set: D1, on: 2027-03-06, trays: [1], shares: {north: 20, south: 22}}  # full tray
  # not on Easter
  - set: D2
    on: 2027-03-13   # a Saturday
    trays: [2]
# the end
`;
const set = (name: string, over: Record<string, YamlValue> = {}) => ({
  set: name,
  on: '2027-03-20',
  trays: [3],
  ...over,
});
const D1 = set('D1', { on: '2027-03-06', trays: [1], shares: { north: 20, south: 22 } });
const D2 = set('D2', { on: '2027-03-13', trays: [2] });
const print = (...items: string[]) => items.map((item) => `  - ${item}\n`).join('');
const D3_TEXT = '{set: D3, on: 2027-03-20, trays: [3]}';

test('a value is exchanged in its own kind of quotes and nothing else moves', () => {
  expect(setIn(SEASON, ['place', 'name'], 'High End')).toBe(
    SEASON.replace('Hollin Bank', 'High End'),
  );
  expect(setIn(SEASON, ['place', 'timezone'], "Europe/O'x")).toBe(
    SEASON.replace("'Europe/London'", "'Europe/O''x'"),
  );
  expect(setIn(SEASON, ['pens', 'south', 'hens'], 12)).toBe(SEASON.replace('13 ', '12 '));
});

test('a key is added below its fellows, beside them in brackets, with what leads to it', () => {
  expect(setIn(SEASON, ['pens', 'south', 'joined'], '2027-02-13')).toBe(
    SEASON.replace('    males: 2\n', '    males: 2\n    joined: 2027-02-13\n'),
  );
  expect(setIn(SEASON, ['pens', 'north', 'joined'], '2027-02-13')).toBe(
    SEASON.replace('males: 1}', 'males: 1, joined: 2027-02-13}'),
  );
  expect(setIn(SEASON, ['rates', 'chicken', 'fertile'], 0.85)).toBe(
    SEASON.replace('{}  ', '{chicken: {fertile: 0.85}}  '),
  );
  expect(setIn('# nothing yet\n', ['a', 'b'], 1)).toBe('# nothing yet\na: {b: 1}\n');
});

test('items go below the last, before the comments that follow', () => {
  expect(appendTo(SEASON, ['plan'], [set('D3')])).toBe(
    SEASON.replace('# the end', `${print(D3_TEXT)}# the end`),
  );
  expect(appendTo('plan: [] # none\n\nx: 1\n', ['plan'], [set('D3')])).toBe(
    `plan: # none\n${print(D3_TEXT)}\nx: 1\n`,
  );
  expect(appendTo('plan:\n', ['plan'], [1])).toBe('plan: [1]\n');
  expect(appendTo('x: 1', ['plan'], [set('D3')])).toBe(`x: 1\nplan:\n${print(D3_TEXT)}`);
  expect(appendTo('plan: [1, 2]\n', ['plan'], [3, 'four'])).toBe('plan: [1, 2, 3, four]\n');
});

test('a list is replaced item by item: what stays keeps its comments, what goes leaves them', () => {
  expect(setIn(SEASON, ['plan'], [D1, D2])).toBe(SEASON);
  expect(setIn(SEASON, ['plan'], [D1, { ...D2, trays: [2, 3] }, set('D3')])).toBe(
    SEASON.replace('trays: [2]\n', `trays: [2, 3]\n${print(D3_TEXT)}`),
  );
  expect(setIn(SEASON, ['plan'], [D2])).toBe(
    SEASON.replace(/ {2}- \{set: D1.*\n/, '  # full tray\n'),
  );
  expect(setIn(SEASON, ['plan'], [set('D0'), D1, D2])).toBe(
    SEASON.replace('  - {set: D1', '  - {set: D0, on: 2027-03-20, trays: [3]}\n  - {set: D1'),
  );
  const emptied = setIn(SEASON, ['plan'], []);
  expect(emptied).toContain('plan: []\n');
  for (const comment of [
    '# the first two',
    '# not on Easter',
    '# full tray',
    '# a Saturday',
    '# the end',
  ])
    expect(emptied).toContain(comment);
});

test('CRLF line ends stay', () => {
  const crlf = SEASON.replaceAll('\n', '\r\n');
  expect(appendTo(crlf, ['plan'], [set('D3')])).toBe(
    appendTo(SEASON, ['plan'], [set('D3')]).replaceAll('\n', '\r\n'),
  );
});

test('what cannot be edited without harm is refused', () => {
  expect(() => setIn('a: [1', ['a'], 2)).toThrow(YamlEditRefused);
  expect(() => setIn('a: &x 1\nb: *x\n', ['a'], 2)).toThrow();
  expect(setIn('a: 1\n', ['__proto__'], 2)).toBe('a: 1\n__proto__: 2\n');
});

// Random documents, written the many ways a keeper may write them.

const quiet = { logLevel: 'error' } as const;
type Comments = { count: number };
const leaf = fc.oneof(
  fc.integer({ min: -1000, max: 1000 }),
  fc.boolean(),
  fc.constant(null),
  fc.constantFrom(
    '2027-03-06',
    'dorking',
    'yes',
    'null',
    '12',
    '- x',
    'a: b',
    '# no comment',
    '',
    'é 🐣',
    "it's",
    'x"y',
    ' lead',
    '[',
    '{a',
    '*star',
    '&and',
    '1e3',
    '0x1f',
    '~',
  ),
  fc.string({ maxLength: 6 }).filter((text) => !/\p{C}/u.test(text)),
) as fc.Arbitrary<YamlValue>;
const key = fc.constantFrom(
  'set',
  'on',
  'pens',
  'north',
  'south',
  'trays',
  'shares',
  'note',
  'x',
  'y z',
  '7',
);
const { value: anyValue } = fc.letrec<{ value: YamlValue }>((tie) => ({
  value: fc.oneof(
    { depthSize: 'small', withCrossShrink: true },
    leaf,
    fc.array(tie('value'), { maxLength: 4 }),
    fc.dictionary(key, tie('value'), { maxKeys: 4, noNullPrototype: true }),
  ),
}));
const anyMap = fc.dictionary(key, anyValue, { minKeys: 1, maxKeys: 5, noNullPrototype: true });

/** Writes a value as YAML, drawing layout, quotes, comments and blank lines. */
function written(value: YamlValue, draw: () => number, comments: Comments, indent = ''): string {
  const chance = (share: number) => draw() < share;
  const comment = () => `# c${++comments.count}`;
  const tail = () => (chance(0.25) ? ` ${' '.repeat(Math.floor(draw() * 3))}${comment()}` : '');
  const lead = (at: string) =>
    (chance(0.2) ? '\n' : '') +
    (chance(0.2) ? `${at}${comment()}\n` : '') +
    (chance(0.1) ? '\n\n' : '');
  const scalar = (one: YamlValue): string => {
    if (typeof one !== 'string') return one === null ? (chance(0.5) ? 'null' : '~') : String(one);
    const isPlain = (() => {
      try {
        return (
          !/^\s|\s$|[,[\]{}:#]/.test(one) &&
          parse(`[${one}]`, quiet)[0] === one &&
          parse(`a: ${one}`, quiet).a === one
        );
      } catch {
        return false;
      }
    })();
    if (isPlain && chance(0.7)) return one;
    return chance(0.5) ? JSON.stringify(one) : `'${one.replaceAll("'", "''")}'`;
  };
  const flowed = (one: YamlValue): string => {
    const pad = chance(0.3) ? ' ' : '';
    if (Array.isArray(one))
      return `[${pad}${one.map(flowed).join(`,${chance(0.8) ? ' ' : ''}`)}${one.length > 0 && chance(0.15) ? ',' : ''}${pad}]`;
    if (one !== null && typeof one === 'object')
      return `{${pad}${Object.entries(one)
        .map(([k, v]) => `${scalar(k)}: ${flowed(v)}`)
        .join(', ')}${pad}}`;
    return scalar(one);
  };
  const isOpen = (one: YamlValue) =>
    one !== null && typeof one === 'object' && Object.keys(one).length > 0;
  const body = (one: YamlValue, at: string): string => {
    if (one !== null && typeof one === 'object' && !Array.isArray(one)) {
      return Object.entries(one)
        .map(([k, v], index) => {
          const head = (index === 0 ? '' : lead(at)) + at + scalar(k);
          if (isOpen(v) && chance(0.6)) {
            const deeper =
              Array.isArray(v) && chance(0.4)
                ? at
                : `${at}${' '.repeat(1 + Math.floor(draw() * 3))}`;
            return `${head}:${tail()}\n${lead(deeper)}${body(v, deeper)}`;
          }
          if (v === null && chance(0.4)) return `${head}:${tail()}\n`;
          if (typeof v === 'string' && /^[a-z]+$/.test(v) && chance(0.3))
            return `${head}: |-\n${at}  ${v}\n`;
          return `${head}: ${flowed(v)}${tail()}\n`;
        })
        .join('');
    }
    return (one as readonly YamlValue[])
      .map((v, index) => {
        const head = `${index === 0 ? '' : lead(at)}${at}-`;
        if (isOpen(v) && chance(0.6)) return `${head} ${body(v, `${at}  `).slice(at.length + 2)}`;
        if (v === null && chance(0.4)) return `${head}${tail()}\n`;
        return `${head} ${flowed(v)}${tail()}\n`;
      })
      .join('');
  };
  return `${lead(indent)}${body(value, indent)}${chance(0.3) ? `${indent}${comment()}\n` : ''}`;
}

const document = fc
  .tuple(anyMap, fc.infiniteStream(fc.double({ min: 0, max: 1, noNaN: true, maxExcluded: true })))
  .map(([value, stream]) => {
    const draws = stream[Symbol.iterator]();
    const comments = { count: 0 };
    const text = written(value, () => draws.next().value as number, comments);
    return { value, text, comments: comments.count };
  });

function pathsOf(value: YamlValue, path: YamlPath = []): YamlPath[] {
  if (value === null || typeof value !== 'object') return [path];
  const children = Array.isArray(value)
    ? value.flatMap((one: YamlValue, index) => pathsOf(one, [...path, index]))
    : Object.entries(value).flatMap(([k, one]) => pathsOf(one as YamlValue, [...path, k]));
  return [path, ...children];
}
/** The document with items added at the end of a list. */
const appendTo = (text: string, path: YamlPath, items: readonly YamlValue[]): string => {
  const list = parseDocument(text).getIn(path) === undefined ? [] : valueAt(parse(text), path);
  return setIn(text, path, [...((list as YamlValue[] | null) ?? []), ...items]);
};
const valueAt = (value: unknown, path: YamlPath): unknown =>
  path.reduce<unknown>((one, k) => (one as Record<string | number, unknown>)[k], value);
const commentsOf = (text: string) => (text.match(/# c\d+/g) ?? []).sort();
/** More by `TRAYBOOK_RUNS=2000 npm test`. */
const runs = { numRuns: Number(process.env.TRAYBOOK_RUNS ?? (isLongRun ? 150 : 30)) };

test('the random documents are what they were made from', () => {
  fc.assert(
    fc.property(document, ({ value, text }) => {
      expect(parseDocument(text).errors).toEqual([]);
      expect(parse(text)).toEqual(value);
    }),
    runs,
  );
});

test('setting any value anywhere keeps every comment and reads back as asked', () => {
  fc.assert(
    fc.property(document, fc.nat(), anyValue, ({ value, text }, pick, put) => {
      const paths = pathsOf(value).filter((path) => path.length > 0);
      const path = paths[pick % paths.length]!;
      const out = setIn(text, path, put);
      expect(valueAt(parse(out), path)).toEqual(put);
      expect(commentsOf(out)).toEqual(commentsOf(text));
    }),
    runs,
  );
});

test('exchanging one plain value changes those characters only', () => {
  fc.assert(
    fc.property(document, fc.nat(), leaf, ({ value, text }, pick, put) => {
      const isLeaf = (path: YamlPath) => {
        const one = valueAt(value, path);
        return one === null || typeof one !== 'object';
      };
      const paths = pathsOf(value).filter((path) => path.length > 0 && isLeaf(path));
      fc.pre(paths.length > 0);
      const path = paths[pick % paths.length]!;
      const out = setIn(text, path, put);
      const old = text.split('\n');
      const now = out.split('\n');
      // A text in a block of its own takes two lines, and becomes one.
      expect([old.length, old.length - 1]).toContain(now.length);
      const same = (a: string[], b: string[]) => {
        let count = 0;
        while (count < a.length && a[count] === b[count]) count += 1;
        return count;
      };
      const before = same(now, old);
      const after = same([...now].reverse(), [...old].reverse());
      expect(before + after).toBeGreaterThanOrEqual(now.length - 1);
    }),
    runs,
  );
});

test('adding keys and items only adds', () => {
  fc.assert(
    fc.property(document, fc.nat(), anyValue, ({ value, text }, pick, put) => {
      const paths = pathsOf(value).filter((path) => {
        const one = valueAt(value, path);
        return one !== null && typeof one === 'object' && Object.keys(one).length > 0;
      });
      const path = paths[pick % paths.length]!;
      const out = Array.isArray(valueAt(value, path))
        ? appendTo(text, path, [put])
        : setIn(text, [...path, 'added'], put);
      let start = 0;
      while (start < text.length && text[start] === out[start]) start += 1;
      const rest = text.length - start;
      expect(out.slice(out.length - rest)).toBe(text.slice(start));
    }),
    runs,
  );
});

test('removing keeps every comment and every other value', () => {
  fc.assert(
    fc.property(document, fc.nat(), ({ value, text }, pick) => {
      const paths = pathsOf(value).filter((path) => path.length > 0);
      const out = removeIn(text, paths[pick % paths.length]!);
      expect(commentsOf(out)).toEqual(commentsOf(text));
    }),
    runs,
  );
});

test('replacing a list by any other keeps every comment', () => {
  fc.assert(
    fc.property(
      document,
      fc.nat(),
      fc.array(fc.oneof(anyValue, fc.nat()), { maxLength: 6 }),
      ({ value, text }, pick, drawn) => {
        const lists = pathsOf(value).filter((path) => Array.isArray(valueAt(value, path)));
        fc.pre(lists.length > 0);
        const path = lists[pick % lists.length]!;
        const old = valueAt(value, path) as YamlValue[];
        // Numbers stand for items of the old list: kept, moved or doubled.
        const items = drawn.map((one) =>
          typeof one === 'number' && old.length > 0 ? old[Math.abs(one) % old.length]! : one,
        );
        const out = setIn(text, path, items);
        expect(valueAt(parse(out), path)).toEqual(items);
        expect(commentsOf(out)).toEqual(commentsOf(text));
      },
    ),
    runs,
  );
});

test('whatever the edit, all that stands under other keys stays to the byte: order, quotes, blank lines', () => {
  fc.assert(
    fc.property(
      document,
      fc.nat(),
      anyValue,
      fc.constantFrom('set', 'remove', 'append', 'replace'),
      ({ value, text }, pick, put, how) => {
        const isList = (path: YamlPath) => Array.isArray(valueAt(value, path));
        const paths = pathsOf(value).filter(
          (path) => path.length > 0 && (how === 'set' || how === 'remove' || isList(path)),
        );
        fc.pre(paths.length > 0);
        const path = paths[pick % paths.length]!;
        let out = '';
        try {
          out =
            how === 'set'
              ? setIn(text, path, put)
              : how === 'remove'
                ? removeIn(text, path)
                : how === 'append'
                  ? appendTo(text, path, [put])
                  : setIn(text, path, [put]);
        } catch (error) {
          // Refusing is right where nothing but a change elsewhere would do; too many would fail.
          if (!(error instanceof YamlEditRefused)) throw error;
          fc.pre(false);
        }
        const pairs = (parseDocument(text).contents as unknown as { items: { key: Scalar }[] })
          .items;
        const index = pairs.findIndex(({ key }) => String(key.value) === path[0]);
        const startOf = (at: number) => text.lastIndexOf('\n', pairs[at]!.key.range![0] - 1) + 1;
        expect(out.startsWith(text.slice(0, startOf(index)))).toBe(true);
        if (index + 1 < pairs.length)
          expect(out.endsWith(text.slice(startOf(index + 1)))).toBe(true);
      },
    ),
    runs,
  );
});
