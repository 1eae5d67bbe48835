import { printOn } from '../text/day.ts';
import { didYouMean } from '../text/nearest.ts';
import { readWhen, whenExpected } from '../text/when.ts';
import { whoIs } from './add.ts';
import { changeText } from './change.ts';
import { type CommandModule, unexpected, wrongWords } from './command.ts';
import { jsonText } from './say.ts';
import { standingRow } from './standing.ts';
import { writeRows } from './write-rows.ts';

export const command: CommandModule = {
  examples: ['amend 1hc9m2q0vd eggs=21', 'amend 1hc9m2q0vd on=yesterday "note=counted again"'],
  define(command) {
    command
      .argument('<entry>', 'entry of the row, as `list` shows it')
      .argument('<field=value...>', 'what to write instead; `field=` empties it')
      .option('--by <name>', 'who did it; else TRAYBOOK_BY or the user')
      .option('--anyway', 'write it though the counts do not agree')
      .option('--again', 'write it though another row says the same');
  },
  async run(context, [entry, fields], options) {
    const changes = new Map<string, string>();
    for (const text of fields as unknown as string[]) {
      const cut = text.indexOf('=');
      if (cut < 1) throw unexpected('amend', 'field=value', text, 'for example eggs=21');
      changes.set(text.slice(0, cut).replaceAll('-', '_'), text.slice(cut + 1));
    }
    const written = await writeRows(context, { doing: 'amend' }, (read, now) => {
      const { record, row, cells } = standingRow(read, entry!);
      const wanted: Record<string, string> = { ...cells };
      for (const [field, value] of changes) {
        if (!Object.hasOwn(wanted, field) || field === 'entry')
          throw wrongWords(
            `${field}: a row of ${record} has no such field`,
            didYouMean(field, Object.keys(wanted)),
          );
        wanted[field] = value;
      }
      const on = readWhen(wanted.on!, now.day);
      if (on === null) throw unexpected('on', whenExpected, wanted.on!);
      wanted.on = printOn(on);
      if (!changes.has('by')) wanted.by = (options.by as string | undefined) ?? whoIs(context);
      return [
        {
          record,
          cells: wanted,
          amends: row.entry,
          anyway: options.anyway === true,
          again: options.again === true,
        },
      ];
    });
    if (context.json)
      return {
        stdout: jsonText('amend', {
          entry: written.rows[0]!.row.entry,
          amends: written.rows[0]!.row.amends,
        }),
        stderr: written.notes,
      };
    return { stdout: changeText(written, context.width), stderr: written.notes };
  },
};
