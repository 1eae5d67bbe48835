const GOLDEN = (Math.sqrt(5) - 1) / 2;

/**
 * The highest point of `f` on [low, high]: the best of `grid` equal steps, then golden section
 * between its neighbours. Finds the top of a function with several humps wider than a step. `accuracy` is relative.
 */
export function maximise(
  f: (x: number) => number,
  low: number,
  high: number,
  grid = 50,
  accuracy = 1e-12,
): { at: number; value: number } {
  let best = 0;
  let top = Number.NEGATIVE_INFINITY;
  const x = (i: number): number => low + ((high - low) * i) / grid;
  for (let i = 0; i <= grid; i++) {
    const value = f(x(i));
    if (value > top) {
      top = value;
      best = i;
    }
  }
  let a = x(Math.max(0, best - 1));
  let b = x(Math.min(grid, best + 1));
  let c = b - GOLDEN * (b - a);
  let d = a + GOLDEN * (b - a);
  let fc = f(c);
  let fd = f(d);
  while (b - a > accuracy * (1 + Math.abs(a) + Math.abs(b))) {
    if (fc > fd) {
      b = d;
      d = c;
      fd = fc;
      c = b - GOLDEN * (b - a);
      fc = f(c);
    } else {
      a = c;
      c = d;
      fc = fd;
      d = a + GOLDEN * (b - a);
      fd = f(d);
    }
  }
  const at = (a + b) / 2;
  const value = f(at);
  return value >= top ? { at, value } : { at: x(best), value: top };
}
