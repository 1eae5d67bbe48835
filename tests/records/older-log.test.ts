// A log begun by an earlier version lacks columns that came later: it is widened when a row fills one.
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { answer } from '../support/in-process.ts';
import { SEASON } from '../support/season-folder.ts';

const root = mkdtempSync(join(tmpdir(), 'traybook-older-'));
afterAll(() => rmSync(root, { recursive: true, force: true }));

test('a log without a later column is widened in its place, and nothing else lies in log/', async () => {
  mkdirSync(join(root, 'log'));
  writeFileSync(join(root, 'season.yaml'), SEASON);
  const says = async (words: string) => {
    const got = await answer(root, words.split(' '), { now: '2027-03-29T18:00' });
    expect(got.code, got.stderr).toBe(0);
  };
  await says('add set S1 --pen north --eggs 20 --tray 1 --on 2027-03-01 --anyway');
  await says('add transfer S1 --moved 20 --on 2027-03-19');
  await says('add hatch S1 --hatched 18 --unpipped 2 --final yes --on 2027-03-22');
  await says('add group B1 --set S1 --brooder barn --chicks 18 --on 2027-03-22');
  const old =
    'entry,recorded,on,group,birds,cause,by,note,amends,state\nk0a1b2c3d4,2027-03-24T08:00:00+00:00,2027-03-24,B1,1,chilled,Ane,"small, cold",,\n';
  writeFileSync(join(root, 'log', 'losses.csv'), old);
  await says('add loss B1 --birds 2 --cause predator --place barn');
  const [header, first, second] = readFileSync(join(root, 'log', 'losses.csv'), 'utf8').split('\n');
  expect(header).toBe('entry,recorded,on,group,birds,cause,place,by,note,amends,state');
  expect(first).toBe(
    'k0a1b2c3d4,2027-03-24T08:00:00+00:00,2027-03-24,B1,1,chilled,,Ane,"small, cold",,',
  );
  expect(second).toContain(',B1,2,predator,barn,Ane,');
  expect(readdirSync(join(root, 'log')).filter((name) => !name.endsWith('.csv'))).toEqual([]);
  expect(readFileSync(join(root, '.traybook', 'losses.csv.before'), 'utf8')).toBe(old);
});
