import { chiSquareUpper } from '../../../src/judge/statistics/distributions.ts';
import { type CountTable, checkTable, TIE } from '../../../src/judge/statistics/exact.ts';
import { CONFIDENCE } from '../../../src/judge/statistics/proportion.ts';
import { bisect } from '../../../src/judge/statistics/search.ts';
import { largest } from '../../../src/text/lists.ts';
import { binomialPmf, logChoose } from './distributions.ts';
import { maximise } from './maximise.ts';

/** What is known of a 2 x 2 table; ratios and Pearson figures are `null` where a margin is empty. */
export type FisherResult = {
  /** Sum over all tables no likelier than the one seen. */
  twoSided: number;
  /** Chance of a first cell this small or smaller. */
  less: number;
  /** Chance of a first cell this large or larger. */
  greater: number;
  /** Twice the smaller one-sided value, at most 1. */
  doubled: number;
  oddsRatio: number | null;
  oddsRatioInterval: [number, number] | null;
  pearson: number | null;
  pearsonP: number | null;
  yatesP: number | null;
};

/**
 * Fisher's exact test of a 2 x 2 table, with the conditional maximum-likelihood odds ratio and its
 * exact conditional interval. Fisher (1935), The Design of Experiments; two-sided by the
 * probability of tables. Throws RangeError on anything but a 2 x 2 table of counts.
 */
export function fisher2x2(table: CountTable, confidence = CONFIDENCE): FisherResult {
  checkTable(table);
  if (table.length !== 2 || table[0]!.length !== 2) throw new RangeError('expected a 2 x 2 table');
  const [a, b] = table[0] as [number, number];
  const [c, d] = table[1] as [number, number];
  const row = a + b;
  const column = a + c;
  const total = a + b + c + d;
  const least = Math.max(0, row + column - total);
  const most = Math.min(row, column);
  const logs: number[] = [];
  for (let x = least; x <= most; x++) {
    logs.push(logChoose(column, x) + logChoose(total - column, row - x));
  }
  /** Probabilities of each first cell at log odds ratio `psi`. */
  const weights = (psi: number): number[] => {
    const at = logs.map((w, i) => w + psi * (least + i));
    const top = largest(at);
    const raw = at.map((w) => Math.exp(w - top));
    const sum = raw.reduce((s, w) => s + w, 0);
    return raw.map((w) => w / sum);
  };
  const null0 = weights(0);
  const seen = null0[a - least]!;
  const sumOf = (take: (p: number, x: number) => boolean, of: number[]): number =>
    Math.min(
      1,
      of.reduce((s, p, i) => (take(p, least + i) ? s + p : s), 0),
    );
  const less = sumOf((_, x) => x <= a, null0);
  const greater = sumOf((_, x) => x >= a, null0);
  const degenerate = least === most;
  const tail = (1 - confidence) / 2;
  // Log odds ratios beyond +-700 leave the range of a double.
  const solve = (f: (psi: number) => number): number => Math.exp(bisect(f, -700, 700));
  const mean = (psi: number): number => weights(psi).reduce((s, p, i) => s + p * (least + i), 0);
  const oddsRatio = degenerate
    ? null
    : a === least
      ? 0
      : a === most
        ? Number.POSITIVE_INFINITY
        : solve((psi) => mean(psi) - a);
  const oddsRatioInterval: [number, number] | null = degenerate
    ? null
    : [
        a === least ? 0 : solve((psi) => sumOf((_, x) => x >= a, weights(psi)) - tail),
        a === most
          ? Number.POSITIVE_INFINITY
          : solve((psi) => tail - sumOf((_, x) => x <= a, weights(psi))),
      ];
  const margins = row * (total - row) * column * (total - column);
  const cross = a * d - b * c;
  const pearson = margins === 0 ? null : (total * cross * cross) / margins;
  const corrected = Math.max(0, Math.abs(cross) - total / 2);
  return {
    twoSided: sumOf((p) => p <= seen * (1 + TIE), null0),
    less,
    greater,
    doubled: Math.min(1, 2 * Math.min(less, greater)),
    oddsRatio,
    oddsRatioInterval,
    pearson,
    pearsonP: pearson === null ? null : chiSquareUpper(pearson, 1),
    yatesP: margins === 0 ? null : chiSquareUpper((total * corrected * corrected) / margins, 1),
  };
}

/**
 * Barnard's unconditional test of a 2 x 2 table whose **columns** are the two samples, by the
 * pooled score statistic and the maximum over the nuisance rate. Barnard (1945), Nature 156:177.
 * Two-sided. `statistic` is `null` and p is 1 when a margin is empty.
 * Throws RangeError on anything but a 2 x 2 table of counts.
 */
export function barnard2x2(table: CountTable): { twoSided: number; statistic: number | null } {
  checkTable(table);
  if (table.length !== 2 || table[0]!.length !== 2) throw new RangeError('expected a 2 x 2 table');
  const [a, b] = table[0] as [number, number];
  const n1 = a + table[1]![0]!;
  const n2 = b + table[1]![1]!;
  const score = (x1: number, x2: number): number => {
    const pooled = (x1 + x2) / (n1 + n2);
    const variance = pooled * (1 - pooled) * (1 / n1 + 1 / n2);
    return variance > 0 ? (x1 / n1 - x2 / n2) / Math.sqrt(variance) : 0;
  };
  if (n1 === 0 || n2 === 0 || a + b === 0 || a + b === n1 + n2) {
    return { twoSided: 1, statistic: null };
  }
  const statistic = score(a, b);
  const extreme: [number, number][] = [];
  for (let x1 = 0; x1 <= n1; x1++) {
    for (let x2 = 0; x2 <= n2; x2++) {
      if (Math.abs(score(x1, x2)) >= Math.abs(statistic) * (1 - 1e-9)) extreme.push([x1, x2]);
    }
  }
  const chance = (rate: number): number => {
    const first = Array.from({ length: n1 + 1 }, (_, x) => binomialPmf(x, n1, rate));
    const second = Array.from({ length: n2 + 1 }, (_, x) => binomialPmf(x, n2, rate));
    return extreme.reduce((s, [x1, x2]) => s + first[x1]! * second[x2]!, 0);
  };
  return { twoSided: Math.min(1, maximise(chance, 0, 1, 400).value), statistic };
}
