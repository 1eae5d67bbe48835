// Every page of this folder is run with the built program and compared, line by line.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { replay, root } from '../harness/console.ts';

const folder = join(root, 'tests', 'transcripts');

for (const name of readdirSync(folder)
  .filter((file) => file.endsWith('.md'))
  .sort()) {
  test(name, { timeout: 240_000 }, async () => {
    const path = join(folder, name);
    const { page, commands } = replay(readFileSync(path, 'utf8'), 'none');
    expect(commands.length, 'a transcript runs at least one command').toBeGreaterThan(0);
    await expect(page).toMatchFileSnapshot(path);
  });
}
