/*
 * A list is never spread into a call: an engine puts each element on the stack, and a list of some
 * hundred thousand, which a log may well make, overflows it.
 */

/** Adds every element of `more` at the end of `list`. */
export function addAll<T>(list: T[], more: Iterable<T>): void {
  for (const one of more) list.push(one);
}

/** The largest of some numbers; -Infinity of none, NaN if one is. */
export function largest(numbers: Iterable<number>): number {
  let most = Number.NEGATIVE_INFINITY;
  for (const one of numbers) most = Math.max(most, one);
  return most;
}

/** The smallest of some numbers; Infinity of none, NaN if one is. */
export function smallest(numbers: Iterable<number>): number {
  let least = Number.POSITIVE_INFINITY;
  for (const one of numbers) least = Math.min(least, one);
  return least;
}
