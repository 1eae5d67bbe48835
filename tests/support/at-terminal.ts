// The built program on a real pseudo-terminal, which `script` of util-linux gives.
import { spawn, spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { root } from '../harness/console.ts';

export const hasScript = spawnSync('script', ['--version']).status === 0;

/** Runs the program on a terminal and types each answer when its question is there. */
export function atTerminal(
  folder: string,
  words: string,
  answers: readonly (readonly [question: RegExp, typed: string])[],
): Promise<{ screen: string; status: number | null }> {
  return new Promise((done) => {
    const command = `"${process.execPath}" "${join(root, 'bin', 'traybook.js')}" ${words}`;
    const child = spawn('script', ['-qefc', command, '/dev/null'], {
      cwd: folder,
      env: { PATH: process.env.PATH, HOME: folder, TZ: 'UTC', LANG: 'C.UTF-8', TERM: 'dumb' },
    });
    let screen = '';
    let answered = 0;
    let seen = 0;
    child.stdout.on('data', (data) => {
      screen += data;
      const next = answers[answered];
      if (next === undefined || !next[0].test(screen.slice(seen))) return;
      seen = screen.length;
      answered += 1;
      child.stdin.write(next[1]);
    });
    // A question that never comes would wait for ever: the screen tells which.
    const stuck = setTimeout(() => child.kill(), 45_000);
    child.on('close', (status) => {
      clearTimeout(stuck);
      done({ screen, status });
    });
  });
}
