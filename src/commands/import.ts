import { type RememberedMap, rememberedMap, rememberMap } from '../io/import-maps.ts';
import type { FolderRead } from '../io/season-folder.ts';
import { batch, batchRows, batchSlip, type Rules } from '../records/batch.ts';
import { meantBy } from '../records/headers.ts';
import {
  habitsOf,
  type ImportRow,
  importable,
  type JudgedRow,
  judgeRows,
  type Mapping,
  mapRows,
} from '../records/import.ts';
import { isRecordName, kindOf, type RecordName, recordNames } from '../records/index.ts';
import type { RecordKind } from '../records/record.ts';
import type { Season } from '../season/model.ts';
import { hanging } from '../tables/wrap.ts';
import { linesForTerminal } from '../text/escape.ts';
import { expectedFound, quoted } from '../text/fault.ts';
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
import { groupedBy } from '../text/lists.ts';
import { didYouMean } from '../text/nearest.ts';
import { whoIs } from './add.ts';
import {
  type CommandModule,
  type Context,
  exitCodes,
  type Options,
  unexpected,
  wrongWords,
} from './command.ts';
import { openSeason } from './open.ts';
import { counted, jsonText } from './say.ts';
import { type WantedRow, writeRows } from './write-rows.ts';

const gather = (value: string, before: string[]): string[] => [...before, value];

export const command: CommandModule = {
  words: async () => ({ as: [...recordNames, BATCH] }),
  examples: [
    'import eggs.csv --as eggs --map "Date=on" --map "Pen=pen" --map "Kept=kept"',
    'import book.xlsx --sheet Hatches --as hatch --map "Day=on" --with final=yes --write',
    'import 2024.ods --as batch --with pen=north --rule "candled = set + 8"',
  ],
  define(command) {
    command
      .argument(
        '<file>',
        'a table: .csv, .tsv, .txt, .xlsx, .ods, or - for standard input; names of columns first',
      )
      .requiredOption('--as <record>', `${recordNames.join(', ')}; or batch: one row a set`)
      .option(
        '--map <theirs=ours>',
        'their column and ours; a column with our name needs none',
        gather,
        [],
      )
      .option('--with <ours=value>', 'one value for every row', gather, [])
      .option(
        '--rule <what=set+days>',
        'batch: candled, moved or hatched, so many days after',
        gather,
        [],
      )
      .option('--sheet <name>', 'which sheet of an .xlsx or .ods file; else the first')
      .option('--separator <name>', Object.keys(separators).join(', '))
      .option('--encoding <name>', encodings.join(', '))
      .option('--dates <order>', 'dmy 13.03.2027, mdy 03/13/2027, iso 2027-03-13')
      .option('--decimal <sign>', 'point or comma')
      .option('--doubtful', 'take the doubtful rows too, as they stand')
      .option('--write', 'append the new rows; without it nothing is written')
      .option('--anyway', 'write them though the counts do not agree')
      .option('--again', 'write them though other rows say the same')
      .option('--by <name>', 'who did it; else TRAYBOOK_BY or the user');
  },
  async run(context, [file], options) {
    const record = String(options.as);
    if (record !== BATCH && !isRecordName(record))
      throw wrongWords(
        `unknown record ${quoted(record)}`,
        didYouMean(record, [...recordNames, BATCH]) ??
          `records: ${recordNames.join(', ')}, ${BATCH}`,
      );
    const kind = record === BATCH ? batch : kindOf(record as RecordName);
    const table = await readTable(context, file!, options);
    const { folder, read, season, notices } = await openSeason(context);
    const before =
      options.map === undefined || (options.map as string[]).length === 0
        ? rememberedMap(folder, record, table.header)
        : null;
    const mapping = mappingOf(kind, table, options, before, season);
    const habits = habitsOf(kind, table, mapping);
    const asked = { ...before, ...options };
    const dates = settled(
      '--dates',
      word(withoutNulls(asked), 'dates', dateOrders),
      habits.dates,
      dateOrders,
    );
    const decimals = settled(
      '--decimal',
      word(withoutNulls(asked), 'decimal', decimalSigns),
      habits.decimals,
      decimalSigns,
    );
    const rows = mapRows(kind, table, mapping, dates, decimals);
    const progress = context.progress(`importing ${rows.length} rows`);
    const source: ImportSource =
      record === BATCH
        ? batchSource(rows, season, rulesOf(options))
        : {
            record: record as RecordName,
            rows,
            wanted: ({ cells }) => [{ record: record as RecordName, cells }],
          };
    const judge = (versions: FolderRead['versions']): JudgedRow[] =>
      judgeRows(kindOf(source.record), source.rows, versions(source.record), (done, of) =>
        progress.tell(`comparing with the log, ${Math.floor((100 * done) / of)} %`),
      );
    const isTaken = (row: JudgedRow): boolean =>
      row.verdict === 'new' || (row.verdict === 'doubtful' && options.doubtful === true);
    let judged = judge(read.versions);
    const faulty = judged.filter((row) => row.verdict === 'faulty').length;
    const told = [
      ...table.found,
      ...(before === null ? [] : ['columns as at the last import of such a table']),
      ...guessText(table, mapping),
      ...habitText('dates', habits.dates, dates),
      ...habitText('decimal sign', habits.decimals, decimals),
      ...unusedText(table, mapping),
      ...(source.told ?? []),
    ];
    let written = 0;
    let notes = notices;
    if (options.write === true && faulty === 0 && judged.some(isTaken)) {
      progress.tell('trying the rows on the season');
      const writing = writeRows(context, { doing: `import ${record}` }, (now) => {
        // Judged again under the lock: another process may have added rows since.
        judged = judge(now.versions);
        return judged.filter(isTaken).flatMap((row) =>
          source.wanted(row).map((one) => ({
            ...one,
            cells: {
              ...one.cells,
              by: one.cells.by || (options.by as string | undefined) || whoIs(context),
            },
            from: `row ${row.rowNo}`,
            anyway: options.anyway === true,
            // A twin of the table that was looked at and taken is one on purpose.
            again: options.again === true || row.verdict === 'doubtful',
          })),
        );
      });
      const done = await writing.finally(() => progress.end());
      // Of a twin taken on purpose an acceptance is written too.
      written = done.rows.filter((one) => one.record !== 'acceptance').length;
      notes = done.notes;
      const isKept = rememberMap(folder, record, table.header, {
        columns: theirsOf(table, mapping),
        dates,
        decimal: decimals,
      });
      if (!isKept) notes += 'the columns of this table could not be kept for its next import\n';
    }
    progress.end();
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
    // Off a terminal each row of the table stays on its line, as any table's does.
    const width = context.fits ? context.width : Number.POSITIVE_INFINITY;
    const shown = (row: JudgedRow): string[] =>
      record === BATCH && isTaken(row)
        ? source
            .wanted(row)
            .map(({ record: of, cells }) => rowText(kindOf(of), { ...row, cells }, width, of))
        : [rowText(kindOf(source.record), row, width)];
    const toWrite = judged.filter(isTaken).reduce((sum, row) => sum + source.wanted(row).length, 0);
    const lines = [
      ...told.map((one) => hanging('', one, width)),
      '',
      ...(context.full || judged.length <= MOST_SHOWN
        ? judged.flatMap(shown)
        : groupedText(judged, shown)),
      '',
      `${count('new')} new, ${count('known')} known, ${count('doubtful')} doubtful, ${faulty} faulty`,
      ...closing(options, judged, toWrite, written, faulty).map((one) => hanging('', one, width)),
    ];
    return { stdout: linesForTerminal(`${lines.join('\n')}\n`), stderr: notes, exit };
  },
};

/** What was said or remembered; nothing stands for neither. */
const withoutNulls = (asked: Readonly<Record<string, unknown>>): Options =>
  Object.fromEntries(Object.entries(asked).filter(([, value]) => value !== null));

/** A book of one row a set, which is no record of ours. */
const BATCH = 'batch';
/** Rows told one by one; more are told by what they have in common. */
const MOST_SHOWN = 60;

/** The rows of a table as rows of one log, and what each of them is to write. */
type ImportSource = {
  readonly record: RecordName;
  readonly rows: readonly ImportRow[];
  readonly told?: readonly string[];
  wanted(row: JudgedRow): readonly WantedRow[];
};

/** `candled=set+8`: days after setting; of the pen's kind where the keeper says nothing. */
function rulesOf(options: Options): Partial<Rules> {
  const out: Record<string, number> = {};
  for (const text of options.rule as string[]) {
    const found = /^\s*(candled|moved|hatched)\s*=\s*set\s*\+\s*(\d{1,2})\s*$/.exec(text);
    if (found === null)
      throw unexpected(
        '--rule',
        'candled, moved or hatched = set + days',
        text,
        'for example --rule "candled = set + 8"',
      );
    out[found[1]!] = Number(found[2]);
  }
  return out;
}

/** The sets of a book, each judged by its row of the log of sets. */
function batchSource(
  rows: readonly ImportRow[],
  season: Season,
  own: Partial<Rules>,
): ImportSource {
  const pens = [...season.pens.keys()];
  const whole = rows.map((row, index): ImportRow => {
    const given = row.cells.pen ?? '';
    const pen = pens.find((name) => name.toLowerCase() === given.toLowerCase());
    const only = given === '' && pens.length === 1 ? pens[0]! : given;
    const cells = { ...row.cells, set: row.cells.set || `B${index + 1}`, pen: pen ?? only };
    const slips = [...row.slips];
    if (!season.pens.has(cells.pen))
      slips.push({
        column: 'pen',
        message: expectedFound(
          'pen',
          'the name of a pen',
          given === '' ? 'nothing' : quoted(given),
        ),
        hint: didYouMean(given, pens) ?? 'one pen for all rows: --with pen=NAME',
      });
    const slip = slips.length === 0 ? batchSlip(cells) : null;
    if (slip !== null) slips.push({ column: 'eggs', message: slip });
    return { ...row, cells, slips };
  });
  const rules = (pen: string): Rules => {
    const { species } = season.pens.get(pen)!.line;
    return {
      candled: own.candled ?? species.candle_days.value[0]!,
      moved: own.moved ?? species.transfer_day.value,
      hatched: own.hatched ?? species.hatch_day.value,
    };
  };
  const byRow = new Map(whole.map((row) => [row.rowNo, row]));
  const { candled, moved, hatched } = rules(
    pens.find((pen) => whole.some((row) => row.cells.pen === pen)) ?? pens[0]!,
  );
  return {
    record: 'set',
    told: [
      `days the table does not give: candled = set + ${candled}, moved = set + ${moved}, hatched = set + ${hatched}`,
    ],
    rows: whole.map((row) => ({
      ...row,
      cells: Object.fromEntries(
        ['on', 'set', 'pen', 'setter', 'tray', 'eggs', 'note'].flatMap((column) =>
          (row.cells[column] ?? '') === '' ? [] : [[column, row.cells[column]!]],
        ),
      ),
    })),
    wanted: (row) => {
      const { cells } = byRow.get(row.rowNo)!;
      return batchRows(cells, rules(cells.pen!)).map((one) =>
        one.record === 'transfer' && season.hatchers.size > 0
          ? { ...one, cells: { hatcher: [...season.hatchers.keys()][0]!, ...one.cells } }
          : one,
      );
    },
  };
}

/** Many rows: what is wrong or doubtful by reason, with the first of each, and the first new ones. */
function groupedText(
  judged: readonly JudgedRow[],
  shown: (row: JudgedRow) => readonly string[],
): string[] {
  const groups = groupedBy(judged, ({ verdict, why }) => {
    const reason = verdict === 'known' ? '' : why.replace(/[a-z0-9]{10}|\d+|"[^"]*"/g, '…');
    return `${verdict} ${reason}`;
  });
  const first = 3;
  return [...groups].flatMap(([key, rows]) => [
    `${rows.length} rows ${key.trim()}, the first of them:`,
    ...rows.slice(0, first).flatMap(shown),
  ]);
}

function closing(
  options: Options,
  judged: readonly JudgedRow[],
  taken: number,
  written: number,
  faulty: number,
): string[] {
  const doubtful = judged.some((row) => row.verdict === 'doubtful') && options.doubtful !== true;
  const left = doubtful
    ? ['doubtful rows are left out: look, then say --doubtful to take them']
    : [];
  if (faulty > 0) return ['nothing written: mend the faulty rows first', ...left];
  if (options.write === true)
    return [written > 0 ? `${counted(written, 'row')} written` : 'nothing to write', ...left];
  return taken > 0
    ? [`nothing written yet: --write appends ${counted(taken, 'row')}`, ...left]
    : ['nothing to write', ...left];
}

function rowText(kind: RecordKind, row: JudgedRow, width: number, record = ''): string {
  const said = Object.keys(kind.columns)
    .flatMap((column) => {
      const text = row.cells[column] ?? '';
      return text === '' ? [] : [`${column} ${text}`];
    })
    .join(', ');
  const why = row.why === '' ? '' : ` (${row.why})`;
  const head = `row ${String(row.rowNo).padEnd(4)} ${row.verdict.padEnd(8)} `;
  const of = record === '' ? '' : `${record.padEnd(8)} `;
  return hanging(head, `${of}${row.cells.on ?? ''}  ${said}${why}`, width);
}

async function readTable(context: Context, shown: string, options: Options): Promise<ForeignTable> {
  const { readInput } = await import('../io/input.ts');
  const bytes = await readInput(context.cwd, shown, IMPORT_LIMITS.bytes);
  if (typeof bytes === 'string') throw wrongWords(`${shown}: ${bytes}`);
  const isSheet = bytes[0] === 0x50 && bytes[1] === 0x4b;
  if (isSheet) {
    const { readSheet } = await import('../io/xlsx.ts');
    return tell(shown, await readSheet(bytes, (options.sheet as string | undefined) ?? null));
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
  throw unexpected(
    `--${name}`,
    `one of ${words.join(', ')}`,
    given,
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

/** The header of each of our columns that a table fills. */
function theirsOf(table: ForeignTable, mapping: Mapping): Record<string, string> {
  return Object.fromEntries(
    [...mapping.columns].map(([column, index]) => [column, table.header[index]!]),
  );
}

/** What each column was taken for, where the names are not alike. */
function guessText(table: ForeignTable, mapping: Mapping): string[] {
  const named = Object.entries(theirsOf(table, mapping)).filter(
    ([ours, theirs]) => ours !== theirs.trim().toLowerCase().replaceAll(/[ -]/g, '_'),
  );
  return named.length === 0
    ? []
    : [`columns: ${named.map(([ours, theirs]) => `${theirs} is ${ours}`).join(', ')}`];
}

function mappingOf(
  kind: RecordKind,
  table: ForeignTable,
  options: Options,
  before: RememberedMap | null,
  season: Season,
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
    if (cut < 1) throw unexpected('--map', '"Their column=ours"', text);
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
    if (cut < 1) throw unexpected('--with', 'ours=value', text);
    fixed.set(known(text.slice(0, cut)), text.slice(cut + 1));
  }
  const taken = new Set(columns.values());
  table.header.forEach((name, index) => {
    const column = name.trim().toLowerCase().replaceAll(/[ -]/g, '_');
    if (!taken.has(index) && ours.includes(column) && !columns.has(column) && !fixed.has(column))
      columns.set(column, index);
  });
  for (const [column, theirs] of Object.entries(before?.columns ?? {})) {
    const index = table.header.indexOf(theirs);
    if (index >= 0 && ours.includes(column) && !columns.has(column) && !fixed.has(column))
      columns.set(column, index);
  }
  guess(table, ours, columns, fixed);
  const both = [...fixed.keys()].find((column) => columns.has(column));
  if (both !== undefined) throw wrongWords(`${both} is given by --map and by --with`);
  const missing = ours.filter(
    (column) =>
      (column === 'on' ||
        kind.columns[column]?.required === true ||
        (kind.name === BATCH && column === 'pen' && season.pens.size > 1)) &&
      !columns.has(column) &&
      !fixed.has(column),
  );
  if (missing.length > 0)
    throw wrongWords(
      `no column gives ${missing.join(', ')}`,
      `say --map "Their column=${missing[0]}", or --with ${missing[0]}=VALUE for all rows; columns of the table: ${table.header.join(', ')}`,
    );
  return { columns, fixed };
}

/** Takes a column for what keepers of the trade usually mean by its header. */
function guess(
  table: ForeignTable,
  ours: readonly string[],
  columns: Map<string, number>,
  fixed: ReadonlyMap<string, string>,
): void {
  const taken = new Set(columns.values());
  const rivals = new Map<string, number[]>();
  table.header.forEach((header, index) => {
    if (taken.has(index)) return;
    const free = ours.filter((column) => !columns.has(column) && !fixed.has(column));
    const [column] = meantBy(header, free);
    if (column !== undefined) rivals.set(column, [...(rivals.get(column) ?? []), index]);
  });
  for (const [column, indexes] of rivals) {
    if (indexes.length > 1)
      throw wrongWords(
        `${indexes.map((index) => quoted(table.header[index]!)).join(' and ')} could both be ${column}`,
        `say which: --map "${table.header[indexes[0]!]}=${column}"`,
      );
    columns.set(column, indexes[0]!);
  }
}
