// Reading writes no record, and nothing beside the program's own folder; every command tells of a torn line until it was looked at.
import { createHash } from 'node:crypto';
import {
  cpSync,
  lstatSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import nows from '../../examples/now.json' with { type: 'json' };
import { PRIVATE_FOLDER } from '../../src/io/private-folder.ts';
import { readingLines } from '../support/every-command.ts';
import { answer } from '../support/in-process.ts';

const EXAMPLES = join(import.meta.dirname, '../../examples');
let home: string;
let folder: string;
beforeAll(() => {
  home = mkdtempSync(join(tmpdir(), 'traybook-'));
  for (const name of ['finished', 'midseason'])
    cpSync(join(EXAMPLES, name), join(home, name), { recursive: true });
  folder = join(home, 'midseason');
  // The program's own folder stands already: to make it would change the times of the season's.
  mkdirSync(join(folder, PRIVATE_FOLDER));
  writeFileSync(join(folder, 'log/eggs.csv.torn-20270320T090000Z'), 'abc,2027-03');
});
afterAll(() => rmSync(home, { recursive: true, force: true }));

/** Every file below a folder but the program's own, with its content, its times of change and its mode. */
function stateOf(path: string): Record<string, string> {
  return Object.fromEntries(
    readdirSync(path, { recursive: true, encoding: 'utf8' })
      .filter((name) => !name.includes(PRIVATE_FOLDER))
      .map((name) => {
        const { mtimeNs, ctimeNs, mode } = lstatSync(join(path, name), { bigint: true });
        const content = lstatSync(join(path, name)).isFile() ? readFileSync(join(path, name)) : '';
        const sum = createHash('sha256').update(content).digest('hex');
        return [name, `${mtimeNs} ${ctimeNs} ${mode} ${sum}`];
      }),
  );
}

test('no command that reads changes a file, its times or its mode; each tells of the torn line', async () => {
  const before = stateOf(home);
  for (const words of readingLines({ set: 'D5', line: 'dorking' })) {
    for (const line of words[0] === 'list' || words[0] === 'sheet'
      ? [words]
      : [words, [...words, '--json']]) {
      const told = await answer(folder, line, { now: nows.midseason });
      expect.soft({ line, code: told.code, stderr: told.stderr }).toMatchObject({
        line,
        code: expect.toSatisfy((code: number) => code === 0 || code === 1),
      });
      // `check` says everything on one stream; its exit code is for other programs.
      const said = line[0] === 'check' ? told.stdout : told.stderr;
      expect
        .soft(said, line.join(' '))
        .toMatch(/cut short and set aside[\s\S]*(then delete|"hint")/);
    }
  }
  expect(stateOf(home)).toEqual(before);
}, 120_000);
