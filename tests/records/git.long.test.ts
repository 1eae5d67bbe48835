// Two people's rows, merged by git itself.
import { copyFileSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { type Folder, newFolder } from '../support/season-folder.ts';

const ATTRIBUTES = join(import.meta.dirname, '../../seeds/starter/gitattributes');

let one: Folder;
beforeEach(() => {
  one = newFolder();
  copyFileSync(ATTRIBUTES, join(one.path, '.gitattributes'));
  one.git('init', '-q', '-b', 'main');
  expect(one.at('2027-03-01T09:00', 'add', 'eggs', 'north', '--kept', '9').code).toBe(0);
  one.git('add', '.');
  one.git('commit', '-qm', 'begin');
});
afterEach(() => one.remove());

const log = () => readFileSync(join(one.path, 'log/eggs.csv'), 'utf8');
const kept = () =>
  (JSON.parse(one.run('list', 'eggs', '--json').stdout) as { rows: object[] }).rows;
const onBranch = (branch: string, work: () => void) => {
  one.git('checkout', '-q', branch);
  work();
  one.git('add', '.');
  one.git('commit', '-qm', branch);
};

function twoBranches(): void {
  one.git('branch', 'barn');
  onBranch('main', () => {
    expect(one.at('2027-03-03T09:00', 'add', 'eggs', 'north', '--kept', '8').code).toBe(0);
    expect(one.at('2027-03-03T09:01', 'add', 'eggs', 'south', '--kept', '7').code).toBe(0);
  });
  onBranch('barn', () => {
    expect(one.at('2027-03-02T09:00', 'add', 'eggs', 'north', '--kept', '6').code).toBe(0);
    expect(one.at('2027-03-04T09:00', 'add', 'eggs', 'south', '--kept', '5').code).toBe(0);
  });
}

test('rows of two branches merge without conflict and read the same either way', () => {
  twoBranches();
  one.git('branch', 'other', 'barn');
  one.git('checkout', '-q', 'main');
  one.git('merge', '-q', '--no-edit', 'barn');
  const forth = kept();
  expect(forth).toHaveLength(5);
  const first = log();
  expect(one.at('2027-03-05T09:00', 'check').code).toBe(0);
  one.git('checkout', '-q', 'other');
  one.git('merge', '-q', '--no-edit', 'main~1');
  expect(log()).not.toBe(first);
  expect(kept()).toEqual(forth);
});

test('two amendments of one row after a merge are both named, the later stands', () => {
  const [entry] = (log().split('\n')[1] ?? '').split(',');
  one.git('branch', 'barn');
  onBranch('main', () =>
    expect(one.at('2027-03-05T09:00', 'amend', entry!, 'kept=4').code).toBe(0),
  );
  onBranch('barn', () =>
    expect(one.at('2027-03-06T09:00', 'amend', entry!, 'kept=3').code).toBe(0),
  );
  one.git('checkout', '-q', 'main');
  one.git('merge', '-q', '--no-edit', 'barn');
  expect(kept()).toMatchObject([{ kept: 3 }]);
  const { stderr, stdout } = one.run('check');
  const told = stdout + stderr;
  for (const line of log().split('\n').slice(2, 4)) expect(told).toContain(line.split(',')[0]!);
  expect(told).toMatch(/amended 2 times/);
  expect(one.run('list', 'eggs', '--history').stdout.trim().split('\n')).toHaveLength(4);
});

test('a row doubled by a bad merge is found and told, and no figure drawn', () => {
  const [, row] = log().split('\n');
  writeFileSync(join(one.path, 'log/eggs.csv'), `${log()}${row}\n`);
  const checked = one.run('check', '--json');
  expect(checked.code).toBe(1);
  expect(checked.stdout).toContain('"entry-repeated"');
  expect(one.run('summary').code).toBe(3);
});

test('a checkout with CRLF line ends reads the same, and can be added to', () => {
  twoBranches();
  one.git('checkout', '-q', 'main');
  const before = kept();
  for (const name of ['log/eggs.csv', 'season.yaml']) {
    const path = join(one.path, name);
    writeFileSync(path, readFileSync(path, 'utf8').replaceAll('\n', '\r\n'));
  }
  expect(kept()).toEqual(before);
  expect(one.run('add', 'eggs', 'south', '--kept', '2').code).toBe(0);
  expect(kept()).toHaveLength(before.length + 1);
});
