/**
 * How many eggs give at least so many birds with a stated chance. Dividing the birds wanted by the
 * rate gives about even odds only; every function here returns both.
 */

import {
  betaBinomialPmf,
  productMoments,
  type StageRate,
} from '../../../src/judge/rates/product-of-rates.ts';
import { leastReaching } from '../../../src/judge/statistics/search.ts';
import { binomialAtLeast, binomialAtMost } from './distributions.ts';
import { atLeast, productRule, upperTail } from './product-rule.ts';

export interface BinomialNeed {
  /** Overall rate: the product of the stage rates. */
  p: number;
  n: number;
  probAtN: number;
  probAtNMinus1: number;
  /** Birds wanted ÷ rate, rounded up, and the chance that many eggs give. */
  naiveN: number;
  naiveProb: number;
}

/** Eggs for at least `k` birds at known stage rates. Throws RangeError on a rate or confidence outside (0, 1]. */
export function eggsAtKnownRates(
  k: number,
  confidence: number,
  rates: readonly number[],
): BinomialNeed {
  const p = rates.reduce((product, rate) => product * rate, 1);
  if (!(p > 0 && p <= 1))
    throw new RangeError(`the product of the rates must lie in (0, 1], found ${p}`);
  const n = leastReaching((eggs) => binomialAtLeast(k, eggs, p), confidence, k);
  // A quotient that is whole but for rounding error must not become one egg more.
  const naiveN = Math.ceil(k / p - 1e-9);
  return {
    p,
    n,
    probAtN: binomialAtLeast(k, n, p),
    probAtNMinus1: binomialAtLeast(k, n - 1, p),
    naiveN,
    naiveProb: binomialAtLeast(k, naiveN, p),
  };
}

export interface SharedRateNeed {
  pMean: number;
  n: number;
  probAtN: number;
  probAtNMinus1: number;
  /** What the answer would be if the mean rate were certain, and the chance it really gives. */
  nIfBinomialAtMean: number;
  probOfThatN: number;
}

function sharedRateNeed(
  k: number,
  confidence: number,
  pMean: number,
  chance: (n: number) => number,
): SharedRateNeed {
  const n = leastReaching(chance, confidence, k);
  const nIfBinomialAtMean = leastReaching((eggs) => binomialAtLeast(k, eggs, pMean), confidence, k);
  return {
    pMean,
    n,
    probAtN: chance(n),
    probAtNMinus1: chance(n - 1),
    nIfBinomialAtMean,
    probOfThatN: chance(nIfBinomialAtMean),
  };
}

/** Eggs in one set whose overall rate, common to its eggs, is Beta(a, b). */
export function eggsAtBetaRate(
  k: number,
  confidence: number,
  a: number,
  b: number,
): SharedRateNeed {
  return sharedRateNeed(k, confidence, a / (a + b), (n) =>
    n < k ? 0 : upperTail(betaBinomialPmf(n, a, b), k),
  );
}

/** Eggs in one set when each stage has one rate common to all eggs, known or up to a beta. */
export function eggsThroughChain(
  k: number,
  confidence: number,
  stages: readonly StageRate[],
): SharedRateNeed {
  const rule = productRule(stages);
  return sharedRateNeed(k, confidence, productMoments(stages).mean, (n) => atLeast(rule, k, n));
}

/** P(at least `females` and at least `males`) from n eggs: alive with `pAlive`, then female with `pFemale`. */
export function bothSexes(
  females: number,
  males: number,
  n: number,
  pAlive: number,
  pFemale: number,
): number {
  let total = 0;
  let below = binomialAtMost(females + males - 1, n, pAlive);
  for (let alive = females + males; alive <= n; alive++) {
    const upTo = binomialAtMost(alive, n, pAlive);
    const enough =
      binomialAtMost(alive - males, alive, pFemale) -
      (females > 0 ? binomialAtMost(females - 1, alive, pFemale) : 0);
    total += (upTo - below) * enough;
    below = upTo;
  }
  return total;
}

/** Smallest number of eggs that gives both targets, with the chances at and just below it. */
export function eggsForBothSexes(
  females: number,
  males: number,
  confidence: number,
  pAlive: number,
  pFemale: number,
): { n: number; probAtN: number; probAtNMinus1: number } {
  const chance = (n: number) => bothSexes(females, males, n, pAlive, pFemale);
  const n = leastReaching(chance, confidence, females + males);
  return { n, probAtN: chance(n), probAtNMinus1: chance(n - 1) };
}

/** P(at least k) from `sets` equal sets of `eggs`, each with its own rate of mean `mu`, correlation `rho`. */
export function acrossSets(k: number, sets: number, eggs: number, mu: number, rho: number): number {
  const strength = 1 / rho - 1;
  const one = betaBinomialPmf(eggs, mu * strength, (1 - mu) * strength);
  let sum: Float64Array = new Float64Array([1]);
  for (let s = 0; s < sets; s++) {
    const next = new Float64Array(sum.length + eggs);
    for (let i = 0; i < sum.length; i++)
      for (let j = 0; j < one.length; j++) next[i + j]! += sum[i]! * one[j]!;
    sum = next;
  }
  return upperTail(sum, k);
}

/** Smallest number of eggs in each of `sets` equal sets. */
export function eggsPerSet(
  k: number,
  sets: number,
  mu: number,
  rho: number,
  confidence: number,
): { eggsPerSet: number; total: number; prob: number; probOneLessPerSet: number } {
  const chance = (eggs: number) => acrossSets(k, sets, eggs, mu, rho);
  const eggs = leastReaching(chance, confidence, 1);
  return {
    eggsPerSet: eggs,
    total: eggs * sets,
    prob: chance(eggs),
    probOneLessPerSet: eggs > 1 ? chance(eggs - 1) : 0,
  };
}
