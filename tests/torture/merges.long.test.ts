import { expect, test } from 'vitest';
import { has } from '../support/programs.ts';
import { merged } from './merges.ts';

test.skipIf(!has('git'))(
  'two clones of a season over random evenings, merged by git (git)',
  async () => {
    let state = 7;
    const random = () => {
      // The generator of Park and Miller (1988), minimal standard.
      state = (state * 48_271) % 2_147_483_647;
      return state / 2_147_483_647;
    };
    expect(await merged(2, 20, random)).toContain('none lost or doubled');
  },
);
