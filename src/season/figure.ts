import type * as z from 'zod';
import type { seenMark } from './figure-schema.ts';

/** Mark of a shipped figure, or `keeper` for one that season.yaml set. */
export type Seen = z.infer<typeof seenMark> | 'keeper';

/** A figure with its source in words and how well that source was seen. */
export type Figure<T> = {
  value: T;
  source: string;
  seen: Seen;
  /** What the sources say between them, where they disagree. */
  range?: { low: number; high: number } | undefined;
  note?: string | undefined;
};

/** Two ends of a range. */
export type Bounds = { readonly low: number; readonly high: number };

/** A table of `seeds/` with figures that are numbers and figures that are ranges, by name. */
export type FigureTable<Numbers extends string, Ranges extends string> = Readonly<
  Record<Numbers, Figure<number>> & Record<Ranges, Figure<Bounds>>
>;

/** A value of the keeper's own in the place of a shipped figure. */
export function ownFigure<T>(value: T): Figure<T> {
  return { value, source: 'season.yaml', seen: 'keeper' };
}

/** How a figure's source was seen, for a screen: empty where the source itself was read. */
export function seenWords(seen: Seen): string {
  switch (seen) {
    case 'read':
      return '';
    case 'copy':
      return 'from a copy';
    case 'memory':
      return 'from memory';
    case 'practice':
      return 'common practice';
    case 'computed':
      return 'worked out';
    case 'keeper':
      return 'yours';
  }
}
