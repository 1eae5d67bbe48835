import { wrapped } from '../tables/wrap.ts';
import { whoIs } from './add.ts';
import type { CommandModule } from './command.ts';
import { jsonText } from './say.ts';
import { standingRow } from './standing.ts';
import { withdrawBroken } from './withdraw-broken.ts';
import { writeRows } from './write-rows.ts';

export const command: CommandModule = {
  examples: ['void 1hc9m2q0vd --note "entered twice"'],
  define(command) {
    command
      .argument('<entry>', 'entry of the row, as `list` shows it')
      .option('--note <text>', 'why')
      .option('--by <name>', 'who did it; else TRAYBOOK_BY or the user')
      .option('--anyway', 'withdraw it though the counts do not agree then');
  },
  async run(context, [entry], options) {
    const said = {
      by: (options.by as string | undefined) ?? whoIs(context),
      note: (options.note as string | undefined) ?? '',
    };
    const unread = await withdrawBroken(context, entry!, said);
    if (unread !== null)
      return {
        stdout: context.json
          ? jsonText('void', { entry: unread.entry, amends: entry ?? null })
          : `${wrapped(`a row of ${unread.record} that could not be read is withdrawn; it stays in the log`, context.width)}\n(entry ${unread.entry})\n`,
      };
    let what = '';
    const written = await writeRows(context, { doing: 'void' }, (read) => {
      const { record, row, cells } = standingRow(read, entry!);
      what = `${record} of ${row.on.day}`;
      return [
        {
          record,
          cells: { ...cells, by: said.by, note: said.note || (cells.note ?? '') },
          amends: row.entry,
          isVoid: true,
          anyway: options.anyway === true,
        },
      ];
    });
    const { row } = written.rows[0]!;
    if (context.json)
      return {
        stdout: jsonText('void', { entry: row.entry, amends: row.amends }),
        stderr: written.notes,
      };
    return {
      stdout: `${wrapped(`${what} is withdrawn; the row stays in the log`, context.width)}\n(entry ${row.entry})\n`,
      stderr: written.notes,
    };
  },
};
