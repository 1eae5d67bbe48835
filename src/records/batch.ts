/** A keeper's own book with one row a set: what became of its eggs, turned into rows of our logs. */
import { addDays, type Day } from '../text/day.ts';
import { dayOrNone, nameOrNone, whole, wholeOrUnknown } from './column.ts';
import type { RecordName } from './index.ts';
import { type RecordKind, record } from './record.ts';

const counted = (about: string) => wholeOrUnknown(about, 0, { unit: 'eggs' });

/** The columns a book may have. `on` is the day of setting. None of them is a log of ours. */
const book = record({
  name: 'batch',
  file: 'sets.csv',
  summary: 'a book of one row a set, turned into set, candling, transfer and hatch',
  naming: 'set',
  columns: {
    set: nameOrNone('name of the set; B1, B2 … in order when left out'),
    pen: nameOrNone('pen the eggs come from', 'pen'),
    setter: nameOrNone('setter', 'setter'),
    tray: wholeOrUnknown('tray number', 1),
    eggs: whole('eggs set', 1, { unit: 'eggs' }),
    clear: counted('clear at candling'),
    quit: counted('began and died, taken out at candling'),
    cracked: counted('cracked, taken out'),
    rotten: counted('rotten, taken out'),
    moved: counted('moved to the hatcher; what is left when not said'),
    hatched: counted('live chicks'),
    weak: counted('of them weak or culled'),
    found_dead: counted('chicks found dead in the hatcher'),
    pipped: counted('broke the shell and died'),
    unpipped: counted('died in the shell, not pipped'),
    candled_on: dayOrNone('day of candling; by rule when left out'),
    moved_on: dayOrNone('day of transfer; by rule when left out'),
    hatched_on: dayOrNone('day of hatch; by rule when left out'),
  },
  example: 'batch',
});

/** A book as a general value. It has no log of its own, so it stands in no index. */
export const batch = book as unknown as RecordKind;

/** Days after setting on which the rows are dated that the book has no day for. */
export type Rules = { readonly candled: number; readonly moved: number; readonly hatched: number };

type BookCells = Readonly<Record<string, string>>;

/** Eggs of a book's row: a number, or null where the book says nothing. */
function countOf(cells: BookCells, column: string): number | null {
  const text = cells[column] ?? '';
  return text === '' ? null : Number(text);
}

const REMOVED = ['clear', 'quit', 'cracked', 'rotten'] as const;
const OUT = ['hatched', 'found_dead', 'pipped', 'unpipped'] as const;

/** What a row of the book says that cannot be so, in words, or null. */
export function batchSlip(cells: BookCells): string | null {
  const eggs = countOf(cells, 'eggs') ?? 0;
  const sum = (columns: readonly string[]) =>
    columns.reduce((total, column) => total + (countOf(cells, column) ?? 0), 0);
  const left = eggs - sum(REMOVED);
  if (left < 0) return `${sum(REMOVED)} eggs were taken out of ${eggs}`;
  const moved = countOf(cells, 'moved') ?? left;
  if (moved > left) return `${moved} eggs were moved, and ${left} were left of ${eggs}`;
  return sum(OUT) > moved ? `${sum(OUT)} chicks and dead eggs came of ${moved}` : null;
}

/**
 * The rows of our logs that a row of the book stands for. What the book does not say is not made
 * up: without chicks there is no hatch, and eggs it does not account for stay so.
 */
export function batchRows(
  cells: BookCells,
  rules: Rules,
): { record: RecordName; cells: Record<string, string> }[] {
  const set = cells.on!.slice(0, 'yyyy-mm-dd'.length) as Day;
  const names = { set: cells.set!, pen: cells.pen! };
  /** Columns of ours that the book fills; its own name for one where that differs. */
  const some = (columns: readonly string[], theirs: Readonly<Record<string, string>> = {}) =>
    Object.fromEntries(
      columns
        .map((ours) => [ours, cells[theirs[ours] ?? ours] ?? ''] as const)
        .filter(([, cell]) => cell !== ''),
    );
  const day = (own: string, after: number): string => cells[own] || addDays(set, after);
  const removed = some(REMOVED);
  const isHatched = countOf(cells, 'hatched') !== null;
  const taken = REMOVED.reduce((sum, column) => sum + (countOf(cells, column) ?? 0), 0);
  const moved = countOf(cells, 'moved') ?? countOf(cells, 'eggs')! - taken;
  const rows: { record: RecordName; cells: Record<string, string> }[] = [
    {
      record: 'set',
      cells: { on: cells.on!, ...names, ...some(['setter', 'tray', 'eggs', 'note']) },
    },
  ];
  if (Object.keys(removed).length > 0)
    rows.push({
      record: 'candling',
      cells: { on: day('candled_on', rules.candled), ...names, ...removed },
    });
  if (isHatched || countOf(cells, 'moved') !== null)
    rows.push({
      record: 'transfer',
      cells: { on: day('moved_on', rules.moved), ...names, moved: String(moved) },
    });
  if (isHatched)
    rows.push({
      record: 'hatch',
      cells: {
        on: day('hatched_on', rules.hatched),
        ...names,
        ...some(['hatched', 'weak', 'dead', 'pipped', 'unpipped'], { dead: 'found_dead' }),
        final: 'yes',
      },
    });
  return rows;
}
