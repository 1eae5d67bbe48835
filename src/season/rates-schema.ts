/** The shape of `seeds/rates.yaml`, for tests and types: the program never validates its own seeds. */
import * as z from 'zod';

const seen = z.enum(['read', 'copy', 'memory', 'practice', 'computed']);
const source = z.string().min(3);
const share = z.number().gt(0).lt(1);
const correlation = z.strictObject({ value: z.number().min(0).max(0.5), source, seen });
const prior = z.strictObject({ mean: share, strength: z.number().min(1).max(1000), source, seen });

const byStage = <T extends z.ZodType>(value: T) =>
  z.strictObject({
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

export const ratesFile = z.strictObject({
  spread: byStage(correlation),
  between: byStage(correlation),
  storage: z.strictObject({
    usual_hatch: z.strictObject({ value: share, source, seen }),
    doubt: z.strictObject({ value: z.number().gt(0).max(3), source, seen }),
  }),
  species: z.record(z.string(), byStage(prior)),
});

const shareError = 'a share above 0 and below 1, such as 0.85';
const ownShare = z
  .number({ error: shareError })
  .gt(0, { error: shareError })
  .lt(1, { error: shareError });
const mapping = { error: 'a mapping (key: value lines)' };

/**
 * `rates:` of season.yaml, by line: a mean, or a mean with the number of eggs its counts would
 * weigh. A mean alone is taken as known well.
 */
export const rateOverrides = z.record(
  z.string(),
  byStage(
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
