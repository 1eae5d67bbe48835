// `export` against an outside validator of data packages and an outside engine.
import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { DuckDBInstance } from '@duckdb/node-api';
import { Package } from 'datapackage';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { Barn } from './harness/console.ts';
import { smallSeason } from './harness/small-season.ts';

const barn = new Barn();
let out = '';

beforeAll(async () => {
  await smallSeason(barn);
  const run = await barn.run('traybook export out');
  expect(run).toMatchObject({ stderr: '', status: 0 });
  expect(run.stdout).toMatch(/^out: \d+ tables, \d+ rows; described in datapackage\.json\n$/);
  out = join(barn.folder, 'out');
});
afterAll(() => barn.close());

test('the package and every table of it are valid to Frictionless, keys and foreign keys too', async () => {
  const opened = await Package.load(join(out, 'datapackage.json'));
  expect(opened.errors).toEqual([]);
  expect(opened.valid).toBe(true);
  for (const resource of opened.resources) {
    expect(resource.valid, resource.name).toBe(true);
    const rows = await resource.read({ keyed: true, relations: true });
    expect(Array.isArray(rows), resource.name).toBe(true);
  }
});

test('the validator would have told: a broken foreign key is refused', async () => {
  const path = join(out, 'candlings.csv');
  const good = readFileSync(path, 'utf8');
  writeFileSync(path, good.replace(',A1,north,', ',A9,north,'));
  try {
    const opened = await Package.load(join(out, 'datapackage.json'));
    const table = opened.resources.find((one) => one.name === 'candlings');
    await expect(table?.read({ relations: true })).rejects.toThrow();
  } finally {
    writeFileSync(path, good);
  }
});

test('DuckDB, from the tables alone, finds the rates of the summary', async () => {
  const summary = JSON.parse((await barn.run('traybook summary --json')).stdout);
  const duck = await (await DuckDBInstance.create(':memory:')).connect();
  const read = await duck.runAndReadAll(
    `select pen, sum(eggs - coalesce(unaccounted, 0)) as eggs, sum(hatched) as hatched, sum(eggs - clear) filter (candled) as fertile,
     sum(eggs) filter (candled) as looked from read_csv('${out}/shares.csv') where stage = 'finished' group by pen order by pen`,
  );
  const rows = read.getRowObjects().map((row) => ({
    pen: String(row.pen),
    hatch_of_set: Number(row.hatched) / Number(row.eggs),
    fertile: Number(row.fertile) / Number(row.looked),
  }));
  expect(rows.length).toBe(2);
  for (const row of rows) {
    const pen = summary.pens.find((one: { pen: string }) => one.pen === row.pen);
    expect(pen.hatch_of_set.share).toBeCloseTo(row.hatch_of_set, 12);
    expect(pen.fertile_apparent.share).toBeCloseTo(row.fertile, 12);
  }
});

test('the NDJSON holds the same rows', async () => {
  const duck = await (await DuckDBInstance.create(':memory:')).connect();
  for (const name of readdirSync(out).filter((file) => file.endsWith('.ndjson'))) {
    if (readFileSync(join(out, name), 'utf8') === '') continue;
    const csv = name.replace('.ndjson', '.csv');
    const read = await duck.runAndReadAll(
      `select (select count(*) from read_json('${join(out, name)}')) as json, (select count(*) from read_csv('${join(out, csv)}', all_varchar=true)) as csv`,
    );
    const [row] = read.getRowObjects();
    expect(row?.json, name).toBe(row?.csv);
  }
});

describe('what is there already', () => {
  test('an earlier export is replaced', async () => {
    expect((await barn.run('traybook export out')).status).toBe(0);
    expect(existsSync(join(out, 'datapackage.json'))).toBe(true);
  });

  test('anything else is refused and stays', async () => {
    writeFileSync(join(out, 'letter.txt'), 'mine');
    const run = await barn.run('traybook export out');
    expect(run.status).toBe(4);
    expect(run.stderr).toContain('holds no earlier export');
    expect(readFileSync(join(out, 'letter.txt'), 'utf8')).toBe('mine');
    expect((await barn.run('traybook export .')).status).toBe(4);
    expect(readdirSync(barn.folder).filter((name) => name.startsWith('.out'))).toEqual([]);
  });
});
