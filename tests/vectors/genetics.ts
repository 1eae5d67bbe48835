import * as z from 'zod';
import {
  acrossGenerations,
  effectiveSize,
  inbreedingRate,
} from '../../src/breeders/effective-size.ts';
import { inbreedingOf, relationships } from '../../src/breeders/inbreeding.ts';
import { intensityOf } from '../../src/breeders/selection-intensity.ts';
import { orderPedigree } from '../../src/facts/birds/pedigree.ts';
import { normalQuantile } from '../../src/judge/statistics/normal.ts';
import { type Adapter, adapter, numbers } from './shared.ts';

const parent = z.string().nullable();
const certain = (id: string | null) => (id === null ? [] : [{ id, share: 1 }]);

/** Truncation of a large population at the best `share` of it. */
function truncation(share: number): { point: number; intensity: number } {
  if (!(share > 0 && share <= 1)) throw new RangeError('the share kept lies between 0 and 1');
  if (share === 1) return { point: Number.NEGATIVE_INFINITY, intensity: 0 };
  // Taken from the small tail: 1 − share would lose digits there.
  const point = -normalQuantile(share);
  return { point, intensity: Math.exp((-point * point) / 2) / Math.sqrt(2 * Math.PI) / share };
}

/** The approximation of Burrows, Biometrics 28:1091 (1972; from memory); `null` where all are kept. */
function burrows(selected: number, candidates: number): number | null {
  if (selected >= candidates) return null;
  const { intensity } = truncation(selected / candidates);
  return intensity - (candidates - selected) / (2 * selected * (candidates + 1) * intensity);
}

/** How narrow a population is, pedigrees, and the intensity of selection. */
export const adapters: Record<string, Adapter> = {
  ne: adapter(
    z.object({ males: z.number(), females: z.number(), generations: z.number() }),
    ({ males, females, generations }) => {
      const size = effectiveSize({ males, hens: females });
      const rate = inbreedingRate(size);
      return {
        ne: size,
        delta_f: rate,
        // At a steady rate, starting from none.
        f_after: rate === null ? null : 1 - (1 - rate) ** generations,
      };
    },
  ),
  ne_varying: adapter(z.object({ males: numbers, females: numbers }), ({ males, females }) => {
    const course = acrossGenerations(
      males.map((count, index) => ({ males: count, hens: females[index] ?? 0 })),
    );
    return {
      ne_each: course.sizes,
      ne_harmonic: course.harmonic,
      ne_arithmetic: course.arithmetic,
      f_after: course.inbreeding,
    };
  }),
  pedigree_f: adapter(
    z.object({ pedigree: z.array(z.object({ id: z.string(), sire: parent, dam: parent })) }),
    ({ pedigree }) => {
      const known = relationships(
        orderPedigree(
          pedigree.map(({ id, sire, dam }) => ({ id, sire: certain(sire), dam: certain(dam) })),
        ),
      );
      return Object.fromEntries(pedigree.map(({ id }) => [id, inbreedingOf(known, id)]));
    },
  ),
  sel_intensity: adapter(z.object({ p: z.number() }), ({ p }) => {
    const { point, intensity } = truncation(p);
    return { truncation_x: point, i: intensity };
  }),
  sel_intensity_finite: adapter(
    z.object({ candidates: z.number(), selected: z.number() }),
    ({ candidates, selected }) => ({
      p: selected / candidates,
      i_infinite: truncation(selected / candidates).intensity,
      i_exact: intensityOf(selected, candidates),
      i_burrows: burrows(selected, candidates),
    }),
  ),
};
