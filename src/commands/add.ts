import type { Command } from 'commander';
import { flockOf } from '../facts/birds/groups.ts';
import { machinesInUse } from '../facts/tasks/daily-tasks.ts';
import { tasksOf } from '../facts/tasks/tasks.ts';
import { dateSlip } from '../records/column.ts';
import { isRecordName, kindOf, kinds, recordNames } from '../records/index.ts';
import { isRest } from '../records/pen-change.ts';
import type { RecordKind } from '../records/record.ts';
import { usualSetter } from '../season/hens.ts';
import type { Now, Season } from '../season/model.ts';
import { type Day, printOn } from '../text/day.ts';
import { linesForTerminal } from '../text/escape.ts';
import { expectedFound } from '../text/fault.ts';
import { didYouMean } from '../text/nearest.ts';
import { readWhen, whenExpected } from '../text/when.ts';
import { askDownSheet, askWhetherToWrite, type SheetRow } from './ask.ts';
import { changeText, rowsText } from './change.ts';
import type { CommandModule, CommandOutcome, Context, Options } from './command.ts';
import { exitCodes, Stop, unexpected, wrongWords } from './command.ts';
import { chooseNumbers, confirm } from './converse.ts';
import {
  columnsInOrder,
  flagOf,
  MANY_BIRDS,
  MANY_BIRDS_EXAMPLE,
  noteLines,
  readEntry,
  type Typed,
  type TypedRow,
} from './entries.ts';
import { openSeason } from './open.ts';
import { jsonText } from './say.ts';
import { ordersMeant, seasonNames } from './season-names.ts';
import { Doubt, type WantedRow, writeRows } from './write-rows.ts';

/** Columns that hold a day: they take a keeper's words as `--on` does. */
function isDay(kind: RecordKind, column: string): boolean {
  return kind.columns[column]?.type === 'date';
}

/** True once the words tell what is recorded. */
const saysRecord = (words: readonly string[]): boolean =>
  words.some((word) => isRecordName(word) || word === MANY_BIRDS);

export const command: CommandModule = {
  examples: (words) => [
    ...Object.values(kinds)
      .filter((kind) => !saysRecord(words) || words.includes(kind.name))
      .map((kind) => `add ${kind.example}`),
    ...(words.includes('bird') || words.includes(MANY_BIRDS) ? [`add ${MANY_BIRDS_EXAMPLE}`] : []),
    ...(saysRecord(words) ? [] : ['add eggs north=8/7 south=9/9', 'add --lines note.txt']),
  ],
  define(add: Command, words) {
    const record = words.includes(MANY_BIRDS) ? 'bird' : words.find((word) => isRecordName(word));
    if (record === undefined || !isRecordName(record)) {
      add
        .argument('[record]', recordNames.join(', '))
        .argument('[words...]', 'the set, pen, machine, group, bird or task it is about, …')
        .option('--lines <file>', 'entries from a file, or - for standard input: one a line')
        .option('--dry-run', 'show what would be written, and write nothing')
        .allowUnknownOption();
      return;
    }
    const kind = kindOf(record);
    add.argument('<record>', recordNames.join(', '));
    add.description(`Record ${kind.summary}`);
    if (kind.naming !== null) add.argument(`[${kind.naming}]`, kind.columns[kind.naming]!.about);
    const several = kind.naming === 'pen' || kind.columns.pen === undefined ? kind.naming : 'pen';
    if (several !== null)
      add.argument(
        '[several...]',
        `${several.toUpperCase()}=${columnsInOrder(kind).slice(0, 2).join('/')} for each of several rows`,
      );
    for (const [name, column] of Object.entries(kind.columns)) {
      if (name === kind.naming) continue;
      const unit = column.unit === null ? '' : ` (${column.unit})`;
      const words = column.words === null ? '' : `: ${column.words.join(', ')}`;
      const again = name === 'pen' ? '; repeat it for the next share' : '';
      add.option(
        `${flagOf(name)} <${column.type === 'integer' || column.type === 'number' ? 'number' : column.type === 'date' ? 'day' : 'text'}>`,
        `${column.about}${unit}${words}${again}`,
      );
    }
    add
      .option('--on <when>', `when: ${whenExpected}`)
      .option('--note <text>', 'anything worth keeping')
      .option('--by <name>', 'who did it; else TRAYBOOK_BY or the user')
      .option('--anyway', 'write this row though a figure in it is unlikely')
      .option('--again', 'write this row though another says the same')
      .option('--dry-run', 'show what would be written, and write nothing')
      .option('--ask', 'ask field by field, down a sheet from the barn');
    if (record === 'bird')
      add
        .option('--from <set>', 'birds: the set that they hatched from')
        .option('--bands <numbers>', 'birds: a row for each band, as 101-134')
        .option('--punches <numbers>', 'birds: a row for each toe punch, as 1-15');
    if (record === 'set') add.option('--as-planned', 'take pens, eggs and trays from the plan');
  },
  async run(context, [record], options) {
    if (typeof options.lines === 'string')
      return write(context, await entriesOfNote(context, options.lines), options);
    if (record === undefined) return due(context, options);
    const typed = readEntry(wordsAfter(context.words, 'add'));
    const kind = kindOf(typed.record);
    const [row] = typed.rows;
    const names = Object.keys(row!.cells).filter((column) => column !== kind.naming);
    const isBare = typed.rows.length === 1 && names.length === 0 && !typed.asPlanned;
    if (typed.ask && !context.canAsk)
      throw wrongWords('--ask: there is no terminal to ask at', 'give each column as a flag');
    if (!typed.ask && !(context.canAsk && isBare))
      return write(context, [{ ...typed, from: null, on: null }], options);
    return askAndWrite(context, typed, options);
  },
};

/** An entry with the line it was typed in, and the day that stands above it in a note. */
type Entry = Typed & { readonly from: string | null; readonly on: string | null };

/**
 * Asks for what an entry does not say, shows the rows, and writes them. What is refused is asked
 * again with the answers kept.
 */
async function askAndWrite(
  context: Context,
  typed: Typed,
  options: Options,
): Promise<CommandOutcome> {
  const [row] = typed.rows;
  const said = { on: row!.on, note: row!.note };
  let before: readonly SheetRow[] = [];
  for (;;) {
    const { season, now } = await openSeason(context);
    const kind = kindOf(typed.record);
    before = await askDownSheet(kind, row!.cells, season, now, said, before);
    const entry: Entry = {
      ...typed,
      from: null,
      on: null,
      rows: before.map((one) => ({ ...one, short: null, anyway: row!.anyway, again: row!.again })),
    };
    try {
      let sure: Sure = {};
      const shown = await sureOf(context, (one) => {
        sure = one;
        return attempt(context, [entry], { ...options, dryRun: true }, one);
      });
      if (options.dryRun === true) return shown;
      if (!(await askWhetherToWrite(shown.stdout!.replace(/nothing was written.*\n$/, ''))))
        continue;
      return await attempt(context, [entry], options, sure);
    } catch (error) {
      if (!(error instanceof Stop) || error.exit !== exitCodes.words || isLeaving(error))
        throw error;
      process.stdout.write(linesForTerminal(`${error.message}\n`));
    }
  }
}

const isLeaving = (error: Stop): boolean => error.message.startsWith('left before');

/** The words behind a command's name. */
function wordsAfter(words: readonly string[], name: string): readonly string[] {
  const at = words.findIndex(
    (word, index) => word === name && !['--season', '--now'].includes(words[index - 1] ?? ''),
  );
  return words.toSpliced(at, 1);
}

/** Bytes of the longest note read. */
const LONGEST_NOTE = 1_000_000;

/** The entries of a note, every line read before any is written. */
async function entriesOfNote(context: Context, path: string): Promise<Entry[]> {
  const { readInput } = await import('../io/input.ts');
  const bytes = await readInput(context.cwd, path, LONGEST_NOTE);
  if (typeof bytes === 'string') throw wrongWords(`${path}: ${bytes}`);
  const entries: Entry[] = [];
  const wrong: string[] = [];
  let on: string | null = null;
  for (const { number, words } of noteLines(new TextDecoder().decode(bytes))) {
    const from = `line ${number}`;
    if (words[0] === 'on' && words.length > 1) {
      on = words.slice(1).join(' ');
      continue;
    }
    try {
      // A line may be pasted with the command it would be.
      const own = words.slice(words[0] === 'traybook' ? 1 : 0);
      entries.push({ ...readEntry(own[0] === 'add' ? own.slice(1) : own), from, on });
    } catch (error) {
      if (!(error instanceof Stop)) throw error;
      wrong.push(
        `${from}: ${error.message}${error.hint === null ? '' : `\n  hint: ${error.hint}`}`,
      );
    }
  }
  if (wrong.length > 0) throw wrongWords(wrong.join('\n'), 'nothing was written');
  if (entries.length === 0)
    throw wrongWords(`${path}: no entry in it`, 'one a line: eggs north=8/7');
  return entries;
}

/** What is said of all rows at once: that they are right as they stand, or happened again. */
type Sure = { readonly anyway?: boolean; readonly again?: boolean };

/** Writes entries, asking at a terminal about unlikely figures. */
async function write(
  context: Context,
  entries: readonly Entry[],
  options: Options,
): Promise<CommandOutcome> {
  return sureOf(context, (sure) => attempt(context, entries, options, sure));
}

/** Does what may be doubted; at a terminal the keeper is asked and may say that it is so. */
async function sureOf(
  context: Context,
  doing: (sure: Sure) => Promise<CommandOutcome>,
  sure: Sure = {},
): Promise<CommandOutcome> {
  try {
    return await doing(sure);
  } catch (error) {
    if (!(error instanceof Doubt) || !context.canAsk || context.json) throw error;
    const isSo = await confirm(`${error.message}\nWrite it as it is?`);
    if (!isSo) throw wrongWords('nothing was written', error.hint);
    return sureOf(context, doing, {
      ...sure,
      ...Object.fromEntries(error.flags.map((flag) => [flag, true])),
    });
  }
}

async function attempt(
  context: Context,
  entries: readonly Entry[],
  options: Options,
  sure: Sure,
): Promise<CommandOutcome> {
  const [first] = entries;
  const isDry = options.dryRun === true;
  const written = await writeRows(
    context,
    { doing: entries.length === 1 ? `add ${first!.record}` : 'add several', dryRun: isDry },
    ({ season }, now) =>
      entries.flatMap((entry) =>
        wantedOf(entry, season, now, context).map((one) => ({ ...one, ...sure })),
      ),
  );
  const stderr = written.notes;
  if (context.json)
    return {
      stdout: jsonText('add', {
        record: first!.record,
        entries: isDry ? [] : written.rows.map(({ row }) => row.entry),
        set: first!.rows[0]!.cells.set ?? null,
      }),
      stderr,
    };
  return isDry
    ? { stdout: `${rowsText(written.rows)}nothing was written (--dry-run)\n`, stderr }
    : { stdout: changeText(written, context.width), stderr };
}

/** The rows an entry asks for, with what the season makes clear. */
function wantedOf(entry: Entry, season: Season, now: Now, context: Context): WantedRow[] {
  const kind = kindOf(entry.record);
  const from = entry.from === null ? {} : { from: entry.from };
  try {
    return entry.rows.flatMap((row) => {
      const common = {
        on: onText(kind, row.on ?? entry.on ?? undefined, now),
        by: entry.by ?? whoIs(context),
        note: row.note ?? '',
      };
      const rows = entry.asPlanned
        ? plannedCells(season, row.cells)
        : eachMachine(kind, wholeName(kind, row, season), season).map((cells) =>
            filled(kind, cells, season, now, common.on),
          );
      return rows.map((cells) => ({
        record: entry.record,
        cells: { ...cells, ...common },
        anyway: row.anyway,
        again: row.again,
        ...from,
      }));
    });
  } catch (error) {
    if (!(error instanceof Stop) || entry.from === null) throw error;
    throw wrongWords(`${entry.from}: ${error.message}`, error.hint);
  }
}

/** The records due today by number; at a terminal, those chosen are asked for. */
async function due(context: Context, options: Options): Promise<CommandOutcome> {
  if (!context.canAsk || context.json)
    throw wrongWords(
      expectedFound('record', 'what is to be recorded', 'nothing'),
      'for example: traybook add eggs north --laid 8 --kept 7; traybook today tells what is due',
    );
  const { season, now, notices } = await openSeason(context);
  const tasks = tasksOf(season, now, 0).filter(
    (task) => task.state !== 'coming' && task.settle.startsWith('add '),
  );
  if (tasks.length === 0)
    return {
      stdout: 'no record is due; traybook add --help shows what can be recorded\n',
      stderr: notices,
    };
  const list = tasks
    .map((task, index) => `${String(index + 1).padStart(3)}  ${task.title}\n     ${task.settle}\n`)
    .join('');
  const chosen = await chooseNumbers(list, 'Which to record, as 1 3 or 2-4', tasks.length);
  const out: CommandOutcome[] = [];
  for (const number of chosen) {
    const typed = readEntry(noteLines(tasks[number - 1]!.settle)[0]!.words.slice(1));
    out.push(
      typed.record === 'tick'
        ? await write(context, [{ ...typed, from: null, on: null }], options)
        : await askAndWrite(context, bare(typed), options),
    );
  }
  return {
    stdout: out.map((one) => one.stdout ?? '').join(''),
    stderr: out.map((one) => one.stderr ?? '').join(''),
  };
}

/** An entry with its names alone: what a task says of counts is to be asked. */
function bare(typed: Typed): Typed {
  const kind = kindOf(typed.record);
  const [row] = typed.rows;
  const cells = Object.fromEntries(
    Object.entries(row!.cells).filter(([name]) => name === kind.naming || name === 'set'),
  );
  return { ...typed, rows: [{ ...row!, cells }] };
}

/** Stands for every machine with eggs in it, where no machine is called so. */
const ALL_MACHINES = 'all';

/** A reading of `all`, as of a power cut, is one row for each machine in use. */
function eachMachine(
  kind: RecordKind,
  cells: Readonly<Record<string, string>>,
  season: Season,
): readonly Readonly<Record<string, string>>[] {
  const isMachine = season.setters.has(ALL_MACHINES) || season.hatchers.has(ALL_MACHINES);
  if (kind.name !== 'reading' || cells.machine !== ALL_MACHINES || isMachine) return [cells];
  const used = machinesInUse(season);
  if (used.length === 0)
    throw unexpected('machine', 'a machine', ALL_MACHINES, 'no machine has eggs in it');
  return used.map((machine) => ({ ...cells, machine }));
}

/** Fills in what the season makes clear, and turns a keeper's days into dates. */
function filled(
  kind: RecordKind,
  given: Readonly<Record<string, string>>,
  season: Season,
  now: Now,
  on: string,
): Record<string, string> {
  const cells: Record<string, string> = { ...given };
  for (const [column, value] of Object.entries(given)) {
    if (!isDay(kind, column)) continue;
    const day = readWhen(value, now.day);
    if (day !== null) cells[column] = day.day;
  }
  if (kind.naming !== null && cells[kind.naming] === undefined)
    throw wrongWords(
      expectedFound(kind.naming, `the ${kind.columns[kind.naming]!.about}`, 'nothing'),
      `for example: traybook add ${kind.example}`,
    );
  if (kind.name === 'set') fillSet(cells, season);
  if (kind.name === 'group') fillGroupPen(cells, season);
  if (kind.name === 'bird') fillBird(cells, season);
  if (kind.name === 'move') fillMove(cells, season, readWhen(on, now.day)!.day);
  if (kind.name === 'pen-change' && cells.sex === undefined && cells.change !== undefined) {
    if (cells.change === 'replaced') cells.sex = 'male';
    if (isRest(cells.change)) cells.sex = 'female';
  }
  if (cells.order !== undefined) cells.order = orderOf(cells.order, season);
  if (kind.name === 'transfer' && cells.hatcher === undefined) {
    const planned = season.sets.get(cells.set ?? '')?.plan?.hatcher;
    if (planned) cells.hatcher = planned;
    else if (season.hatchers.size === 1) cells.hatcher = [...season.hatchers.keys()][0]!;
  }
  return cells;
}

/** The cells of a row with the name of `n=8/7` written out: the only one that begins so. */
function wholeName(
  kind: RecordKind,
  { cells, short }: TypedRow,
  season: Season,
): Readonly<Record<string, string>> {
  if (short === null) return cells;
  const shares = season.sets.get(cells.set ?? '')?.shares ?? [];
  const names =
    short === 'pen' && shares.length > 0
      ? shares.map((share) => share.pen.name)
      : short === 'group'
        ? season.rows.group.map((row) => row.values.group)
        : seasonNames(kind.columns[short]!.refers ?? '', season);
  const typed = cells[short]!;
  const like = new Set(names.filter((name) => name.startsWith(typed)));
  return names.includes(typed) || like.size !== 1 ? cells : { ...cells, [short]: [...like][0]! };
}

/** The order that a word means: as season.yaml names it, or the only one that holds the word. */
function orderOf(word: string, season: Season): string {
  const [one, ...others] = ordersMeant(word, season);
  if (one !== undefined && others.length === 0) return one;
  const names = ordersMeant('', season);
  throw unexpected(
    'order',
    'an order of season.yaml',
    word,
    names.length === 0 ? 'add it under orders: in season.yaml' : `orders: ${names.join('; ')}`,
  );
}

/** Who writes: TRAYBOOK_BY, else the user of this machine. */
export function whoIs(context: Context): string {
  return context.env.TRAYBOOK_BY ?? context.env.USER ?? context.env.LOGNAME ?? '';
}

function onText(kind: RecordKind, text: string | undefined, now: Now): string {
  if (text === undefined) return kind.timed ? `${now.day}T${now.time}` : now.day;
  const on = readWhen(text, now.day);
  if (on === null) throw unexpected('on', whenExpected, text, dateSlip(text));
  return printOn(on);
}

function fillSet(cells: Record<string, string>, season: Season): void {
  const plan = season.planned.find((one) => one.name === cells.set);
  if (cells.pen === undefined && plan?.shares.length === 1) cells.pen = plan.shares[0]!.pen.name;
  if (cells.pen === undefined && season.pens.size === 1) cells.pen = [...season.pens.keys()][0]!;
  const share = plan?.shares.find((one) => one.pen.name === cells.pen);
  if (cells.eggs === undefined && share) cells.eggs = String(share.eggs);
  if (cells.setter === undefined && plan) cells.setter = plan.setter;
  else if (cells.setter === undefined) {
    const usual = usualSetter(season.setters);
    if (usual !== null) cells.setter = usual;
  }
  const setter = season.setters.get(cells.setter ?? '');
  if (cells.tray === undefined) {
    if (plan?.trays.length === 1) cells.tray = String(plan.trays[0]);
    else if (setter?.trays === 1) cells.tray = '1';
    else if (setter)
      throw wrongWords(
        expectedFound('tray', `a tray of ${setter.name} from 1 to ${setter.trays}`, 'nothing'),
        'say which: --tray 2, before the first --pen for all shares',
      );
  }
}

/** The pen of a group's chicks, where the set has one share. */
function fillGroupPen(cells: Record<string, string>, season: Season): void {
  const shares = season.sets.get(cells.set ?? '')?.shares;
  if (cells.pen === undefined && shares?.length === 1) cells.pen = shares[0]!.pen.name;
}

/** All birds of a group that are not there already on the day, where their number is not said. */
function fillMove(cells: Record<string, string>, season: Season, day: Day): void {
  if (cells.birds !== undefined) return;
  const { groups } = flockOf(season);
  const group = groups.get(cells.group!);
  if (group === undefined)
    throw unexpected(
      'group',
      'the name of a group',
      cells.group!,
      didYouMean(cells.group!, groups.keys()),
    );
  const then = group.standings.findLast((one) => one.day <= day);
  const elsewhere = (then?.living ?? 0) - (then?.places.get(cells.to ?? '') ?? 0);
  if (elsewhere === 0)
    throw wrongWords(`${group.name}: no birds of it were elsewhere on ${day}`, null);
  cells.birds = String(elsewhere);
}

/** The pen, line and day of hatch of a bird, where its set has them. */
function fillBird(cells: Record<string, string>, season: Season): void {
  fillGroupPen(cells, season);
  const shares = season.sets.get(cells.set ?? '')?.shares ?? [];
  const own = shares.filter((one) => cells.pen === undefined || one.pen.name === cells.pen);
  if (cells.line === undefined && cells.set !== undefined && own.length === 0)
    throw unexpected(
      'set',
      'a set of this season',
      cells.set,
      didYouMean(cells.set, season.sets.keys()) ??
        'for a bird of an earlier season: --line and --born',
    );
  const lines = new Set(own.map((one) => one.pen.line.name));
  if (cells.line === undefined && lines.size === 1) cells.line = [...lines][0]!;
  const hatched = own.flatMap((one) => one.openings).filter((row) => row.values.hatched > 0);
  const [first] = hatched.map((row) => row.on.day).sort();
  if (cells.born === undefined && first !== undefined) cells.born = first;
}

/** One row for each planned share in each planned tray, the trays filled in order. */
function plannedCells(
  season: Season,
  given: Readonly<Record<string, string>>,
): Record<string, string>[] {
  const plan = season.planned.find((one) => one.name === given.set);
  if (plan === undefined)
    throw unexpected(
      'set',
      'the name of a planned set',
      given.set ?? '',
      didYouMean(
        given.set ?? '',
        season.planned.map((one) => one.name),
      ),
    );
  const holds =
    season.setters.get(plan.setter)?.tray_holds[plan.speciesName] ?? Number.POSITIVE_INFINITY;
  const room = plan.trays.map(() => holds);
  const rows: Record<string, string>[] = [];
  for (const share of plan.shares) {
    let eggs = share.eggs;
    plan.trays.forEach((tray, index) => {
      const isLast = index === plan.trays.length - 1;
      const here = isLast ? eggs : Math.min(eggs, room[index]!);
      if (here === 0) return;
      room[index]! -= here;
      eggs -= here;
      rows.push({
        set: plan.name,
        pen: share.pen.name,
        setter: plan.setter,
        tray: String(tray),
        eggs: String(here),
      });
    });
  }
  return rows;
}
