/**
 * The rates a review gives, in the order of an egg's way: true of one of which more is better; another
 * counts what failed. A new one is its line here, its count in `review/outcome`, its name and column in
 * `tables/words`, and its usual range with its source in `seeds/norms.yaml`.
 */
export const moreIsBetter = {
  settable: true,
  fertile_apparent: true,
  fertile: true,
  early: false,
  middle: false,
  late: false,
  pipped: false,
  rotten: false,
  hatch_of_set: true,
  hatch_of_fertile: true,
  weak: false,
  dead: false,
} as const;
export type RateName = keyof typeof moreIsBetter;
export const rateNames = Object.keys(moreIsBetter) as readonly RateName[];

/** Shares of eggs that are measured but are not among the rates of a review. */
export const extraNames = ['cracked', 'malposed'] as const;
export type ExtraName = (typeof extraNames)[number];
