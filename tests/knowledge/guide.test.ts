// The pages of the guide that are made from the tables: every kind, every topic, 80 columns.
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, expect, test } from 'vitest';
import advice from '../../seeds/advice.yaml';
import { airCellDepth, deathsAt, embryoDays } from '../../src/season/embryo.ts';
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

test('the embryo: days in order, the last is the hatch; scaled days are marked', () => {
  for (const kind of kinds) {
    const term = speciesTable()[kind]!.hatch_day.value;
    const days = embryoDays(kind, term);
    expect(days.map(({ day }) => day)).toEqual(
      [...days.map(({ day }) => day)].sort((a, b) => a - b),
    );
    expect(new Set(days.map(({ day }) => day)).size, kind).toBe(days.length);
    expect(days.at(-1)!.day).toBe(term);
    expect(days.some(({ isScaled }) => isScaled)).toBe(kind !== 'chicken');
  }
  // Araújo and others 2019 (abstract): heart on day 3, yolk in on day 24, hatched on day 28.
  const guinea = embryoDays('guinea', 28);
  expect(guinea.find(({ day }) => day === 3)).toMatchObject({
    opened: expect.stringContaining('heart'),
    isScaled: false,
  });
  expect(guinea.find(({ day }) => day === 24)).toMatchObject({ isScaled: false });
  // A kind with another term than the printed one is scaled, and pips as the rule says.
  expect(
    embryoDays('swan', 35)
      .slice(-3)
      .map(({ day }) => day),
  ).toEqual([33, 34, 35]);
});

test('ages of death cover the term in thirds, as the record counts them', () => {
  for (const term of [17, 21, 28, 35]) {
    const of = (stage: string) => deathsAt(term).filter((death) => death.stage === stage);
    expect(of('early')[0]!.firstDay).toBe(0);
    expect(of('middle')[0]!.firstDay).toBe(of('early').at(-1)!.lastDay + 1);
    expect(of('late')[0]!.firstDay).toBe(of('middle')[0]!.lastDay + 1);
    expect(of('late')[0]!.lastDay).toBe(term);
    expect(Math.abs(of('middle')[0]!.lastDay - (2 / 3) * term)).toBeLessThanOrEqual(1);
  }
});

test('the air cell, own arithmetic: none lost no cell, half lost half the egg, and it only grows', () => {
  expect(airCellDepth(0)).toBeCloseTo(0, 9);
  // Half the volume of an ellipsoid lies above its middle.
  expect(airCellDepth(0.5 / 1.08)).toBeCloseTo(0.5, 9);
  fc.assert(
    fc.property(
      fc.double({ min: 0, max: 0.4, noNaN: true }),
      fc.double({ min: 0.001, max: 0.05, noNaN: true }),
      (lost, more) => {
        expect(airCellDepth(lost + more)).toBeGreaterThan(airCellDepth(lost));
      },
    ),
  );
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
