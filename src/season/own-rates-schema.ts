import * as z from 'zod/mini';

/** One value for each stage from the hen to the grown bird. */
export function byStage<T extends z.ZodMiniType>(value: T) {
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

const ownShare = z
  .number({ error: shareError })
  .check(z.gt(0, { error: shareError }), z.lt(1, { error: shareError }));

/**
 * `rates:` of season.yaml, by line: a mean, or a mean with the number of eggs its counts would
 * weigh. A mean alone is taken as known well.
 */
export const rateOverrides = () =>
  z.record(
    z.string(),
    z.partial(
      byStage(
        z.union(
          [
            ownShare,
            z.strictObject({
              mean: ownShare,
              strength: z.optional(z.number().check(z.minimum(1), z.maximum(100_000))),
            }),
          ],
          { error: `${shareError}, or {mean: 0.85, strength: 60}` },
        ),
      ),
    ),
    { error: 'a mapping (key: value lines)' },
  );
