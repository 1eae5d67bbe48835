import { Ajv2020 } from 'ajv/dist/2020.js';
import { expect, test } from 'vitest';
import { parse } from 'yaml';
import { seasonSchema } from '../season/schema.ts';
import { exampleSeasonFile, seasonFilePage } from './guide-season-file.ts';
import {
  figurePartDescriptions,
  keyDescriptions,
  seasonJsonSchema,
  seasonKeys,
} from './season-keys.ts';

test('every key has a description, and no description is left over', () => {
  const keys = seasonKeys();
  expect(keys.length).toBeGreaterThan(200);
  const untold = keys.filter((key) => key.description === undefined);
  expect(untold.map((key) => key.path.join('.'))).toEqual([]);
  const used = (isFigure: boolean) =>
    new Set(keys.filter((key) => key.isFigure === isFigure).map((key) => key.toldAs));
  const left = (table: object, by: ReadonlySet<string | null>) =>
    Object.keys(table).filter((key) => !by.has(key));
  expect(left(keyDescriptions, used(false))).toEqual([]);
  expect(left(figurePartDescriptions, used(true))).toEqual([]);
});

test('the keys found are those the schema itself takes at the top', () => {
  const top = seasonKeys().filter((key) => key.path.length === 1);
  expect(top.map((key) => key.path[0])).toEqual(Object.keys(seasonSchema.shape));
});

test('an outside validator takes the example by the JSON Schema, and refuses what is wrong', () => {
  const valid = new Ajv2020({ strict: true, allowUnionTypes: true, strictTuples: false }).compile(
    seasonJsonSchema(),
  );
  const example = parse(exampleSeasonFile);
  expect(valid(example), JSON.stringify(valid.errors)).toBe(true);
  expect(valid({ ...example, pen: {} })).toBe(false);
  expect(valid({ ...example, goals: [{ ...example.goals[0], want: 'geese' }] })).toBe(false);
  expect(valid({ ...example, place: undefined })).toBe(false);
});

test('the example has every part but those of a later year', () => {
  const parts = Object.keys(parse(exampleSeasonFile));
  const missing = Object.keys(seasonSchema.shape).filter((key) => !parts.includes(key));
  expect(missing).toEqual(['previous', 'id', 'next_pens', 'gone']);
});

test('the page names every key that is not the part of a figure', () => {
  const page = seasonFilePage();
  for (const { path, isFigure } of seasonKeys())
    if (!isFigure && path[0] !== 'normals' && path[0] !== 'rates')
      expect(page).toContain(path.at(-1)!);
});
