// What may stand where a season folder should have files, and what the program says to it.
import { spawnSync } from 'node:child_process';
import {
  appendFileSync,
  cpSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { type Answer, answer } from '../support/in-process.ts';
import { SEASON } from '../support/season-folder.ts';

let home: string;
let folder: string;
let log: string;
beforeEach(async () => {
  home = mkdtempSync(join(tmpdir(), 'traybook-'));
  folder = join(home, 'Höf 🐣 of "Ane" & co');
  mkdirSync(folder);
  writeFileSync(join(folder, 'season.yaml'), SEASON);
  log = join(folder, 'log/eggs.csv');
  expect((await run('add', 'eggs', 'north', '--kept=9')).code).toBe(0);
});
afterEach(() => rmSync(home, { recursive: true, force: true }));

const run = (...words: string[]): Promise<Answer> => answer(folder, words);
const text = () => readFileSync(log, 'utf8');
const kept = async () =>
  (JSON.parse((await run('list', 'eggs', '--json')).stdout) as { rows: { kept: number }[] }).rows
    .map((row) => row.kept)
    .sort();

/** Neither read nor added to: told in one line, and left as it is. */
async function isTold(what: RegExp): Promise<void> {
  for (const words of [
    ['list', 'eggs'],
    ['today'],
    ['check'],
    ['add', 'eggs', 'north', '--kept=1'],
  ]) {
    const told = await run(...words);
    expect([told.code, told.stdout], told.stderr).toEqual([3, '']);
    expect(told.stderr).toMatch(what);
    expect(told.stderr).not.toMatch(/fault of the program/);
  }
}

test.skipIf(process.platform === 'win32')(
  'a pipe or a device in place of a log is not waited for',
  async () => {
    rmSync(log);
    expect(spawnSync('mkfifo', [log]).status).toBe(0);
    await isTold(/eggs\.csv:1:1: it is a pipe or a device/);
    rmSync(log);
    symlinkSync('/dev/zero', log);
    await isTold(/eggs\.csv:1:1: it is a pipe or a device/);
    const told = await run('import', 'log/eggs.csv', '--as', 'eggs');
    expect([told.code, told.stderr]).toEqual([2, expect.stringMatching(/pipe or a device/)]);
  },
);

test('links are followed, and told where they lead to nothing or in a ring', async () => {
  const real = join(home, 'real.csv');
  renameSync(log, real);
  symlinkSync(real, log);
  expect((await run('add', 'eggs', 'north', '--kept=4')).code).toBe(0);
  expect(await kept()).toEqual([4, 9]);
  rmSync(real);
  await isTold(/eggs\.csv:1:1: it is a link that leads to nothing/);
  rmSync(join(folder, 'log'), { recursive: true });
  symlinkSync(join(home, 'none'), join(folder, 'log'));
  await isTold(/log:1:1: it is a link that leads to nothing/);
  rmSync(join(folder, 'log'));
  symlinkSync('log', join(folder, 'log'));
  await isTold(/log:1:1: it is a link that leads back to itself/);
});

test('a file for the folder of the logs, a folder for a log, a folder for a torn line', async () => {
  mkdirSync(`${log}.torn-20270307T183102Z`);
  expect((await run('list', 'eggs')).stderr).toMatch(/eggs\.csv was cut short and set aside/);
  rmSync(log);
  mkdirSync(log);
  await isTold(/eggs\.csv:1:1: it is a folder, not a file/);
  rmSync(join(folder, 'log'), { recursive: true });
  writeFileSync(join(folder, 'log'), 'x');
  await isTold(/log:1:1: it is a file, not the folder of the logs/);
});

test('no folder of logs, an empty log, a header alone: no rows, and the next one begins it', async () => {
  for (const make of [
    () => rmSync(join(folder, 'log'), { recursive: true }),
    () => writeFileSync(log, ''),
    () => writeFileSync(log, `${text().split('\n')[0]}\n`),
  ]) {
    make();
    expect(await kept()).toEqual([]);
    expect((await run('check')).code).toBe(0);
    expect((await run('add', 'eggs', 'south', '--kept=3')).code).toBe(0);
    expect(text().split('\n')).toHaveLength(3);
    expect(await kept()).toEqual([3]);
  }
});

test('a log cut anywhere reads as far as it is whole, and the next row is clean', async () => {
  expect((await run('add', 'eggs', 'south', '--kept=7', '--note=a, "b"')).code).toBe(0);
  const whole = text();
  const [header, first] = whole.split('\n') as [string, string];
  // Each cut of the header and of the rows, a few bytes apart.
  for (let bytes = 1; bytes < whole.length; bytes += 19) {
    for (const name of readdirSync(join(folder, 'log'))) rmSync(join(folder, 'log', name));
    writeFileSync(log, whole.slice(0, bytes));
    const rows = bytes > header.length + 1 + first.length ? 1 : 0;
    expect(await kept()).toHaveLength(rows);
    const isTorn = whole[bytes - 1] !== '\n';
    const before = await run('check');
    expect([before.code, before.stdout.includes('was cut short')]).toEqual([
      isTorn ? 1 : 0,
      isTorn,
    ]);
    const added = await run('add', 'eggs', 'south', '--kept=3');
    expect(added.code, added.stderr).toBe(0);
    expect(added.stderr.includes('it was set aside as log/eggs.csv.torn-')).toBe(isTorn);
    expect(await kept()).toHaveLength(rows + 1);
    expect(text().startsWith(`${header}\n`)).toBe(true);
    const [torn] = readdirSync(join(folder, 'log')).filter((name) => name.includes('torn'));
    if (!isTorn) continue;
    const from = whole.lastIndexOf('\n', bytes - 1) + 1;
    expect(readFileSync(join(folder, 'log', torn!), 'utf8')).toBe(whole.slice(from, bytes));
    // Deleting the file settles it.
    expect((await run('today')).stderr).toContain(`then delete log/${torn}`);
    rmSync(join(folder, 'log', torn!));
    expect((await run('today')).stderr).toBe('');
  }
});

test('what a spreadsheet or an old editor makes of a log is named', async () => {
  const whole = text();
  writeFileSync(log, `\ufeff${whole}`);
  await isTold(/byte order mark/);
  writeFileSync(log, whole.replaceAll(',', ';'));
  await isTold(/semicolons/);
  writeFileSync(log, whole.replaceAll('\n', '\r'));
  await isTold(/carriage returns alone/);
  writeFileSync(log, Buffer.from(`\ufeff${whole}`, 'utf16le'));
  await isTold(/UTF-16/);
  writeFileSync(log, whole + '\0'.repeat(512));
  expect((await run('list', 'eggs')).stderr).toMatch(/cut short/);
  expect(await kept()).toEqual([9]);
});

test('in a log with CRLF line ends a row is added, amended and withdrawn as elsewhere', async () => {
  writeFileSync(log, text().replaceAll('\n', '\r\n'));
  const entry = text().split('\n')[1]!.split(',')[0]!;
  expect((await run('add', 'eggs', 'south', '--kept=4')).code).toBe(0);
  expect((await run('amend', entry, 'kept=8')).code).toBe(0);
  expect(await kept()).toEqual([4, 8]);
  expect((await run('void', entry)).code).toBe(0);
  expect(await kept()).toEqual([4]);
});

test('columns of the keeper’s own stay, whatever they are called, and rows are written around them', async () => {
  const [header, row] = text().split('\n') as [string, string];
  writeFileSync(log, `constructor,"a\n""b""",${header},__proto__\n1,2,${row},3\n`);
  expect((await run('add', 'eggs', 'south', '--kept=4', '--note=x')).code).toBe(0);
  expect(await kept()).toEqual([4, 9]);
  expect(text().split('\n').at(-2)).toMatch(/^,,.*,x,,,$/);
});

test('a note longer than a log may hold is refused, not written', async () => {
  const before = text();
  const told = await run('add', 'eggs', 'north', '--kept=1', `--note=${'x'.repeat(2001)}`);
  expect([told.code, told.stderr]).toEqual([2, expect.stringMatching(/at most 2000 characters/)]);
  expect(text()).toBe(before);
  appendFileSync(
    log,
    before
      .split('\n')[1]!
      .replace(/^.{10}/, '0000000009')
      .replace('Ane', 'A\u001bne'),
  );
  appendFileSync(log, '\n');
  const checked = await run('check');
  expect([checked.code, checked.stdout]).toEqual([1, expect.stringMatching(/by: expected a text/)]);
});

test('a folder given by a path that cannot be one is told', async () => {
  cpSync(folder, join(home, 'b'), { recursive: true });
  for (const path of ['season.yaml/x', 'x'.repeat(5000), 'none', log]) {
    const told = await run('--season', path, 'check');
    expect(told.code).toBe(3);
    expect(told.stderr).toMatch(/there is no season\.yaml in this folder/);
    expect(told.stderr.length).toBeLessThan(3000);
  }
});
