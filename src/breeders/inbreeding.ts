/**
 * Inbreeding and kinship from a pedigree.
 *
 * The tabular method gives the relationship matrix A whole, which for ten thousand birds is a
 * hundred million numbers. The same figures come from its factors A = T·D·T' without the table:
 * Meuwissen & Luo, Genetics Selection Evolution 24:305 (1992), for the diagonal; Colleau, Genetics
 * Selection Evolution 34:409 (2002), for any column; Henderson (1988) for doubtful parents (works
 * cited from memory; the tests hold all three against the plain table).
 *
 * Founders and unknown parents count as unrelated and not inbred, so every figure is a lowest
 * value: it tells what happened since the records began.
 */

import type { Pedigree } from '../facts/birds/pedigree.ts';
import { largest } from '../text/lists.ts';

export interface Relationships {
  readonly pedigree: Pedigree;
  /** Diagonal of A by node: 1 + F for a bird. */
  readonly diagonal: Float64Array;
  /** Mendelian sampling by node: the part of the variance its parents do not explain. */
  readonly sampling: Float64Array;
}

/** Works out every bird's inbreeding. Full sibs are worked out once. */
export function relationships(pedigree: Pedigree): Relationships {
  const { nodes } = pedigree;
  const diagonal = new Float64Array(nodes.length);
  const sampling = new Float64Array(nodes.length);
  const reach = new Float64Array(nodes.length);
  const families = new Map<number, number>();
  nodes.forEach((node, index) => {
    if (node.birds > 0 && node.sources.length === 0) {
      // A founder, or the average of several unnamed ones.
      diagonal[index] = 1 / node.birds;
      sampling[index] = 1 / node.birds;
      return;
    }
    if (node.birds === 0) {
      diagonal[index] = traced(pedigree, sampling, reach, index);
      return;
    }
    const sire = node.sire === null ? 0 : diagonal[node.sire]!;
    const dam = node.dam === null ? 0 : diagonal[node.dam]!;
    sampling[index] = Math.max(0, 1 - (sire + dam) / 4);
    const family = ((node.sire ?? -1) + 1) * (nodes.length + 1) + (node.dam ?? -1) + 1;
    const known = families.get(family) ?? traced(pedigree, sampling, reach, index);
    families.set(family, known);
    diagonal[index] = known;
  });
  return { pedigree, diagonal, sampling };
}

/** Σ over ancestors of (genes drawn from it)² × its Mendelian sampling. `reach` comes back zero. */
function traced(
  { nodes }: Pedigree,
  sampling: Float64Array,
  reach: Float64Array,
  from: number,
): number {
  let sum = 0;
  let waiting = 1;
  reach[from] = 1;
  for (let index = from; waiting > 0; index -= 1) {
    const part = reach[index]!;
    if (part === 0) continue;
    reach[index] = 0;
    waiting -= 1;
    sum += part * part * sampling[index]!;
    for (const source of nodes[index]!.sources) {
      if (reach[source.node] === 0) waiting += 1;
      reach[source.node]! += part * source.part;
    }
  }
  return sum;
}

function nodeOf({ pedigree }: Relationships, id: string): number {
  const node = pedigree.indexOf.get(id);
  if (node === undefined) throw new RangeError(`no bird "${id}" in the pedigree`);
  return node;
}

/** Inbreeding coefficient F (0–1) of one bird. @throws RangeError for an unknown bird. */
export function inbreedingOf(known: Relationships, id: string): number {
  return known.diagonal[nodeOf(known, id)]! - 1;
}

/** A·x by node, for weights by node, in one pass up the pedigree and one down. */
function weighted(known: Relationships, weights: Float64Array): Float64Array {
  const { nodes } = known.pedigree;
  const out = Float64Array.from(weights);
  for (let index = nodes.length - 1; index >= 0; index -= 1) {
    const value = out[index]!;
    if (value === 0) continue;
    for (const { node, part } of nodes[index]!.sources) out[node]! += part * value;
  }
  for (let index = 0; index < nodes.length; index += 1) {
    let value = out[index]! * known.sampling[index]!;
    for (const { node, part } of nodes[index]!.sources) value += part * out[node]!;
    out[index] = value;
  }
  return out;
}

/**
 * Mean kinship (Malécot's coancestry: the chance that a gene drawn from each is the same by descent) of a group, each bird counting alike: with every bird also paired with itself
 * (`withSelf`, the expected inbreeding under random mating of them) and among different birds.
 */
export function meanKinship(
  known: Relationships,
  ids: readonly string[],
): { withSelf: number | null; among: number | null } {
  if (ids.length === 0) return { withSelf: null, among: null };
  const weights = new Float64Array(known.pedigree.nodes.length);
  let self = 0;
  for (const id of ids) {
    const node = nodeOf(known, id);
    weights[node]! += 1;
    self += known.diagonal[node]! / 2;
  }
  const column = weighted(known, weights);
  let total = 0;
  weights.forEach((weight, node) => {
    total += (weight * column[node]!) / 2;
  });
  const pairs = ids.length * (ids.length - 1);
  return {
    withSelf: total / ids.length ** 2,
    among: pairs === 0 ? null : (total - self) / pairs,
  };
}

/** One independent source of likeness: what part of its genes each of the birds carries. */
export interface Factor {
  /** Half the variance that began in it. */
  readonly weight: number;
  /** Place in the list of birds, and the part (above 0, at most 1) that comes from here. */
  readonly parts: readonly (readonly [bird: number, part: number])[];
}

/**
 * Kinship in pieces: for birds i and j it is Σ weight·part(i)·part(j) over the factors, of which
 * there is one for each ancestor (or bird) where something not inherited from above began.
 */
export function kinshipFactors(known: Relationships, ids: readonly string[]): Factor[] {
  const { nodes } = known.pedigree;
  const factors = new Map<number, [number, number][]>();
  ids.forEach((id, bird) => {
    const reach = new Map([[nodeOf(known, id), 1]]);
    // Sources come before their node, so the highest node left is always complete.
    while (reach.size > 0) {
      const node = largest(reach.keys());
      const part = reach.get(node)!;
      reach.delete(node);
      if (known.sampling[node]! > 0)
        factors.set(node, [...(factors.get(node) ?? []), [bird, part]]);
      for (const source of nodes[node]!.sources)
        reach.set(source.node, (reach.get(source.node) ?? 0) + part * source.part);
    }
  });
  return [...factors].map(([node, parts]) => ({ weight: known.sampling[node]! / 2, parts }));
}
