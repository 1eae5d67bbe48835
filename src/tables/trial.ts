import type { SplitTrial, TrialSet } from '../judge/trial.ts';
import { type Column, jsonRows, tableOf } from './columns.ts';
import { fixed } from './numbers.ts';
import type { Screen } from './terminal.ts';
import { heads } from './words.ts';

export const trialColumns: readonly Column<TrialSet>[] = [
  heads.set,
  heads.setOn,
  { key: 'pen', heading: 'eggs of', kind: 'name', doc: 'the pen or pens' },
  { key: 'first', heading: 'one half', kind: 'text', doc: 'the first half' },
  { key: 'second', heading: 'other half', kind: 'text', doc: 'the second half' },
  { key: 'eggs', heading: 'eggs a half', kind: 'count', doc: 'eggs in each half' },
];

/** A trial to lay out, and what it could show. */
export function trialScreen(trial: SplitTrial, title: string): Screen {
  const last = trial.shows.at(-1);
  return {
    title,
    answer: [
      trial.cannot !== null
        ? `There is no trial to lay out: ${trial.cannot}.`
        : last === undefined
          ? 'Two sets at least are needed.'
          : `Over ${last.sets} sets a difference of ${fixed(last.points)} points of hatch would show four times in five.`,
    ],
    parts:
      trial.cannot !== null
        ? []
        : [
            { heading: null, table: tableOf(trialColumns, trial.sets) },
            {
              heading: 'What it could show',
              lines: trial.shows.map((one) => ({
                name: `${one.sets} sets`,
                text: `${one.eggs} eggs a half: ${fixed(one.points)} points of hatch`,
              })),
            },
          ],
    notes: [
      'Write each half as a share of its own, with its tray. The halves of one set are compared with each other, never across sets.',
    ],
  };
}

/** The trial for other programs. */
export function trialJson(trial: SplitTrial): object {
  return {
    trial: trial.kind,
    cannot: trial.cannot,
    sets: jsonRows(tableOf(trialColumns, trial.sets)),
    shows: trial.shows,
  };
}
