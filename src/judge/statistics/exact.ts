import { largest } from '../../text/lists.ts';
import { binomialPmf, chiSquareUpper, logChoose, logFactorial } from './distributions.ts';
import { CONFIDENCE } from './proportion.ts';
import { bisect, maximise } from './search.ts';

/** A two-way table of counts, rows of equal length. */
export type CountTable = readonly (readonly number[])[];

// Tables whose probability differs from the observed one by rounding only are ties
// (the same relative slack as R's fisher.test).
const TIE = 1e-7;

function checkTable(table: CountTable): void {
  const width = table[0]?.length ?? 0;
  for (const row of table) {
    if (row.length !== width) throw new RangeError('the rows of a table must be of one length');
    for (const count of row) {
      if (!Number.isInteger(count) || count < 0) {
        throw new RangeError(`expected whole counts from 0, found ${count}`);
      }
    }
  }
}

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

/** How many steps the exact test of a large table may take before it gives up: a second or so. */
const EFFORT = 4_000_000;

/**
 * The Freeman–Halton extension of Fisher's exact test to r x c tables (Biometrika 1951, 38:141),
 * by a network over the rows (Mehta & Patel 1983, J. Am. Stat. Assoc. 78:427): a node is what is
 * left of the column totals; a path is dropped when all, or none, of its completions count.
 * Returns the p-value, or `null` when the table would take more than `effort` steps (use
 * chi-square there: such a table is large). Throws RangeError on anything but a table of counts.
 */
export function freemanHalton(table: CountTable, effort = EFFORT): number | null {
  checkTable(table);
  // Fewer columns than rows keeps the nodes few.
  const wide = (table[0]?.length ?? 0) > table.length;
  const rows = (wide ? table[0]!.map((_, j) => table.map((r) => r[j]!)) : table).filter((r) =>
    r.some((x) => x > 0),
  );
  const keep = (rows[0] ?? []).map((_, j) => rows.some((r) => r[j]! > 0));
  const counts = rows.map((r) => r.filter((_, j) => keep[j]));
  const width = counts[0]?.length ?? 0;
  if (counts.length < 2 || width < 2) return 1;

  const totals = counts.map((r) => r.reduce((s, x) => s + x, 0));
  const columns = counts[0]!.map((_, j) => counts.reduce((s, r) => s + r[j]!, 0));
  // log probability of a path = sum over rows of log(row total! / product of cells!)
  const cellsLog = (cells: readonly number[]): number =>
    cells.reduce((s, x) => s - logFactorial(x), 0);
  const seen = counts.reduce((s, r, i) => s + logFactorial(totals[i]!) + cellsLog(r), 0);
  const limit = seen + TIE;
  const grand = totals.reduce((s, x) => s + x, 0);
  const wholeLog = logFactorial(grand) + cellsLog(columns);

  let steps = 0;
  type Node = { left: number[]; fills: { to: Node; log: number }[]; low: number; high: number };
  const layers: Map<string, Node>[] = counts.map(() => new Map());
  layers.push(new Map());
  /** The node with `left` of each column before row `i`, with its best and worst completion. */
  const nodeAt = (i: number, left: number[]): Node | null => {
    const key = left.join();
    const known = layers[i]!.get(key);
    if (known) return known;
    const node: Node = { left, fills: [], low: 0, high: 0 };
    layers[i]!.set(key, node);
    if (i === counts.length) return node;
    node.low = Number.POSITIVE_INFINITY;
    node.high = Number.NEGATIVE_INFINITY;
    const fill = (j: number, rest: number, cells: number[]): boolean => {
      if (j === width - 1) {
        if (rest > left[j]!) return true;
        if (++steps > effort) return false;
        const all = [...cells, rest];
        const to = nodeAt(
          i + 1,
          left.map((x, k) => x - all[k]!),
        );
        if (!to) return false;
        const log = logFactorial(totals[i]!) + cellsLog(all);
        node.fills.push({ to, log });
        node.low = Math.min(node.low, log + to.low);
        node.high = Math.max(node.high, log + to.high);
        return true;
      }
      for (let x = 0; x <= Math.min(rest, left[j]!); x++) {
        if (!fill(j + 1, rest - x, [...cells, x])) return false;
      }
      return true;
    };
    return fill(0, totals[i]!, []) ? node : null;
  };
  const root = nodeAt(0, columns);
  if (!root) return null;

  // Forward, layer by layer: at each node the distinct past log probabilities and how many paths
  // share each. Rounding merges equal pasts that were added up in another order.
  const GRAIN = 1e9;
  let p = 0;
  let here = new Map<Node, Map<number, { log: number; paths: number }>>([
    [root, new Map([[0, { log: 0, paths: 1 }]])],
  ]);
  for (let i = 0; i < counts.length; i++) {
    const next: typeof here = new Map();
    for (const [node, pasts] of here) {
      const completions = logFactorial(node.left.reduce((s, x) => s + x, 0)) + cellsLog(node.left);
      for (const past of pasts.values()) {
        if (past.log + node.high <= limit) {
          p += past.paths * Math.exp(past.log + completions - wholeLog);
          continue;
        }
        if (past.log + node.low > limit) continue;
        for (const { to, log } of node.fills) {
          if (++steps > effort) return null;
          const sum = past.log + log;
          const grain = Math.round(sum * GRAIN);
          let there = next.get(to);
          if (!there) {
            there = new Map();
            next.set(to, there);
          }
          const twin = there.get(grain);
          if (twin) twin.paths += past.paths;
          else there.set(grain, { log: sum, paths: past.paths });
        }
      }
    }
    here = next;
  }
  // What reached the end without being settled on the way.
  for (const pasts of here.values()) {
    for (const past of pasts.values()) {
      if (past.log <= limit) p += past.paths * Math.exp(past.log - wholeLog);
    }
  }
  return Math.min(1, p);
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
