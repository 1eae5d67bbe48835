import type { AgainstSeason, YearTurn } from '../planner/year/turn.ts';
import { escapeMarkdown } from '../text/escape.ts';
import { previousTable } from './review.ts';
import { markdownTable } from './summary.ts';
import type { Table } from './table.ts';
import { hanging, wrapped } from './wrap.ts';

/** What was done differently, thing by thing. */
export function differentlyTable(one: AgainstSeason, season: string): Table {
  return {
    columns: [
      { heading: 'done differently' },
      { heading: one.season, align: 'right' },
      { heading: season, align: 'right' },
    ],
    rows: one.differently.map((d) => [d.what, d.before, d.now]),
  };
}

/** When nothing is suggested, why; else what the suggestions rest on. */
export function turnNote(turn: YearTurn): string {
  const questions = `${turn.asked} ${turn.asked === 1 ? 'question' : 'questions'}`;
  return turn.suggestions.length === 0
    ? turn.asked === 0
      ? 'Too little has been written down to suggest anything.'
      : `The record gives no reason to change anything: none of ${questions} stands up to having been asked among the others.`
    : `What rests on a test is suggested only where it stands up to having been asked among ${questions}. It is what the record says, not what birds and weather will do.`;
}

function noneBefore({ named }: YearTurn): string {
  return named === 0
    ? 'No earlier season is named under previous: in season.yaml, so there is nothing to compare with.'
    : 'No earlier season named under previous: in season.yaml can be read, so there is nothing to compare with.';
}

/** Two seasons that differ in much cannot say which difference did it. */
const manyCauses =
  'What was done differently may or may not be why: two seasons cannot tell, and the weather differed too.';

/** The year's turn as text; `draw` makes a table fit. */
export function turnText(
  turn: YearTurn,
  season: string,
  draw: (table: Table) => string,
  width: number,
): string {
  const parts: string[] = [];
  if (turn.against.length === 0)
    parts.push(`AGAINST EARLIER SEASONS\n${wrapped(noneBefore(turn), width)}\n`);
  for (const one of turn.against) {
    if (one.rates.length > 0)
      parts.push(`AGAINST SEASON ${one.season}\n${draw(previousTable(one.rates))}`);
    if (one.differently.length > 0)
      parts.push(`${draw(differentlyTable(one, season))}${wrapped(manyCauses, width)}\n`);
  }
  const said = turn.suggestions
    .map(
      (s, i) =>
        `${hanging(`${i + 1}. `, s.says, width)}\n${hanging('   ', `Because ${s.because}.`, width)}\n${hanging('   ', `Rests on: ${s.backed}.`, width)}\n`,
    )
    .join('');
  parts.push(`FOR NEXT YEAR\n${said}${wrapped(turnNote(turn), width)}\n`);
  return parts.join('\n');
}

/** The same in Markdown. */
export function turnMarkdown(turn: YearTurn, season: string): string {
  const parts: string[] = [];
  if (turn.against.length === 0)
    parts.push(`## Against earlier seasons\n\n${escapeMarkdown(noneBefore(turn))}\n`);
  for (const one of turn.against) {
    parts.push(`## Against season ${escapeMarkdown(one.season)}\n`);
    if (one.rates.length > 0) parts.push(markdownTable(previousTable(one.rates)));
    if (one.differently.length > 0)
      parts.push(
        `${markdownTable(differentlyTable(one, season))}\n${escapeMarkdown(manyCauses)}\n`,
      );
  }
  const said = turn.suggestions
    .map(
      (s, i) =>
        `${i + 1}. ${escapeMarkdown(s.says)} ${escapeMarkdown(`Because ${s.because}. Rests on: ${s.backed}.`)}\n`,
    )
    .join('');
  parts.push(`## For next year\n\n${said}${said ? '\n' : ''}${escapeMarkdown(turnNote(turn))}\n`);
  return parts.join('\n');
}
