// Every figure that is printed is followed back to its table: each line of the made pages to one
// entry that holds all its numbers and its grade, and each number with a unit in the code to none.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import ts from 'typescript';
import { expect, test } from 'vitest';
import advice from '../../seeds/advice.yaml';
import cautions from '../../seeds/cautions.yaml';
import { allFigures, figureTables, type Placed } from '../../src/season/all-figures.ts';
import { growthTypeOf } from '../../src/season/brooding.ts';
import { candlingLooks, deathsAt } from '../../src/season/embryo.ts';
import type { Seen } from '../../src/season/figure.ts';
import { adviceFile, cautionsFile } from '../../src/season/knowledge-schema.ts';
import { speciesNames, speciesTable } from '../../src/season/species.ts';
import { figuresPage, generalFigures } from '../../src/tables/guide-figures.ts';
import {
  advicePage,
  capital,
  cautionsPage,
  embryoPage,
  gradeOf,
} from '../../src/tables/guide-pages.ts';
import { root } from '../harness/console.ts';

const grades = (['read', 'copy', 'memory', 'practice', 'computed'] as Seen[]).map(gradeOf);
const graded = new RegExp(`^- (.*) \\((?:.*; )?(${grades.join('|')})\\)$`);
const bullets = (page: string) => page.split('\n').filter((line) => line.startsWith('- '));
const numbers = (text: string) => text.match(/\d+(?:\.\d+)?/g) ?? [];

/** What stands at the place of a figure, as text, without its source. */
function valueText({ table, path }: Placed): string {
  let value: unknown = figureTables[table];
  for (const key of path) value = (value as Record<string, unknown>)[key];
  const { source: _source, note: _note, ...own } = value as Record<string, unknown>;
  return JSON.stringify(own);
}

const entries = allFigures().map((one) => ({
  ...one,
  grade: gradeOf(one.seen),
  numbers: new Set(numbers(valueText(one))),
}));

/** The entries that a printed line may come from: its grade, its numbers, its kind of bird. */
function originsOf(line: string, keys: readonly string[] | null): typeof entries {
  const [, said = '', grade] = graded.exec(line) ?? [];
  expect(grade, line).toBeDefined();
  const printed = numbers(`${said} ${line.slice(0, line.lastIndexOf('('))}`);
  return entries.filter(
    (one) =>
      one.grade === grade &&
      (keys === null || one.path.some((key) => keys.includes(key))) &&
      printed.every((number) => one.numbers.has(number)),
  );
}

const birds = [
  ...speciesNames().map((species) => ({ species })),
  ...['light', 'dual-purpose', 'heavy', 'meat'].map((name) => ({
    species: 'chicken',
    class: name,
  })),
  { species: 'turkey', class: 'light' },
];

test.each(birds.map((bird) => [Object.values(bird).join(' '), bird] as const))(
  'each figure of the page of the %s is of one entry of its own, with its grade',
  (_name, bird) => {
    const page = figuresPage(
      { word: bird.species, bird, species: speciesTable()[bird.species]! },
      false,
    );
    const table = figureTables.growth as { feed_tables: object };
    const keys = [bird.species, growthTypeOf(bird), ...Object.keys(table.feed_tables)];
    // What is not a figure of this kind is the numbers of its heading: a bird over a year old.
    for (const line of bullets(page))
      expect(originsOf(line.replace('a bird over a year old', ''), keys), line).not.toEqual([]);
  },
);

test('each general figure is of one entry, with its grade', () => {
  const page = bullets(generalFigures(false));
  expect(page.length).toBeGreaterThan(60);
  for (const line of page)
    expect(originsOf(line.replace('of a hundred', ''), null), line).not.toEqual([]);
});

test('the pages of advice, cautions and the embryo say each sentence of their tables, with its grade', () => {
  const topics = adviceFile.parse(advice);
  for (const [name, { lines, table }] of Object.entries(topics)) {
    const page = advicePage(name, false);
    for (const { says, seen } of lines) expect(page).toContain(`- ${says} (${gradeOf(seen)})`);
    if (table !== undefined) expect(page).toContain(`- All rows. (${gradeOf(table.seen)})`);
    const more = name === 'hatch-end' ? speciesNames().length : 0;
    expect(bullets(page)).toHaveLength(lines.length + (table === undefined ? 0 : 1) + more);
    for (const line of bullets(page)) expect(line).toMatch(graded);
  }
  const page = cautionsPage(false);
  const all = Object.values(cautionsFile.parse(cautions));
  for (const { whole, seen } of all) expect(page).toContain(`${whole} (${gradeOf(seen)})`);
  for (const kind of speciesNames()) {
    const species = speciesTable()[kind]!;
    const embryo = embryoPage(kind, species, false);
    for (const line of bullets(embryo)) expect(line).toMatch(graded);
    for (const look of candlingLooks) expect(embryo).toContain(`Live: ${look.live}.`);
    for (const { stage, sign, causes, seen } of deathsAt(species.hatch_day.value)) {
      expect(embryo).toContain(capital(stage));
      expect(embryo).toContain(`${sign}. Usual causes: ${causes}. (${gradeOf(seen)})`);
    }
  }
});

/** Words of the code that hold a number and a unit, and are no figure of the trade. */
const NO_FIGURE: readonly RegExp[] = [
  /95 %|Holm, 5 %|0\.1\s?%|from 0 to 100 %|10 to 90 %|^100 %$|^0 chicks of/, // statistics
  /^a day|a day(?:,| not| off| after| of eggs| from)|(?:in|of) a day\b|, a day off/, // a day, not a length
  /expected a (?:day|minute)|two days of incubation/, // what the form of a value is
  /a week ago|eight weeks ahead|\ba week\b(?! more)|one column a day/, // how a table is laid out
  /water a day|on a day of heat|l a day|egg a day|points of hatch a day/, // units of a heading
  /to (?:10|25) % inbreeding|of 100 eggs|in the last 3 days|every six days|twice a week/, // questions asked
  /half a day off/, // a minute nobody wrote
  /[{<;]|margin|%"/, // styles and drawings
];

test('no number with a unit of the trade is written in the code: it stands in a table', () => {
  const unit =
    /(?<![\w.-])\d+(?:[.,]\d+)?(?:\s?(?:to|–|-)\s?\d+(?:\.\d+)?)?[\s\u00a0]?(?:°C|°F|%|hours?\b|days?\b|weeks?\b|minutes?\b|g\b|kg\b|cm\b|mm\b|m²|W\b|points?\b|eggs\b|birds\b|chicks\b)/;
  const words =
    /\b(?:one|two|three|four|five|six|seven|eight|nine|ten|a) (?:hours?|days?|weeks?|months?)\b/;
  const found: string[] = [];
  const texts = new Set([
    ts.SyntaxKind.StringLiteral,
    ts.SyntaxKind.NoSubstitutionTemplateLiteral,
    ts.SyntaxKind.TemplateHead,
    ts.SyntaxKind.TemplateMiddle,
    ts.SyntaxKind.TemplateTail,
  ]);
  const folder = join(root, 'src');
  const files = readdirSync(folder, { recursive: true, encoding: 'utf8' }).filter(
    (name) => name.endsWith('.ts') && !name.endsWith('.test.ts'),
  );
  expect(files.length).toBeGreaterThan(200);
  for (const name of files) {
    const source = ts.createSourceFile(
      name,
      readFileSync(join(folder, name), 'utf8'),
      ts.ScriptTarget.Latest,
    );
    const look = (node: ts.Node): void => {
      if (texts.has(node.kind)) {
        const { text } = node as ts.LiteralLikeNode;
        if ((unit.test(text) || words.test(text)) && !NO_FIGURE.some((one) => one.test(text)))
          found.push(`${name}: ${text}`);
      }
      ts.forEachChild(node, look);
    };
    look(source);
  }
  expect(found).toEqual([]);
});
