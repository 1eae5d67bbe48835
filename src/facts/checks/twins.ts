import { kindOf, type RecordName, recordNames } from '../../records/index.ts';
import type { Row } from '../../records/record.ts';
import type { Season } from '../../season/model.ts';
import { printOn } from '../../text/day.ts';
import { type Fault, fault } from '../../text/fault.ts';
import { gathered, groupedBy } from '../../text/lists.ts';
import type { Checked } from './check.ts';

/** Records that say the same however often they are written: nothing is counted twice. */
const HARMLESS: ReadonlySet<RecordName> = new Set(['tick', 'acceptance']);

/** A row that says what another said already, whoever wrote it. */
export type Twin = { readonly record: RecordName; readonly first: Row; readonly again: Row };

/**
 * `twin-rows`: the same fact twice: same record, subject, day and counts. What is read at a minute
 * must be of the same minute too, for a machine may show the same all day. An acceptance about the
 * later row settles it.
 */
export const twinRows = gathered(function* ({ season }: Checked): Generator<Fault> {
  for (const { record, first, again } of twinsOf(season)) {
    const isWritten = Number.isFinite(again.at.line);
    const other = Number.isFinite(first.at.line)
      ? `: ${first.entry} (${first.at.file}:${first.at.line})${isWritten ? ` and ${again.entry}` : ' says the same'}`
      : ' in what is to be written';
    yield fault(
      'twin-rows',
      again.at,
      `${record} ${subjectOf(record, again)} of ${printOn(again.on)} stands twice${other}`,
      {
        about: again.entry,
        set: textOf(again.values.set),
        pen: textOf(again.values.pen),
        hint: `if it was written twice: traybook void ${again.entry}; if it happened twice: traybook check --accept twin-rows ${again.entry} --why …`,
      },
    );
  }
});

/** Every row that repeats another and was not accepted, in the order written down. */
export function twinsOf(season: Season): Twin[] {
  const accepted = new Set(
    season.rows.acceptance
      .filter((row) => row.values.code === 'twin-rows')
      .map((row) => row.values.about),
  );
  return recordNames
    .filter((record) => !HARMLESS.has(record))
    .flatMap((record) => {
      const rows = season.rows[record] as readonly Row[];
      const alike = groupedBy(rows, (row) => factOf(record, row));
      return [...alike.values()].flatMap((same) => {
        if (same.length === 1) return [];
        const [first, ...others] = same.filter((row) => !accepted.has(row.entry)).sort(byWriting);
        return others.map((again) => ({ record, first: first!, again }));
      });
    });
}

/** In the order written down; of one second a row that is not in its file yet comes last. */
function byWriting(a: Row, b: Row): number {
  return (
    a.recordedAt - b.recordedAt ||
    Number(Number.isFinite(b.at.line)) - Number(Number.isFinite(a.at.line)) ||
    (a.entry < b.entry ? -1 : 1)
  );
}

/** What a row says, without who wrote it, when it was written down, and its note. */
function factOf(record: RecordName, { on, values }: Row): string {
  const when = kindOf(record).timed && record !== 'set' ? printOn(on) : on.day;
  return JSON.stringify([when, ...Object.values(values)]);
}

function subjectOf(record: RecordName, { values }: Row): string {
  const { naming } = kindOf(record);
  return [naming === null ? null : values[naming], naming === 'pen' ? null : values.pen]
    .filter((part) => typeof part === 'string')
    .join(' ');
}

const textOf = (value: unknown): string | null => (typeof value === 'string' ? value : null);
