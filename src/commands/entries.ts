/** What is typed after `add`, at the command line or as a line of a note: words in, cells out. */

import { punchText } from '../records/bird.ts';
import { isRecordName, kindOf, type RecordName, recordNames } from '../records/index.ts';
import type { RecordKind } from '../records/record.ts';
import { expectedFound, quoted } from '../text/fault.ts';
import { didYouMean } from '../text/nearest.ts';
import { unexpected, wrongWords } from './command.ts';

/** One row as typed. */
export type TypedRow = {
  readonly cells: Readonly<Record<string, string>>;
  /** The column of `north=8/7` that a name stands in, which may be cut short; null for other rows. */
  readonly short: string | null;
  readonly on?: string | undefined;
  readonly note?: string | undefined;
  readonly anyway: boolean;
  readonly again: boolean;
};

/** One entry as typed: the rows it asks for, before the season fills in what it makes clear. */
export type Typed = {
  readonly record: RecordName;
  readonly rows: readonly TypedRow[];
  readonly by: string | undefined;
  readonly asPlanned: boolean;
  readonly ask: boolean;
};

/** `laid_from` as a flag: `--laid-from`. */
export function flagOf(column: string): string {
  return `--${column.replaceAll('_', '-')}`;
}

/** Flags of a row beside its columns; true takes a value. */
const ROW_FLAGS = { '--on': true, '--note': true, '--anyway': false, '--again': false } as const;
const ENTRY_FLAGS = { '--by': true, '--as-planned': false, '--ask': false } as const;
/** Flags of the command that are no part of an entry. */
const OTHER_FLAGS: Readonly<Record<string, boolean>> = {
  '--season': true,
  '--now': true,
  '--lines': true,
  '--json': false,
  '--plain': false,
  '--full': false,
  '--dry-run': false,
};

/** What is typed for the birds of a whole hatch, one row a band. */
export const MANY_BIRDS = 'birds';
export const MANY_BIRDS_EXAMPLE = 'birds --from D4 --bands 101-134';
const MANY_FLAGS = { '--from': true, '--bands': true, '--punches': true } as const;

/** A row for each band, or toe punch, of a hatch: the bird goes by its band, or by hatch and punch. */
function birdRows(row: TypedRow): TypedRow[] {
  const { from, bands, punches, bird, ...cells } = row.cells;
  const set = from ?? cells.set ?? bird;
  const marks = bands ?? punches;
  if (set === undefined || marks === undefined || (bands !== undefined && punches !== undefined))
    throw unexpected(
      'birds',
      'a set, and its bands or toe punches',
      Object.values(row.cells).join(' '),
      `for example: traybook add ${MANY_BIRDS_EXAMPLE}`,
    );
  const all = marksIn(marks);
  if (punches !== undefined && all.some((mark) => Number(mark) > PUNCHES))
    throw unexpected(
      'punches',
      `marks from 1 to ${PUNCHES}`,
      punches,
      'four webs, each punched or not: traybook guide toe-punches',
    );
  return all.map((mark) => ({
    ...row,
    cells: {
      ...cells,
      set,
      bird: bands === undefined ? `${set}-p${mark}` : mark,
      band: bands === undefined ? punchText(mark) : mark,
    },
  }));
}

/** Toe punches that there are: four webs, each punched or not, but none punched is no mark. */
const PUNCHES = 15;

/** Most marks that one word stands for. */
const MOST_MARKS = 1000;

/** The marks of `101-134,140` or `N01-N20`, each as it is written on the band. */
function marksIn(text: string): string[] {
  return text.split(',').flatMap((part) => {
    const [, letters, first, again, last] =
      /^(\D{0,20}?)(\d{1,9})(?:-(\D{0,20}?)(\d{1,9}))?$/.exec(part) ?? [];
    const [from, to] = [Number(first), Number(last ?? first)];
    if (first === undefined || (again && again !== letters) || to < from || to - from >= MOST_MARKS)
      throw unexpected('bands', `numbers such as 101-134 or N01-N20, at most ${MOST_MARKS}`, part);
    return Array.from(
      { length: to - from + 1 },
      (_, index) => `${letters}${String(from + index).padStart(first.length, '0')}`,
    );
  });
}

type SaidOfRow = { cells: Record<string, string>; flags: Map<string, string>; short?: string };

/**
 * Reads an entry. A repeated `--pen` begins the next share, with all that stood before the first
 * one; `north=8/7` is a row of its own: the pen (or whatever names this record) and its first
 * columns in order.
 *
 * @param words as typed after `add`; the record first
 * @throws Stop (exit 2) for words that mean nothing
 */
export function readEntry(words: readonly string[]): Typed {
  const [word, ...rest] = withoutOthers(words);
  const isMany = word === MANY_BIRDS;
  const record = isMany ? 'bird' : word;
  if (record === undefined || !isRecordName(record))
    throw wrongWords(
      `unknown record ${quoted(record ?? '')}`,
      didYouMean(record ?? '', recordNames) ?? `records: ${recordNames.join(', ')}`,
    );
  const kind = kindOf(record);
  const common: SaidOfRow = { cells: {}, flags: new Map() };
  const shares: SaidOfRow[] = [];
  const pairs: (readonly [string, string])[] = [];
  const known: Readonly<Record<string, boolean>> = {
    ...Object.fromEntries(Object.keys(kind.columns).map((column) => [flagOf(column), true])),
    ...(isMany ? MANY_FLAGS : {}),
    ...ROW_FLAGS,
    ...ENTRY_FLAGS,
  };
  let flagsOver = false;
  for (let index = 0; index < rest.length; index += 1) {
    const word = rest[index]!;
    if (word === '--' && !flagsOver) {
      flagsOver = true;
      continue;
    }
    if (flagsOver || !word.startsWith('--')) {
      takeWord(kind, word, common, pairs);
      continue;
    }
    const cut = word.indexOf('=');
    const flag = cut < 0 ? word : word.slice(0, cut);
    if (!Object.hasOwn(known, flag))
      throw wrongWords(`unknown option ${quoted(flag)}`, didYouMean(flag, Object.keys(known)));
    let value = cut < 0 ? '' : word.slice(cut + 1);
    if (known[flag] && cut < 0) {
      index += 1;
      if (rest[index] === undefined)
        throw wrongWords(`${flag}: expected a value, found nothing`, null);
      value = rest[index]!;
    }
    if (flag === '--pen' && kind.naming !== 'pen') shares.push({ cells: {}, flags: new Map() });
    const said = Object.hasOwn(ENTRY_FLAGS, flag) ? common : (shares.at(-1) ?? common);
    if (Object.hasOwn(ROW_FLAGS, flag) || Object.hasOwn(ENTRY_FLAGS, flag))
      said.flags.set(flag, value);
    else said.cells[flag.slice(2).replaceAll('-', '_')] = value;
  }
  const own = shares.length > 0 ? shares : [{ cells: {}, flags: new Map<string, string>() }];
  // A day said once, be it behind the last share, is the day of all of them.
  const days = own.flatMap((one) => one.flags.get('--on') ?? []);
  if (days.length === 1 && !common.flags.has('--on')) common.flags.set('--on', days[0]!);
  const paired = pairs.map(([key, values]) => pairRow(kind, key, values, common));
  const rows =
    shares.length === 0 && paired.length > 0
      ? paired
      : [...(shares.length > 0 ? shares : own), ...paired];
  const typed = rows.map(({ cells, flags, short }): TypedRow => {
    const of = (flag: string) => flags.get(flag) ?? common.flags.get(flag);
    return {
      cells: { ...common.cells, ...cells },
      short: short ?? null,
      on: of('--on'),
      note: of('--note'),
      anyway: of('--anyway') !== undefined,
      again: of('--again') !== undefined,
    };
  });
  return {
    record,
    rows: isMany ? typed.flatMap(birdRows) : typed,
    by: common.flags.get('--by'),
    asPlanned: common.flags.has('--as-planned'),
    ask: common.flags.has('--ask'),
  };
}

/** The words without those flags that say how the command works. */
function withoutOthers(words: readonly string[]): string[] {
  const out: string[] = [];
  for (let index = 0; index < words.length; index += 1) {
    const word = words[index]!;
    if (word === '--') return [...out, ...words.slice(index)];
    const flag = word.split('=', 1)[0]!;
    if (!Object.hasOwn(OTHER_FLAGS, flag)) out.push(word);
    else if (OTHER_FLAGS[flag] && !word.includes('=')) index += 1;
  }
  return out;
}

/** A word without a flag: `laid=8` is a column, `north=8/7` a row, any other the name. */
function takeWord(
  kind: RecordKind,
  word: string,
  common: SaidOfRow,
  pairs: (readonly [string, string])[],
): void {
  const cut = word.indexOf('=');
  if (cut > 0) {
    const key = word.slice(0, cut);
    const column = key.replaceAll('-', '_');
    if (Object.hasOwn(kind.columns, column)) common.cells[column] = word.slice(cut + 1);
    else pairs.push([key, word.slice(cut + 1)]);
    return;
  }
  if (kind.naming === null || common.cells[kind.naming] !== undefined)
    throw wrongWords(
      `${quoted(word)}: a word that no flag takes`,
      kind.naming === null
        ? `for example: traybook add ${kind.example}`
        : `write ${kind.columns.pen && kind.naming !== 'pen' ? 'PEN' : kind.naming.toUpperCase()}=A/B for one row, with its first columns in order`,
    );
  common.cells[kind.naming] = word;
}

/** The row of `north=8/7`: its first columns in order, those left out that a flag gives to all. */
function pairRow(kind: RecordKind, key: string, values: string, common: SaidOfRow): SaidOfRow {
  const { naming } = kind;
  const named =
    naming !== null && common.cells[naming] === undefined
      ? naming
      : kind.columns.pen !== undefined
        ? 'pen'
        : null;
  if (named === null)
    throw wrongWords(
      `${quoted(`${key}=${values}`)}: ${kind.name} has no column ${quoted(key)}`,
      null,
    );
  const columns = columnsInOrder(kind).filter(
    (column) => column !== named && common.cells[column] === undefined,
  );
  const parts = values.split('/');
  if (parts.length > columns.length)
    throw wrongWords(
      expectedFound(
        key,
        `at most ${columns.length} figures (${columns.join('/')})`,
        String(parts.length),
      ),
      null,
    );
  const cells: Record<string, string> = { [named]: key };
  parts.forEach((part, index) => {
    if (part !== '') cells[columns[index]!] = part;
  });
  return { cells, flags: new Map(), short: named };
}

/** The columns of a record as a keeper types them behind a name, without those that name it. */
export function columnsInOrder(kind: RecordKind): string[] {
  const own = Object.keys(kind.columns).filter(
    (column) => column !== kind.naming && column !== 'pen',
  );
  const first = kind.first.filter((column) => own.includes(column));
  return [...first, ...own.filter((column) => !first.includes(column))];
}

/** One line of a note, with what stands before its first word. */
export type NoteLine = { readonly number: number; readonly words: readonly string[] };

/**
 * The lines of a note typed in the barn: an entry a line, as typed after `add`; `#` begins a remark;
 * a text of several words stands in quotes.
 */
export function noteLines(text: string): NoteLine[] {
  return text
    .split(/\r\n|\n|\r/)
    .map((line, index) => ({ number: index + 1, words: wordsOf(line) }))
    .filter(({ words }) => words.length > 0);
}

/** The words of a line, quotes taken off, up to a remark. A phone writes curly quotes. */
function wordsOf(line: string): string[] {
  const words: string[] = [];
  const pattern = /\s*(#.*$|(?:"[^"]*"|'[^']*'|“[^”]*”|[^\s"'“])+|["'“].*$)/gy;
  for (let found = pattern.exec(line); found !== null; found = pattern.exec(line)) {
    const word = found[1]!;
    if (word.startsWith('#')) break;
    words.push(word.replace(/^—/, '--').replace(/"([^"]*)"|'([^']*)'|“([^”]*)”/g, '$1$2$3'));
  }
  return words;
}
