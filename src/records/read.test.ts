import fc from 'fast-check';
import { expect, test } from 'vitest';
import { byTime } from './read.ts';
import type { Row } from './record.ts';

const row = (values: Row['values']): Row => ({
  entry: '0000000000',
  recorded: '2027-03-06T18:30Z',
  recordedAt: 0,
  on: { day: '2027-03-06' as Row['on']['day'], time: null },
  values,
  by: '',
  note: '',
  amends: null,
  isVoid: false,
  at: { file: 'log/x.csv', line: 1, column: 1 },
});

test('rows of one second go in the order of the JSON of what they say', () => {
  const value = fc.oneof(
    fc.constantFrom(null, true, false, 1, 12, 1.5, -1, '', 'a', 'ab', 'a"'),
    fc.string({ maxLength: 3 }),
  );
  const values = fc
    .subarray(['set', 'setter', 'pen', 'eggs'], { minLength: 1 })
    .chain((names) =>
      fc
        .tuple(...names.map(() => value))
        .map((all) => Object.fromEntries(names.map((name, index) => [name, all[index]]))),
    );
  fc.assert(
    fc.property(values, values, (a, b) => {
      const [one, other] = [JSON.stringify(a), JSON.stringify(b)];
      fc.pre(one !== other);
      expect(byTime(row(a), row(b))).toBe(one < other ? -1 : 1);
    }),
    { numRuns: 2000 },
  );
});
