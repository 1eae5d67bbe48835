import { logFactorial } from './distributions.ts';

/** A two-way table of counts, rows of equal length. */
export type CountTable = readonly (readonly number[])[];

// Tables whose probability differs from the observed one by rounding only are ties
// (the same relative slack as R's fisher.test).
export const TIE = 1e-7;

export function checkTable(table: CountTable): void {
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
