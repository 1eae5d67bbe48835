import type { Seen } from './figure-schema.ts';

export type { Seen } from './figure-schema.ts';

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

/** The figure at a key of a table of `seeds/`; null where it has none. */
export function figureOf<T>(table: Readonly<Record<string, T>>, key: string): T | null {
  return Object.hasOwn(table, key) ? table[key]! : null;
}

/** Figures with a keeper's own plain values laid over those of the same key; other keys are not theirs. */
export function laidOver<T extends object>(
  shipped: T,
  own: Readonly<Record<string, unknown>> = {},
): T {
  const given = Object.entries(own).filter(
    ([key, value]) => Object.hasOwn(shipped, key) && value !== undefined,
  );
  if (given.length === 0) return shipped;
  return {
    ...shipped,
    ...Object.fromEntries(given.map(([key, value]) => [key, ownFigure(value)])),
  };
}

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
