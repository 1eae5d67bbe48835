import { type RecordName, type Rows, recordNames } from '../records/index.ts';
import type { Row } from '../records/record.ts';
import type { On } from '../text/day.ts';
import type { Now } from './model.ts';

/** True if something is dated after a moment. What has no minute is of its whole day. */
export function isAfter(on: On, now: Now): boolean {
  return on.day > now.day || (on.day === now.day && on.time !== null && on.time > now.time);
}

/**
 * The rows dated up to a moment, and those after it: the book as it could be read then.
 * @param rows of each record, in order of time
 */
export function rowsUpTo(rows: Rows, now: Now): { rows: Rows; later: readonly Row[] } {
  const out: Partial<Record<RecordName, readonly Row[]>> = {};
  const later: Row[] = [];
  for (const name of recordNames) {
    const all = rows[name] as readonly Row[];
    let end = all.length;
    while (end > 0 && isAfter(all[end - 1]!.on, now)) end -= 1;
    out[name] = end === all.length ? all : all.slice(0, end);
    for (let index = end; index < all.length; index += 1) later.push(all[index]!);
  }
  return { rows: out as unknown as Rows, later };
}
