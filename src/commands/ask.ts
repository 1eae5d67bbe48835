import { flockOf } from '../facts/birds/groups.ts';
import type { LogColumn } from '../records/column.ts';
import type { RecordKind } from '../records/record.ts';
import type { Now, Season, Share } from '../season/model.ts';
import { printOn } from '../text/day.ts';
import { quoted } from '../text/fault.ts';
import { didYouMean } from '../text/nearest.ts';
import { readWhen, whenExpected } from '../text/when.ts';
import { wrongWords } from './command.ts';
import { type Answers, type Back, converse, type Question } from './converse.ts';
import { ordersMeant, seasonNames } from './season-names.ts';

/** A row as it was asked for down a sheet: its cells, and what every row has beside them. */
export type SheetRow = {
  readonly cells: Answers;
  readonly on: string | undefined;
  readonly note: string | undefined;
};

/**
 * Asks for a record as a sheet from the barn has it: for each share of a set that is at that stage,
 * the day, the counts, the note. Every answer is held against the season at once; the day of one row
 * is usual for the next.
 *
 * @param said what flags said of the day and the note: then neither is asked
 * @param before rows asked for before, whose answers are now the usual ones
 * @throws Stop (exit 2) if the keeper leaves before the end
 */
export async function askDownSheet(
  kind: RecordKind,
  given: Answers,
  season: Season,
  now: Now,
  said: Pick<SheetRow, 'on' | 'note'>,
  before: readonly SheetRow[] = [],
): Promise<SheetRow[]> {
  const rows: SheetRow[] = [];
  let usualOn = said.on ?? (kind.timed ? `${now.day}T${now.time}` : now.day);
  const first = before.length > 0 ? given : await withSet(kind, given, season, now);
  for (const [index, start] of sheetRows(kind, first, season).entries()) {
    const kept = before[index];
    const fields = fieldQuestions(kind, start, season, now, kept?.cells ?? {});
    // Names stand first on the sheet, then the day, then what was counted.
    const names = fields.filter(({ name }) => NAMING.has(name) || name === kind.naming);
    const counts = fields.filter((question) => !names.includes(question));
    const about = [start.set, start.pen].filter((part) => part !== undefined).join(' ');
    const answers = await converse(
      `${kind.name}${about === '' ? '' : ` of ${about}`}: ${kind.summary}`,
      [
        ...names,
        ...(said.on === undefined ? [dayQuestion(kept?.on ?? usualOn, now)] : []),
        ...counts,
        ...(said.note === undefined ? [noteQuestion(kept?.note ?? '')] : []),
      ],
      start,
      (all) => wrongTogether(kind, all),
    );
    const { [DAY]: on, [NOTE]: note, ...cells } = answers;
    usualOn = on ?? usualOn;
    rows.push({ cells, on: on ?? said.on, note: note ?? said.note });
  }
  return rows;
}

/** Asks of what is shown whether it is to be written: true; false goes back to the answers. */
export async function askWhetherToWrite(shown: string): Promise<boolean> {
  const answers = await converse(shown.trimEnd(), [
    {
      name: 'write',
      prompt: () => 'write it? y writes, c changes an answer, n leaves',
      usual: () => 'y',
      read: (text) =>
        /^[ycn]$/i.test(text) ? { answer: text.toLowerCase() } : { wrong: 'expected y, c or n' },
    },
  ]);
  if (answers.write === 'n') throw wrongWords('left before the end: nothing was written');
  return answers.write === 'y';
}

/** Keys of the day and the note among the answers; no column is called so. */
const DAY = 'on';
const NOTE = 'note';
const NAMING: ReadonlySet<string> = new Set(['set', 'pen']);
/** Records made for every share of a set, one after the other. */
const BY_SHARE: ReadonlySet<string> = new Set(['candling', 'transfer', 'hatch']);

/** With the set asked for first, where its shares decide what else is asked. */
async function withSet(
  kind: RecordKind,
  given: Answers,
  season: Season,
  now: Now,
): Promise<Answers> {
  if (!BY_SHARE.has(kind.name) || given.set !== undefined) return given;
  const questions = fieldQuestions(kind, given, season, now, {});
  return converse(
    `${kind.name}: ${kind.summary}`,
    questions.filter(({ name }) => name === 'set'),
    given,
  );
}

/** The rows of a sheet for what is given: one for each share of a set that is at that stage. */
function sheetRows(kind: RecordKind, given: Answers, season: Season): Answers[] {
  const set = season.sets.get(given.set ?? '');
  if (set === undefined || given.pen !== undefined || !BY_SHARE.has(kind.name)) return [given];
  const open = set.shares.filter((share) =>
    kind.name === 'hatch'
      ? share.stage === 'in-hatcher' || (share.underHen && share.stage === 'in-setter')
      : share.stage === 'in-setter' && share.live > 0,
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
      if (on === null) return { wrong: `expected ${whenExpected}` };
      return on.day > now.day
        ? { wrong: `${on.day} is to come: today is ${now.day}` }
        : { answer: printOn(on) };
    },
  };
}

function noteQuestion(usual: string): Question {
  return {
    name: NOTE,
    prompt: () => 'note: anything worth keeping',
    usual: () => usual,
    read: (text) => ({ answer: text }),
  };
}

function fieldQuestions(
  kind: RecordKind,
  given: Answers,
  season: Season,
  now: Now,
  kept: Answers,
): Question[] {
  return Object.entries(kind.columns)
    .filter(([name]) => given[name] === undefined)
    .map(([name, column]) => ({
      name,
      prompt: () => `${name}${column.unit === null ? '' : ` (${column.unit})`}: ${column.about}`,
      choices: (answers: Answers) => column.words ?? namesOf(name, column, season, answers),
      usual: (answers: Answers) => kept[name] ?? usualAnswer(kind, name, answers, season),
      read(text: string, answers: Answers) {
        if (text === '' && !column.required) return { answer: '' };
        const answer = column.type === 'date' ? (readWhen(text, now.day)?.day ?? text) : text;
        const read = column.read(answer);
        if (text === '' || !('value' in read)) {
          const hint = 'hint' in read && read.hint !== null ? `; ${read.hint}` : '';
          return { wrong: `expected ${column.expected}${hint}` };
        }
        const wrong =
          wrongOrder(name, answer, season) ??
          wrongName(kind, name, answer, answers, season) ??
          wrongCount(kind, name, { ...answers, [name]: answer }, season);
        return wrong === null ? { answer } : { wrong };
      },
    }));
}

/** The names a column may hold, as the season knows them and the answers so far allow. */
function namesOf(
  name: string,
  column: LogColumn<unknown>,
  season: Season,
  answers: Answers,
): readonly string[] {
  if (name === 'pen' && answers.set !== undefined) {
    const set = season.sets.get(answers.set);
    if (set !== undefined) return set.shares.map((share) => share.pen.name);
  }
  if (column.refers === 'set')
    return [...season.sets.values()]
      .filter((set) => set.shares.some((share) => share.stage !== 'finished'))
      .map((set) => set.name);
  if (column.refers === 'group')
    return [...flockOf(season).groups.values()]
      .filter((group) => group.living > 0)
      .map((group) => group.name);
  return seasonNames(column.refers ?? '', season);
}

/** What is wrong with a name that nothing in the season has, or null. */
function wrongName(
  kind: RecordKind,
  name: string,
  answer: string,
  answers: Answers,
  season: Season,
): string | null {
  const { refers } = kind.columns[name]!;
  const offered = namesOf(name, kind.columns[name]!, season, answers);
  const known =
    refers === 'set'
      ? [...season.sets.keys()]
      : refers === 'group'
        ? [...flockOf(season).groups.keys()]
        : offered;
  if (refers === null || known.length === 0 || known.includes(answer)) return null;
  const near = didYouMean(answer, known);
  return `no ${refers} is called ${quoted(answer)}${near === null ? '' : `; ${near}`}`;
}

/** What is wrong with an order that season.yaml does not have, or null. */
function wrongOrder(name: string, answer: string, season: Season): string | null {
  if (name !== 'order' || ordersMeant(answer, season).length === 1) return null;
  const names = ordersMeant('', season);
  return `expected an order of season.yaml${names.length === 0 ? ', and it has none' : `: ${names.join('; ')}`}`;
}

/** The columns of a record that take eggs out of a share, or chicks. */
const TAKEN: Readonly<Record<string, readonly string[]>> = {
  candling: ['clear', 'quit', 'cracked', 'rotten'],
  transfer: ['moved', 'clear', 'quit', 'cracked', 'rotten'],
  hatch: ['hatched', 'dead', 'pipped', 'unpipped'],
};

/** What is wrong with a count that is more than there is, or null. */
function wrongCount(
  kind: RecordKind,
  name: string,
  answers: Answers,
  season: Season,
): string | null {
  if (name === 'birds' && answers.group !== undefined) {
    const living = flockOf(season).groups.get(answers.group)?.living;
    return living !== undefined && Number(answers.birds) > living
      ? `${answers.group} holds ${living} birds: count again`
      : null;
  }
  const columns = TAKEN[kind.name];
  const share = shareOf(answers, season);
  if (columns === undefined || share === null || !columns.includes(name)) return null;
  const taken = columns.reduce((sum, column) => sum + Number(answers[column] ?? 0), 0);
  return taken > share.live
    ? `${share.set} ${share.pen.name} holds ${share.live} eggs, so ${taken} cannot come out: count again`
    : null;
}

function shareOf(answers: Answers, season: Season): Share | null {
  const shares = season.sets.get(answers.set ?? '')?.shares ?? [];
  return shares.length === 1
    ? shares[0]!
    : (shares.find((share) => share.pen.name === answers.pen) ?? null);
}

/** What the answers say together that cannot be so. */
function wrongTogether(kind: RecordKind, answers: Answers): Back | null {
  const values: Record<string, unknown> = {};
  for (const [name, column] of Object.entries(kind.columns)) {
    const read = column.read(answers[name] ?? '');
    if (!('value' in read)) return null;
    values[name] = read.value;
  }
  const [slip] = kind.together(values as never);
  if (slip === undefined) return null;
  const hint = slip.hint === undefined ? '' : `; ${slip.hint}`;
  return { to: slip.column, wrong: `${slip.message}${hint}` };
}

/** What is taken when nothing is typed. */
function usualAnswer(kind: RecordKind, name: string, answers: Answers, season: Season): string {
  const column = kind.columns[name]!;
  const only = namesOf(name, column, season, answers);
  if (column.refers !== null && only.length === 1) return only[0]!;
  const plan =
    kind.name === 'set' ? season.planned.find((one) => one.name === answers.set) : undefined;
  if (name === 'eggs' && plan)
    return String(plan.shares.find((share) => share.pen.name === answers.pen)?.eggs ?? '');
  if (name === 'tray' && plan?.trays.length === 1) return String(plan.trays[0]);
  return '';
}
