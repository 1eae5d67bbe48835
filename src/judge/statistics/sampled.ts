/** x of n, with the variance that opening only a sample adds to x. */
type SampledPart = { readonly x: number; readonly n: number; readonly sampled?: number };

/**
 * How many times wider than binomial the variance of a share is that rests on a sample scaled up:
 * 1 where all was counted (the design effect: Kish 1965, Survey Sampling, ch. 8).
 */
function designEffect({ x, n, sampled = 0 }: SampledPart): number {
  if (sampled <= 0 || n <= 0) return 1;
  const share = x <= 0 || x >= n ? (x + 0.5) / (n + 1) : x / n;
  return 1 + sampled / (n * share * (1 - share));
}

/** The counts that would know a share just as well had all been opened. */
export function effectiveCounts(part: SampledPart): { x: number; n: number } {
  const effect = designEffect(part);
  return { x: part.x / effect, n: part.n / effect };
}
