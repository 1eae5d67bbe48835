import { farms, opinionOf, opinionText } from './second-opinion.ts';

/**
 * The diagnosis tried on a second simulator, of farms of many kinds:
 *   npm run diagnose-bench:farms [-- SEASONS_A_CAUSE [CLEAN_SEASONS [SEED [SIZE]]]]
 */
export function main(words: readonly string[]): number {
  const [times = 4, clean = 40, seed = 1, size = 1] = words.map(Number);
  if (![times, clean, seed].every((n) => Number.isInteger(n) && n >= 0) || !(size > 0)) {
    process.stderr.write(
      'usage: npm run diagnose-bench:farms [-- SEASONS_A_CAUSE [CLEAN_SEASONS [SEED [SIZE]]]]\n',
    );
    return 2;
  }
  for (const farm of farms)
    process.stdout.write(opinionText(opinionOf(farm, clean, times, seed, size)));
  return 0;
}
