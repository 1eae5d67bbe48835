// Each caution shows where the work is: the places named in seeds/cautions.yaml are tried one by one.
import { afterAll, expect, test } from 'vitest';
import type * as z from 'zod/mini';
import table from '../../seeds/cautions.yaml';
import { type CautionKey, cautionLines } from '../../src/season/cautions.ts';
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
