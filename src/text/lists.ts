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

/** The elements of a list by what each is told by, both in the order in which they come. */
export function groupedBy<T, K>(all: Iterable<T>, keyOf: (one: T) => K): Map<K, T[]> {
  const out = new Map<K, T[]>();
  for (const one of all) {
    const key = keyOf(one);
    const same = out.get(key);
    if (same) same.push(one);
    else out.set(key, [one]);
  }
  return out;
}

/** A rule that gives what it finds one by one, as one that gives a list. */
export const gathered =
  <A, T>(rule: (of: A) => Iterable<T>) =>
  (of: A): T[] => [...rule(of)];

/** What may be left out of a list: `condition && value`. */
export type Perhaps<T> = T | false | null | undefined;

/** Those of a list that are there. */
export function there<T>(list: readonly Perhaps<T>[] | undefined): T[] {
  return (list ?? []).filter((one): one is T => one !== false && one !== null && one !== undefined);
}
