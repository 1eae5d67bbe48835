// What is expected of an egg, asked of `rates`, `plan`, `forecast` and `diagnose` in a season of one pen,
// where a pen, its line and the farm are one: the same figure stands behind each answer.
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { addDays } from '../../src/text/day.ts';
import { answer } from '../support/in-process.ts';
import { day } from '../support/season.ts';

const home = mkdtempSync(join(tmpdir(), 'traybook-expected-'));
afterAll(() => rmSync(home, { recursive: true }));

const NOW = '2027-05-29T08:00';
const season = `format: traybook/1
season: 2027
place: {name: Test, timezone: UTC, altitude_m: 0}
lines: {grey: {species: chicken}}
pens: {ash: {line: grey, hens: 40, males: 4, joined: 2027-02-01}}
setters: {cabinet: {trays: 3, tray_holds: {chicken: 40}}}
hatchers: {lower: {holds: {chicken: 60}}}
goals:
  - {line: grey, want: chicks, count: 60, by: 2027-07-20, confidence: 0.8, fate: sold}
plan:
  - {set: B1, on: 2027-05-29, setter: cabinet, trays: [1], shares: {ash: 30}}
`;
const EGGS = 20;
const SETS = 8;
const PLANNED = 30;

/** Eight sets that were candled, moved, hatched and closed, and the eggs of the planned one. */
const lines = Array.from({ length: SETS }, (_, index) => {
  const on = addDays(day('2027-03-01'), 7 * index);
  const set = `A${index + 1}`;
  const clear = 2 + (index % 3);
  const moved = EGGS - clear - 1;
  return `on ${on}
set ${set} --pen ash --eggs ${EGGS} --tray ${1 + (index % 3)}
on ${addDays(on, 7)}
candling ${set} --clear ${clear} --quit 1
on ${addDays(on, 18)}
transfer ${set} --moved ${moved}
on ${addDays(on, 21)}
hatch ${set} --hatched ${moved - 2} --weak ${index % 2} --unpipped 2 --final yes
`;
});

const answers = new Map<string, Promise<string>>();
/** What a command says as JSON; each is asked once. */
const ask = async (command: string) => {
  const said =
    answers.get(command) ??
    answer(home, [command, '--json'], { now: NOW }).then((one) => one.stdout);
  answers.set(command, said);
  return JSON.parse(await said);
};
const rates = async (): Promise<Map<string, number>> => {
  const { rates: all } = (await ask('rates')) as { rates: { stage: string; mean: number }[] };
  return new Map(all.map(({ stage, mean }) => [stage, mean]));
};
const chain = ['fertile', 'candled', 'transferred', 'hatched', 'sound'];
const soundOf = (eggs: number, mean: ReadonlyMap<string, number>): number =>
  chain.reduce((left, stage) => left * mean.get(stage)!, eggs);

/** A mean of some thousand draws is out by no more. */
const DRAWN = 0.005;

beforeAll(async () => {
  writeFileSync(join(home, 'season.yaml'), season);
  const eggs = `on 2027-05-28\neggs ash --laid ${PLANNED} --kept ${PLANNED}\n`;
  writeFileSync(join(home, 'lines.txt'), lines.join('') + eggs);
  const { stdout } = await answer(home, ['add', '--lines', 'lines.txt'], { now: NOW });
  expect(stdout).toContain(`${4 * SETS + 1} in all`);
});

describe('one pen, eight sets', () => {
  test('a planned set gives what the rates say of its eggs', async () => {
    const mean = await rates();
    const { sets } = await ask('plan');
    const [b1] = sets;
    expect(b1).toMatchObject({ set: 'B1', eggs: PLANNED });
    expect(Math.abs(b1.expected / soundOf(PLANNED, mean) - 1)).toBeLessThan(DRAWN);
  });

  test('the forecast expects of the goal what has hatched and what the plan expects', async () => {
    const { sets, goals } = await ask('plan');
    const forecast = await ask('forecast');
    const { way } = await ask('summary');
    const sound = way.find((step: { stage: string }) => step.stage === 'sound').count;
    expect(forecast.goals[0].expected).toBe(goals[0].expected);
    expect(forecast.goals[0].expected - sound).toBeCloseTo(sets[0].expected, 6);
  });

  test('the diagnosis holds the eggs against the share that the rates hold', async () => {
    const mean = await rates();
    const { findings } = (await ask('diagnose')) as {
      findings: { cause: string; unit: string; estimate: number; low: number; high: number }[];
    };
    const of = (cause: string) => findings.find((one) => one.cause === cause)!;
    expect(of('low-fertility').unit).toBe('share of eggs set that were clear');
    expect(Math.abs(of('low-fertility').estimate - (1 - mean.get('fertile')!))).toBeLessThan(DRAWN);
    // Of the eggs moved that did not hatch, those that came out of the shell dead are told apart.
    expect(of('late-death').unit).toMatch(/^share of eggs moved/);
    const dead = of('handling').estimate;
    const unhatched = 1 - mean.get('hatched')!;
    expect(Math.abs(of('late-death').estimate + dead - unhatched)).toBeLessThan(DRAWN);
  });
});
