import { chiSquareUpper } from '../../../src/judge/statistics/distributions.ts';
import { normalQuantile, normalTwoSided } from '../../../src/judge/statistics/normal.ts';
import { CONFIDENCE } from '../../../src/judge/statistics/proportion.ts';
import { largest } from '../../../src/text/lists.ts';
import { studentTwoSided } from './distributions.ts';
import {
  cholesky,
  choleskyInverse,
  choleskySolve,
  type Matrix,
  nonNegativeLeastSquares,
  norm,
} from './linear-algebra.ts';

/** Grouped binomial data: row i has x[i] of n[i] and the value columns[name][i] of each covariate. */
export type LogisticData = {
  x: readonly number[];
  n: readonly number[];
  columns: Readonly<Record<string, readonly number[]>>;
};

export type Coefficient = {
  estimate: number;
  se: number;
  z: number;
  p: number;
  /** With the standard error widened (or narrowed) by the dispersion; `null` without residual df. */
  quasiSe: number | null;
  quasiT: number | null;
  quasiP: number | null;
};

export type LogisticFit = {
  /** `intercept` first, then the covariates that are not determined by earlier ones. */
  coefficients: Record<string, Coefficient>;
  /** Covariates left out because earlier ones determine them. */
  aliased: string[];
  covariance: Matrix;
  deviance: number;
  nullDeviance: number;
  dfResidual: number;
  pearson: number;
  /** Pearson X2 / residual df; `null` when there is none. */
  dispersion: number | null;
  likelihoodRatio: number;
  likelihoodRatioDf: number;
  likelihoodRatioP: number | null;
  fitted: number[];
};

/** A model without a finite maximum-likelihood answer: some covariate splits the outcomes cleanly. */
export type Separated = { separated: true; columns: string[] };

type Design = { names: string[]; rows: number[][]; aliased: string[] };

/** Drops rows without eggs and columns that earlier ones determine (modified Gram–Schmidt). */
function designOf(data: LogisticData): Design & { x: number[]; n: number[] } {
  const length = data.x.length;
  const wanted: [string, readonly number[]][] = [
    ['intercept', new Array<number>(length).fill(1)],
    ...Object.entries(data.columns),
  ];
  if (data.n.length !== length) throw new RangeError('x and n must be of one length');
  const used = data.n.flatMap((n, i) => (n > 0 ? [i] : []));
  for (const i of used) {
    if (!(data.x[i]! >= 0 && data.x[i]! <= data.n[i]!)) {
      throw new RangeError(`expected 0 <= x <= n, found ${data.x[i]} of ${data.n[i]}`);
    }
  }
  const basis: number[][] = [];
  const names: string[] = [];
  const aliased: string[] = [];
  const kept: number[][] = [];
  for (const [name, column] of wanted) {
    if (column.length !== length) throw new RangeError(`column ${name} must be as long as x`);
    const v = used.map((i) => column[i]!);
    const r = [...v];
    // Twice, because once loses accuracy on nearly dependent columns.
    for (let pass = 0; pass < 2; pass++) {
      for (const b of basis) {
        const d = r.reduce((s, e, i) => s + e * b[i]!, 0);
        for (let i = 0; i < r.length; i++) r[i] = r[i]! - d * b[i]!;
      }
    }
    const left = norm(r);
    if (left <= 1e-9 * Math.max(norm(v), Number.MIN_VALUE)) {
      aliased.push(name);
      continue;
    }
    basis.push(r.map((e) => e / left));
    names.push(name);
    kept.push(v);
  }
  return {
    names,
    aliased,
    rows: used.map((_, i) => kept.map((c) => c[i]!)),
    x: used.map((i) => data.x[i]!),
    n: used.map((i) => data.n[i]!),
  };
}

function separationOf(d: Design & { x: number[]; n: number[] }): Separated | null {
  // Columns to unit length, so that one tolerance serves all.
  const scale = d.names.map((_, j) => norm(d.rows.map((r) => r[j]!)));
  const rows = d.rows.map((r) => r.map((v, j) => v / scale[j]!));
  const columns: number[][] = [];
  const target = d.names.map(() => 0);
  rows.forEach((r, i) => {
    const all = d.x[i] === d.n[i];
    const none = d.x[i] === 0;
    if (!all && !none) {
      columns.push(
        r,
        r.map((v) => -v),
      );
      return;
    }
    const signed = all ? r : r.map((v) => -v);
    columns.push(signed);
    signed.forEach((v, j) => {
      target[j] = target[j]! - v;
    });
  });
  const { residual } = nonNegativeLeastSquares(columns, target);
  const size = norm(residual);
  if (size <= 1e-8 * Math.max(1, norm(target))) return null;
  const blamed = d.names.filter((_, j) => Math.abs(residual[j]!) > 1e-6 * size);
  return { separated: true, columns: blamed.filter((name) => name !== 'intercept') };
}

/**
 * Whether complete or quasi-complete separation makes a coefficient infinite, and the covariates
 * that take part; `null` when a finite maximum exists. By Stiemke's alternative: a finite maximum
 * exists exactly when strictly positive weights on the all-or-none rows, and free ones on the
 * mixed rows, cancel out. Albert & Anderson (1984), Biometrika 71:1. Aliased columns are ignored.
 */
export function separation(data: LogisticData): Separated | null {
  return separationOf(designOf(data));
}

const logit = (p: number): number => Math.log(p / (1 - p));
const expit = (e: number): number =>
  e >= 0 ? 1 / (1 + Math.exp(-e)) : Math.exp(e) / (1 + Math.exp(e));

function devianceOf(x: number, n: number, mu: number): number {
  const part = (o: number, e: number): number => (o === 0 ? 0 : o * Math.log(o / e));
  return 2 * (part(x, n * mu) + part(n - x, n * (1 - mu)));
}

/**
 * Logistic regression of grouped counts by maximum likelihood (iteratively reweighted least
 * squares; McCullagh & Nelder 1989, Generalized Linear Models, ch. 4). Quasi-binomial figures
 * widen the standard errors by sqrt(Pearson X2 / df) and use Student's t. Returns `Separated`
 * instead of a fit when no finite maximum exists. Throws RangeError on impossible counts or
 * columns of another length, or when no row has eggs.
 */
export function logistic(data: LogisticData): LogisticFit | Separated {
  const d = designOf(data);
  if (d.x.length === 0) throw new RangeError('no row has any eggs');
  const stuck = separationOf(d);
  if (stuck) return stuck;
  const size = d.names.length;
  const total = d.n.reduce((s, v) => s + v, 0);
  const pooled = d.x.reduce((s, v) => s + v, 0) / total;

  let beta = d.names.map((_, j) => (j === 0 ? logit(pooled) : 0));
  const etaOf = (b: readonly number[]): number[] =>
    d.rows.map((r) => r.reduce((s, v, j) => s + v * b[j]!, 0));
  const devianceAt = (b: readonly number[]): number =>
    etaOf(b).reduce((s, e, i) => s + devianceOf(d.x[i]!, d.n[i]!, expit(e)), 0);
  const informationAt = (b: readonly number[]): { information: Matrix; score: number[] } => {
    const information: Matrix = d.names.map(() => new Array<number>(size).fill(0));
    const score = new Array<number>(size).fill(0);
    etaOf(b).forEach((e, i) => {
      const mu = expit(e);
      const w = d.n[i]! * mu * (1 - mu);
      const r = d.rows[i]!;
      for (let j = 0; j < size; j++) {
        score[j] = score[j]! + r[j]! * (d.x[i]! - d.n[i]! * mu);
        for (let k = 0; k < size; k++) information[j]![k] = information[j]![k]! + w * r[j]! * r[k]!;
      }
    });
    return { information, score };
  };
  let deviance = devianceAt(beta);
  for (let iteration = 0; iteration < 100; iteration++) {
    const { information, score } = informationAt(beta);
    const l = cholesky(information);
    if (!l) return { separated: true, columns: d.names.slice(1) };
    const step = choleskySolve(l, score);
    let share = 1;
    let next = beta;
    let lower = deviance;
    for (; share > 1e-6; share /= 2) {
      next = beta.map((b, j) => b + share * step[j]!);
      lower = devianceAt(next);
      if (lower <= deviance + 1e-12 * (1 + deviance)) break;
    }
    const moved = largest(step.map((s, j) => Math.abs(s) / (Math.abs(beta[j]!) + 1)));
    beta = next;
    deviance = lower;
    if (moved < 1e-12) break;
  }
  const { information } = informationAt(beta);
  const l = cholesky(information);
  if (!l) return { separated: true, columns: d.names.slice(1) };
  const covariance = choleskyInverse(l);
  const fitted = etaOf(beta).map(expit);
  const pearson = fitted.reduce(
    (s, mu, i) => s + (d.x[i]! - d.n[i]! * mu) ** 2 / (d.n[i]! * mu * (1 - mu)),
    0,
  );
  const dfResidual = d.x.length - size;
  const dispersion = dfResidual > 0 ? pearson / dfResidual : null;
  const coefficients: Record<string, Coefficient> = {};
  d.names.forEach((name, j) => {
    const estimate = beta[j]!;
    const se = Math.sqrt(covariance[j]![j]!);
    const z = estimate / se;
    const quasiSe = dispersion === null ? null : se * Math.sqrt(dispersion);
    const quasiT = quasiSe ? estimate / quasiSe : null;
    coefficients[name] = {
      estimate,
      se,
      z,
      p: normalTwoSided(z),
      quasiSe,
      quasiT,
      quasiP: quasiT === null ? null : studentTwoSided(quasiT, dfResidual),
    };
  });
  const nullDeviance =
    pooled > 0 && pooled < 1 ? d.x.reduce((s, x, i) => s + devianceOf(x, d.n[i]!, pooled), 0) : 0;
  const likelihoodRatio = Math.max(0, nullDeviance - deviance);
  return {
    coefficients,
    aliased: d.aliased,
    covariance,
    deviance,
    nullDeviance,
    dfResidual,
    pearson,
    dispersion,
    likelihoodRatio,
    likelihoodRatioDf: size - 1,
    likelihoodRatioP: size > 1 ? chiSquareUpper(likelihoodRatio, size - 1) : null,
    fitted,
  };
}

export function isSeparated(fit: LogisticFit | Separated): fit is Separated {
  return 'separated' in fit;
}

/** The fitted share at given covariate values, with its Wald interval on the logit scale. */
export function predict(
  fit: LogisticFit,
  at: Readonly<Record<string, number>>,
  confidence = CONFIDENCE,
): { p: number; low: number; high: number } {
  const names = Object.keys(fit.coefficients);
  const row = names.map((name) => (name === 'intercept' ? 1 : (at[name] ?? 0)));
  const eta = names.reduce((s, name, j) => s + fit.coefficients[name]!.estimate * row[j]!, 0);
  const variance = row.reduce(
    (s, a, i) => s + row.reduce((t, b, j) => t + a * b * fit.covariance[i]![j]!, 0),
    0,
  );
  const half = normalQuantile((1 + confidence) / 2) * Math.sqrt(variance);
  return { p: expit(eta), low: expit(eta - half), high: expit(eta + half) };
}
