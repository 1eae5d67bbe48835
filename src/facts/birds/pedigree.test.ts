// A pedigree in order: parents before young, loops told, doubtful parents averaged once for all their young.
import { expect, test } from 'vitest';
import { orderPedigree, type PedigreeEntry, pedigreeFaults } from './pedigree.ts';

const entry = (id: string, sire: string[] = [], dam: string[] = []): PedigreeEntry => {
  const shared = (ids: string[]) => ids.map((one) => ({ id: one, share: 1 / ids.length }));
  return { id, sire: shared(sire), dam: shared(dam) };
};

test('loops by the birds passed, from the first that is met again', () => {
  expect(pedigreeFaults([entry('A', ['B']), entry('B', [], ['C']), entry('C', ['B'])])).toEqual({
    loops: [['B', 'C', 'B']],
    missing: [],
    repeated: [],
  });
  expect(pedigreeFaults([entry('A', ['B'], ['A']), entry('B')]).loops).toEqual([['A', 'A']]);
  expect(pedigreeFaults([entry('A', ['B'], ['C']), entry('B')]).missing).toEqual([
    { id: 'A', parent: 'C' },
  ]);
  // Two ways to one ancestor are no loop.
  const cousins = [entry('A', ['B'], ['C']), entry('B', ['D']), entry('C', ['D']), entry('D')];
  expect(pedigreeFaults(cousins).loops).toEqual([]);
});

test.each([
  ['a loop', [entry('A', ['A'])]],
  ['a parent without an entry', [entry('A', ['B'])]],
  ['a bird twice', [entry('A'), entry('A')]],
  ['as many of one as of another', [entry('A', ['B']), entry('C'), entry('C')]],
])('%s is not put in order', (_, entries) => {
  expect(() => orderPedigree(entries)).toThrow(RangeError);
});

test('chicks of one pen share one average of its males, in whatever order they are named', () => {
  const both = [
    { id: 'Oak', share: 0.25 },
    { id: 'Elm', share: 0.75 },
  ];
  const { nodes, indexOf } = orderPedigree([
    { id: 'A', sire: both, dam: [] },
    { id: 'B', sire: [...both].reverse(), dam: [] },
    { id: 'C', sire: [{ id: 'Oak', share: 0.5 }], dam: [{ id: 'Elm', share: 0 }] },
    {
      id: 'D',
      sire: [
        { id: 'Oak', share: 1 },
        { id: 'Elm', share: 0 },
      ],
      dam: [],
    },
    {
      id: 'E',
      sire: [
        { id: 'Oak', share: 0.25 },
        { id: 'Elm', share: 0.25 },
      ],
      dam: [],
    },
    entry('Oak'),
    { ...entry('Elm'), unnamed: 3 },
  ]);
  const of = (id: string) => nodes[indexOf.get(id)!]!;
  const [oak, elm] = ['Oak', 'Elm'].map((id) => indexOf.get(id)!);
  expect(of('A').sire).toBe(of('B').sire);
  const sources = [
    { node: oak, part: 0.25 },
    { node: elm, part: 0.75 },
  ].sort((a, b) => a.node! - b.node!);
  expect(nodes[of('A').sire!]).toEqual({ id: null, sources, sire: null, dam: null, birds: 0 });
  // Half a chance of one sire is not the sire himself: the rest is unknown, and unrelated.
  expect(nodes[of('C').sire!]).toMatchObject({ id: null, sources: [{ node: oak, part: 0.5 }] });
  expect([of('C').dam, of('D').sire]).toEqual([null, oak]);
  expect(of('E').sire).not.toBe(of('A').sire);
  expect(of('A').sources).toEqual([{ node: of('A').sire, part: 0.5 }]);
  expect([of('Elm').birds, of('Oak').birds]).toEqual([3, 1]);
  expect(nodes).toHaveLength(10);
});
