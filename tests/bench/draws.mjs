/** Whole numbers below `n`, the same in each run (Lehmer's generator: Park & Miller, Comm. ACM 31, 1988). */
export function draws() {
  let seed = 1;
  return (n) => {
    seed = (seed * 48271) % 2147483647;
    return seed % n;
  };
}
