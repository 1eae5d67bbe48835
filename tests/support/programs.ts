import { spawnSync } from 'node:child_process';

/** Whether a program is there to be run. */
export const has = (program: string): boolean =>
  spawnSync(program, ['--version'], { stdio: 'ignore' }).error === undefined;
