import { quotedRecord } from './csv-records.ts';

/** Some lines of a table, split at once. */
export type Lines = {
  /** Where in the table they begin. */
  readonly from: number;
  /** Lines without any quote; null for one line that holds some. */
  readonly text: string | null;
  /** Each of them, without its line feed. */
  readonly lines: readonly string[];
  /** The cells of all of them in one list, the last of each line with its line feed. */
  readonly cells: readonly string[];
};

function unquoted(table: string, from: number, to: number): Lines {
  const text = table.slice(from, to);
  const lines = text.split('\n');
  const cells = lines.join('\n,').split(',');
  // Behind the last line feed there is nothing.
  lines.pop();
  cells.pop();
  return { from, text, lines, cells };
}

/**
 * Splits the lines of a table from `from` on. Null for one with anything unusual: a carriage return,
 * a line feed inside a cell, none at the end, a line longer than `longest`, or no table at all. How
 * many cells a line has is left to the caller. (To split many lines at once costs a third of
 * splitting each.)
 */
export function plainLines(text: string, from: number, longest: number): readonly Lines[] | null {
  if (text.includes('\r') || !text.endsWith('\n')) return null;
  if (text.length > longest && text.split('\n').some((line) => line.length > longest)) return null;
  const out: Lines[] = [];
  let start = from;
  let quote = text.indexOf('"', from);
  while (quote >= 0) {
    const line = text.lastIndexOf('\n', quote) + 1;
    if (line > start) out.push(unquoted(text, start, line));
    const record = quotedRecord(text, line);
    if (typeof record === 'string' || record.end !== text.indexOf('\n', line)) return null;
    const { cells, end } = record;
    cells.push(`${cells.pop()}\n`);
    out.push({ from: line, text: null, lines: [text.slice(line, end)], cells });
    start = end + 1;
    quote = text.indexOf('"', start);
  }
  if (start < text.length) out.push(unquoted(text, start, text.length));
  return out;
}

/** True if each line has `width` cells. */
export function isEven({ cells, lines }: Lines, width: number): boolean {
  if (cells.length !== lines.length * width) return false;
  // As many line feeds as there are lines: if each of these cells holds one, no other does.
  for (let last = width - 1; last < cells.length; last += width)
    if (!cells[last]!.endsWith('\n')) return false;
  return true;
}
