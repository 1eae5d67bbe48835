import { createInterface } from 'node:readline/promises';
import type { Column } from '../records/column.ts';
import type { RecordKind } from '../records/record.ts';
import type { Now, Season } from '../season/model.ts';
import { forTerminal } from '../text/escape.ts';
import { readWhen } from '../text/when.ts';
import { wrongWords } from './command.ts';

const BACK = '<';

/**
 * Asks for a record field by field at the terminal. Nothing typed takes what is in brackets, `<`
 * goes one field back, the end of input leaves without writing.
 *
 * @throws Stop (exit 2) if the keeper leaves before the end
 */
export async function askFields(
  kind: RecordKind,
  given: Readonly<Record<string, string>>,
  season: Season,
  now: Now,
): Promise<Record<string, string>> {
  const answers: Record<string, string> = { ...given };
  const names = Object.keys(kind.columns).filter((name) => given[name] === undefined);
  const terminal = createInterface({ input: process.stdin, output: process.stdout });
  const left = new AbortController();
  terminal.on('close', () => left.abort());
  process.stdout.write(
    `${kind.name}: ${kind.summary}\n(${BACK} goes back, nothing keeps what is in brackets, Ctrl-D leaves)\n`,
  );
  try {
    for (let index = 0; index < names.length; ) {
      const name = names[index]!;
      const column = kind.columns[name]!;
      const usual = usualAnswer(kind, name, answers, season);
      const answer = (
        await terminal.question(question(name, column, usual, season), { signal: left.signal })
      ).trim();
      if (answer === BACK) {
        index = Math.max(0, index - 1);
        continue;
      }
      const text =
        answer === ''
          ? usual
          : column.type === 'date'
            ? (readWhen(answer, now.day)?.day ?? answer)
            : answer;
      if (text === '' && column.required) {
        process.stdout.write(`  expected ${column.expected}\n`);
        continue;
      }
      const read = column.read(text);
      if (text !== '' && !('value' in read)) {
        process.stdout.write(
          `  expected ${column.expected}${read.hint === null ? '' : `; ${read.hint}`}\n`,
        );
        continue;
      }
      if (text === '') delete answers[name];
      else answers[name] = text;
      index += 1;
    }
  } catch (error) {
    if (left.signal.aborted) throw wrongWords('left before the end: nothing was written');
    throw error;
  } finally {
    terminal.close();
  }
  return answers;
}

function question(name: string, column: Column<unknown>, usual: string, season: Season): string {
  const unit = column.unit === null ? '' : ` (${column.unit})`;
  const known = namesOf(column, season);
  const words = column.words ?? (known.length > 0 && known.length <= 8 ? known : null);
  const list = words === null ? '' : ` — ${words.join(', ')}`;
  return forTerminal(
    `${name}${unit}: ${column.about}${list}${usual === '' ? '' : ` [${usual}]`}: `,
  );
}

/** The names a column may hold, as the season knows them. */
function namesOf(column: Column<unknown>, season: Season): string[] {
  switch (column.refers) {
    case 'pen':
      return [...season.pens.keys()];
    case 'set':
      return [...season.sets.values()]
        .filter((set) => set.shares.some((share) => share.stage !== 'finished'))
        .map((set) => set.name);
    case 'setter':
      return [...season.setters.keys()];
    case 'hatcher':
      return [...season.hatchers.keys()];
    case 'machine':
      return [...season.setters.keys(), ...season.hatchers.keys()];
    case 'brooder':
      return [...season.brooders.keys()];
    case 'line':
      return [...season.lines.keys()];
    default:
      return [];
  }
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
