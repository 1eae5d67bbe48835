// The example of `guide season-file` is a season that `check` passes, and the guide shows it whole.
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, onTestFinished, test } from 'vitest';
import { exampleSeasonFile } from '../../src/tables/guide-season-file.ts';
import { answer } from '../support/in-process.ts';

test('the example season of the guide passes check; with a wrong key it does not', async () => {
  const home = mkdtempSync(join(tmpdir(), 'traybook-season-file-'));
  const check = (text: string) => {
    writeFileSync(join(home, 'season.yaml'), text);
    return answer(home, ['check'], { now: '2027-03-01T08:00' });
  };
  try {
    mkdirSync(join(home, 'log'));
    const good = await check(exampleSeasonFile);
    expect(good.stdout + good.stderr).not.toMatch(/error|warning/);
    expect(good.code).toBe(0);
    expect((await check(exampleSeasonFile.replace('pens:', 'pen:'))).code).toBe(1);
    const { stdout } = await answer(home, ['guide', 'season-file']);
    for (const line of exampleSeasonFile.trimEnd().split('\n')) expect(stdout).toContain(line);
  } finally {
    rmSync(home, { recursive: true });
  }
});

test('every season file that new makes tells editors where its schema lies, and it lies there', async () => {
  const root = mkdtempSync(join(tmpdir(), 'traybook-editors-'));
  onTestFinished(() => rmSync(root, { recursive: true, force: true }));
  const says = async (...words: string[]) => {
    const got = await answer(root, words);
    expect(got.code, got.stderr).toBe(0);
    return got.stdout;
  };
  await says('new', 'first', '--zone', 'Europe/London', '--year', '2027');
  await says('new', 'second', '--from', 'first', '--no-plan');
  await says('new', 'trial', '--example');
  const schema = await says('schema', 'season');
  const folders = ['first', 'second', 'trial/midseason', 'trial/finished'];
  const schemaOf = (folder: string): string => {
    const text = readFileSync(join(root, folder, 'season.yaml'), 'utf8');
    const [, path] = /^# yaml-language-server: \$schema=(\S+)\n/.exec(text)!;
    expect(text.match(/yaml-language-server/g)).toHaveLength(1);
    return join(root, folder, path!);
  };
  for (const folder of folders) expect(readFileSync(schemaOf(folder), 'utf8')).toBe(schema);
  // A clone has none; another version left another.
  rmSync(join(root, 'first', '.traybook'), { recursive: true });
  writeFileSync(schemaOf('second'), '{"$comment": "traybook 0.0.1"}');
  for (const folder of ['first', 'second']) {
    await answer(root, ['--season', folder, 'check']);
    expect(readFileSync(schemaOf(folder), 'utf8')).toBe(schema);
  }
  // A file without the line gets no schema beside it.
  rmSync(join(root, 'first', '.traybook'), { recursive: true });
  const path = join(root, 'first', 'season.yaml');
  writeFileSync(path, readFileSync(path, 'utf8').replace(/^#.*\n/, ''));
  await answer(root, ['--season', 'first', 'check']);
  expect(existsSync(join(root, 'first', '.traybook'))).toBe(false);
});
