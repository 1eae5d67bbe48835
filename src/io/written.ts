/*
 * What this run has put on the disk. The functions that write say so here, so that no command can
 * forget it: should the answer fail afterwards, the keeper must not think that nothing was recorded.
 */

const written: string[] = [];

/** Notes something that is on the disk for good, in a few words: `log/eggs.csv 1hc9m2q0vd`. */
export function noteWritten(what: string): void {
  written.push(what);
}

/** What has been written since the last call, in order. */
export function takeWritten(): string[] {
  return written.splice(0);
}
