import * as z from 'zod';
import {
  acrossGenerations,
  effectiveSize,
  inbreedingAfter,
  inbreedingRate,
} from '../../src/breeders/effective-size.ts';
import { inbreedingOf, relationships } from '../../src/breeders/inbreeding.ts';
import { burrows, intensityOf, truncation } from '../../src/breeders/selection-intensity.ts';
import { orderPedigree } from '../../src/facts/birds/pedigree.ts';
import { type Adapter, adapter, numbers } from './shared.ts';

const parent = z.string().nullable();
const certain = (id: string | null) => (id === null ? [] : [{ id, share: 1 }]);

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
        f_after: rate === null ? null : inbreedingAfter(rate, generations),
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
