// What a plan promised is what the forecast gives, what `check` accepts, and what `plan` leaves alone.
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { isOnCourse } from '../../src/facts/claims.ts';
import { answer } from '../support/in-process.ts';

const home = mkdtempSync(join(tmpdir(), 'traybook-promise-'));
afterAll(() => rmSync(home, { recursive: true }));

const season = `format: traybook/1
season: 2027
place: {name: Test, timezone: UTC, altitude_m: 0}
lines: {grey: {species: chicken}}
pens: {ash: {line: grey, hens: 10, males: 1, joined: 2027-02-01}}
setters: {cabinet: {trays: 3, tray_holds: {chicken: 40}}}
hatchers: {lower: {holds: {chicken: 60}}}
goals:
  - {line: grey, want: pullets, count: 12, by: 2027-10-15, confidence: 0.9}
  - {line: grey, want: chicks, count: 8, by: 2027-05-20, confidence: 0.8, fate: sold}
plan: []
`;

test('plan --write, then plan, forecast and check of one moment', async () => {
  writeFileSync(join(home, 'season.yaml'), season);
  const ask = async (...words: string[]) => {
    const { code, stdout, stderr } = await answer(home, words, { now: '2027-02-01T08:00' });
    expect([words, code, stderr]).toEqual([words, 0, expect.anything()]);
    return stdout;
  };
  const written = JSON.parse(await ask('plan', '--write', '--json'));
  const again = JSON.parse(await ask('plan', '--json'));
  const forecast = JSON.parse(await ask('forecast', '--json'));
  expect(written.sets.length).toBeGreaterThan(0);
  expect(again.sets.map((one: { set: string }) => one.set)).toEqual(
    written.sets.map((one: { set: string }) => one.set),
  );
  for (const [i, goal] of written.goals.entries()) {
    const { probability, met } = forecast.goals[i];
    expect(Math.abs(probability - goal.probability)).toBeLessThan(0.01);
    expect([goal.met, again.goals[i].met, met]).toEqual([true, true, true]);
  }
  expect(await ask('check')).toMatch(/nothing wrong/);
});

test('what a plan expects of its sets is what it expects of the one goal they are for', async () => {
  // Hens that lay little: not every egg that is planned for comes.
  const one = season
    .replace(
      /goals:[\s\S]*plan/,
      `goals:\n  - {line: grey, want: chicks, count: 14, by: 2027-06-20}\nplan`,
    )
    .replace(
      'pens: {ash: ',
      'pens: {elm: {line: grey, hens: 3, males: 1, joined: 2027-02-01}, ash: ',
    );
  writeFileSync(join(home, 'season.yaml'), one);
  const ask = async (...words: string[]) =>
    JSON.parse((await answer(home, [...words, '--json'], { now: '2027-02-01T08:00' })).stdout);
  const sum = ({ sets }: { sets: { expected: number }[] }) =>
    sets.reduce((all, { expected }) => all + expected, 0);
  const before = await ask('plan', '--write');
  expect(before.sets.length).toBeGreaterThan(0);
  expect(sum(before)).toBeCloseTo(before.goals[0].expected, 6);
  const after = await ask('plan');
  expect(after.sets.map(({ kept }: { kept: boolean }) => kept)).not.toContain(false);
  expect(sum(after)).toBeCloseTo(after.goals[0].expected, 6);
  expect((await ask('forecast')).goals[0].expected).toBe(after.goals[0].expected);
});

test('on course: a chance within the error of the simulation and one point of what was asked', () => {
  // Two standard errors of 0.9 in 3,600 draws are exactly one point: with the other, two.
  expect(isOnCourse(0.881, 0.9, 3600)).toBe(true);
  expect(isOnCourse(0.88 + 1e-9, 0.9, 3600)).toBe(true);
  expect(isOnCourse(0.879, 0.9, 3600)).toBe(false);
});
