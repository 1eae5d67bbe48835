import { createInterface } from 'node:readline/promises';
import { forTerminal } from '../text/escape.ts';
import { wrongWords } from './command.ts';

const BACK = '<';

/** One thing asked at the terminal. What is asked may hang on the answers before it. */
export type Question = {
  readonly name: string;
  prompt(answers: Readonly<Record<string, string>>): string;
  /** What is taken when nothing is typed; shown in brackets. */
  usual(answers: Readonly<Record<string, string>>): string;
  /** The answer to keep (nothing: none), or in words what is wrong with the text. */
  read(text: string): { readonly answer: string } | { readonly wrong: string };
};

/**
 * Asks one question after the other at the terminal. Nothing typed takes what is in brackets, `<`
 * goes one question back, the end of input leaves.
 *
 * @throws Stop (exit 2) if the keeper leaves before the end
 */
export async function converse(
  about: string,
  questions: readonly Question[],
  given: Readonly<Record<string, string>> = {},
): Promise<Record<string, string>> {
  const answers: Record<string, string> = { ...given };
  const terminal = createInterface({ input: process.stdin, output: process.stdout });
  const left = new AbortController();
  terminal.on('close', () => left.abort());
  process.stdout.write(
    `${about}\n(${BACK} goes back, nothing keeps what is in brackets, Ctrl-D leaves)\n`,
  );
  try {
    for (let index = 0; index < questions.length; ) {
      const question = questions[index]!;
      const usual = question.usual(answers);
      const asked = `${question.prompt(answers)}${usual === '' ? '' : ` [${usual}]`}: `;
      const typed = (await terminal.question(forTerminal(asked), { signal: left.signal })).trim();
      if (typed === BACK) {
        index = Math.max(0, index - 1);
        continue;
      }
      const read = question.read(typed === '' ? usual : typed);
      if ('wrong' in read) {
        process.stdout.write(`${forTerminal(`  ${read.wrong}`)}\n`);
        continue;
      }
      if (read.answer === '') delete answers[question.name];
      else answers[question.name] = read.answer;
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
