// Ten exported seasons, read together by an outside engine, give the rates of `review`.
import { execFile } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { type DuckDBConnection, DuckDBInstance } from '@duckdb/node-api';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Review } from '../src/judge/review/review.ts';
import { root } from './harness/console.ts';
import { seasonNames, writeTenSeasons } from './support/ten-seasons.ts';

/** What this test reads of `review --json`. */
type ReviewJson = Pick<Review, 'groups' | 'previous' | 'unaccounted' | 'running'> & {
  readonly left_out: readonly unknown[];
  readonly not_candled: readonly unknown[];
};
type Counts = { x: number; n: number };
/** Counts by season, group, key and rate, in one line of text. */
type Found = Map<string, Counts>;

const run = promisify(execFile);
const folder = mkdtempSync(join(tmpdir(), 'traybook-ten-'));
const exported = join(folder, 'exported');
const reviews = new Map<string, ReviewJson>();
/** What the plain query finds in the exports as they are. */
let pooled: Found;
let duck: DuckDBConnection;

/** The built program, in a season's folder. */
async function traybook(season: string, ...words: string[]): Promise<string> {
  const { stdout } = await run(
    process.execPath,
    [join(root, 'bin', 'traybook.js'), '--now', `${season}-10-01T09:00`, ...words],
    { cwd: join(folder, season), env: { PATH: process.env.PATH ?? '', TZ: 'UTC' } },
  );
  return stdout;
}

beforeAll(async () => {
  writeTenSeasons(folder);
  const left = [...seasonNames];
  const work = async (): Promise<void> => {
    for (let season = left.shift(); season !== undefined; season = left.shift()) {
      await traybook(season, 'export', join(exported, season));
      reviews.set(season, JSON.parse(await traybook(season, 'review', '--json')));
    }
  };
  await Promise.all([work(), work()]);
  duck = await (await DuckDBInstance.create(':memory:')).connect();
  pooled = await queried(pooling(csv));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Every rate of every season as `review --json` tells it, of the season and by pen, set, line, week. */
function reviewed(): Found {
  const out: Found = new Map();
  for (const [season, { groups }] of reviews)
    for (const { by, key, rates } of groups) {
      if (!['season', 'pen', 'set', 'line', 'week'].includes(by)) continue;
      for (const [rate, known] of Object.entries(rates))
        if (known.n > 0) out.set([season, by, key, rate].join(' '), { x: known.x, n: known.n });
    }
  return out;
}

/** The same from a query that gives season, by, key, rate, x and n. */
async function queried(sql: string): Promise<Found> {
  const read = await duck.runAndReadAll(sql);
  return new Map(
    read
      .getRowObjects()
      .map((row) => [
        [row.season, row.by, row.key, row.rate].join(' '),
        { x: Number(row.x), n: Number(row.n) },
      ]),
  );
}

/** Sums differ in the last digit by the order they are added in. */
const rounded = (found: Found): Record<string, Counts> =>
  Object.fromEntries(
    [...found]
      .map(
        ([key, { x, n }]) => [key, { x: Number(x.toFixed(9)), n: Number(n.toFixed(9)) }] as const,
      )
      .sort(([a], [b]) => (a < b ? -1 : 1)),
  );

/** Any table of parts, summed by season and each cut. */
const summed = `
  select season::varchar as season,
    case grouping(pen, "set", line, week) when 15 then 'season' when 7 then 'pen' when 11 then 'set'
      when 13 then 'line' else 'week' end as by,
    case grouping(pen, "set", line, week) when 15 then season::varchar
      else coalesce(pen, "set", line, week) end as key,
    rate, sum(x) as x, sum(n) as n
  from parts
  group by grouping sets ((season, rate), (season, pen, rate), (season, "set", rate),
    (season, line, rate), (season, week, rate))
  having sum(n) > 0 and key is not null`;

const pooling = (read: (table: string) => string): string => `
  with parts as (
    select season, "set", pen, line, strftime("on"::date, '%G-W%V') as week, rate, x, n
    from ${read('rates')} r join ${read('shares')} s using (season, "set", pen)
    union all
    select season, null, pen, line, strftime("on"::date, '%G-W%V'), 'settable', kept, laid
    from ${read('eggs')} e join ${read('pens')} p using (season, pen)
    where laid is not null)
  ${summed}`;

const csv = (table: string): string =>
  `read_csv('${exported}/*/${table}.csv', union_by_name = true)`;
const ndjson = (table: string): string =>
  `read_json('${exported}/*/${table}.ndjson', union_by_name = true)`;

test('the ten seasons are of many kinds, and every rate is among them', () => {
  const found = reviewed();
  expect(reviews.size).toBe(10);
  expect(found.size).toBeGreaterThan(1500);
  const rates = new Set([...found.keys()].map((key) => key.split(' ').at(-1)));
  expect([...rates].sort()).toEqual(
    // The rate names of the manual.
    'dead early fertile fertile_apparent hatch_of_fertile hatch_of_set late middle pipped rotten settable weak'.split(
      ' ',
    ),
  );
  const all = [...reviews.values()];
  for (const part of ['unaccounted', 'running', 'not_candled', 'left_out'] as const)
    expect(
      all.some((one) => one[part].length > 0),
      part,
    ).toBe(true);
});

describe('one plain query over ten exports gives what review tells of each', () => {
  test('over CSV', () => {
    expect(rounded(pooled)).toEqual(rounded(reviewed()));
  });

  test('over NDJSON', async () => {
    expect(rounded(await queried(pooling(ndjson)))).toEqual(rounded(reviewed()));
  });

  test('over the counts as written, every rate reckoned anew in SQL by the rules review prints', async () => {
    expect(rounded(await queried(fromCounts))).toEqual(rounded(reviewed()));
  });

  test('and would tell one egg more', async () => {
    const path = join(exported, '2021', 'rates.csv');
    const good = readFileSync(path, 'utf8');
    const bad = good.replace(/,hatch_of_set,(\d+),/, (_, x) => `,hatch_of_set,${Number(x) + 1},`);
    expect(bad).not.toBe(good);
    writeFileSync(path, bad);
    try {
      expect(rounded(await queried(pooling(csv)))).not.toEqual(rounded(reviewed()));
    } finally {
      writeFileSync(path, good);
    }
  });
});

test('a season that names the nine before compares itself with just what the query finds', () => {
  const { previous } = reviews.get('2027')!;
  expect(new Set(previous.map((one) => one.season))).toEqual(new Set(seasonNames.slice(0, 9)));
  for (const { season, rate, now, before } of previous) {
    const then = pooled.get(`${season} season ${season} ${rate}`)!;
    const here = pooled.get(`2027 season 2027 ${rate}`)!;
    expect(before.x).toBeCloseTo(then.x, 9);
    expect(before.n).toBeCloseTo(then.n, 9);
    expect(now.x).toBeCloseTo(here.x, 9);
    expect(now.n).toBeCloseTo(here.n, 9);
  }
});

test('the query of the manual pools pens over all seasons as review counts them', async () => {
  const page = readFileSync(join(root, 'src', 'commands', 'export.md'), 'utf8');
  const sql = /```sql\n([\s\S]*?)```/.exec(page)![1]!.replaceAll("'seasons/", `'${exported}/`);
  const read = await duck.runAndReadAll(sql);
  const byPen = new Map<string, Counts>();
  for (const { groups } of reviews.values())
    for (const { by, key, rates } of groups) {
      if (by !== 'pen') continue;
      for (const [rate, known] of Object.entries(rates)) {
        if (known.n === 0) continue;
        const { x, n } = byPen.get(`${key} ${rate}`) ?? { x: 0, n: 0 };
        byPen.set(`${key} ${rate}`, { x: x + known.x, n: n + known.n });
      }
    }
  const rows = read.getRowObjects();
  expect(rounded(new Map(rows.map((row) => [`${row.pen} ${row.rate}`, counted(row)])))).toEqual(
    rounded(byPen),
  );
  for (const row of rows) expect(row.share).toBeCloseTo(Number(row.x) / Number(row.n), 12);
  expect(Number(rows.find((row) => row.pen === 'north')?.seasons)).toBe(10);
});

const counted = (row: Record<string, unknown>): Counts => ({
  x: Number(row.x),
  n: Number(row.n),
});

// From sums a share, looks and opened eggs; none of the program's own rates. Opened clears stand for
// the clears of their pen of which none was opened; deaths are of fertile eggs.
const fromCounts = `
  with opened as (
    select season, "set", pen, "from",
      sum(infertile) as infertile, sum(early) as early, sum(middle) as middle, sum(late) as late,
      sum(pipped) as pipped, sum(rotten) as rotten,
      sum(infertile + early + middle + late + pipped + rotten) as eggs
    from ${csv('breakouts')} group by all),
  looks as (
    select c.season, c."set", c.pen, count(*) as looks,
      sum(c.quit) filter (c."on" - s."on" <= (if(s.species = 'duck', 28, 21)) / 2) as early
    from ${csv('candlings')} c join ${csv('shares')} s using (season, "set", pen) group by all),
  moves as (
    select season, "set", pen, sum(clear + quit) as sorted from ${csv('transfers')} group by all),
  eggs as (
    select s.season, s."set", s.pen, s.line, strftime(s."on", '%G-W%V') as week,
      s.stage = 'finished' as finished, s.eggs, s.moved,
      coalesce(s.clear, 0) as clear, coalesce(s.quit, 0) as quit,
      coalesce(s.cracked, 0) as cracked, coalesce(s.rotten, 0) as rotten,
      coalesce(s.hatched, 0) as hatched, coalesce(s.weak, 0) as weak, coalesce(s.dead, 0) as dead,
      coalesce(s.pipped, 0) as pipped, coalesce(s.unpipped, 0) as unpipped,
      coalesce(l.early, 0) as quit_early,
      coalesce(l.looks, 0) > 0 or coalesce(m.sorted, 0) > 0 as looked,
      c.eggs as c_eggs, c.infertile as c_infertile, c.early as c_early, c.middle as c_middle,
      c.late as c_late, c.rotten as c_rotten,
      coalesce(q.eggs, 0) as q_eggs, coalesce(q.infertile, 0) as q_infertile, q.early as q_early,
      q.middle as q_middle, q.late as q_late, coalesce(q.rotten, 0) as q_rotten,
      coalesce(u.eggs - u.pipped, 0) as u_eggs, coalesce(u.infertile, 0) as u_infertile,
      coalesce(u.early, 0) as u_early, coalesce(u.middle, 0) as u_middle,
      coalesce(u.late, 0) as u_late, coalesce(u.pipped, 0) as u_pipped,
      coalesce(u.rotten, 0) as u_rotten
    from ${csv('shares')} s
      left join looks l using (season, "set", pen)
      left join moves m using (season, "set", pen)
      left join opened c on (c.season, c."set", c.pen, c."from") = (s.season, s."set", s.pen, 'clear')
      left join opened q on (q.season, q."set", q.pen, q."from") = (s.season, s."set", s.pen, 'quit')
      left join opened u on (u.season, u."set", u.pen, u."from") = (s.season, s."set", s.pen, 'unhatched')),
  sound as (
    select *, coalesce(moved, eggs - clear - quit - cracked - rotten) as went_in,
      hatched + dead + pipped + unpipped as came_out
    from eggs
    where clear + quit + cracked + rotten + coalesce(moved, 0) <= eggs and came_out <= went_in
      and coalesce(c_eggs, 0) <= clear and q_eggs <= quit),
  pens as (
    select season, pen, coalesce(sum(c_eggs), 0) as eggs, sum(c_infertile) as infertile,
      sum(c_early) as early, sum(c_middle) as middle, sum(c_late) as late, sum(c_rotten) as rotten,
      coalesce(sum(clear) filter (c_eggs is null), 0) as shut
    from sound group by all),
  scaled as (
    select s.*,
      if(moved is null, 0, set_eggs - clear - quit - cracked - s.rotten - moved) as lost_before,
      if(finished, went_in - came_out, 0) as lost_after,
      greatest(unpipped, u_eggs) as whole,
      if(u_eggs > 0 and finished, greatest(unpipped, u_eggs) / u_eggs, 0) as u_by,
      if(q_eggs > 0, quit / q_eggs, 0) as q_by,
      s.clear > 0 and s.c_eggs is null and p.eggs > 0 as like_pen,
      if(like_pen, p.eggs, s.c_eggs) as o_eggs,
      if(coalesce(o_eggs, 0) > 0, s.clear / o_eggs, 0) as c_by,
      coalesce(if(like_pen, p.infertile, s.c_infertile), 0) * c_by as c_i,
      coalesce(if(like_pen, p.early, s.c_early), 0) * c_by as c_e,
      coalesce(if(like_pen, p.middle, s.c_middle), 0) * c_by as c_m,
      coalesce(if(like_pen, p.late, s.c_late), 0) * c_by as c_l,
      coalesce(if(like_pen, p.rotten, s.c_rotten), 0) * c_by as c_r,
      coalesce(o_eggs, 0) > 0 or (s.clear = 0 and (p.eggs > 0 or p.shut = 0)) as knows
    from (select * exclude eggs, eggs as set_eggs from sound) s join pens p using (season, pen)),
  based as (
    select *, set_eggs - lost_before as accounted,
      if(looked, accounted - clear, null) as apparent,
      if(looked and knows, accounted - c_i - q_infertile * q_by - u_infertile * u_by, null) as fertile,
      coalesce(fertile, apparent) as base, base - lost_after as hatch_base
    from scaled),
  rates as (
    select season, "set", pen, line, week, unnest([
      {rate: 'fertile_apparent', x: apparent, n: accounted, known: looked},
      {rate: 'fertile', x: fertile, n: accounted, known: fertile is not null},
      {rate: 'early', x: if(q_eggs > 0, q_early * q_by, quit_early) + c_e + u_early * u_by,
        n: base, known: looked},
      {rate: 'middle', x: if(q_eggs > 0, q_middle * q_by, quit - quit_early) + c_m + u_middle * u_by,
        n: base, known: looked and (moved is not null or finished)},
      {rate: 'late', x: if(q_eggs > 0, q_late * q_by, 0) + c_l + if(u_eggs > 0, u_late * u_by, unpipped),
        n: hatch_base, known: looked and finished},
      {rate: 'pipped', x: greatest(pipped, u_pipped), n: hatch_base, known: looked and finished},
      {rate: 'rotten', x: rotten + c_r + q_rotten * q_by + u_rotten * u_by, n: accounted,
        known: looked or finished},
      {rate: 'hatch_of_set', x: hatched, n: accounted - lost_after, known: finished},
      {rate: 'hatch_of_fertile', x: hatched, n: hatch_base, known: looked and finished},
      {rate: 'weak', x: weak, n: hatched, known: finished},
      {rate: 'dead', x: dead, n: hatched + dead, known: finished}
    ], recursive := true)
    from based),
  parts as (
    select season, "set", pen, line, week, rate, greatest(0, least(x, n)) as x, n
    from rates where known and n > 0
    union all
    select season, null, pen, line, strftime("on", '%G-W%V'), 'settable', kept, laid
    from ${csv('eggs')} e join ${csv('pens')} p using (season, pen) where laid is not null)
  ${summed}`;
