import { describe, expect, it } from 'vitest';
import { breedingValues } from '../../src/breeders/breeding-value.ts';
import { relationships } from '../../src/breeders/inbreeding.ts';
import { orderPedigree } from '../../src/facts/birds/pedigree.ts';

const certain = (id?: string) => (id ? [{ id, share: 1 }] : []);
const birds = (lines: readonly (readonly [string, string?, string?])[]) =>
  relationships(
    orderPedigree(lines.map(([id, sire, dam]) => ({ id, sire: certain(sire), dam: certain(dam) }))),
  );

describe('breeding values against textbook examples', () => {
  it('meet the animal model of Mrode (from memory)', () => {
    // Mrode, Linear Models for the Prediction of Animal Breeding Values, example 3.1: five calves'
    // gain, two sexes, residual variance 40, additive 20 (heritability ⅓). From memory of the
    // printed solutions; the page was not consulted.
    const known = birds([
      ['1'],
      ['2'],
      ['3'],
      ['4', '1'],
      ['5', '3', '2'],
      ['6', '1', '2'],
      ['7', '4', '5'],
      ['8', '3', '6'],
    ]);
    const { values, levels } = breedingValues(
      known,
      [
        { bird: '4', peers: 'male', value: 4.5 },
        { bird: '5', peers: 'female', value: 2.9 },
        { bird: '6', peers: 'female', value: 3.9 },
        { bird: '7', peers: 'male', value: 3.5 },
        { bird: '8', peers: 'male', value: 5.0 },
      ],
      1 / 3,
    );
    const printed = {
      1: [0.098, 0.058],
      2: [-0.019, 0.016],
      3: [-0.041, 0.087],
      4: [-0.009, 0.144],
      5: [-0.186, 0.144],
      6: [0.177, 0.116],
      7: [-0.249, 0.116],
      8: [0.183, 0.156],
    };
    expect(Math.abs(levels.get('male')! - 4.358)).toBeLessThan(0.0006);
    expect(levels.get('female')).toBeCloseTo(3.404, 3);
    // Reliabilities were printed from diagonals already rounded to three decimals.
    for (const [id, [value, reliability]] of Object.entries(printed)) {
      expect(Math.abs(values.get(id)!.value - value!), id).toBeLessThanOrEqual(0.00051);
      expect(Math.abs(values.get(id)!.reliability - reliability!), id).toBeLessThanOrEqual(0.0011);
    }
  });

  it('meet the progeny-test index (Falconer & Mackay, from memory)', () => {
    // Mean of n half-sib young of one sire, peers known: value 2n/(n+k) of the deviation, with
    // k = (4 − h²)/h², reliability n/(n+k). Falconer & Mackay, Introduction to Quantitative
    // Genetics, ch. 13; from memory. Many unrelated peers stand in for a known mean.
    const peers = Array.from({ length: 4000 }, (_, n) => `peer${n}`);
    const young = Array.from({ length: 12 }, (_, n) => `young${n}`);
    const known = birds([
      ['sire'],
      ...peers.map((id) => [id] as const),
      ...young.map((id) => [id, 'sire'] as const),
    ]);
    const heritability = 0.25;
    const k = (4 - heritability) / heritability;
    const { values, levels } = breedingValues(
      known,
      [
        ...peers.map((bird) => ({ bird, peers: 'all', value: 100 })),
        ...young.map((bird, n) => ({ bird, peers: 'all', value: 110 + (n % 2 ? 3 : -3) })),
      ],
      heritability,
    );
    const sire = values.get('sire')!;
    const deviation = 110 - levels.get('all')!;
    expect(levels.get('all')).toBeCloseTo(100, 1);
    expect(sire.value).toBeCloseTo((2 * 12 * deviation) / (12 + k), 6);
    expect(Math.abs(sire.reliability - 12 / (12 + k))).toBeLessThan(0.001);
    // Own record alone: value h² × deviation, reliability h².
    const peer = values.get('peer0')!;
    expect(peer.value).toBeCloseTo(heritability * (100 - levels.get('all')!), 6);
    expect(peer.reliability).toBeCloseTo(heritability, 3);
  });
});
