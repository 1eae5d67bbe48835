import type { Texts } from './columns.ts';
import { markdownTexts } from './markdown.ts';
import { metric } from './numbers.ts';
import { unpainted } from './paint.ts';
import { textsText } from './terminal.ts';

/** A column of the older kind of table, whose cells are written before they reach it. */
export type TableColumn = {
  readonly heading: string;
  readonly align?: 'left' | 'right';
};

/** `null` is what is not known or does not apply; it prints as a dash. */
export type Cell = string | number | null;

/** The older kind of table. New ones are of `columns.ts`. */
export type Table = {
  readonly columns: readonly TableColumn[];
  readonly rows: readonly (readonly Cell[])[];
};

/** A table of either kind as text cells. */
export function textsOfCells({ columns, rows }: Table): Texts {
  return {
    columns: columns.map(({ heading, align }, index) => {
      const known = rows.map((row) => row[index] ?? null).filter((cell) => cell !== null);
      const numeric =
        align === 'right' ||
        (align === undefined &&
          known.length > 0 &&
          known.every((cell) => typeof cell === 'number'));
      const isLong = known.some((cell) => String(cell).includes(' '));
      return {
        key: String(index),
        heading,
        numeric,
        kind: numeric ? 'number' : isLong ? 'text' : 'name',
        priority: 0,
      };
    }),
    rows: rows.map((row) =>
      columns.map((_, index) => {
        const cell = row[index] ?? null;
        return cell === null ? null : String(cell);
      }),
    ),
    hasTotal: false,
  };
}

/** The table as a pipe gets it: one row a line. */
export function plainTable(table: Table): string {
  return textsText(textsOfCells(table), {
    width: 80,
    fits: false,
    ascii: false,
    full: false,
    paint: unpainted,
    units: metric,
  });
}

/** The table in Markdown. */
export function markdownOfCells(table: Table): string {
  return markdownTexts(textsOfCells(table));
}
