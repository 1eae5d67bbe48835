import { addAll, largest } from '../text/lists.ts';
import { padded, widthOf } from './wrap.ts';

/** How a page is shown: `bold` marks headings on a terminal that can, else they are underlined. */
export type ManualStyle = {
  readonly width: number;
  readonly bold: ((text: string) => string) | null;
};

const INDENT = '  ';

/**
 * A manual page, written in a small part of Markdown, as text for a terminal: headings, paragraphs
 * and lists filled to the width, tables with aligned columns, code as it stands. HTML comments, which
 * tell the tests what to run, are left away. Ends with a line feed.
 */
export function manualText(markdown: string, style: ManualStyle): string {
  const out: string[] = [];
  const lines = markdown.replace(/^<!--.*-->\n?/gm, '').split('\n');
  for (let at = 0; at < lines.length; at++) {
    const line = lines[at] ?? '';
    const heading = /^(#{1,3}) (.*)$/.exec(line);
    if (line.startsWith('```')) {
      for (at++; at < lines.length && !lines[at]?.startsWith('```'); at++)
        out.push(`${INDENT}${lines[at]}`.trimEnd());
    } else if (heading) {
      addAll(out, headed(plain(heading[2] ?? ''), heading[1]?.length ?? 1, style));
    } else if (line.startsWith('|')) {
      const rows: string[] = [];
      for (; lines[at]?.startsWith('|'); at++) rows.push(lines[at] ?? '');
      at--;
      addAll(out, tabled(rows, style.width));
    } else if (/^(- |\d+\. )/.test(line)) {
      const mark = /^(- |\d+\. )/.exec(line)?.[0] ?? '';
      const parts = [line.slice(mark.length)];
      while (/^\s+\S/.test(lines[at + 1] ?? '')) parts.push((lines[++at] ?? '').trim());
      addAll(out, filled(plain(parts.join(' ')), style.width, mark, ' '.repeat(mark.length)));
    } else if (/^ {4}/.test(line)) out.push(`${INDENT}${line.slice(4).trimEnd()}`);
    else if (line.trim() === '') {
      if (out.at(-1) !== '') out.push('');
    } else {
      const parts = [line];
      while (/^(?!```|- |#{1,3} |\|)\S/.test(lines[at + 1] ?? '')) parts.push(lines[++at] ?? '');
      addAll(out, filled(plain(parts.join(' ')), style.width, '', ''));
    }
  }
  return `${out
    .join('\n')
    .replace(/\n{3,}/g, '\n\n')
    .trim()}\n`;
}

/** Emphasis marks away; the words in code stay in quotes of their own. */
function plain(text: string): string {
  return text
    .replace(/\*\*([^*]+)\*\*/g, '$1')
    .replace(/(^|[\s(])\*([^*]+)\*/g, '$1$2')
    .replace(/\[([^\]]+)\]\([^)]+\)/g, '$1')
    .replace(/`([^`]+)`/g, '$1');
}

function headed(text: string, level: number, { bold }: ManualStyle): string[] {
  if (bold) return [bold(text)];
  return [text, (level === 1 ? '=' : '-').repeat(widthOf(text))];
}

function filled(text: string, width: number, first: string, next: string): string[] {
  const out: string[] = [];
  let line = first;
  let empty = true;
  for (const word of text.split(/\s+/).filter(Boolean)) {
    if (!empty && widthOf(line) + 1 + widthOf(word) > width) {
      out.push(line);
      line = next;
      empty = true;
    }
    line += empty ? word : ` ${word}`;
    empty = false;
  }
  out.push(line);
  return out;
}

/** A table; its last column is filled where it would run over the width. */
function tabled(rows: readonly string[], width: number): string[] {
  const cells = rows
    .filter((row) => !/^\|[\s|:-]+\|$/.test(row))
    .map((row) =>
      row
        .replace(/^\||\|\s*$/g, '')
        .split('|')
        .map((cell) => plain(cell.trim())),
    );
  const columns = largest(cells.map((row) => row.length));
  const widths = Array.from({ length: columns }, (_, index) =>
    largest(cells.map((row) => widthOf(row[index] ?? ''))),
  );
  const last = Math.max(16, width - widths.slice(0, -1).reduce((sum, one) => sum + one + 2, 0));
  return cells.flatMap((row) => {
    const head = row
      .slice(0, columns - 1)
      .map((cell, index) => padded(cell, widths[index] ?? 0))
      .map((cell) => `${cell}  `)
      .join('');
    return filled(row[columns - 1] ?? '', last, '', '').map((part, index) =>
      `${index === 0 ? head : ' '.repeat(widthOf(head))}${part}`.trimEnd(),
    );
  });
}
