import {
  acrossGenerations,
  effectiveSize,
  inbreedingAfter,
  inbreedingRate,
} from '../compute/breeders/effective-size.ts';
import { inbreedingOf, relationships } from '../compute/breeders/inbreeding.ts';
import { orderPedigree } from '../compute/breeders/pedigree.ts';
import { burrows, intensityOf, truncation } from '../compute/breeders/selection-intensity.ts';

interface Numbers {
  readonly males: number;
  readonly females: number;
  readonly generations: number;
}
interface Years {
  readonly males: readonly number[];
  readonly females: readonly number[];
}
interface Animal {
  readonly id: string;
  readonly sire: string | null;
  readonly dam: string | null;
}

const certain = (id: string | null) => (id === null ? [] : [{ id, share: 1 }]);

/** Adapters from the check-vector kinds to the program's own functions. */
export const adapters: Record<string, (inputs: never) => unknown> = {
  ne: ({ males, females, generations }: Numbers) => {
    const size = effectiveSize({ males, hens: females });
    const rate = inbreedingRate(size);
    return {
      ne: size,
      delta_f: rate,
      f_after: rate === null ? null : inbreedingAfter(rate, generations),
    };
  },
  ne_varying: ({ males, females }: Years) => {
    const course = acrossGenerations(
      males.map((count, index) => ({ males: count, hens: females[index] ?? 0 })),
    );
    return {
      ne_each: course.sizes,
      ne_harmonic: course.harmonic,
      ne_arithmetic: course.arithmetic,
      f_after: course.inbreeding,
    };
  },
  pedigree_f: ({ pedigree }: { readonly pedigree: readonly Animal[] }) => {
    const known = relationships(
      orderPedigree(
        pedigree.map(({ id, sire, dam }) => ({ id, sire: certain(sire), dam: certain(dam) })),
      ),
    );
    return Object.fromEntries(pedigree.map(({ id }) => [id, inbreedingOf(known, id)]));
  },
  sel_intensity: ({ p }: { readonly p: number }) => {
    const { point, intensity } = truncation(p);
    return { truncation_x: point, i: intensity };
  },
  sel_intensity_finite: (inputs: { readonly candidates: number; readonly selected: number }) => ({
    p: inputs.selected / inputs.candidates,
    i_infinite: truncation(inputs.selected / inputs.candidates).intensity,
    i_exact: intensityOf(inputs.selected, inputs.candidates),
    i_burrows: burrows(inputs.selected, inputs.candidates),
  }),
};
