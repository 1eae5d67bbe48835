// Every page of this folder is run with the built program and compared, line by line.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { replay, root } from '../harness/console.ts';
import { isLongRun } from '../support/long.ts';

// The newcomer's walk is run with the packed program as well: see `.ci/run`.
const folders = ['terminal', 'newcomer'].map((name) => join(root, 'tests', name));
const pages = folders.flatMap((folder) =>
  readdirSync(folder)
    .filter((file) => file.endsWith('.md'))
    .sort()
    .map((name) => ({ folder, name })),
);

/** Pages that plan over and over, or ask much: of the long tests. */
const LONG = new Set(
  [
    ...['answers', 'birds', 'breeders-year', 'forecast', 'own-kind'],
    ...['plan-short', 'posted-eggs', 'thin-records', 'two-weeks'],
  ].map((name) => `${name}.md`),
);

for (const { folder, name } of pages) {
  if (LONG.has(name) && !isLongRun) continue;
  test(name, async () => {
    const path = join(folder, name);
    const { page, commands } = await replay(readFileSync(path, 'utf8'), 'none');
    expect(commands.length, 'a transcript runs at least one command').toBeGreaterThan(0);
    await expect(page).toMatchFileSnapshot(path);
  });
}
