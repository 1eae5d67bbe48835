/** Pieces of kinship, gathered so that a program over many birds stays small. */
import { groupedBy, largest, smallest } from '../text/lists.ts';
import type { Factor } from './inbreeding.ts';

/** Several ancestors whose genes the candidates carry in the same proportion count as one. */
export interface MatingGroup {
  readonly weight: number;
  /** Parts are relative: the largest is 1. */
  readonly parts: readonly (readonly [bird: number, part: number])[];
}

const DIGITS = 9;

/** Joins factors that are carried in the same proportion. */
export function gathered(factors: readonly Factor[]): MatingGroup[] {
  const groups = new Map<string, { weight: number; parts: [number, number][] }>();
  for (const { weight, parts } of factors) {
    if (weight <= 0 || parts.length === 0) continue;
    const most = largest(parts.map(([, part]) => part));
    const relative = parts
      .map(([bird, part]): [number, number] => [bird, part / most])
      .sort(([a], [b]) => a - b);
    const key = relative.map(([bird, part]) => `${bird}:${part.toFixed(DIGITS)}`).join(' ');
    const same = groups.get(key);
    if (same) same.weight += weight * most * most;
    else groups.set(key, { weight: weight * most * most, parts: relative });
  }
  return [...groups.values()];
}

/**
 * The step in which the group's count moves when every bird counts whole: the least part, if all
 * are multiples of it; `null` when they are not (doubtful parents).
 */
export function step({ parts }: MatingGroup): number | null {
  const least = smallest(parts.map(([, part]) => part));
  const even = ([, part]: readonly [number, number]) =>
    Math.abs(part / least - Math.round(part / least)) < 10 ** -DIGITS;
  return parts.every(even) ? least : null;
}

/**
 * Birds that nothing but their merit tells apart: alike in what is their own, carrying the same
 * part of every shared ancestor, barred from the same mates. Sets of at least two.
 * @param barred what tells a bird's bars apart, by bird
 */
export function alike(
  birds: readonly number[],
  groups: readonly MatingGroup[],
  barred: (bird: number) => string,
): number[][] {
  const keys = new Map(birds.map((bird) => [bird, [barred(bird)]]));
  groups.forEach(({ weight, parts }, group) => {
    for (const [bird, part] of parts) {
      const own = parts.length === 1;
      keys
        .get(bird)
        ?.push(own ? `own ${weight.toFixed(DIGITS)}` : `${group}:${part.toFixed(DIGITS)}`);
    }
  });
  const sets = groupedBy(birds, (bird) => keys.get(bird)!.join(' '));
  return [...sets.values()].filter((set) => set.length > 1);
}
