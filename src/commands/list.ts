import { isRecordName, kindOf, recordNames } from '../records/index.ts';
import { byTime } from '../records/read.ts';
import type { Row } from '../records/record.ts';
import { jsonRows } from '../tables/columns.ts';
import { rowTable } from '../tables/list.ts';
import { counted, longDay } from '../tables/numbers.ts';
import { storeScreen, storeTable } from '../tables/store.ts';
import { screenText, tableText } from '../tables/terminal.ts';
import { didYouMean } from '../text/nearest.ts';
import { readWhen, whenExpected } from '../text/when.ts';
import { type CommandModule, unexpected, wrongWords } from './command.ts';
import { openSeason } from './open.ts';
import { jsonText } from './say.ts';
import { paperOf, titleOf } from './tables.ts';

export const command: CommandModule = {
  words: async () => ({ record: [...recordNames, 'store'] }),
  examples: [
    'list candling',
    'list eggs --pen north --since 2027-04-01',
    'list set --set D4 --json',
    'list store',
  ],
  define(command) {
    command
      .argument('<record>', `${recordNames.join(', ')}; or store: the hatching eggs in store`)
      .option('--set <name>', 'only rows of this set')
      .option('--pen <name>', 'only rows of this pen')
      .option('--group <name>', 'only rows of this group')
      .option('--since <day>', 'only rows of this day and later')
      .option('--until <day>', 'only rows of this day and earlier')
      .option('--last <number>', 'only the last rows')
      .option('--history', 'every version of every row, withdrawn ones too');
  },
  async run(context, [record], options) {
    if (record === 'store') {
      const { season, now, notices } = await openSeason(context);
      return {
        stdout: context.json
          ? jsonText('list', { record, rows: jsonRows(storeTable(season, now)) })
          : screenText(storeScreen(season, now, titleOf(season, now)), paperOf(context, season)),
        stderr: notices,
      };
    }
    if (record === undefined || !isRecordName(record))
      throw unexpected(
        'list',
        'a kind of record',
        record ?? '',
        didYouMean(record ?? '', recordNames) ?? `records: ${recordNames.join(', ')}`,
      );
    const kind = kindOf(record);
    for (const filter of ['set', 'pen', 'group'])
      if (options[filter] !== undefined && !Object.hasOwn(kind.columns, filter))
        throw wrongWords(`--${filter}: ${record} rows have no ${filter}`);
    const { read, season, now, notices } = await openSeason(context);
    const dayOf = (text: unknown): string | null => {
      if (text === undefined) return null;
      const on = readWhen(String(text), now.day);
      if (on === null) throw unexpected('--since, --until', whenExpected, text);
      return on.day;
    };
    const since = dayOf(options.since);
    const until = dayOf(options.until);
    const history = options.history === true;
    // The versions of a row stand together, where its last one would stand.
    const all = history
      ? [...read.versions(record).values()].sort((a, b) => byTime(a.at(-1)!, b.at(-1)!)).flat()
      : (season.rows[record] as readonly Row[]);
    let rows = all.filter(
      (row) =>
        (options.set === undefined || row.values.set === options.set) &&
        (options.pen === undefined || row.values.pen === options.pen) &&
        (options.group === undefined || row.values.group === options.group) &&
        (since === null || row.on.day >= since) &&
        (until === null || row.on.day <= until),
    );
    if (options.last !== undefined) {
      const last = Number(options.last);
      if (!Number.isInteger(last) || last < 1)
        throw unexpected('--last', 'a whole number from 1', options.last);
      rows = rows.slice(-last);
    }
    const table = rowTable(record, rows, history);
    if (context.json)
      return { stdout: jsonText('list', { record, rows: jsonRows(table) }), stderr: notices };
    if (rows.length === 0) return { stdout: '', stderr: `${notices}no ${record} rows\n` };
    const paper = paperOf(context, season);
    // Off a terminal the table alone, for other programs of the shell.
    if (!context.fits) return { stdout: tableText(table, paper), stderr: notices };
    const [first, last] = [rows[0]!, rows.at(-1)!];
    const days = first.on.day === last.on.day ? '' : `${longDay(first.on.day)} to `;
    const part = rows.length === all.length ? '' : ` (of ${all.length})`;
    const answer = `${counted(rows.length, 'row')} of ${record}${part}: ${days}${longDay(last.on.day)}.`;
    const screen = {
      title: titleOf(season, now),
      answer: [answer],
      parts: [{ heading: null, table }],
    };
    return { stdout: screenText(screen, paper), stderr: notices };
  },
};
