import type { Row } from '../../src/records/record.ts';

/** All that a row says, as plain values: rows that read again when looked at are compared so. */
export const wholeRow = (row: Row) => ({
  entry: row.entry,
  recorded: row.recorded,
  recordedAt: row.recordedAt,
  on: row.on,
  values: row.values,
  by: row.by,
  note: row.note,
  amends: row.amends,
  isVoid: row.isVoid,
  at: row.at,
});
