// The pages of the guide that are made from the tables: every kind, every topic, 80 columns.
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import advice from '../../seeds/advice.yaml';
import { speciesNames, speciesTable } from '../../src/season/species.ts';
import { airCellLetters, airCellMarks, airCellSvg } from '../../src/tables/air-cell.ts';
import { figuresPage, generalFigures } from '../../src/tables/guide-figures.ts';
import { advicePage, cautionsPage, embryoPage } from '../../src/tables/guide-pages.ts';
import { sourcesPage } from '../../src/tables/guide-sources.ts';
import { manualText } from '../../src/tables/manual.ts';
import { Barn } from '../harness/console.ts';

const barn = new Barn();
afterAll(() => barn.close());
const printed = (markdown: string) => manualText(markdown, { width: 80, bold: null });
const kinds = speciesNames();
const figuresOf = (word: string, sources: boolean) =>
  figuresPage({ word, bird: { species: word }, species: speciesTable()[word]! }, sources);

test.each(kinds)('figures of the %s fill two or three screens, each with its grade', (kind) => {
  const page = printed(figuresOf(kind, false));
  expect(page.split('\n').length).toBeLessThan(3 * 40);
  expect(page).not.toContain('undefined');
  const items = figuresOf(kind, false)
    .split('\n')
    .filter((line) => line.startsWith('- '));
  for (const item of items)
    expect(item).toMatch(
      /\((?:.*; )?(published|from a copy|from memory|common practice|worked out)\)$/,
    );
  expect(items.length).toBeGreaterThan(45);
  const sourced = figuresOf(kind, true)
    .split('\n')
    .filter((line) => line.startsWith('- '));
  for (const item of sourced) expect(item).toContain(' Source: ');
});

test('every page made from the tables fits 80 columns', () => {
  const pages = [
    generalFigures(false),
    generalFigures(true),
    sourcesPage(),
    cautionsPage(true),
    ...kinds.flatMap((kind) => [
      figuresOf(kind, false),
      figuresOf(kind, true),
      embryoPage(kind, speciesTable()[kind]!, true),
    ]),
    ...Object.keys(advice as object).flatMap((name) => [
      advicePage(name, false),
      advicePage(name, true),
    ]),
  ];
  // An address is one word, however long.
  for (const page of pages)
    for (const line of printed(page).split('\n'))
      if (!/https?:|…/.test(line)) expect([...line].length, line).toBeLessThanOrEqual(80);
});

test('the air cell is drawn to scale, in letters and in millimetres', () => {
  const duck = speciesTable().duck!;
  const marks = airCellMarks(duck);
  expect(marks.map(({ day }) => day)).toEqual([8, 17, 25]);
  expect(marks.at(-1)!.lost).toBeCloseTo(0.14, 9);
  const letters = airCellLetters(marks);
  for (const { day, depth } of marks)
    expect(letters.findIndex((line) => line.includes(`day ${day}:`))).toBe(
      Math.floor(depth * letters.length),
    );
  const svg = airCellSvg(duck);
  const [, rx, ry] = /rx="([\d.]+)" ry="([\d.]+)"/.exec(svg)!.map(Number);
  expect(rx! / ry!).toBeCloseTo(0.75, 1);
  // 83 g at 1.08 g/ml fill an ellipsoid of these half axes, in cm.
  expect((4 / 3) * Math.PI * (rx! / 10) ** 2 * (ry! / 10)).toBeCloseTo(83 / 1.08, 0);
  expect(svg).toMatch(/^<svg [^>]*width="[\d.]+mm"/);
});

test('a kind of the keeper’s own has its pages where its season is', async () => {
  barn.enter('none', '2027-03-01T08:00');
  await barn.run('traybook new farm --place Mere --zone Europe/London');
  writeFileSync(
    join(barn.folder, 'farm', 'season.yaml'),
    [
      'format: traybook/1',
      'season: 2027',
      'place: {name: Mere, timezone: Europe/London}',
      'kinds: {swan: {like: goose, hatch_day: 35, transfer_day: 32}}',
      'lines: {mute: {species: swan}}',
      'pens: {lake: {line: mute, hens: 3, males: 3, joined: 2027-01-01}}',
      'setters: {cabinet: {trays: 1, tray_holds: {swan: 12}}}',
      '',
    ].join('\n'),
  );
  const figures = (await barn.run('cd farm && traybook guide figures swan')).stdout;
  expect(figures).toContain('- hatch on day: 35 (yours)');
  expect(figures).toContain('taken from the goose');
  expect((await barn.run('traybook guide embryo swan')).stdout).toContain('~35  hatches');
  for (const wrong of ['figures swann', 'words duck', 'nothing'])
    expect((await barn.run(`traybook guide ${wrong}`)).status).toBe(2);
  expect((await barn.run('traybook guide embryo --svg')).status).toBe(2);
});
