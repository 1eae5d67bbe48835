/**
 * The root of an increasing `f` on [low, high], to the last bit or `steps` halvings. The ends are
 * taken when f does not change sign between them.
 */
export function bisect(f: (x: number) => number, low: number, high: number, steps = 200): number {
  let a = low;
  let b = high;
  for (let i = 0; i < steps; i++) {
    const middle = (a + b) / 2;
    if (middle === a || middle === b) break;
    if (f(middle) < 0) a = middle;
    else b = middle;
  }
  return (a + b) / 2;
}

/** Above this many eggs the question is not one a small breeder asks; the search ends with an error. */
const MOST_EGGS = 1_000_000;

/**
 * Smallest whole n >= `from` for which the rising function `chance(n)` reaches `confidence`. The nearer
 * `guess` is, the fewer times it is asked.
 */
export function leastReaching(
  chance: (n: number) => number,
  confidence: number,
  from: number,
  guess = from,
): number {
  if (!(confidence > 0 && confidence < 1))
    throw new RangeError(`confidence must lie between 0 and 1, found ${confidence}`);
  // It lies above `low` and at `high` or below.
  let low = from - 1;
  let high = Math.max(1, from, guess);
  let step = Math.max(1, high >> 3);
  if (chance(high) >= confidence)
    for (let below = high - step; below > low; below -= step) {
      if (chance(below) < confidence) low = below;
      else high = below;
      step *= 2;
    }
  else
    do {
      low = high;
      high += step;
      step *= 2;
      if (high > MOST_EGGS) throw new RangeError(`more than ${MOST_EGGS} eggs would be needed`);
    } while (chance(high) < confidence);
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (chance(middle) >= confidence) high = middle;
    else low = middle;
  }
  return high;
}
