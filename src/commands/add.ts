import type { Command } from 'commander';
import { dateSlip } from '../records/column.ts';
import { isRecordName, kindOf, kinds, recordNames } from '../records/index.ts';
import type { RecordKind } from '../records/record.ts';
import type { Now, Season } from '../season/model.ts';
import { printOn } from '../text/day.ts';
import { expectedFound, quoted } from '../text/fault.ts';
import { didYouMean } from '../text/nearest.ts';
import { readWhen, whenExpected } from '../text/when.ts';
import { askDownSheet, askFields, type SheetRow } from './ask.ts';
import { changeText } from './change.ts';
import type { CommandModule, Context, Options } from './command.ts';
import { wrongWords } from './command.ts';
import { openSeason } from './open.ts';
import { jsonText } from './say.ts';
import { type Wanted, writeRows } from './write-rows.ts';

/** `laid_from` as a flag: `--laid-from`. */
export function flagOf(column: string): string {
  return `--${column.replaceAll('_', '-')}`;
}

/** The name commander gives an option: `laid_from` becomes `laidFrom`. */
function optionOf(column: string): string {
  return column.replace(/_(.)/g, (_, letter: string) => letter.toUpperCase());
}

/** Columns that hold a day: they take a keeper's words as `--on` does. */
function isDay(kind: RecordKind, column: string): boolean {
  return kind.columns[column]?.type === 'date';
}

export const command: CommandModule = {
  examples: (words) =>
    Object.values(kinds)
      .filter((kind) => !words.some(isRecordName) || words.includes(kind.name))
      .map((kind) => `add ${kind.example}`),
  define(add: Command, words) {
    add.argument('<record>', recordNames.join(', '));
    const record = words.find((word) => isRecordName(word));
    if (record === undefined || !isRecordName(record)) {
      add
        .argument('[name]', 'the set, pen, machine, group, bird or task it is about')
        .allowUnknownOption();
      return;
    }
    const kind = kindOf(record);
    add.description(`Record ${kind.summary}`);
    if (kind.naming !== null) add.argument(`[${kind.naming}]`, kind.columns[kind.naming]!.about);
    for (const [name, column] of Object.entries(kind.columns)) {
      if (name === kind.naming) continue;
      const unit = column.unit === null ? '' : ` (${column.unit})`;
      const words = column.words === null ? '' : `: ${column.words.join(', ')}`;
      add.option(
        `${flagOf(name)} <${column.type === 'integer' || column.type === 'number' ? 'number' : column.type === 'date' ? 'day' : 'text'}>`,
        `${column.about}${unit}${words}`,
      );
    }
    add
      .option('--on <when>', `when: ${whenExpected}`)
      .option('--note <text>', 'anything worth keeping')
      .option('--by <name>', 'who did it; else TRAYBOOK_BY or the user')
      .option('--anyway', 'write it though the counts do not agree')
      .option('--ask', 'ask field by field, down a sheet from the barn');
    if (record === 'set') add.option('--as-planned', 'take pens, eggs and trays from the plan');
  },
  async run(context, [record, name], options) {
    if (record === undefined || !isRecordName(record))
      throw wrongWords(
        `unknown record ${quoted(record ?? '')}`,
        didYouMean(record ?? '', recordNames) ?? `records: ${recordNames.join(', ')}`,
      );
    const kind = kindOf(record);
    let given = flagsOf(kind, name, options);
    const isBare =
      Object.keys(given).length === 0 || (Object.keys(given).length === 1 && name !== undefined);
    if (options.ask === true && !context.canAsk)
      throw wrongWords('--ask: there is no terminal to ask at', 'give each column as a flag');
    let asked: readonly SheetRow[] | null = null;
    if (options.ask === true) {
      const { season, now } = await openSeason(context);
      const said = { on: wordOf(options.on), note: wordOf(options.note) };
      asked = await askDownSheet(kind, given, season, now, said);
    } else if (context.canAsk && isBare && options.asPlanned !== true) {
      const { season, now } = await openSeason(context);
      given = await askFields(kind, given, season, now);
    }
    const written = await writeRows(
      context,
      { doing: `add ${record}`, anyway: options.anyway === true },
      ({ season }, now) => ({
        record,
        rows:
          options.asPlanned === true
            ? plannedRows(season, given, now, kind, context, options)
            : (asked ?? [{ cells: given, on: wordOf(options.on), note: wordOf(options.note) }]).map(
                ({ cells, on, note }) =>
                  wanted(kind, cells, season, now, context, { ...options, on, note }),
              ),
      }),
    );
    if (context.json)
      return {
        stdout: jsonText('add', {
          record,
          entries: written.rows.map((row) => row.entry),
          set: given.set ?? null,
        }),
        stderr: written.notes,
      };
    return { stdout: changeText(record, written, context.width), stderr: written.notes };
  },
};

const wordOf = (option: unknown): string | undefined =>
  typeof option === 'string' ? option : undefined;

function flagsOf(
  kind: RecordKind,
  name: string | undefined,
  options: Options,
): Record<string, string> {
  const given: Record<string, string> = {};
  if (kind.naming !== null && name !== undefined) given[kind.naming] = name;
  for (const column of Object.keys(kind.columns)) {
    const value = options[optionOf(column)];
    if (typeof value === 'string' && column !== kind.naming) given[column] = value;
  }
  return given;
}

/** Fills in what the season makes clear, and turns a keeper's days into dates. */
function wanted(
  kind: RecordKind,
  given: Readonly<Record<string, string>>,
  season: Season,
  now: Now,
  context: Context,
  options: Options,
): Wanted {
  const cells: Record<string, string> = { ...given };
  for (const [column, value] of Object.entries(given)) {
    if (!isDay(kind, column)) continue;
    const day = readWhen(value, now.day);
    if (day !== null) cells[column] = day.day;
  }
  if (kind.naming !== null && cells[kind.naming] === undefined)
    throw wrongWords(
      expectedFound(kind.naming, kind.columns[kind.naming]!.about, 'nothing'),
      `for example: traybook add ${kind.example}`,
    );
  if (kind.name === 'set') fillSet(cells, season);
  if (kind.name === 'group') fillGroupPen(cells, season);
  if (kind.name === 'transfer' && cells.hatcher === undefined) {
    const planned = season.sets.get(cells.set ?? '')?.plan?.hatcher;
    if (planned) cells.hatcher = planned;
    else if (season.hatchers.size === 1) cells.hatcher = [...season.hatchers.keys()][0]!;
  }
  return { cells: { ...cells, ...common(kind, now, context, options) } };
}

function common(
  kind: RecordKind,
  now: Now,
  context: Context,
  options: Options,
): Record<string, string> {
  return {
    on: onText(kind, options.on as string | undefined, now),
    by: (options.by as string | undefined) ?? whoIs(context),
    note: (options.note as string | undefined) ?? '',
  };
}

/** Who writes: TRAYBOOK_BY, else the user of this machine. */
export function whoIs(context: Context): string {
  return context.env.TRAYBOOK_BY ?? context.env.USER ?? context.env.LOGNAME ?? '';
}

function onText(kind: RecordKind, text: string | undefined, now: Now): string {
  if (text === undefined) return kind.timed ? `${now.day}T${now.time}` : now.day;
  const on = readWhen(text, now.day);
  if (on === null)
    throw wrongWords(expectedFound('on', whenExpected, quoted(text)), dateSlip(text));
  return printOn(on);
}

function fillSet(cells: Record<string, string>, season: Season): void {
  const plan = season.planned.find((one) => one.name === cells.set);
  if (cells.pen === undefined && plan?.shares.length === 1) cells.pen = plan.shares[0]!.pen.name;
  if (cells.pen === undefined && season.pens.size === 1) cells.pen = [...season.pens.keys()][0]!;
  const share = plan?.shares.find((one) => one.pen.name === cells.pen);
  if (cells.eggs === undefined && share) cells.eggs = String(share.eggs);
  if (cells.setter === undefined && plan) cells.setter = plan.setter;
  else if (cells.setter === undefined && season.setters.size === 1)
    cells.setter = [...season.setters.keys()][0]!;
  const setter = season.setters.get(cells.setter ?? '');
  if (cells.tray === undefined) {
    if (plan?.trays.length === 1) cells.tray = String(plan.trays[0]);
    else if (setter?.trays === 1) cells.tray = '1';
    else if (setter)
      throw wrongWords(
        expectedFound('tray', `a tray of ${setter.name} from 1 to ${setter.trays}`, 'nothing'),
        'say which: --tray 2',
      );
  }
}

/** The pen of a group's chicks, where the set has one share. */
function fillGroupPen(cells: Record<string, string>, season: Season): void {
  const shares = season.sets.get(cells.set ?? '')?.shares;
  if (cells.pen === undefined && shares?.length === 1) cells.pen = shares[0]!.pen.name;
}

/** One row for each planned share in each planned tray, the trays filled in order. */
function plannedRows(
  season: Season,
  given: Readonly<Record<string, string>>,
  now: Now,
  kind: RecordKind,
  context: Context,
  options: Options,
): Wanted[] {
  const plan = season.planned.find((one) => one.name === given.set);
  if (plan === undefined)
    throw wrongWords(
      expectedFound('set', 'the name of a planned set', quoted(given.set ?? '')),
      didYouMean(
        given.set ?? '',
        season.planned.map((one) => one.name),
      ),
    );
  const holds =
    season.setters.get(plan.setter)?.tray_holds[plan.speciesName] ?? Number.POSITIVE_INFINITY;
  const room = plan.trays.map(() => holds);
  const rows: Wanted[] = [];
  for (const share of plan.shares) {
    let eggs = share.eggs;
    plan.trays.forEach((tray, index) => {
      const isLast = index === plan.trays.length - 1;
      const here = isLast ? eggs : Math.min(eggs, room[index]!);
      if (here === 0) return;
      room[index]! -= here;
      eggs -= here;
      rows.push({
        cells: {
          set: plan.name,
          pen: share.pen.name,
          setter: plan.setter,
          tray: String(tray),
          eggs: String(here),
          ...common(kind, now, context, options),
        },
      });
    });
  }
  return rows;
}
