import { readdirSync, readFileSync, statSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { checksOf, type Outcome, reasonOf, report, runCheck } from './run.ts';

/**
 * Runs every check-vector file (`*.json`) of a folder through the program's own functions.
 * Returns the exit code: 0 all passed, 1 something failed, 2 wrong words, 3 nothing to read.
 */
export async function main(words: readonly string[], from: string): Promise<number> {
  const [folder, ...more] = words;
  if (folder === undefined || more.length > 0) {
    process.stderr.write('usage: npm run vectors -- DIR\n');
    return 2;
  }
  const dir = resolve(from, folder);
  let files: string[];
  try {
    files = statSync(dir).isDirectory()
      ? readdirSync(dir)
          .filter((name) => name.endsWith('.json'))
          .sort()
          .map((name) => join(dir, name))
      : [dir];
  } catch {
    process.stderr.write(`${folder}: no such folder\n`);
    return 3;
  }
  if (files.length === 0) {
    process.stderr.write(`${folder}: no .json file here\n`);
    return 3;
  }
  const outcomes: Outcome[] = [];
  for (const file of files) {
    try {
      for (const check of checksOf(readFileSync(file, 'utf8')))
        outcomes.push(await runCheck(check));
    } catch (thrown) {
      outcomes.push({ id: file, kind: 'file', faults: [], error: reasonOf(thrown) });
    }
  }
  const { text, failed } = report(outcomes);
  process.stdout.write(text);
  return failed > 0 ? 1 : 0;
}
