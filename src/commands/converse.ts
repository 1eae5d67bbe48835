import { createInterface } from 'node:readline/promises';
import { forTerminal, linesForTerminal } from '../text/escape.ts';
import { wrongWords } from './command.ts';

const BACK = '<';
const EMPTY = '-';

/** What was answered so far, by the name of the question. */
export type Answers = Readonly<Record<string, string>>;

/** One thing asked at the terminal. What is asked may hang on the answers before it. */
export type Question = {
  readonly name: string;
  prompt(answers: Answers): string;
  /** What is taken when nothing is typed; shown in brackets. */
  usual(answers: Answers): string;
  /** What may be chosen by its number; none where anything may be typed. */
  choices?(answers: Answers): readonly string[];
  /** The answer to keep (nothing: none), or in words what is wrong with the text. */
  read(text: string, answers: Answers): { readonly answer: string } | { readonly wrong: string };
};

/** What is wrong with the answers together, and the question to go back to. */
export type Back = { readonly to: string; readonly wrong: string };

/**
 * Asks one question after the other at the terminal. Nothing typed takes what is in brackets, `<`
 * goes one question back, `-` takes out what is in brackets, the end of input leaves. Node's own reader of lines serves: it works over
 * every connection and with every screen reader, and loads nothing.
 *
 * @param together judges the answers when the last is given; what is wrong is asked again
 * @throws Stop (exit 2) if the keeper leaves before the end
 */
export async function converse(
  about: string,
  questions: readonly Question[],
  given: Answers = {},
  together: (answers: Answers) => Back | null = () => null,
): Promise<Record<string, string>> {
  const answers: Record<string, string> = { ...given };
  const terminal = createInterface({ input: process.stdin, output: process.stdout });
  const left = new AbortController();
  const tell = (text: string) => process.stdout.write(`${linesForTerminal(text)}\n`);
  terminal.on('close', () => left.abort());
  tell(
    `${about}\n(${BACK} goes back, nothing keeps what is in brackets, ${EMPTY} takes it out, Ctrl-D leaves)`,
  );
  try {
    for (let index = 0; index < questions.length; ) {
      const question = questions[index]!;
      const choices = question.choices?.(answers) ?? [];
      // What was answered before a step back is kept.
      const usual = answers[question.name] ?? question.usual(answers);
      const list = choices.map((choice, at) => `  ${at + 1} ${choice}\n`).join('');
      const asked = `${question.prompt(answers)}${usual === '' ? '' : ` [${usual}]`}: `;
      if (list !== '') tell(list.trimEnd());
      const typed = (await terminal.question(forTerminal(asked), { signal: left.signal })).trim();
      if (typed === BACK) {
        index = Math.max(0, index - 1);
        continue;
      }
      const chosen = choices.includes(typed) ? typed : (choices[Number(typed) - 1] ?? typed);
      const meant = typed === EMPTY ? '' : chosen === '' ? usual : chosen;
      const read = question.read(meant, answers);
      if ('wrong' in read) {
        tell(`  ${read.wrong}`);
        continue;
      }
      if (read.answer === '') delete answers[question.name];
      else answers[question.name] = read.answer;
      index += 1;
      const back = index === questions.length ? together(answers) : null;
      if (back === null) continue;
      tell(`  ${back.wrong}`);
      index = Math.max(
        0,
        questions.findIndex((one) => one.name === back.to),
      );
    }
  } catch (error) {
    if (left.signal.aborted) throw wrongWords('left before the end: nothing was written');
    throw error;
  } finally {
    terminal.close();
  }
  return answers;
}

/** Asks a yes or no at the terminal; nothing typed is no. */
export async function confirm(about: string): Promise<boolean> {
  const answers = await converse(about, [
    {
      name: 'so',
      prompt: () => 'y or n',
      usual: () => 'n',
      read: (text) =>
        /^(y|yes|n|no)$/i.test(text)
          ? { answer: text.toLowerCase()[0]! }
          : { wrong: 'expected y or n' },
    },
  ]);
  return answers.so === 'y';
}

/** Asks for numbers of a list: `1 3`, `2-4`, or `all`. */
export async function chooseNumbers(list: string, prompt: string, most: number): Promise<number[]> {
  const answers = await converse(list.trimEnd(), [
    {
      name: 'numbers',
      prompt: () => prompt,
      usual: () => 'all',
      read: (text) =>
        numbersOf(text, most) === null
          ? { wrong: `expected numbers from 1 to ${most}, such as 1 3 or 2-4, or all` }
          : { answer: text },
    },
  ]);
  return numbersOf(answers.numbers ?? 'all', most)!;
}

function numbersOf(text: string, most: number): number[] | null {
  if (text === 'all') return Array.from({ length: most }, (_, index) => index + 1);
  const out = new Set<number>();
  for (const part of text.split(/[\s,]+/).filter((one) => one !== '')) {
    const found = /^(\d{1,4})(?:-(\d{1,4}))?$/.exec(part);
    if (found === null) return null;
    const from = Number(found[1]);
    const to = Number(found[2] ?? found[1]);
    if (from < 1 || to > most || to < from) return null;
    for (let number = from; number <= to; number += 1) out.add(number);
  }
  return out.size === 0 ? null : [...out];
}
