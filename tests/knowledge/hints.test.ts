// Every `add RECORD …` that the program, its pages or its tables tell a keeper to type has the flags
// that `add` knows, spelt as it spells them.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { flagOf } from '../../src/commands/entries.ts';
import { isRecordName, kindOf } from '../../src/records/index.ts';

const ROOT = new URL('../..', import.meta.url).pathname;
const OF_EVERY_ROW = ['--on', '--note', '--by', '--anyway', '--again', '--dry-run', '--ask'];

const files = ['src', 'seeds'].flatMap((folder) =>
  readdirSync(join(ROOT, folder), { recursive: true, encoding: 'utf8' })
    .filter((name) => /\.(ts|md|yaml)$/.test(name) && !name.endsWith('.test.ts'))
    .map((name) => join(folder, name)),
);

/** The commands of a text, each up to the end of its line or quote, and its flags. */
function commandsIn(text: string): { record: string; flags: string[] }[] {
  return [...text.matchAll(/\badd ([a-z]+(?:-[a-z]+)?) ([^\n`'")]*)/g)].flatMap(
    ([, record, rest]) => {
      const flags = rest!.match(/--[a-z][\w-]*/g) ?? [];
      return isRecordName(record!) && flags.length > 0 ? [{ record: record!, flags }] : [];
    },
  );
}

test('commands that keepers are told to type have flags that there are', () => {
  const wrong = files.flatMap((file) =>
    commandsIn(readFileSync(join(ROOT, file), 'utf8')).flatMap(({ record, flags }) => {
      const kind = kindOf(record as 'eggs');
      const known = [...Object.keys(kind.columns).map(flagOf), ...OF_EVERY_ROW, '--as-planned'];
      return flags
        .filter((flag) => !known.includes(flag))
        .map((flag) => `${file}: add ${record} ${flag}`);
    }),
  );
  expect(wrong).toEqual([]);
  // The search finds what there is to find.
  expect(commandsIn('traybook add weighing D1 --mass_g 5')[0]!.flags).toEqual(['--mass_g']);
});
