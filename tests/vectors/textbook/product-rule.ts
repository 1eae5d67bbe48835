/**
 * The distribution of a product of independent rates, each known up to a beta distribution:
 * the share of eggs set that pass every stage of the chain.
 *
 * Each beta is replaced by its Gauss–Jacobi rule and products are compressed back to a Gauss rule
 * of the same size, so that moments up to twice the number of nodes stay exact.
 * Method: Golub & Welsch, "Calculation of Gauss quadrature rules", Math. Comp. 23 (1969) 221–230;
 * Lanczos on a discrete measure after Gautschi, "Orthogonal Polynomials", Oxford 2004, §2.2.3.
 */

import type { StageRate } from '../../../src/judge/rates/product-of-rates.ts';

/** A discrete measure on [0, 1] that stands for a continuous one; weights sum to 1. */
export interface RateRule {
  nodes: readonly number[];
  weights: readonly number[];
}

const NODES = 48;

/**
 * Eigenvalues of a symmetric tridiagonal matrix and the first component of each eigenvector, by
 * implicit QL (Wilkinson & Reinsch, Handbook for Automatic Computation II, 1971, contribution II/4).
 * `diagonal` has n entries, `off` n - 1.
 */
function tridiagonal(diagonal: readonly number[], off: readonly number[]): [number[], number[]] {
  const n = diagonal.length;
  const d = [...diagonal];
  const e = [...off, 0];
  const first: number[] = d.map((_, i) => (i === 0 ? 1 : 0));
  for (let l = 0; l < n; l++) {
    for (let turn = 0; ; turn++) {
      let m = l;
      while (m < n - 1) {
        const scale = Math.abs(d[m]!) + Math.abs(d[m + 1]!);
        if (Math.abs(e[m]!) <= Number.EPSILON * scale) break;
        m++;
      }
      if (m === l) break;
      if (turn > 60) throw new Error('the eigenvalues of a quadrature rule did not converge');
      let g = (d[l + 1]! - d[l]!) / (2 * e[l]!);
      let r = Math.hypot(g, 1);
      g = d[m]! - d[l]! + e[l]! / (g + (g >= 0 ? r : -r));
      let s = 1;
      let c = 1;
      let p = 0;
      let i = m - 1;
      for (; i >= l; i--) {
        const f = s * e[i]!;
        const b = c * e[i]!;
        r = Math.hypot(f, g);
        e[i + 1] = r;
        if (r === 0) {
          d[i + 1]! -= p;
          e[m] = 0;
          break;
        }
        s = f / r;
        c = g / r;
        g = d[i + 1]! - p;
        r = (d[i]! - g) * s + 2 * c * b;
        p = s * r;
        d[i + 1] = g + p;
        g = c * r - b;
        const z = first[i + 1]!;
        first[i + 1] = s * first[i]! + c * z;
        first[i] = c * first[i]! - s * z;
      }
      if (r === 0 && i >= l) continue;
      d[l]! -= p;
      e[l] = g;
      e[m] = 0;
    }
  }
  return [d, first];
}

function ruleOf(diagonal: readonly number[], off: readonly number[]): RateRule {
  const [values, first] = tridiagonal(diagonal, off);
  const order = values.map((_, i) => i).sort((i, j) => values[i]! - values[j]!);
  return {
    nodes: order.map((i) => Math.min(1, Math.max(0, values[i]!))),
    weights: order.map((i) => first[i]! ** 2),
  };
}

/**
 * The Gauss rule of Beta(a, b) on [0, 1], from the recurrence of the Jacobi polynomials. Throws
 * RangeError unless both shapes are above 0.
 */
export function betaRule(a: number, b: number, size = NODES): RateRule {
  if (!(a > 0 && b > 0 && Number.isFinite(a + b)))
    throw new RangeError(`the shapes of a beta must be above 0, found ${a} and ${b}`);
  // Jacobi weight (1-x)^alpha (1+x)^beta on [-1, 1], carried to [0, 1] by t = (1 + x) / 2.
  const alpha = b - 1;
  const beta = a - 1;
  const sum = alpha + beta;
  const diagonal: number[] = [];
  const off: number[] = [];
  for (let n = 0; n < size; n++) {
    const centre =
      n === 0
        ? (beta - alpha) / (sum + 2)
        : (beta ** 2 - alpha ** 2) / ((2 * n + sum) * (2 * n + sum + 2));
    diagonal.push((1 + centre) / 2);
    if (n === 0) continue;
    const square =
      n === 1
        ? (4 * (1 + alpha) * (1 + beta)) / ((2 + sum) ** 2 * (3 + sum))
        : (4 * n * (n + alpha) * (n + beta) * (n + sum)) /
          ((2 * n + sum) ** 2 * (2 * n + sum + 1) * (2 * n + sum - 1));
    off.push(Math.sqrt(square) / 2);
  }
  return ruleOf(diagonal, off);
}

/** The Gauss rule with at most `NODES` nodes of a discrete measure, by Lanczos with full reorthogonalisation. */
function compress(nodes: Float64Array, weights: Float64Array): RateRule {
  const n = nodes.length;
  const basis: Float64Array[] = [];
  const diagonal: number[] = [];
  const off: number[] = [];
  let q = weights.map((w) => Math.sqrt(Math.max(0, w)));
  let norm = Math.sqrt(q.reduce((s, v) => s + v * v, 0));
  for (let step = 0; step < NODES; step++) {
    q = q.map((v) => v / norm);
    basis.push(q);
    const next = new Float64Array(n);
    let centre = 0;
    for (let i = 0; i < n; i++) {
      next[i] = nodes[i]! * q[i]!;
      centre += next[i]! * q[i]!;
    }
    diagonal.push(centre);
    for (let pass = 0; pass < 2; pass++) {
      for (const earlier of basis) {
        let dot = 0;
        for (let i = 0; i < n; i++) dot += next[i]! * earlier[i]!;
        for (let i = 0; i < n; i++) next[i]! -= dot * earlier[i]!;
      }
    }
    norm = Math.sqrt(next.reduce((s, v) => s + v * v, 0));
    // The measure is used up: fewer nodes carry it exactly.
    if (norm < 1e-14 || step === NODES - 1) break;
    off.push(norm);
    q = next;
  }
  return ruleOf(diagonal, off);
}

function times(left: RateRule, right: RateRule): RateRule {
  const nodes = new Float64Array(left.nodes.length * right.nodes.length);
  const weights = new Float64Array(nodes.length);
  let at = 0;
  for (let i = 0; i < left.nodes.length; i++) {
    for (let j = 0; j < right.nodes.length; j++) {
      nodes[at] = left.nodes[i]! * right.nodes[j]!;
      weights[at++] = left.weights[i]! * right.weights[j]!;
    }
  }
  return compress(nodes, weights);
}

/** The rule of the product of all stages. */
export function productRule(stages: readonly StageRate[]): RateRule {
  let fixed = 1;
  let rule: RateRule | undefined;
  for (const stage of stages) {
    if ('p' in stage) fixed *= stage.p;
    else {
      const own = betaRule(stage.a, stage.b);
      rule = rule ? times(rule, own) : own;
    }
  }
  if (!rule) return { nodes: [fixed], weights: [1] };
  return fixed === 1 ? rule : { ...rule, nodes: rule.nodes.map((t) => t * fixed) };
}

/**
 * P(0), P(1) … P(n) of n eggs that share one unknown rate with this rule: binomials averaged over it,
 * each reckoned from its likeliest count to both sides.
 */
export function countsOf(rule: RateRule, n: number): Float64Array {
  const out = new Float64Array(n + 1);
  const logs = new Float64Array(n + 1);
  for (let k = 1; k <= n; k++) logs[k] = logs[k - 1]! + Math.log(k);
  rule.nodes.forEach((p, i) => {
    const weight = rule.weights[i]!;
    if (p <= 0 || p >= 1) {
      out[p <= 0 ? 0 : n]! += weight;
      return;
    }
    const top = Math.min(n, Math.floor((n + 1) * p));
    const odds = p / (1 - p);
    const choices = logs[n]! - logs[top]! - logs[n - top]!;
    const most = weight * Math.exp(choices + top * Math.log(p) + (n - top) * Math.log1p(-p));
    let here = most;
    for (let k = top; here > 0 && k <= n; k++) {
      out[k]! += here;
      here *= ((n - k) / (k + 1)) * odds;
    }
    here = most;
    for (let k = top; here > 0 && k > 0; k--) {
      here *= k / ((n - k + 1) * odds);
      out[k - 1]! += here;
    }
  });
  return out;
}

/** P(at least `k` of `n` eggs pass), all eggs sharing one unknown overall rate with this rule. */
export function atLeast(rule: RateRule, k: number, n: number): number {
  if (k <= 0) return 1;
  if (k > n) return 0;
  return upperTail(countsOf(rule, n), k);
}

/** The sum of chances from `k` on, of the shorter side, so that neither tail loses digits. */
export function upperTail(chances: Float64Array, k: number): number {
  let below = 0;
  for (let x = 0; x < Math.min(k, chances.length); x++) below += chances[x]!;
  if (below < 0.5) return 1 - below;
  let above = 0;
  for (let x = chances.length - 1; x >= k; x--) above += chances[x]!;
  return above;
}
