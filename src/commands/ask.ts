import type { Column } from '../records/column.ts';
import type { RecordKind } from '../records/record.ts';
import type { Now, Season } from '../season/model.ts';
import { readWhen } from '../text/when.ts';
import { converse } from './converse.ts';
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
  const questions = Object.entries(kind.columns)
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
  return converse(`${kind.name}: ${kind.summary}`, questions, given);
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
