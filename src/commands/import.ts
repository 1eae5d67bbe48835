import { resolve } from 'node:path';
import { readBytes } from '../io/season-folder.ts';
import {
  habitsOf,
  importable,
  type JudgedRow,
  judgeRows,
  type Mapping,
  mapRows,
} from '../records/import.ts';
import { isRecordName, kindOf, recordNames } from '../records/index.ts';
import type { RecordKind } from '../records/record.ts';
import { linesForTerminal } from '../text/escape.ts';
import { quoted } from '../text/fault.ts';
import {
  decode,
  type Encoding,
  encodings,
  type ForeignTable,
  findSeparator,
  IMPORT_LIMITS,
  readForeign,
  type Separator,
  separators,
  type Told,
} from '../text/foreign.ts';
import { dateOrders, decimalSigns, type Habit } from '../text/foreign-values.ts';
import { didYouMean } from '../text/nearest.ts';
import { whoIs } from './add.ts';
import {
  type CommandModule,
  type Context,
  exitCodes,
  type Options,
  wrongWords,
} from './command.ts';
import { openSeason } from './open.ts';
import { counted, jsonText } from './say.ts';
import { writeRows } from './write-rows.ts';

const gather = (value: string, before: string[]): string[] => [...before, value];

export const command: CommandModule = {
  words: async () => ({ as: recordNames }),
  examples: [
    'import eggs.csv --as eggs --map "Date=on" --map "Pen=pen" --map "Kept=kept"',
    'import book.xlsx --sheet Hatches --as hatch --map "Day=on" --with final=yes --write',
  ],
  define(command) {
    command
      .argument('<file>', 'a table: .csv, .tsv, .txt or .xlsx, its first row the names of columns')
      .requiredOption('--as <record>', recordNames.join(', '))
      .option('--map <theirs=ours>', 'their column is ours; names alike need none', gather, [])
      .option('--with <ours=value>', 'one value for every row', gather, [])
      .option('--sheet <name>', 'which sheet of an .xlsx file; else the first')
      .option('--separator <name>', Object.keys(separators).join(', '))
      .option('--encoding <name>', encodings.join(', '))
      .option('--dates <order>', 'dmy 13.03.2027, mdy 03/13/2027, iso 2027-03-13')
      .option('--decimal <sign>', 'point or comma')
      .option('--doubtful', 'take the doubtful rows too, as they stand')
      .option('--write', 'append the new rows; without it nothing is written')
      .option('--anyway', 'write them though the counts do not agree')
      .option('--by <name>', 'who did it; else TRAYBOOK_BY or the user');
  },
  async run(context, [file], options) {
    const record = String(options.as);
    if (!isRecordName(record))
      throw wrongWords(`unknown record ${quoted(record)}`, didYouMean(record, recordNames));
    const kind = kindOf(record);
    const table = await readTable(resolve(context.cwd, file!), file!, options);
    const mapping = mappingOf(kind, table, options, context);
    const habits = habitsOf(kind, table, mapping);
    const dates = settled('--dates', word(options, 'dates', dateOrders), habits.dates, dateOrders);
    const decimals = settled(
      '--decimal',
      word(options, 'decimal', decimalSigns),
      habits.decimals,
      decimalSigns,
    );
    const rows = mapRows(kind, table, mapping, dates, decimals);
    const judge = (versions: Parameters<typeof judgeRows>[2]): JudgedRow[] =>
      judgeRows(kind, rows, versions);
    const isTaken = (row: JudgedRow): boolean =>
      row.verdict === 'new' || (row.verdict === 'doubtful' && options.doubtful === true);
    const { read, notices } = await openSeason(context);
    let judged = judge(read.versions(record));
    const faulty = judged.filter((row) => row.verdict === 'faulty').length;
    const told = [
      ...table.found,
      ...habitText('dates', habits.dates, dates),
      ...habitText('decimal sign', habits.decimals, decimals),
      ...unusedText(table, mapping),
    ];
    let written = 0;
    let notes = notices;
    if (options.write === true && faulty === 0 && judged.some(isTaken)) {
      const done = await writeRows(context, { doing: `import ${record}` }, (now) => {
        // Judged again under the lock: another process may have added rows since.
        judged = judge(now.versions(record));
        return judged.filter(isTaken).map(({ cells }) => ({
          record,
          cells: {
            ...cells,
            by: cells.by || (options.by as string | undefined) || whoIs(context),
          },
          anyway: options.anyway === true,
          again: options.again === true,
        }));
      });
      written = done.rows.length;
      notes = done.notes;
    }
    const count = (verdict: JudgedRow['verdict']) =>
      judged.filter((row) => row.verdict === verdict).length;
    const exit = faulty > 0 ? exitCodes.found : exitCodes.done;
    if (context.json) {
      return {
        stdout: jsonText('import', {
          record,
          written,
          new: count('new'),
          known: count('known'),
          doubtful: count('doubtful'),
          faulty,
          found: told,
          rows: judged.map(({ rowNo, verdict, why, cells }) => ({
            row: rowNo,
            verdict,
            why: why || null,
            cells,
          })),
        }),
        stderr: notes,
        exit,
      };
    }
    const lines = [
      ...told.map((one) => `${one}`),
      '',
      ...judged.map((row) => rowText(kind, row)),
      '',
      `${count('new')} new, ${count('known')} known, ${count('doubtful')} doubtful, ${faulty} faulty`,
      closing(options, judged, isTaken, written, faulty),
    ];
    return { stdout: linesForTerminal(`${lines.join('\n')}\n`), stderr: notes, exit };
  },
};

function closing(
  options: Options,
  judged: readonly JudgedRow[],
  isTaken: (row: JudgedRow) => boolean,
  written: number,
  faulty: number,
): string {
  const taken = judged.filter(isTaken).length;
  const doubtful = judged.some((row) => row.verdict === 'doubtful') && options.doubtful !== true;
  const left = doubtful
    ? '\ndoubtful rows are left out: look, then say --doubtful to take them'
    : '';
  if (faulty > 0) return `nothing written: mend the faulty rows first${left}`;
  if (options.write === true)
    return written > 0 ? `${counted(written, 'row')} written${left}` : `nothing to write${left}`;
  return taken > 0
    ? `nothing written yet: --write appends ${counted(taken, 'row')}${left}`
    : `nothing to write${left}`;
}

function rowText(kind: RecordKind, row: JudgedRow): string {
  const said = Object.keys(kind.columns)
    .flatMap((column) => {
      const text = row.cells[column] ?? '';
      return text === '' ? [] : [`${column} ${text}`];
    })
    .join(', ');
  const why = row.why === '' ? '' : ` (${row.why})`;
  return `row ${String(row.rowNo).padEnd(4)} ${row.verdict.padEnd(8)} ${row.cells.on ?? ''}  ${said}${why}`;
}

async function readTable(path: string, shown: string, options: Options): Promise<ForeignTable> {
  const bytes = readBytes(path, IMPORT_LIMITS.bytes);
  if (typeof bytes === 'string') throw wrongWords(`${shown}: ${bytes}`);
  const isSheet = bytes[0] === 0x50 && bytes[1] === 0x4b;
  if (isSheet) {
    const { readXlsx } = await import('../io/xlsx.ts');
    return tell(shown, await readXlsx(bytes, (options.sheet as string | undefined) ?? null));
  }
  const { text, found } = tell(
    shown,
    decode(bytes, word(options, 'encoding', encodings) as Encoding | null),
  );
  const separator =
    (word(options, 'separator', Object.keys(separators)) as Separator | null) ??
    tell(shown, findSeparator(text));
  const table = tell(shown, readForeign(text, separator));
  return { ...table, found: [`text in ${found}`, ...table.found] };
}

function tell<T>(shown: string, told: Told<T>): T {
  if ('value' in told) return told.value;
  throw wrongWords(`${shown}: ${told.problem}`, told.hint);
}

function word<W extends string>(options: Options, name: string, words: readonly W[]): W | null {
  const given = options[name];
  if (given === undefined) return null;
  if (words.includes(given as W)) return given as W;
  throw wrongWords(
    `--${name}: expected one of ${words.join(', ')}, found ${quoted(String(given))}`,
    didYouMean(String(given), words),
  );
}

/** What was asked for, else what the cells show; what they leave open is asked for, not guessed. */
function settled<W extends string>(
  flag: string,
  asked: W | null,
  habit: Habit<W>,
  words: readonly W[],
): W | null {
  if (asked !== null) return asked;
  if (habit.kind === 'known') return habit.value;
  if (habit.kind === 'none') return null;
  const problem =
    habit.kind === 'open'
      ? `${quoted(habit.cell)} can be read two ways, and no other cell decides it`
      : `${quoted(habit.cells[0])} and ${quoted(habit.cells[1])} cannot both be meant in one way`;
  throw wrongWords(problem, `say which: ${flag} ${words.join(' | ')}`);
}

function habitText<W>(what: string, habit: Habit<W>, used: W | null): string[] {
  if (used === null) return [];
  return [
    habit.kind === 'known' && habit.value === used
      ? `${what}: ${used}, as in ${habit.cell}`
      : `${what}: ${used}, as you said`,
  ];
}

function unusedText(table: ForeignTable, mapping: Mapping): string[] {
  const used = new Set(mapping.columns.values());
  const unused = table.header.filter((name, index) => name !== '' && !used.has(index));
  return unused.length === 0 ? [] : [`columns not used: ${unused.join(', ')}`];
}

function mappingOf(
  kind: RecordKind,
  table: ForeignTable,
  options: Options,
  context: Context,
): Mapping {
  const ours = importable(kind);
  const columns = new Map<string, number>();
  const fixed = new Map<string, string>();
  const known = (name: string): string => {
    const column = name.trim().replaceAll('-', '_');
    if (ours.includes(column)) return column;
    throw wrongWords(
      `${kind.name} has no column ${quoted(name)} to import`,
      didYouMean(column, ours) ?? `its columns: ${ours.join(', ')}`,
    );
  };
  for (const text of options.map as string[]) {
    const cut = text.lastIndexOf('=');
    if (cut < 1) throw wrongWords(`--map: expected "Their column=ours", found ${quoted(text)}`);
    const theirs = text.slice(0, cut).trim().toLowerCase();
    const index = table.header.findIndex((name) => name.toLowerCase() === theirs);
    if (index === -1) {
      throw wrongWords(
        `the table has no column ${quoted(text.slice(0, cut))}`,
        didYouMean(text.slice(0, cut), table.header) ?? `its columns: ${table.header.join(', ')}`,
      );
    }
    const column = known(text.slice(cut + 1));
    if (columns.has(column)) throw wrongWords(`two columns are mapped to ${column}`);
    columns.set(column, index);
  }
  for (const text of options.with as string[]) {
    const cut = text.indexOf('=');
    if (cut < 1) throw wrongWords(`--with: expected ours=value, found ${quoted(text)}`);
    fixed.set(known(text.slice(0, cut)), text.slice(cut + 1));
  }
  const taken = new Set(columns.values());
  table.header.forEach((name, index) => {
    const column = name.trim().toLowerCase().replaceAll(/[ -]/g, '_');
    if (!taken.has(index) && ours.includes(column) && !columns.has(column) && !fixed.has(column))
      columns.set(column, index);
  });
  const both = [...fixed.keys()].find((column) => columns.has(column));
  if (both !== undefined) throw wrongWords(`${both} is given by --map and by --with`);
  const missing = ours.filter(
    (column) =>
      (column === 'on' || kind.columns[column]?.required === true) &&
      !columns.has(column) &&
      !fixed.has(column),
  );
  if (missing.length > 0)
    throw wrongWords(
      `no column gives ${missing.join(', ')}`,
      `${context.words.includes('--map') ? 'add' : 'say'} --map "Their column=${missing[0]}"; columns of the table: ${table.header.join(', ')}`,
    );
  return { columns, fixed };
}
