/** Goals and orders as tables know them: what is wanted, by when, with which chance. */
import { type Claim, claimWords } from '../facts/claims.ts';
import { largest } from '../text/lists.ts';
import type { Column } from './columns.ts';
import { count, fixed } from './numbers.ts';
import { heads } from './words.ts';

/** Columns of a table whose rows are about a claim each. */
export function claimColumns<Row>(claimOf: (row: Row) => Claim): Column<Row>[] {
  const data = <K extends string>(key: K, doc: string, of: (claim: Claim) => string | null) =>
    ({
      key,
      heading: key,
      kind: 'text',
      show: 'data',
      doc,
      of: (row: Row) => of(claimOf(row)),
    }) as const;
  return [
    {
      key: 'claim',
      heading: 'goal or order',
      kind: 'text',
      show: 'people',
      doc: 'what is wanted',
      of: (row) => claimWords(claimOf(row)),
    },
    data('line', 'line of the birds', ({ line }) => line.name),
    data('want', 'what is wanted: chicks, pullets, cockerels or birds', ({ want }) => want),
    data('at', 'age at which they are wanted', ({ at }) => at),
    data('by', 'day they are wanted by', ({ by }) => by),
    data('fate', 'what becomes of them', ({ fate }) => fate),
    data('for', 'who an order is for; null for a goal', (claim) => claim.for),
    { ...heads.count, show: 'data', doc: 'birds wanted', of: (row) => claimOf(row).count },
    {
      key: 'confidence',
      heading: 'asked',
      kind: 'chance',
      doc: 'chance asked for',
      of: (row) => claimOf(row).confidence,
    },
  ];
}

/** A chance of a claim, and the birds expected of it. */
export function chanceColumns<Row>(
  of: (row: Row) => { probability: number; expected: number },
  expected: 'always' | 'data' = 'always',
): Column<Row>[] {
  return [
    {
      key: 'expected',
      heading: 'birds expected',
      kind: 'number',
      digits: 0,
      show: expected,
      doc: 'birds expected, after other claims took theirs',
      of: (row) => of(row).expected,
    },
    { ...heads.chance, of: (row) => of(row).probability },
  ];
}

/** `pullets of dorking`, shorter than the whole claim. */
export const shortClaim = (claim: Claim): string =>
  `${claim.line.name} ${claim.want}${claim.for === null ? '' : ` for ${claim.for}`}`;

/** Where the chances of a table come from, and how far off they may be: twice their standard error. */
export function drawsWords(
  chances: readonly { readonly error: number }[],
  { draws, seed }: { readonly draws: number; readonly seed: number },
): string {
  const points = 200 * largest([0, ...chances.map((one) => one.error)]);
  const right = points < 0.05 ? '' : `, right to ${fixed(points, 1)} points`;
  return `Chances come from ${count(draws)} simulated seasons (seed ${seed})${right}. Each bird is counted once: what is promised leaves before what is kept.`;
}

/**
 * What a goal or order asks of the keeper: to act where its chance is below half of what was asked; one
 * whose day is past can only be looked at.
 */
export function claimMeaning(met: boolean, probability: number, asked: number, isPast: boolean) {
  if (met) return 'settled';
  return isPast || probability >= asked / 2 ? 'watch' : 'act';
}
