import { type Fault, fault } from '../text/fault.ts';
import { byTime } from './read.ts';
import type { Row } from './record.ts';

export type Effective = {
  /** The rows that stand, in the order things happened. */
  readonly rows: readonly Row[];
  /** Every version of a row, oldest first, by the entry of the first version. */
  readonly versions: ReadonlyMap<string, readonly Row[]>;
  readonly faults: readonly Fault[];
};

/**
 * Applies amendments. A row that amends another replaces it whole; the last amendment in `recorded`
 * order stands; a void one withdraws the row. Two amendments of one entry are told, both named.
 *
 * @param broken rows that cannot be read, by entry, with what they amend: they stand for nothing,
 *   but may be amended
 */
export function effectiveRows(
  all: readonly Row[],
  broken: ReadonlyMap<string, string | null> = new Map(),
): Effective {
  const faults: Fault[] = [];
  const byEntry = new Map<string, Row>();
  for (const row of all) {
    const first = byEntry.get(row.entry);
    if (first === undefined) byEntry.set(row.entry, row);
    else
      faults.push(
        fault(
          'entry-repeated',
          row.at,
          `entry: ${row.entry} stands already at line ${first.at.line}`,
          { hint: 'a merge may have doubled the row: delete one of two equal lines in an editor' },
        ),
      );
  }
  const rootOf = (row: Row): string | null => {
    const seen = new Set<string>();
    let one = row;
    let amends = row.amends;
    while (amends !== null) {
      if (seen.has(amends)) return null;
      seen.add(amends);
      const before = byEntry.get(amends);
      if (before !== undefined) {
        one = before;
        amends = before.amends;
      } else if (broken.has(amends)) amends = broken.get(amends)!;
      else return null;
    }
    return one.entry;
  };
  const versions = new Map<string, Row[]>();
  const amenders = new Map<string, Row[]>();
  for (const row of byEntry.values()) {
    const root = rootOf(row);
    if (root === null) {
      faults.push(
        fault(
          'amends-unknown',
          row.at,
          `amends: no row of this log has the entry ${row.amends ?? ''}`,
          {
            hint: 'the amended row must stand in the same file',
          },
        ),
      );
      continue;
    }
    const known = versions.get(root);
    if (known) known.push(row);
    else versions.set(root, [row]);
    if (row.amends !== null) {
      const others = amenders.get(row.amends);
      if (others) others.push(row);
      else amenders.set(row.amends, [row]);
    }
  }
  const rows: Row[] = [];
  for (const one of versions.values()) {
    one.splice(0, one.length, ...inOrderOfVersions(one));
    const standing = one.at(-1)!;
    if (!standing.isVoid) rows.push(standing);
  }
  for (const [amended, rivals] of amenders) {
    if (rivals.length < 2) continue;
    const standing = versions.get(rootOf(rivals[0]!)!)!.at(-1)!;
    faults.push(
      fault(
        'amended-twice',
        standing.at,
        `${amended} is amended ${rivals.length} times, by ${rivals.map((row) => row.entry).join(' and ')}; ${standing.entry} stands, as the last recorded`,
        { hint: `if that is wrong: traybook amend ${standing.entry} field=value` },
      ),
    );
  }
  rows.sort(byTime);
  return { rows, versions, faults };
}

/**
 * The versions of a row in `recorded` order, but none before the one it amends: whoever amended a
 * version had seen it, whatever a wrong clock, or the same second, wrote. So the last one is amended
 * by nobody.
 */
function inOrderOfVersions(versions: readonly Row[]): Row[] {
  const left = [...versions].sort(
    (a, b) => a.recordedAt - b.recordedAt || (a.entry < b.entry ? -1 : 1),
  );
  // One that amends a row of none of these, as a broken one, is free to come.
  const own = new Set(versions.map((row) => row.entry));
  const placed = new Set<string>();
  const out: Row[] = [];
  while (left.length > 0) {
    const next = left.findIndex(
      (row) => row.amends === null || placed.has(row.amends) || !own.has(row.amends),
    );
    const [row] = left.splice(next, 1);
    placed.add(row!.entry);
    out.push(row!);
  }
  return out;
}
