import type * as Zod from 'zod';

/** One value for each stage from the hen to the grown bird. */
export function byStageIn<T extends Zod.ZodType>(z: typeof Zod, value: T) {
  return z.strictObject({
    lay: value,
    kept: value,
    fertile: value,
    candled: value,
    transferred: value,
    hatched: value,
    sound: value,
    reared: value,
    female: value,
  });
}

const shareError = 'a share above 0 and below 1, such as 0.85';
const mapping = { error: 'a mapping (key: value lines)' };

/**
 * `rates:` of season.yaml, by line: a mean, or a mean with the number of eggs its counts would
 * weigh. A mean alone is taken as known well.
 */
export function rateOverridesIn(z: typeof Zod) {
  const ownShare = z
    .number({ error: shareError })
    .gt(0, { error: shareError })
    .lt(1, { error: shareError });
  return z.record(
    z.string(),
    byStageIn(
      z,
      z.union(
        [
          ownShare,
          z.strictObject({
            mean: ownShare,
            strength: z.number().min(1).max(100_000).optional(),
          }),
        ],
        { error: `${shareError}, or {mean: 0.85, strength: 60}` },
      ),
    ).partial(),
    mapping,
  );
}
