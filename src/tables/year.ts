/** The year's turn: this season against earlier ones, and what the record suggests. */

import type { AgainstPrevious } from '../judge/review/review.ts';
import type { AgainstSeason, YearTurn } from '../planner/year/turn.ts';
import { there } from '../text/lists.ts';
import { type AnyTable, type Column, tableOf } from './columns.ts';
import { between, count, counted, hundredths } from './numbers.ts';
import type { ScreenPart } from './terminal.ts';
import { heads, rates } from './words.ts';

type Done = AgainstSeason['differently'][number];

/** What was done differently, thing by thing. */
export function differentlyTable(one: AgainstSeason, season: string): AnyTable {
  return tableOf<Done>(
    [
      { key: 'what', heading: 'done differently', kind: 'text', doc: 'what was done differently' },
      { key: 'before', heading: one.season, kind: 'text', doc: 'then' },
      { key: 'now', heading: season, kind: 'text', doc: 'now' },
    ],
    one.differently,
  );
}

const ofCounts = ({ x, n }: { readonly x: number; readonly n: number }): string =>
  `${count(x)} of ${count(n)}`;

const againstColumns: readonly Column<AgainstPrevious>[] = [
  { ...heads.rate, kind: 'text', of: (row) => rates[row.rate].name },
  { key: 'now', kind: 'text', doc: 'counts of this season', of: (row) => ofCounts(row.now) },
  {
    key: 'then',
    kind: 'text',
    doc: 'counts of the earlier season',
    of: (row) => ofCounts(row.before),
  },
  {
    key: 'difference',
    heading: 'difference, 95 % interval (points)',
    kind: 'text',
    doc: 'difference in points of percentage',
    of: (row) =>
      `${hundredths(row.difference)} (${between(hundredths(row.low), hundredths(row.high))})`,
  },
];

/** Rates now and in an earlier season. */
export function againstTable(rows: readonly AgainstPrevious[]): AnyTable {
  return tableOf(againstColumns, rows);
}

/** When nothing is suggested, why; else what the suggestions rest on. */
export function turnNote(turn: YearTurn): string {
  if (turn.suggestions.length > 0)
    return 'Each rests on the diagnosis or on simulated seasons. It says what the record shows, not what birds and weather will do.';
  const { fine, watch, unknown } = turn.answers;
  if (fine + watch === 0) return 'Too little has been written down to suggest anything.';
  const rest = there([
    watch > 0 && `${watch} to watch`,
    unknown > 0 && `${unknown} cannot be answered yet`,
  ]);
  return `The record gives no sure reason to change anything: of ${counted(fine + watch + unknown, 'question')} ${fine} found nothing wrong${rest.map((one) => `, ${one}`).join('')}.`;
}

function noneBefore({ named }: YearTurn): string {
  return named === 0
    ? 'No earlier season is named under previous: in season.yaml, so there is nothing to compare with.'
    : 'No earlier season named under previous: in season.yaml can be read, so there is nothing to compare with.';
}

/** Two seasons that differ in much cannot say which difference did it. */
export const manyCauses =
  'What was done differently may or may not be the cause: two seasons cannot tell, and the weather differed too.';

/** The year's turn as parts of a screen. */
export function turnParts(turn: YearTurn, season: string): ScreenPart[] {
  return [
    ...(turn.against.length === 0
      ? [{ heading: 'Against earlier seasons', reasons: [noneBefore(turn)] }]
      : turn.against.flatMap((one): ScreenPart[] =>
          there([
            one.rates.length > 0 && {
              heading: `Against season ${one.season}`,
              table: againstTable(one.rates),
            },
            one.differently.length > 0 && {
              heading: `What differed from season ${one.season}`,
              table: differentlyTable(one, season),
              reasons: [manyCauses],
            },
          ]),
        )),
    {
      heading: 'For next year',
      lines: turn.suggestions.map((s, index) => ({
        name: String(index + 1),
        text: `${s.says} Because ${s.because}. Rests on: ${s.backed}.`,
      })),
      reasons: [turnNote(turn)],
    },
  ];
}
