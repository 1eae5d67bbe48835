import * as z from 'zod';

// Shapes may gain keys from one version to the next, so objects are open; what is named is kept.

/** A day, or a minute of the wall clock: `2027-03-06`, `2027-03-06T18:30`. */
export const day = z.string().regex(/^\d{4}-\d{2}-\d{2}$/);
export const dayOrMinute = z.string().regex(/^\d{4}-\d{2}-\d{2}(T\d{2}:\d{2})?$/);
export const instant = z.string().regex(/^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}/);
export const count = z.int().min(0);
/** A share or a chance, 0 to 1. */
export const share = z.number().min(0).max(1);
export const text = z.string();
export const open = z.looseObject;
export const list = z.array;

/** A share with its count and interval, as `summary` tells it; all null where there is nothing. */
export const countedShare = open({
  count: count.nullable(),
  of: count.nullable(),
  share: share.nullable(),
  low: share.nullable(),
  high: share.nullable(),
});

/** A rate with its count and interval, as `review` tells it. */
export const rate = open({
  x: count,
  n: count,
  estimate: share.nullable(),
  low: share.nullable(),
  high: share.nullable(),
});

/** The document `traybook NAME --json` prints. */
export function shape<S extends z.core.$ZodLooseShape>(name: string, keys: S) {
  return open({ format: z.literal(`traybook.${name}/1`), ...keys });
}
