// The house has one direction: text → records → season → facts → judge → planner → flock, breeders,
// costs → tables, and io/ and commands/ join them. A module may import from its own folder and from
// those to its left.
import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative, resolve, sep } from 'node:path';
import ts from 'typescript';
import { describe, expect, test } from 'vitest';
import { root } from './harness/console.ts';

const src = join(root, 'src');

const order = [
  'text',
  'records',
  'season',
  'facts',
  'judge',
  'planner',
  'flock',
  'breeders',
  'costs',
  'tables',
];
const before = (layer: string) => order.slice(0, order.indexOf(layer));
const mayImport: Readonly<Record<string, readonly string[]>> = {
  ...Object.fromEntries(order.map((layer) => [layer, before(layer)])),
  // What birds are doing in costs and breeding is asked side by side.
  breeders: before('flock'),
  io: before('judge'),
  commands: [...order, 'io'],
};
/** How a number is written belongs to every layer that makes a sentence: a leaf that needs text alone. */
const leaves: Readonly<Record<string, readonly string[]>> = { 'tables/numbers.ts': ['text'] };
const pure = new Set(order);

type Module = { path: string; layer: string; text: string; imports: string[] };

const modules: Module[] = readdirSync(src, { recursive: true, encoding: 'utf8' })
  .filter((name) => name.endsWith('.ts') && !name.endsWith('.test.ts') && !name.endsWith('.d.ts'))
  .map((name) => {
    const text = readFileSync(join(src, name), 'utf8');
    return {
      path: name,
      layer: name.includes(sep) ? (name.split(sep)[0] ?? '') : '',
      text,
      imports: ts.preProcessFile(text, true, true).importedFiles.map((file) => file.fileName),
    };
  });

function layerOf(module: Module, imported: string): string | undefined {
  if (!imported.startsWith('.')) return undefined;
  const inside = relative(src, resolve(src, dirname(module.path), imported));
  if (inside.startsWith('..')) return undefined; // seeds/, package.json
  return inside.includes(sep) ? inside.split(sep)[0] : '';
}

const pathOf = (module: Module, imported: string): string =>
  relative(src, resolve(src, dirname(module.path), imported));

describe('imports go one way', () => {
  test('a leaf imports only from the layers it names', () => {
    const wrong = modules
      .filter((module) => module.path in leaves)
      .flatMap((module) =>
        module.imports.map((imported) => [module.path, layerOf(module, imported)]),
      )
      .filter(([path, layer]) => !leaves[path!]!.includes(layer ?? ''));
    expect(wrong).toEqual([]);
  });

  test('every folder of src/ has its place in the order', () => {
    const folders = [...new Set(modules.map((module) => module.layer))].filter(Boolean);
    expect(folders.filter((folder) => !(folder in mayImport))).toEqual([]);
  });

  test('a module imports only from its own folder and those to its left', () => {
    const wrong = modules
      .filter((module) => module.layer in mayImport)
      .flatMap((module) =>
        module.imports
          .filter((imported) => {
            const layer = layerOf(module, imported);
            if (pathOf(module, imported) in leaves && module.layer !== 'text') return false;
            return (
              layer !== undefined &&
              layer !== module.layer &&
              !mayImport[module.layer]?.includes(layer)
            );
          })
          .map((imported) => `src/${module.path} may not import ${imported}`),
      );
    expect(wrong).toEqual([]);
  });

  test('only src/io touches the disk', () => {
    const wrong = modules
      .filter((module) => module.layer !== 'io')
      .flatMap((module) =>
        module.imports
          .filter((imported) => /^(node:)?(fs|fs\/promises)$/.test(imported))
          .map((imported) => `src/${module.path} imports ${imported}: only src/io may`),
      );
    expect(wrong).toEqual([]);
  });

  test('the core takes its clock, chance and surroundings as arguments', () => {
    const asks =
      /\bDate\.now\(|\bnew Date\(\s*\)|\bDateTime\.(now|local)\(\s*\)|\bMath\.random\(|\bprocess\.|\bconsole\./;
    const wrong = modules
      .filter((module) => pure.has(module.layer))
      .flatMap((module) =>
        module.text.split('\n').flatMap((line, index) => {
          const code = line.replace(/\/\/.*$|^\s*\*.*$|^\s*\/\*.*$/, '');
          return asks.test(code) ? [`src/${module.path}:${index + 1}: ${line.trim()}`] : [];
        }),
      );
    expect(wrong).toEqual([]);
  });
});

// An engine puts each element of a spread list on the stack, and a long log overflows it.
test('no list is spread into a call: src/text/lists.ts has the words for it', () => {
  const found: string[] = [];
  for (const { path, text } of modules) {
    if (!text.includes('...')) continue;
    const source = ts.createSourceFile(path, text, ts.ScriptTarget.Latest);
    const visit = (node: ts.Node): void => {
      const given = ts.isCallExpression(node) || ts.isNewExpression(node) ? node.arguments : [];
      if (given?.some(ts.isSpreadElement)) {
        const { line } = source.getLineAndCharacterOfPosition(node.pos);
        found.push(`src/${path}:${line + 1}`);
      }
      ts.forEachChild(node, visit);
    };
    visit(source);
  }
  expect(found).toEqual([]);
});

describe('a folder agrees with its index', () => {
  // Each kind of module is told by what it exports; the index must import it.
  const kinds: readonly { folder: string; exports: RegExp }[] = [
    { folder: 'records', exports: /^export const \w+ = record\(/m },
    { folder: 'commands', exports: /^export const command: CommandModule\b/m },
    {
      folder: 'facts/checks',
      exports: /^export (const|function) \w+[^\n]*: (Check\b|Fault\[\])/m,
    },
  ];
  for (const { folder, exports } of kinds) {
    test(`src/${folder}`, () => {
      const here = modules.filter((module) => dirname(module.path) === folder.split('/').join(sep));
      const index = here.find((module) => module.path.endsWith(`${sep}index.ts`));
      const listed = new Set(index?.imports.map((name) => join(folder, name)));
      const meant = here.filter((module) => module !== index && exports.test(module.text));
      expect(meant.length, `nothing in src/${folder} is told by ${exports}`).toBeGreaterThan(1);
      const forgotten = meant
        .filter((module) => !listed.has(module.path))
        .map(
          (module) => `add a line for ./${module.path.split(sep).at(-1)} to src/${folder}/index.ts`,
        );
      expect(forgotten).toEqual([]);
    });
  }
});

describe('the house can be held in the head', () => {
  const byPath = new Map(modules.map((module) => [module.path, module]));
  const importsOf = (path: string): string[] =>
    byPath
      .get(path)!
      .imports.filter((imported) => imported.startsWith('.'))
      .map((imported) => relative(src, resolve(src, dirname(path), imported)))
      .filter((imported) => byPath.has(imported));

  /** Every file that can be reached from one by its imports. */
  const reached = (from: string): Set<string> => {
    const seen = new Set<string>();
    const open = importsOf(from);
    while (open.length > 0) {
      const path = open.pop()!;
      if (seen.has(path)) continue;
      seen.add(path);
      for (const next of importsOf(path)) open.push(next);
    }
    return seen;
  };

  // An import of a type alone counts: whoever reads the one file must read the other.
  test('no file imports itself by way of others', () => {
    const inCircles = [...byPath.keys()].filter((path) => reached(path).has(path));
    expect(inCircles).toEqual([]);
  });

  test('a name of a type means one thing', () => {
    const files = new Map<string, string[]>();
    for (const { path, text } of modules)
      for (const [, name] of text.matchAll(/^(?:export )?(?:type|interface) (\w+)/gm))
        files.set(name!, [...(files.get(name!) ?? []), path]);
    const twice = [...files].filter(([, paths]) => paths.length > 1);
    expect(twice.map(([name, paths]) => `${name}: ${paths.join(', ')}`)).toEqual([]);
  });
});
