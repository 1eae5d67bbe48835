import { flockOf } from '../facts/birds/groups.ts';
import { isRecordName, kindOf, recordNames } from '../records/index.ts';
import { byTime } from '../records/read.ts';
import type { Row } from '../records/record.ts';
import { jsonRows } from '../tables/columns.ts';
import { rowTable } from '../tables/list.ts';
import { counted, longDay } from '../tables/numbers.ts';
import { storeScreen, storeTable } from '../tables/store.ts';
import { tableText } from '../tables/terminal.ts';
import { didYouMean } from '../text/nearest.ts';
import { readWhen, whenExpected } from '../text/when.ts';
import { type CommandModule, unexpected, wrongWords } from './command.ts';
import { openSeason } from './open.ts';
import { answerOf } from './tables.ts';

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
      const opened = await openSeason(context);
      const { season, now } = opened;
      return answerOf(context, opened, {
        name: 'list',
        json: () => ({ record, rows: jsonRows(storeTable(season, now)) }),
        screen: (title) => storeScreen(season, now, title),
      });
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
    const opened = await openSeason(context);
    const { read, season, now, notices } = opened;
    const dayOf = (option: 'since' | 'until'): string | null => {
      const text = options[option];
      if (text === undefined) return null;
      const on = readWhen(String(text), now.day);
      if (on === null) throw unexpected(`--${option}`, whenExpected, text);
      return on.day;
    };
    const since = dayOf('since');
    const until = dayOf('until');
    const history = options.history === true;
    // The versions of a row stand together, where its last one would stand.
    const all = history
      ? [...read.versions(record).values()].sort((a, b) => byTime(a.at(-1)!, b.at(-1)!)).flat()
      : (season.rows[record] as readonly Row[]);
    for (const [name, known] of [
      ['set', season.sets],
      ['pen', season.pens],
      ['group', flockOf(season).groups],
    ] as const) {
      const said = options[name];
      if (said === undefined || known.has(String(said))) continue;
      // A set that was withdrawn has its name in the log alone.
      if (!all.some(({ values }) => values[name] === said))
        throw unexpected(
          `--${name}`,
          `the name of a ${name}`,
          said,
          didYouMean(String(said), [...known.keys()]),
        );
    }
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
    const table = rowTable(record, rows, history, season.values.units);
    if (rows.length === 0 && !context.json)
      return { stdout: '', stderr: `${notices}no ${record} rows\n` };
    return answerOf(context, opened, {
      name: 'list',
      json: () => ({ record, rows: jsonRows(table) }),
      screen: (title, paper) => {
        // Off a terminal the table alone, for other programs of the shell.
        if (!context.fits) return tableText(table, paper);
        const [first, last] = [rows[0]!.on.day, rows.at(-1)!.on.day];
        const days = first === last ? '' : `${longDay(first)} to `;
        const part = rows.length === all.length ? '' : ` (of ${all.length})`;
        const answer = `${counted(rows.length, 'row')} of ${record}${part}: ${days}${longDay(last)}.`;
        return { title, answer: [answer], parts: [{ heading: null, table }] };
      },
    });
  },
};
