// A process that adds rows under the season's lock and says each one recorded: run by the torture
// and the lock tests. Arguments: folder, log name, first number, how many, worker name.
import { writeSync } from 'node:fs';
import { join } from 'node:path';
import { appendLine } from '../../src/io/append.ts';
import { realDisk } from '../../src/io/disk.ts';
import { withLock } from '../../src/io/lock.ts';

const [folder, log, first, count, worker] = process.argv.slice(2) as [
  string,
  string,
  string,
  string,
  string,
];
const path = join(folder, log);
for (let n = Number(first); n < Number(first) + Number(count); n += 1) {
  const row = `${worker},${n},${'x'.repeat(n % 50)}`;
  await withLock(folder, () => appendLine(realDisk, path, 'worker,n,filler', row, new Date()), {
    waitMs: 60_000,
  });
  // Acknowledged only here, by a write that is complete when it returns.
  writeSync(1, `${row}\n`);
}
