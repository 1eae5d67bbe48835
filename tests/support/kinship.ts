import { meanKinship, type Relationships } from '../../src/breeders/inbreeding.ts';

/** Kinship of every listed bird with every other; on the diagonal with itself, ½·(1 + F). */
export const kinshipMatrix = (known: Relationships, ids: readonly string[]): Float64Array[] =>
  ids.map((one, i) =>
    Float64Array.from(ids, (other, j) =>
      i === j ? meanKinship(known, [one]).withSelf! : meanKinship(known, [one, other]).among!,
    ),
  );
