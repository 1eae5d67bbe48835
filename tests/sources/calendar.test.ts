/**
 * The dates that a keeper's phone gets, read by ical.js, a parser of RFC 5545 that is not ours, and
 * the milestones of every species across both clock changes. Days to transfer and hatch are those
 * of the species table, which species.test.ts holds against two handbook charts.
 */
import ICAL from 'ical.js';
import { DateTime } from 'luxon';
import { expect, test } from 'vitest';
import { milestonesOf } from '../../src/facts/hatch-time.ts';
import { speciesTable } from '../../src/season/species.ts';
import type { Day } from '../../src/text/day.ts';
import { Barn } from '../harness/console.ts';

// Days of setting whose incubation spans the change to summer time, and the one back.
const zones: [zone: string, days: string[]][] = [
  ['Europe/London', ['2027-03-20', '2027-10-20']],
  ['America/Chicago', ['2027-03-06', '2027-10-30']],
  ['Australia/Hobart', ['2027-03-27', '2027-09-25']],
];
const cases = zones.flatMap(([zone, days]) =>
  days.flatMap((day) => Object.keys(speciesTable()).map((key) => [zone, day, key] as const)),
);

test.each(cases)('%s, set on %s: %s, as luxon counts', (zone, on, key) => {
  const species = speciesTable()[key]!;
  const dates = milestonesOf(species, { day: on as Day, time: '18:00' }, [], zone);
  const start = DateTime.fromISO(`${on}T18:00`, { zone });
  const plus = (days: number): string => start.plus({ days }).toISODate()!;
  expect(dates.transfer).toBe(plus(species.transfer_day.value));
  expect(dates.hatch).toBe(plus(species.hatch_day.value));
  expect(dates.candle).toEqual(species.candle_days.value.map(plus));
  // The hour runs on real time: one hour off the wall clock of setting, forward or back.
  const end = start.plus({ hours: species.hatch_day.value * 24 });
  expect(dates.hatchAt).toBe(end.toFormat("yyyy-MM-dd'T'HH:mm"));
  expect(end.offset === start.offset).toBe(dates.hatchAt!.endsWith('18:00'));
  expect(end.offset).not.toBe(start.offset);
});

test('the calendar of a season as ical.js reads it: folded, and importing it again moves and doubles nothing', async () => {
  const barn = new Barn();
  try {
    barn.enter('none', '2027-03-01T07:00');
    const began = await barn.run(
      `traybook new s --place 'Cold Ash; été, 2' --zone Europe/London && cd s && sed -i 's/plan: \\[\\]/plan: [{set: A1, on: 2027-03-06, trays: [1], shares: {main: 30}}]/' season.yaml`,
    );
    expect(began.stderr).toBe('');
    const once = (await barn.run('traybook calendar')).stdout;
    await barn.run('traybook add eggs main --kept 30 --on 2027-03-01');
    await barn.run('traybook --now 2027-03-06T09:00 add set A1 --as-planned');
    const twice = (await barn.run('traybook --now 2027-03-07T09:00 calendar')).stdout;
    const read = (text: string): Map<string, string> =>
      new Map(
        new ICAL.Component(ICAL.parse(text)).getAllSubcomponents('vevent').map((one) => {
          const event = new ICAL.Event(one);
          // A hatch of eggs set at a known minute is expected at an hour; all else is of a day.
          expect(event.startDate.isDate || event.uid.endsWith('/hatch@traybook')).toBe(true);
          return [event.uid, `${event.startDate} ${event.endDate}`] as const;
        }),
      );
    const first = read(once);
    expect(first.size).toBeGreaterThanOrEqual(8);
    expect(once.match(/BEGIN:VEVENT/g)).toHaveLength(first.size);
    // What is done leaves, and nothing else is new.
    const second = read(twice);
    const kindsOf = (some: Iterable<string>): string[] =>
      [...some].map((uid) => uid.split('/').at(-1)!).sort();
    expect(kindsOf([...first.keys()].filter((uid) => !second.has(uid)))).toEqual(['set@traybook']);
    expect(kindsOf([...second.keys()].filter((uid) => !first.has(uid)))).toEqual([]);
    // Once the minute of setting is known a hatch has an hour; no other day moves.
    for (const [uid, days] of second)
      if (!uid.endsWith('/hatch@traybook')) expect(first.get(uid)).toBe(days);
    expect(twice.match(/BEGIN:VEVENT/g)).toHaveLength(second.size);
    for (const line of once.split('\n')) expect(Buffer.byteLength(line)).toBeLessThanOrEqual(76);
  } finally {
    barn.close();
  }
});
