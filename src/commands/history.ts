import type { FolderRead } from '../io/season-folder.ts';
import { kindOf, type RecordName, recordNames } from '../records/index.ts';
import { byTime } from '../records/read.ts';
import type { Row } from '../records/record.ts';
import { counted, moment } from '../tables/numbers.ts';
import { printOn } from '../text/day.ts';
import { quoted } from '../text/fault.ts';
import { didYouMean } from '../text/nearest.ts';
import { type CommandModule, wrongWords } from './command.ts';
import { openSeason } from './open.ts';
import { answerOf } from './tables.ts';

/** One version of one row in the life of a set. */
type HistoryEvent = {
  readonly record: RecordName;
  readonly row: Row;
  /** Later versions of the row, oldest first; the last one stands, or withdraws it. */
  readonly later: readonly Row[];
};

export const command: CommandModule = {
  examples: ['history D4', 'history D4 --json'],
  define(command) {
    command.argument('<set>', 'name of a set');
  },
  async run(context, [set]) {
    const opened = await openSeason(context);
    const { read, season } = opened;
    const events = eventsOf(read.versions, set!);
    if (events.length === 0) {
      const known = [...season.sets.keys()];
      throw wrongWords(
        `no row is about a set ${quoted(set!)}`,
        didYouMean(set!, known) ??
          (known.length > 0 ? `sets with rows: ${known.join(', ')}` : 'no set has any rows yet'),
      );
    }
    const shown = events.map(({ record, row, later }) => ({
      record,
      ...versionJson(row),
      versions: later.map(versionJson),
      state: later.at(-1)?.isVoid ? 'void' : later.length > 0 ? 'amended' : 'stands',
    }));
    const lines = events.flatMap(({ record, row, later }) => [
      { name: moment(row.on), text: `${record}: ${saidOf(record, row)}; ${whoOf(row)}` },
      ...later.map((one, index) => ({
        name: `  ${one.isVoid ? 'withdrawn' : 'amended'}`,
        text: `${one.isVoid ? '' : `${changeOf(record, later[index - 1] ?? row, one)}; `}${whoOf(one)}`,
      })),
    ]);
    const amended = events.filter(({ later }) => later.length > 0).length;
    const [first, last] = [events[0]!.row.on.day, events.at(-1)!.row.on.day];
    const changed = amended === 0 ? '' : `, ${amended} of them amended or withdrawn`;
    return answerOf(context, opened, {
      name: 'history',
      json: () => ({ set, events: shown }),
      screen: (title) => ({
        title,
        answer: [`${set}: ${counted(events.length, 'row')} from ${first} to ${last}${changed}.`],
        parts: [{ heading: null, lines }],
      }),
    });
  },
};

function eventsOf(versions: FolderRead['versions'], set: string): HistoryEvent[] {
  const events: HistoryEvent[] = [];
  for (const record of recordNames) {
    if (!Object.hasOwn(kindOf(record).columns, 'set')) continue;
    for (const chain of versions(record).values()) {
      const [row, ...later] = chain;
      // A row amended to or from another set belongs to the life of both.
      if (row !== undefined && chain.some((one) => one.values.set === set))
        events.push({ record, row, later });
    }
  }
  return events.sort((a, b) => byTime(a.row, b.row));
}

/** The cells that say something, `clear 3, quit 1`. */
function saidOf(record: RecordName, row: Row): string {
  const kind = kindOf(record);
  const said = Object.entries(kind.columns).flatMap(([name, column]) => {
    const value = row.values[name];
    const text = value === undefined || value === null ? '' : column.print(value);
    return name === 'set' || text === '' || text === '0' ? [] : [`${name} ${text}`];
  });
  return said.join(', ') || 'nothing taken out';
}

function whoOf(row: Row): string {
  const by = row.by === '' ? 'somebody unnamed' : row.by;
  const note = row.note === '' ? '' : `; ${row.note}`;
  return `by ${by}, written ${row.recorded}, entry ${row.entry}${note}`;
}

function changeOf(record: RecordName, before: Row, after: Row): string {
  const kind = kindOf(record);
  const changed = Object.entries(kind.columns).flatMap(([name, column]) => {
    const [was, is] = [column.print(before.values[name]), column.print(after.values[name])];
    return was === is ? [] : [`${name} ${was || 'nothing'} -> ${is || 'nothing'}`];
  });
  if (printOn(before.on) !== printOn(after.on))
    changed.unshift(`on ${printOn(before.on)} -> ${printOn(after.on)}`);
  return changed.join(', ') || 'nothing counted; note or name only';
}

function versionJson(row: Row): object {
  return {
    entry: row.entry,
    recorded: row.recorded,
    on: printOn(row.on),
    values: row.values,
    by: row.by,
    note: row.note,
    amends: row.amends,
    void: row.isVoid,
  };
}
