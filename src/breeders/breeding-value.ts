/**
 * Breeding values: what a bird is expected to pass on, from its own score, its relatives' and the
 * pedigree, each against its peers. This is the standard selection index in its general form, the
 * animal model (Henderson; Mrode, Linear Models for the Prediction of Animal Breeding Values,
 * ch. 3; from memory): peers are fixed effects, birds are random with the relationship matrix as
 * their covariance, so it gives the textbook index of own, sib and parent records whatever is
 * known of each bird. A cock gets a value for laying from his sisters, mother and daughters only.
 */
import type { Relationships } from './inbreeding.ts';
import { addTo, solveSparse, sparseMatrix } from './sparse.ts';

export interface BreedingValue {
  /** Twice what the bird's young are expected to gain from it, in the trait's unit. */
  readonly value: number;
  /** Squared correlation of estimate and truth, 0–1: how far the estimate can be trusted. */
  readonly reliability: number;
}

export interface Evaluated {
  readonly values: ReadonlyMap<string, BreedingValue>;
  /** Level of each group of peers, relatives' merit taken out, in the trait's unit. */
  readonly levels: ReadonlyMap<string, number>;
}

/** A fully inbred pair's young draw nothing new; this keeps the equations solvable. */
const LEAST_SAMPLING = 1e-9;

/**
 * Breeding values of every bird of the pedigree for one trait.
 * @param heritability share of the variance that is passed on, above 0 and below 1
 * @throws RangeError for a heritability out of range or a bird without an entry
 */
export function breedingValues(
  known: Relationships,
  records: readonly { readonly bird: string; readonly value: number; readonly peers: string }[],
  heritability: number,
): Evaluated {
  if (!(heritability > 0 && heritability < 1))
    throw new RangeError('a heritability lies between 0 and 1');
  const { nodes, indexOf } = known.pedigree;
  const place = new Map<number, number>();
  nodes.forEach(({ birds }, node) => {
    if (birds > 0) place.set(node, place.size);
  });
  const peers = [...new Set(records.map((record) => record.peers))];
  const level = new Map(peers.map((name, index) => [name, place.size + index]));
  const matrix = sparseMatrix(place.size + peers.length);
  const right = new Float64Array(matrix.size);
  const ratio = (1 - heritability) / heritability;

  // Henderson's rules for the inverse of A, bird by bird, averages of parents written out.
  for (const [node, at] of place) {
    const row: [number, number][] = [[at, 1]];
    for (const { node: parent, part } of nodes[node]!.sources) {
      const own = place.get(parent);
      if (own !== undefined) row.push([own, -part]);
      else
        for (const source of nodes[parent]!.sources)
          row.push([place.get(source.node)!, -part * source.part]);
    }
    const weight = ratio / Math.max(known.sampling[node]!, LEAST_SAMPLING);
    row.forEach(([i, a], first) => {
      row.forEach(([j, b], second) => {
        if (first === second) addTo(matrix, i, i, weight * a * a);
        else if (i === j) addTo(matrix, i, i, weight * a * b);
        else if (first < second) addTo(matrix, i, j, weight * a * b);
      });
    });
  }
  for (const record of records) {
    const node = indexOf.get(record.bird);
    if (node === undefined) throw new RangeError(`no bird "${record.bird}" in the pedigree`);
    const bird = place.get(node)!;
    const group = level.get(record.peers)!;
    addTo(matrix, bird, bird, 1);
    addTo(matrix, group, group, 1);
    addTo(matrix, bird, group, 1);
    right[bird]! += record.value;
    right[group]! += record.value;
  }
  const { solution, inverseDiagonal } = solveSparse(matrix, right);
  const values = new Map<string, BreedingValue>();
  for (const [node, at] of place) {
    const { id, birds } = nodes[node]!;
    if (id === null || birds !== 1) continue;
    const unexplained = (inverseDiagonal[at]! * ratio) / known.diagonal[node]!;
    values.set(id, {
      value: solution[at]!,
      reliability: Math.min(1, Math.max(0, 1 - unexplained)),
    });
  }
  return { values, levels: new Map(peers.map((name) => [name, solution[level.get(name)!]!])) };
}
