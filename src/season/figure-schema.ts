/** The shape of a sourced figure in the reference tables of `seeds/`. Holds zod: for tests. */
import * as z from 'zod/mini';

/** How well the source of a figure was seen; see the head of `seeds/species.yaml`. */
export const seenMark = z.enum(['read', 'copy', 'memory', 'practice', 'computed']);

/** Mark of a shipped figure, or `keeper` for one that season.yaml set. */
export type Seen = z.infer<typeof seenMark> | 'keeper';

/** A figure of a reference table: the value, its source in words, and how that was seen. */
export function figure<T extends z.ZodMiniType>(value: T) {
  return z.strictObject({
    value,
    source: z.string().check(z.minLength(3)),
    seen: seenMark as z.ZodMiniType<Seen>,
    range: z.optional(z.strictObject({ low: z.number(), high: z.number() })),
    note: z.optional(z.string().check(z.minLength(3))),
  });
}

/** A sourced figure for each of some values, by the same keys. */
export function figures<T extends Record<string, z.ZodMiniType>>(
  values: T,
): { [K in keyof T]: ReturnType<typeof figure<T[K]>> } {
  return Object.fromEntries(Object.entries(values).map(([key, value]) => [key, figure(value)])) as {
    [K in keyof T]: ReturnType<typeof figure<T[K]>>;
  };
}
