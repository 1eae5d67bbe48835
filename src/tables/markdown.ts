/** Tables and screens in Markdown (GitHub Flavored Markdown, section 4.10). */
import { escapeMarkdown } from '../text/escape.ts';
import { there } from '../text/lists.ts';
import { type AnyTable, textsOf } from './columns.ts';
import type { Units } from './numbers.ts';
import { partsOf, type Say, type Screen } from './terminal.ts';

const plain = (text: string): string => text.replaceAll('\u00a0', ' ');

/** A table in Markdown. Ends with a line feed. */
export function markdownTable(table: AnyTable, units: Units): string {
  const { columns, rows } = textsOf(table, units);
  const row = (cells: readonly (string | null)[]): string =>
    `| ${cells.map((cell) => (cell === null ? '-' : escapeMarkdown(plain(cell)))).join(' | ')} |`;
  return [
    row(columns.map((column) => column.heading)),
    `|${columns.map((column) => (column.numeric ? ' --: ' : ' --- ')).join('|')}|`,
    ...rows.map(row),
    '',
  ].join('\n');
}

const said = (say: Say): string =>
  typeof say === 'string'
    ? escapeMarkdown(plain(say))
    : `**${say.meaning}:** ${escapeMarkdown(plain(say.text))}`;

/** A screen as a document: everything `--full` would show. Ends with a line feed. */
export function markdownScreen(screen: Screen, units: Units): string {
  const parts = partsOf(screen).map(({ heading, table, lines, reasons }) =>
    [
      ...(heading === null ? [] : [`## ${escapeMarkdown(plain(heading))}\n`]),
      ...(table === undefined ? [] : [markdownTable(table, units)]),
      ...there(lines).map(
        ({ name, text }) =>
          `- ${name === '' ? '' : `**${escapeMarkdown(name)}:** `}${escapeMarkdown(plain(text))}`,
      ),
      ...(lines === undefined || lines.length === 0 ? [] : ['']),
      ...there(reasons).map((reason) => `${escapeMarkdown(plain(reason))}\n`),
    ].join('\n'),
  );
  return [
    `# ${escapeMarkdown(plain(screen.title))}\n`,
    ...there([...screen.answer, ...(screen.exceptions ?? [])]).map((say) => `${said(say)}\n`),
    ...parts,
    ...there(screen.notes).map((note) => `${escapeMarkdown(plain(note))}\n`),
  ].join('\n');
}
