import type { Column } from '../records/column.ts';
import type { RecordKind } from '../records/record.ts';
import type { Now, Season } from '../season/model.ts';
import { printOn } from '../text/day.ts';
import { readWhen, whenExpected } from '../text/when.ts';
import { converse, type Question } from './converse.ts';
import { seasonNames } from './season-names.ts';

/**
 * Asks for a record field by field at the terminal.
 *
 * @throws Stop (exit 2) if the keeper leaves before the end
 */
export function askFields(
  kind: RecordKind,
  given: Readonly<Record<string, string>>,
  season: Season,
  now: Now,
): Promise<Record<string, string>> {
  return converse(`${kind.name}: ${kind.summary}`, fieldQuestions(kind, given, season, now), given);
}

/** A row as it was asked for down a sheet: its cells, and what every row has beside them. */
export type SheetRow = {
  readonly cells: Readonly<Record<string, string>>;
  readonly on: string | undefined;
  readonly note: string | undefined;
};

/**
 * Asks down a sheet from the barn, blank by blank as they stand on it: for each share of a set that
 * the sheet has a row for, the day, the counts, the note. The day of one row is usual for the next.
 *
 * @param said what flags said of the day and the note: then neither is asked
 * @throws Stop (exit 2) if the keeper leaves before the end
 */
export async function askDownSheet(
  kind: RecordKind,
  given: Readonly<Record<string, string>>,
  season: Season,
  now: Now,
  said: Pick<SheetRow, 'on' | 'note'>,
): Promise<SheetRow[]> {
  const rows: SheetRow[] = [];
  let usualOn = said.on ?? (kind.timed ? `${now.day}T${now.time}` : now.day);
  for (const start of sheetRows(kind, given, season)) {
    const fields = fieldQuestions(kind, start, season, now);
    // Names stand first on the sheet, then the day, then what was counted.
    const names = fields.filter(({ name }) => NAMING.has(name) || name === kind.naming);
    const counts = fields.filter((question) => !names.includes(question));
    const about = [start.set, start.pen].filter((part) => part !== undefined).join(' ');
    const answers = await converse(
      `${kind.name}${about === '' ? '' : ` of ${about}`}: ${kind.summary}`,
      [
        ...names,
        ...(said.on === undefined ? [dayQuestion(usualOn, now)] : []),
        ...counts,
        ...(said.note === undefined ? [noteQuestion] : []),
      ],
      start,
    );
    const { [DAY]: on, [NOTE]: note, ...cells } = answers;
    usualOn = on ?? usualOn;
    rows.push({ cells, on: on ?? said.on, note: note ?? said.note });
  }
  return rows;
}

/** Keys of the day and the note among the answers; no column is called so. */
const DAY = 'on';
const NOTE = 'note';
const NAMING: ReadonlySet<string> = new Set(['set', 'pen']);

/** The rows of a sheet for what is given: one for each share of a set that is at that stage. */
function sheetRows(
  kind: RecordKind,
  given: Readonly<Record<string, string>>,
  season: Season,
): Readonly<Record<string, string>>[] {
  const set = season.sets.get(given.set ?? '');
  if (set === undefined || given.pen !== undefined || kind.columns.pen === undefined)
    return [given];
  const open = set.shares.filter((share) =>
    kind.name === 'hatch'
      ? share.stage === 'in-hatcher'
      : kind.name === 'candling' || kind.name === 'transfer'
        ? share.stage === 'in-setter' && share.live > 0
        : false,
  );
  return open.length === 0 ? [given] : open.map((share) => ({ ...given, pen: share.pen.name }));
}

function dayQuestion(usual: string, now: Now): Question {
  return {
    name: DAY,
    prompt: () => `on: when it was (${whenExpected})`,
    usual: () => usual,
    read: (text) => {
      const on = readWhen(text, now.day);
      return on === null ? { wrong: `expected ${whenExpected}` } : { answer: printOn(on) };
    },
  };
}

const noteQuestion: Question = {
  name: NOTE,
  prompt: () => 'note: anything worth keeping',
  usual: () => '',
  read: (text) => ({ answer: text }),
};

function fieldQuestions(
  kind: RecordKind,
  given: Readonly<Record<string, string>>,
  season: Season,
  now: Now,
): Question[] {
  return Object.entries(kind.columns)
    .filter(([name]) => given[name] === undefined)
    .map(([name, column]) => ({
      name,
      prompt: () => question(name, column, season),
      usual: (answers: Readonly<Record<string, string>>) =>
        usualAnswer(kind, name, answers, season),
      read(text: string) {
        if (text === '' && !column.required) return { answer: '' };
        const answer = column.type === 'date' ? (readWhen(text, now.day)?.day ?? text) : text;
        const read = column.read(answer);
        if (text !== '' && 'value' in read) return { answer };
        const hint = 'hint' in read && read.hint !== null ? `; ${read.hint}` : '';
        return { wrong: `expected ${column.expected}${hint}` };
      },
    }));
}

function question(name: string, column: Column<unknown>, season: Season): string {
  const unit = column.unit === null ? '' : ` (${column.unit})`;
  const known = namesOf(column, season);
  const words = column.words ?? (known.length > 0 && known.length <= 8 ? known : null);
  const list = words === null ? '' : ` — ${words.join(', ')}`;
  return `${name}${unit}: ${column.about}${list}`;
}

/** The names a column may hold, as the season knows them. */
function namesOf(column: Column<unknown>, season: Season): string[] {
  if (column.refers !== 'set') return seasonNames(column.refers ?? '', season);
  return [...season.sets.values()]
    .filter((set) => set.shares.some((share) => share.stage !== 'finished'))
    .map((set) => set.name);
}

/** What is taken when nothing is typed. */
function usualAnswer(
  kind: RecordKind,
  name: string,
  answers: Readonly<Record<string, string>>,
  season: Season,
): string {
  const column = kind.columns[name]!;
  const only = namesOf(column, season);
  if (column.refers !== null && column.required && only.length === 1) return only[0]!;
  const plan =
    kind.name === 'set' ? season.planned.find((one) => one.name === answers.set) : undefined;
  if (name === 'eggs' && plan)
    return String(plan.shares.find((share) => share.pen.name === answers.pen)?.eggs ?? '');
  if (name === 'tray' && plan?.trays.length === 1) return String(plan.trays[0]);
  return '';
}
