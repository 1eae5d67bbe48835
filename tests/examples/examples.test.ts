import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { root } from '../harness/console.ts';
import { exampleFarms, filesOf } from './make.ts';

for (const farm of exampleFarms()) {
  test(`examples/${farm.folder} is what the script makes`, () => {
    for (const [name, text] of filesOf(farm))
      expect(
        readFileSync(join(root, 'examples', farm.folder, name), 'utf8'),
        `${name}: npm run examples`,
      ).toBe(text);
  });
}
