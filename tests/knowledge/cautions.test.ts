// Each caution shows where the work is: the places named in seeds/cautions.yaml are tried one by one.
import { afterAll, describe, expect, test } from 'vitest';
import type * as z from 'zod/mini';
import table from '../../seeds/cautions.yaml';
import { type CautionKey, cautionLines, cautionsAfter } from '../../src/season/cautions.ts';
import type { cautionsFile } from '../../src/season/knowledge-schema.ts';
import { Barn } from '../harness/console.ts';

const cautions = Object.entries(table as z.infer<typeof cautionsFile>);
const barn = new Barn();
afterAll(() => barn.close());

/** What is printed, its line breaks and the breaks inside numbers made one space. */
const flat = (text: string) =>
  text
    .replace(/<[^>]*>/g, ' ')
    .replaceAll('&#39;', "'")
    .replace(/[\s\u00a0]+/g, ' ');

describe('after a record', () => {
  for (const [key, { after = [] }] of cautions)
    for (const { record, column, is } of after)
      for (const word of is ?? [undefined])
        test(`${key}: ${[record, column, word].filter(Boolean).join(' ')}`, () => {
          const values = column === undefined ? {} : { [column]: word ?? 1 };
          expect(cautionsAfter(record, values)).toContain(key);
          if (column !== undefined) {
            expect(cautionsAfter(record, { [column]: null })).not.toContain(key);
            expect(cautionsAfter(record, { [column]: 0 })).not.toContain(key);
          }
        });

  test('a caution of none of the records shows after none', () => {
    expect(cautionsAfter('eggs', { kept: 4 })).toEqual([]);
  });
});

describe('telephone lines', () => {
  test('show in their own country, and nowhere else', () => {
    const said = (timezone?: string) => cautionLines(['disease'], timezone).join(' ');
    expect(said('America/Chicago')).toContain('1-866-536-7593');
    expect(said('Europe/London')).toContain('03000 200 301');
    expect(said('Europe/London')).not.toContain('1-866');
    for (const zone of [undefined, 'Europe/Berlin', 'Australia/Sydney'])
      expect(said(zone)).not.toMatch(/\d{3}/);
  });

  test('every telephone line has a source and a zone that exists', () => {
    for (const [key, { phones = [], short, whole }] of cautions) {
      expect(`${short} ${whole}`, key).not.toMatch(/\d{3}[- ]\d{3}/);
      for (const { zones, source } of phones) {
        expect(source.length).toBeGreaterThan(5);
        for (const timeZone of zones)
          expect(() => new Intl.DateTimeFormat('en', { timeZone })).not.toThrow();
      }
    }
  });
});

test('every caution has a place, and each is in the guide whole', async () => {
  barn.enter('none', undefined);
  const guide = flat((await barn.run('traybook guide cautions')).stdout);
  for (const [key, { after, sheets, screens, whole }] of cautions) {
    expect(
      [after, sheets, screens].some((places) => places !== undefined),
      key,
    ).toBe(true);
    expect(guide).toContain(flat(whole.replaceAll('`', '')));
    expect(cautionLines([key as CautionKey])).toHaveLength(1);
  }
});
