// A plan that takes a while, on a terminal: how far it is, the nearest plan before any way out, and Ctrl-C.
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { benchSeasons } from '../bench/planner-seasons.ts';
import { root } from '../harness/console.ts';
import { atTerminal, hasScript } from '../support/at-terminal.ts';

const folder = mkdtempSync(join(tmpdir(), 'traybook-planning-'));
afterAll(() => rmSync(folder, { recursive: true }));
const file = join(folder, 'season.yaml');
const large = benchSeasons.find(({ name }) => name === 'large')!.yaml;
const small = benchSeasons.find(({ name }) => name === 'small')!.yaml;
/** Six hens until March, and sixty chicks asked: more hens would do. */
const fewHens = `format: traybook/1
season: 2027
place: {name: Low Croft, timezone: Europe/London}
lines: {sussex: {species: chicken}}
pens: {north: {line: sussex, hens: 6, males: 2, joined: 2027-01-11, parted: 2027-03-10}}
setters: {cabinet: {trays: 6, tray_holds: {chicken: 40}}}
hatchers: {lower: {holds: {chicken: 120}, clean_days: 1}}
storage: {max_days: 7}
days_off: {set: [mon, tue, wed, thu, fri, sun]}
goals: [{line: sussex, want: chicks, count: 60, by: 2027-03-25, confidence: 0.8}]
`;
const CTRL_C = '\u0003';

test.skipIf(!hasScript)(
  'a long plan says how far it is, and Ctrl-C leaves all as it was',
  async () => {
    writeFileSync(file, large);
    const { screen, status } = await atTerminal(folder, '--now 2027-02-01T07:00 plan --write', [
      [
        /planning; Ctrl-C stops, nothing is written: \d+ sets? so far, at least \d+; \d+ programs/,
        CTRL_C,
      ],
    ]);
    expect(status).toBe(130);
    expect(screen).not.toMatch(/SETS|Error|at .*\.js/);
    expect(readFileSync(file, 'utf8')).toBe(large);
    expect(readdirSync(folder).filter((name) => name !== 'season.yaml')).toEqual([]);
  },
);

test.skipIf(!hasScript)('the nearest plan stands on the screen before any way out', async () => {
  writeFileSync(file, fewHens);
  const { screen, status } = await atTerminal(folder, '--now 2027-02-01T07:00 plan', []);
  expect(status).toBe(1);
  const at = (words: RegExp) => screen.search(words);
  expect(at(/cannot be met as asked/)).toBeGreaterThan(-1);
  expect(at(/way out: /)).toBeGreaterThan(at(/GOALS AND ORDERS/));
});

test('a pipe is told nothing but the plan', () => {
  writeFileSync(file, small);
  const { stdout, stderr, status } = spawnSync(
    process.execPath,
    [join(root, 'bin', 'traybook.js'), '--now', '2027-02-01T07:00', 'plan'],
    { cwd: folder, encoding: 'utf8' },
  );
  expect([status, stderr]).toEqual([0, '']);
  expect(stdout).toMatch(/sets to add/);
});
