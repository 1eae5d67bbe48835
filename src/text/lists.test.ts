import fc from 'fast-check';
import { expect, test } from 'vitest';
import { addAll, largest, smallest } from './lists.ts';

test('as the built-in calls with a list spread into them', () => {
  fc.assert(
    fc.property(fc.array(fc.double()), fc.array(fc.double()), (list, more) => {
      expect(largest(list)).toBe(Math.max(...list));
      expect(smallest(list)).toBe(Math.min(...list));
      const both = [...list];
      addAll(both, more);
      expect(both).toEqual([...list, ...more]);
    }),
  );
});

test('of a list longer than any stack', () => {
  const list = Array.from({ length: 300_000 }, (_, index) => index);
  expect(largest(list)).toBe(299_999);
  expect(smallest(list)).toBe(0);
  const twice = [...list];
  addAll(twice, list);
  expect(twice.length).toBe(600_000);
});
