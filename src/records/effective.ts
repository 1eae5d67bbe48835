import { type Fault, fault } from '../text/fault.ts';
import { groupedBy } from '../text/lists.ts';
import { once } from '../text/once.ts';
import { EntryBook } from './entry-book.ts';
import { byTime } from './read.ts';
import type { Row } from './record.ts';

type Broken = ReadonlyMap<string, string | null>;

export type Effective = {
  /** The rows that stand, in the order things happened. */
  readonly rows: readonly Row[];
  /** Every version of a row, oldest first, by the entry of the first version. */
  readonly versions: () => ReadonlyMap<string, readonly Row[]>;
  readonly faults: readonly Fault[];
};

/**
 * Applies amendments. A row that amends another replaces it whole; the last amendment in `recorded`
 * order stands; a void one withdraws the row. Two amendments of one entry are told, both named.
 *
 * @param entries rows of other logs by entry, which an entry must not repeat; these rows are added
 * @param broken rows that cannot be read, by entry, with what they amend: they stand for nothing,
 *   but may be amended
 */
export function effectiveRows(
  all: readonly Row[],
  entries: EntryBook = new EntryBook(),
  broken: Broken = new Map(),
): Effective {
  const faults: Fault[] = [];
  const own = addedTo(entries, all, faults);
  if (own.some((row) => row.amends !== null)) return withAmendments(own, broken, faults);
  return {
    rows: own.filter((row) => !row.isVoid).sort(byTime),
    versions: once(() => new Map(own.map((row) => [row.entry, [row]]))),
    faults,
  };
}

/** The rows without those whose entry stands in their log already; each repetition is told. */
function addedTo(entries: EntryBook, all: readonly Row[], faults: Fault[]): Row[] {
  const own: Row[] = [];
  for (let index = 0; index < all.length; index += 1) {
    const row = all[index]!;
    const other = entries.get(row.entry);
    if (other !== undefined) {
      faults.push(repeated(row, other));
      if (other.at.file === row.at.file) continue;
    }
    entries.set(row.entry, row);
    own.push(row);
  }
  return own;
}

function repeated(row: Row, other: Row): Fault {
  return other.at.file === row.at.file
    ? fault(
        'entry-repeated',
        row.at,
        `entry: ${row.entry} stands already at line ${other.at.line}`,
        { hint: 'a merge may have doubled the row: delete one of two equal lines in an editor' },
      )
    : fault(
        'entry-repeated',
        row.at,
        `entry: ${row.entry} stands already in ${other.at.file}:${other.at.line}`,
        { hint: 'give one of the two rows another entry' },
      );
}

function withAmendments(own: readonly Row[], broken: Broken, faults: Fault[]): Effective {
  const byEntry = new Map<string, Row>();
  for (const row of own) byEntry.set(row.entry, row);
  /** The entry of the first version of each row met; null for one that leads to none. */
  const roots = new Map<string, string | null>();
  const rootOf = (row: Row): string | null => {
    if (row.amends === null) return row.entry;
    // What is met on the way has the same root: a chain of ten thousand is walked once.
    const way = new Set<string>();
    let root: string | null = null;
    for (let entry: string | null = row.entry; entry !== null; ) {
      const sound = byEntry.get(entry);
      if (roots.has(entry)) {
        root = roots.get(entry)!;
        break;
      }
      if (way.has(entry) || (sound === undefined && !broken.has(entry))) {
        root = null;
        break;
      }
      way.add(entry);
      // Where the first version cannot be read, the chain begins with the row that amends it.
      if (sound !== undefined) root = entry;
      entry = sound === undefined ? broken.get(entry)! : sound.amends;
    }
    for (const entry of way) if (byEntry.has(entry)) roots.set(entry, root);
    return root;
  };
  const leading: Row[] = [];
  for (const row of own) {
    if (row.amends === null) continue;
    if (rootOf(row) !== null) leading.push(row);
    else
      faults.push(
        fault('amends-unknown', row.at, `amends: no row of this log has the entry ${row.amends}`, {
          hint: 'the amended row must stand in the same file',
        }),
      );
  }
  /** The versions of rows that are amended, in order, by the entry of the first. */
  const amended = new Map(
    [...groupedBy(leading, (row) => rootOf(row)!)].map(([root, later]) => {
      const first = byEntry.get(root)!;
      return [root, inOrderOfVersions(first.amends === null ? [first, ...later] : later, broken)];
    }),
  );
  const standing = (root: string): Row => amended.get(root)!.at(-1)!;
  for (const [entry, rivals] of groupedBy(leading, (row) => row.amends!)) {
    if (rivals.length < 2) continue;
    const last = standing(rootOf(rivals[0]!)!);
    faults.push(
      fault(
        'amended-twice',
        last.at,
        `${entry} is amended ${rivals.length} times, by ${rivals.map((row) => row.entry).join(' and ')}; ${last.entry} stands, as the last recorded`,
        { hint: `if that is wrong: traybook amend ${last.entry} field=value` },
      ),
    );
  }
  const rows: Row[] = [];
  for (const row of own) {
    if (row.amends !== null) continue;
    const last = amended.has(row.entry) ? standing(row.entry) : row;
    if (!last.isVoid) rows.push(last);
  }
  // Rows whose first version cannot be read.
  for (const root of amended.keys())
    if (byEntry.get(root)!.amends !== null && !standing(root).isVoid) rows.push(standing(root));
  const versions = (): ReadonlyMap<string, readonly Row[]> => {
    const out = new Map<string, readonly Row[]>();
    for (const row of own) {
      const root = rootOf(row);
      if (root !== null) out.set(root, amended.get(root) ?? [row]);
    }
    return out;
  };
  return { rows: rows.sort(byTime), versions: once(versions), faults };
}

/**
 * The versions of a row in `recorded` order, but none before the one it amends: whoever amended a
 * version had seen it, whatever a wrong clock, or the same second, wrote. So the last one is amended
 * by nobody.
 */
function inOrderOfVersions(versions: readonly Row[], broken: Broken): Row[] {
  const left = [...versions].sort(
    (a, b) => a.recordedAt - b.recordedAt || (a.entry < b.entry ? -1 : 1),
  );
  const own = new Set(versions.map((row) => row.entry));
  /** The version that a row amends, be it by way of broken ones; null if there is none. */
  const amendedBy = ({ amends }: Row): string | null => {
    let before = amends;
    while (before !== null && !own.has(before)) before = broken.get(before) ?? null;
    return before;
  };
  const placed = new Set<string>();
  const out: Row[] = [];
  while (left.length > 0) {
    const next = left.findIndex((row) => {
      const before = amendedBy(row);
      return before === null || placed.has(before);
    });
    const [row] = left.splice(next, 1);
    placed.add(row!.entry);
    out.push(row!);
  }
  return out;
}
