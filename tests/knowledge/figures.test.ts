// Every figure carries a grade and says where it comes from; what claims a source names a work that
// somebody else can look up in `seeds/sources.yaml`; no legal number stands without one.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import advice from '../../seeds/advice.yaml';
import cautions from '../../seeds/cautions.yaml';
import embryo from '../../seeds/embryo.yaml';
import sources from '../../seeds/sources.yaml';
import { allFigures, figureTables } from '../../src/season/all-figures.ts';
import { broodingValues, figureValues, growthValues } from '../../src/season/figure-values.ts';
import {
  adviceFile,
  cautionsFile,
  embryoFile,
  sourcesFile,
} from '../../src/season/knowledge-schema.ts';
import { figureHeadings } from '../../src/tables/guide-figures.ts';

const root = join(import.meta.dirname, '../..');
const figures = allFigures();
const works = sourcesFile.parse(sources).works;

test('no table of figures is left out', () => {
  const files = readdirSync(join(root, 'seeds')).filter((name) => name.endsWith('.yaml'));
  // Words of headers, and the works themselves, are no figures.
  expect(files.map((name) => name.slice(0, -'.yaml'.length)).sort()).toEqual(
    [...Object.keys(figureTables), 'headers', 'sources'].sort(),
  );
  expect(figures.length).toBeGreaterThan(900);
});

test('the tables of advice, cautions, the embryo and the sources meet their schemas', () => {
  for (const [schema, table] of [
    [adviceFile, advice],
    [cautionsFile, cautions],
    [embryoFile, embryo],
    [sourcesFile, sources],
  ] as const)
    expect(schema.safeParse(table).error?.issues ?? []).toEqual([]);
});

test('what claims to be read or copied names a work of the list, or that its publisher is not shown', () => {
  const unnamed = figures.filter(
    ({ seen, source }) =>
      (seen === 'read' || seen === 'copy') &&
      !works.some(({ cited }) => source.includes(cited)) &&
      !source.includes('publisher not shown'),
  );
  expect(unnamed).toEqual([]);
});

test('what is common practice or judgement says so in its own words', () => {
  const words = /common practice|judg|no source|no figure|test level|applied to this kind/;
  const bare = figures.filter(({ seen, source }) => seen === 'practice' && !words.test(source));
  expect(bare.map(({ table, path, source }) => `${table}/${path.join('/')}: ${source}`)).toEqual(
    [],
  );
});

test('at most twenty figures are from memory, none of a heat, a purity day or a withdrawal', () => {
  const recalled = figures.filter(({ seen }) => seen === 'memory');
  expect(recalled.length).toBeLessThanOrEqual(20);
  for (const { path } of recalled)
    expect(path.join('/')).not.toMatch(/heat|_c\b|carry_over|fertility_lag|withdrawal/);
  for (const { source } of recalled) expect(source).toMatch(/memory|recalled/);
});

test('no figure hides behind a trade that nobody can ask', () => {
  for (const { source, note, table, path } of figures)
    expect(`${source} ${note}`, `${table}/${path.join('/')}`).not.toMatch(
      /trade figure|trade rule|fact sheet \(old\)|rearing sheet|a hatchery text/i,
    );
});

test('every work of the list is cited, once by each name', () => {
  const said = figures.map(({ source, note }) => `${source} ${note}`).join('\n');
  expect(works.filter(({ cited }) => !said.includes(cited)).map(({ cited }) => cited)).toEqual([]);
  expect(new Set(works.map(({ cited }) => cited)).size).toBe(works.length);
  for (const { work } of sourcesFile.parse(sources).against)
    expect(works.map(({ cited }) => cited)).toContain(work);
});

test('no setting is kept that nothing reads', () => {
  const folder = join(root, 'src');
  const code = readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.ts') && !/schema|\.test\.ts$/.test(name))
    .map((name) => readFileSync(join(folder, name), 'utf8').replaceAll(/^ {2}\| '\w+'$/gm, ''))
    .join('\n');
  const settings = figures.filter(({ table }) => /^(?:work|power|alarms|entry|norms)$/.test(table));
  expect(settings.length).toBeGreaterThan(50);
  const unread = settings.filter(({ path }) => !new RegExp(`\\b${path.at(-1)}\\b`).test(code));
  expect(unread.map(({ table, path }) => `${table}/${path.join('/')}`)).toEqual([]);
});

test('every figure a line may override has a heading in the guide', () => {
  const keys = Object.keys({ ...figureValues(), ...broodingValues(), ...growthValues() });
  expect(keys.filter((key) => figureHeadings[key] === undefined)).toEqual([]);
});

test('a law or rule that is named by its number is in the list of works', () => {
  const guide = join(root, 'src', 'commands', 'guide');
  const pages = readdirSync(guide)
    .filter((name) => name.endsWith('.md'))
    .map((name) => readFileSync(join(guide, name), 'utf8'));
  const texts = [
    ...pages,
    ...Object.values(cautionsFile.parse(cautions)).map(({ short, whole }) => `${short} ${whole}`),
    ...Object.values(adviceFile.parse(advice)).flatMap(({ lines }) =>
      lines.map(({ says }) => says),
    ),
  ].join('\n');
  const named = [
    ...texts.matchAll(
      /(?:Regulation|Directive|CFR|USC|Act of|\(EC\)|\(EU\))\s+(?:No\s+)?([\d/.]+\d)/g,
    ),
  ].map(([, number]) => number!);
  expect(named.length).toBeGreaterThan(0);
  for (const number of named)
    expect(works.filter(({ cited, title }) => `${cited} ${title}`.includes(number))).not.toEqual(
      [],
    );
});

test('pages written by hand hold no figure of the trade: those are in the tables, with their grade', () => {
  const measures = /\d(?:[.,]\d+)?\s?(?:°C|°F|g\b|kg|cm|mm|m²|sq ft|W\b)/;
  const any = new RegExp(
    `${measures.source}|\\d\\s?(?:%|days?\\b|weeks?\\b|hours?\\b|minutes?\\b)`,
  );
  const folder = join(root, 'src', 'commands');
  const pages = [folder, join(folder, 'guide')].flatMap((one) =>
    readdirSync(one)
      .filter((name) => name.endsWith('.md'))
      .map((name) => [name, readFileSync(join(one, name), 'utf8')] as const),
  );
  for (const [name, page] of pages) {
    const prose = page.replace(/```[\s\S]*?```/g, '').replace(/^ {4}.*$/gm, '');
    // Of these pages the birds are the subject; the others tell of the program and its examples.
    const isOfBirds = ['brooding.md', 'machine-troubles.md', 'breeding.md'].includes(name);
    // The bag is the figure of the table, and may be said in season.yaml.
    for (const paragraph of prose.split(/\n\s*\n/))
      if (!paragraph.includes('bag_kg'))
        expect(paragraph, name).not.toMatch(isOfBirds ? any : measures);
  }
});
