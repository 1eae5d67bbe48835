import { spawnSync } from 'node:child_process';

/**
 * Shows text page by page on the terminal with PAGER, else with `less`. Returns false if neither
 * can be started, so that the caller prints it.
 */
export function showPaged(
  text: string,
  env: Readonly<Record<string, string | undefined>>,
): boolean {
  const wish = env.PAGER?.trim();
  const [program = 'less', ...words] = wish ? wish.split(/\s+/) : ['less'];
  if (program === 'cat') return false;
  const run = spawnSync(program, words, {
    input: text,
    stdio: ['pipe', 'inherit', 'inherit'],
    // Quit at once if it fits the screen, keep bold letters, leave the text on the screen.
    env: { LESS: 'FRX', ...env },
  });
  return run.error === undefined;
}
