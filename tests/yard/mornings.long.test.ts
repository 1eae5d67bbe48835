// Every morning of both example seasons, read back day by day: it fits a screen, and `--quiet` says
// nothing just where no alarm stands and no work but routine is due.
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { addDays, type Day, daysIn } from '../../src/text/day.ts';
import { root } from '../harness/console.ts';
import { answer } from '../support/in-process.ts';

type Morning = { alarms: unknown[]; tasks: { class: string; state: string; id: string }[] };

/** Lines and columns of a terminal. */
const LINES = 24;
const COLUMNS = 80;

describe.each([
  ['finished', '2026-02-01', '2026-12-05'],
  ['midseason', '2027-02-01', '2027-04-30'],
])('%s', (name, from, to) => {
  const folder = join(root, 'examples', name);
  const days = daysIn(from as Day, addDays(to as Day, 1));

  test('a morning is a screen, and quiet where nothing presses', async () => {
    let quiet = 0;
    for (const day of days) {
      const keeper = { now: `${day}T06:30` };
      const text = await answer(folder, ['today'], keeper);
      const lines = text.stdout.split('\n').slice(0, -1);
      expect(lines.length, `${day}\n${text.stdout}`).toBeLessThanOrEqual(LINES);
      for (const line of lines) expect([...line].length, line).toBeLessThanOrEqual(COLUMNS);
      const { alarms, tasks } = JSON.parse(
        (await answer(folder, ['--json', 'today'], keeper)).stdout,
      ) as Morning;
      const pressing = tasks.filter((one) => !['routine', 'coming'].includes(one.class));
      const mailed = (await answer(folder, ['today', '--quiet'], keeper)).stdout;
      const isQuiet = alarms.length === 0 && pressing.length === 0;
      expect(mailed, day).toBe(isQuiet ? '' : text.stdout);
      // What is said to be coming is not due, and what is said to be due is.
      for (const one of tasks)
        expect(one.class === 'coming', `${day} ${one.id}`).toBe(one.state === 'coming');
      if (isQuiet) quiet += 1;
    }
    expect(quiet).toBeGreaterThan(days.length / 10);
    expect(quiet).toBeLessThan(days.length);
  });
});
