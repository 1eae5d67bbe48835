// The program's own command lines, answered inside this process: for tests that ask thousands.
import { randomBytes } from 'node:crypto';
import { answerTo } from '../../src/cli.ts';
import { NOW } from './season-folder.ts';

export type Answer = { readonly code: number; readonly stdout: string; readonly stderr: string };

export type Keeper = {
  readonly now?: string;
  readonly by?: string;
  /** As on a terminal, with colours and boxes. */
  readonly isTerminal?: boolean;
};

/** Answers `traybook WORDS` as if typed in the folder, its output read by another program. */
export async function answer(
  folder: string,
  words: readonly string[],
  { now = NOW, by = 'Ane', isTerminal = false }: Keeper = {},
): Promise<Answer> {
  const { stdout, stderr, exit } = await answerTo(['--now', now, ...words], {
    cwd: folder,
    env: { TRAYBOOK_BY: by },
    instant: Date.parse('2027-03-20T09:00:00Z'),
    random: (bytes) => randomBytes(bytes),
    isTerminal,
    columns: isTerminal ? 80 : undefined,
    canAsk: false,
  });
  return { code: exit, stdout, stderr };
}
