/**
 * Holm's step-down adjustment of a family of p-values (Scand. J. Stat. 1979, 6:65), in the order
 * given. A `null` (no test was possible) stays `null` and does not count in the family.
 */
export function holm(values: readonly (number | null)[]): (number | null)[] {
  const ranked = values
    .map((p, at) => ({ p, at }))
    .filter((v): v is { p: number; at: number } => v.p !== null)
    .sort((a, b) => a.p - b.p);
  const adjusted: (number | null)[] = values.map(() => null);
  let floor = 0;
  ranked.forEach(({ p, at }, i) => {
    floor = Math.max(floor, Math.min(1, p * (ranked.length - i)));
    adjusted[at] = floor;
  });
  return adjusted;
}
