import { confusionOf, confusionText } from './confusion.ts';
import { type Keeping, wellKept } from './simulate.ts';

export const keepings: [string, Keeping][] = [
  ['well kept', wellKept],
  ['sets scatter by chance alone', { ...wellKept, setScatter: 0 }],
  ['sets scatter much', { ...wellKept, setScatter: 0.5 }],
  ['no breakouts, openings twice a day', { ...wellKept, breakouts: 'none', every: 12 }],
  [
    'every third set broken out, shares in trays of their own',
    { ...wellKept, breakouts: 'some', trays: 'one a share' },
  ],
  [
    'no weighings, days without minutes',
    { ...wellKept, weighings: false, minutes: false, every: 12 },
  ],
  ['no readings of the machine', { ...wellKept, readings: false }],
];

/**
 * The confusion table of the diagnosis over seeded seasons, for several ways of keeping records:
 *   npm run diagnose-bench [-- SEASONS_A_CAUSE [CLEAN_SEASONS [SEED]]]
 */
export function main(words: readonly string[]): number {
  const [times = 20, clean = 100, seed = 1] = words.map(Number);
  if (![times, clean, seed].every((n) => Number.isInteger(n) && n >= 0)) {
    process.stderr.write(
      'usage: npm run diagnose-bench [-- SEASONS_A_CAUSE [CLEAN_SEASONS [SEED]]]\n',
    );
    return 2;
  }
  for (const [name, keeping] of keepings) {
    process.stdout.write(`${name}\n`);
    process.stdout.write(confusionText(confusionOf(times, clean, keeping, seed)));
  }
  return 0;
}
