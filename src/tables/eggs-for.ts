/** How many eggs so many birds need: the answer, then the chain it rests on. */
import type { ChainStep, EggsFor } from '../judge/rates/eggs-for.ts';
import type { RateTally } from '../judge/rates/rates.ts';
import { type Column, jsonRows, tableOf } from './columns.ts';
import { chance, count, counted } from './numbers.ts';
import type { Screen } from './terminal.ts';
import { heads, stageNames } from './words.ts';

type Link = ChainStep & { readonly left: number };

const of = ({ x, n }: RateTally): string | null => (n > 0 ? `${count(x)} of ${count(n)}` : null);

export const chainColumns: readonly Column<Link>[] = [
  {
    ...heads.stage,
    show: 'people',
    of: (link) => (link.stage === 'male' ? 'male' : stageNames[link.stage]),
  },
  {
    key: 'stage',
    heading: 'stage, by its code',
    kind: 'name',
    show: 'data',
    doc: 'stage of the chain',
  },
  { key: 'mean', heading: 'expected', kind: 'percent', doc: 'expected rate' },
  { ...heads.range95, kind: 'percentRange', show: 'people', of: (link) => link },
  { ...heads.low, kind: 'percent' },
  { ...heads.high, kind: 'percent' },
  { ...heads.thisSeason, show: 'people', priority: 1, of: (link) => of(link.own) },
  { ...heads.earlierSeasons, show: 'people', priority: 1, of: (link) => of(link.earlier) },
  { key: 'x', kind: 'number', show: 'data', doc: 'how many this season', of: (link) => link.own.x },
  {
    key: 'n',
    kind: 'number',
    show: 'data',
    doc: 'of how many this season',
    of: (link) => link.own.n,
  },
  {
    key: 'earlier_x',
    kind: 'number',
    show: 'data',
    doc: 'how many in earlier seasons',
    of: (link) => link.earlier.x,
  },
  {
    key: 'earlier_n',
    kind: 'number',
    show: 'data',
    doc: 'of how many in earlier seasons',
    of: (link) => link.earlier.n,
  },
  {
    key: 'source',
    kind: 'text',
    show: 'data',
    doc: 'where the expectation is from',
    of: (link) => link.sources.join('; '),
  },
  {
    key: 'left',
    heading: 'left of 100 eggs',
    kind: 'number',
    digits: 0,
    show: 'people',
    doc: 'left of a hundred eggs',
    of: (link) => 100 * link.left,
  },
];

export type EggsForMatter = {
  readonly line: string;
  readonly want: string;
  readonly count: number;
  readonly sets: number;
  readonly need: EggsFor;
};

/** Rows of the chain, for people and for other programs. */
export function chainTable({ chain }: EggsFor) {
  let left = 1;
  return tableOf<Link>(
    chainColumns,
    chain.map((step) => {
      left *= step.mean;
      return { ...step, left };
    }),
  );
}

/** The chain for other programs. */
export const chainJson = (need: EggsFor): object[] => jsonRows(chainTable(need));

/** The answer as a screen. */
export function eggsForScreen(matter: EggsForMatter, title: string): Screen {
  const { line, want, sets, need } = matter;
  const birds = counted(matter.count, want.slice(0, -1));
  return {
    title,
    answer: [
      `Set ${counted(need.eggs, 'egg')} of ${line} in ${counted(sets, 'set')}: then the chance of at least ${birds} is ${chance(need.chance)}.`,
      `The birds wanted divided by the mean rate are ${counted(need.naive.eggs, 'egg')}: with those the chance is only ${chance(need.naive.chance)}.`,
    ],
    parts: [
      need.byPen.length > 1 && {
        heading: null,
        lines: [
          {
            name: 'By pen, as the hens are',
            text: need.byPen.map(({ pen, eggs }) => `${pen} ${eggs}`).join(', '),
          },
        ],
      },
      { heading: 'From egg to bird', table: chainTable(need) },
    ],
    notes: [
      'No rate is known for sure, and sets differ by chance: the number allows for both. Eggs are taken as fresh.',
      sets === 1 && 'Eggs spread over several sets risk less, so fewer are needed: --sets 4.',
    ],
  };
}
