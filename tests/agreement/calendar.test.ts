// Today and the calendar of one moment name the same tasks, days and counts; what was given out keeps
// its identity over a moved set, a voided set and a renamed place. Two parsers that are not ours read it.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import ICAL from 'ical.js';
import { sync as nodeIcal } from 'node-ical';
import { describe, expect, test } from 'vitest';
import { answerTo } from '../../src/cli.ts';
import { tasksOf } from '../../src/facts/tasks/tasks.ts';
import { withLedger } from '../../src/tables/calendar-ledger.ts';
import { type CalendarEvent, calendarFile, shortTitle } from '../../src/tables/ics.ts';
import { addDays } from '../../src/text/day.ts';
import { hill, nowAt, seasonOf, type Written } from '../support/season.ts';

const plan = (on: string): string =>
  `${hill}plan:\n  - {set: A1, on: ${on}, setter: cabinet, trays: [1], shares: {orchard: 30}}\n`;
const eggs: Written[] = [['eggs', '2027-03-05', { pen: 'orchard', laid: 40, kept: 40 }]];

function eventsOf(yaml: string, rows: Written[], on: string): CalendarEvent[] {
  return tasksOf(seasonOf(yaml, rows), nowAt(on), 400)
    .filter((task) => task.class !== 'routine')
    .map((task) => ({
      uid: `farm/${task.id}@traybook`,
      from: task.due,
      to: addDays(task.until, 1),
      title: shortTitle(task),
      place: task.place ?? undefined,
    }));
}

type Read = { uid: string; start: string; summary: string; sequence: number; status: string };

function bothRead(events: readonly CalendarEvent[]): Read[] {
  const text = calendarFile({ name: 'Cold Ash', stamp: '2027-03-06T07:00:00.000Z', events });
  const first = new ICAL.Component(ICAL.parse(text)).getAllSubcomponents('vevent').map((one) => ({
    uid: String(one.getFirstPropertyValue('uid')),
    start: String(one.getFirstPropertyValue('dtstart')),
    summary: String(one.getFirstPropertyValue('summary')),
    sequence: Number(one.getFirstPropertyValue('sequence')),
    status: String(one.getFirstPropertyValue('status') ?? ''),
  }));
  const second = Object.values(nodeIcal.parseICS(text)).flatMap((one) =>
    one !== undefined && one.type === 'VEVENT'
      ? [
          {
            uid: one.uid,
            summary: one.summary,
            sequence: Number(one.sequence),
            status: String(one.status ?? ''),
          },
        ]
      : [],
  );
  const byUid = <T extends { uid: string }>(all: T[]): T[] =>
    [...all].sort((a, b) => (a.uid < b.uid ? -1 : 1));
  expect(byUid(second)).toEqual(byUid(first).map(({ start, ...rest }) => rest));
  return first;
}

test('a moved set rises in sequence, a dropped one is cancelled, what did not change stays', () => {
  const one = withLedger(
    {},
    eventsOf(plan('2027-03-06'), eggs, '2027-03-06'),
    '2027-03-06' as never,
  );
  const before = bothRead(one.events);
  expect(before.find((event) => event.uid === 'farm/A1/transfer@traybook')).toMatchObject({
    start: '2027-03-24',
    summary: 'A1 → lower (30)',
    sequence: 0,
  });
  expect(before.every((event) => event.sequence === 0 && event.status === '')).toBe(true);
  const same = withLedger(
    one.ledger,
    eventsOf(plan('2027-03-06'), eggs, '2027-03-06'),
    '2027-03-06' as never,
  );
  expect(bothRead(same.events)).toEqual(before);
  const moved = withLedger(
    one.ledger,
    eventsOf(plan('2027-03-08'), eggs, '2027-03-06'),
    '2027-03-06' as never,
  );
  expect(
    bothRead(moved.events).find((event) => event.uid === 'farm/A1/transfer@traybook'),
  ).toMatchObject({ start: '2027-03-26', sequence: 1, status: '' });
  const dropped = withLedger(
    moved.ledger,
    eventsOf(hill, eggs, '2027-03-06'),
    '2027-03-06' as never,
  );
  const gone = bothRead(dropped.events).filter((event) => event.uid.includes('/A1/'));
  expect(gone.length).toBeGreaterThan(0);
  expect(gone.every((event) => event.status === 'CANCELLED')).toBe(true);
  expect(gone.find((event) => event.uid === 'farm/A1/transfer@traybook')).toMatchObject({
    sequence: 2,
  });
  // Told again, no higher; and no more once its day is past.
  const again = withLedger(
    dropped.ledger,
    eventsOf(hill, eggs, '2027-03-06'),
    '2027-03-06' as never,
  );
  expect(bothRead(again.events)).toEqual(bothRead(dropped.events));
  expect(withLedger(dropped.ledger, [], '2027-06-06' as never).events).toEqual([]);
});

test('a renamed place moves no date and keeps every identity', () => {
  const one = withLedger(
    {},
    eventsOf(plan('2027-03-06'), eggs, '2027-03-06'),
    '2027-03-06' as never,
  );
  const renamed = plan('2027-03-06').replace('name: Cold Ash', 'name: Warm Oak');
  const two = withLedger(one.ledger, eventsOf(renamed, eggs, '2027-03-06'), '2027-03-06' as never);
  expect(bothRead(two.events)).toEqual(bothRead(one.events));
});

/** What `calendar` prints at an instant by the clock: only then is it given to a phone, and noted. */
async function given(cwd: string, day: string, ...words: string[]): Promise<Map<string, Given>> {
  const { stdout, exit } = await answerTo(['calendar', ...words], {
    cwd,
    env: {},
    instant: Date.parse(`${day}T06:00:00Z`),
    random: (bytes) => new Uint8Array(bytes),
    isTerminal: false,
    columns: undefined,
    canAsk: false,
  });
  expect(exit).toBe(0);
  const calendar = new ICAL.Component(ICAL.parse(stdout));
  const kind = words.includes('--tasks') ? 'vtodo' : 'vevent';
  const all = calendar.getAllSubcomponents(kind);
  expect(all).toHaveLength(calendar.getAllSubcomponents().length);
  const text = (one: ICAL.Component, name: string): string =>
    String(one.getFirstPropertyValue(name) ?? '');
  const out = new Map(
    all.map((one): [string, Given] => [
      text(one, 'uid').replace(/^farm\/|@traybook$/g, ''),
      {
        start: text(one, 'dtstart'),
        end: text(one, kind === 'vtodo' ? 'due' : 'dtend'),
        sequence: Number(text(one, 'sequence')),
        status: text(one, 'status'),
      },
    ]),
  );
  // RFC 5545, 3.8.4.7: persistent and unique.
  expect(out.size).toBe(all.length);
  return out;
}

type Given = { start: string; end: string; sequence: number; status: string };

/** A season folder with eggs in store and a set, written by the program; `also` is more command lines. */
async function folderWith(...lines: string[]): Promise<string> {
  const folder = mkdtempSync(join(tmpdir(), 'traybook-calendar-'));
  writeFileSync(
    join(folder, 'season.yaml'),
    hill.replace('season: 2027', 'season: 2027\nid: farm'),
  );
  await typed(
    folder,
    'add eggs orchard --laid 9 --kept 9 --on 2027-03-05',
    'add set A1 --pen orchard --eggs 9 --setter cabinet --tray 1 --on 2027-03-06T18:00',
    ...lines,
  );
  return folder;
}

async function typed(cwd: string, ...lines: string[]): Promise<void> {
  for (const line of lines) {
    const { exit, stderr } = await answerTo(line.split(' '), {
      cwd,
      env: { TRAYBOOK_NOW: '2027-03-31' },
      instant: Date.parse('2027-03-31T06:00:00Z'),
      random: (bytes) => crypto.getRandomValues(new Uint8Array(bytes)),
      isTerminal: false,
      columns: undefined,
      canAsk: false,
    });
    expect([line, exit], stderr).toEqual([line, 0]);
  }
}

// RFC 5545: 3.8.7.4 SEQUENCE begins at 0 and never falls; 3.8.1.11 CANCELLED for events and to-dos alike.
describe('what a phone was given', () => {
  test('a voided set is cancelled under the identities it had, and comes back above them', async () => {
    const folder = await folderWith();
    const first = await given(folder, '2027-03-07');
    expect([...first.keys()].sort()).toEqual(
      ['candle-1', 'clean', 'damp-up', 'hatch', 'last-opening', 'transfer', 'watch'].map(
        (kind) => `A1/${kind}`,
      ),
    );
    await typed(folder, 'void last');
    const gone = await given(folder, '2027-03-08');
    expect([...gone.keys()].sort()).toEqual([...first.keys()].sort());
    for (const [uid, one] of gone)
      expect([uid, one.sequence, one.status]).toEqual([uid, 1, 'CANCELLED']);
    await typed(
      folder,
      'add set A1 --pen orchard --eggs 9 --setter cabinet --tray 1 --on 2027-03-06T18:00 --again',
    );
    for (const [uid, one] of await given(folder, '2027-03-09'))
      expect([uid, one]).toEqual([uid, { ...first.get(uid)!, sequence: 2 }]);
    rmSync(folder, { recursive: true });
  });

  test('work done in time is cancelled, work past is left as it was', async () => {
    const folder = await folderWith();
    await given(folder, '2027-03-12');
    await typed(folder, 'add candling A1 --clear 1 --on 2027-03-13');
    const done = await given(folder, '2027-03-13');
    expect(done.get('A1/candle-1')).toMatchObject({ sequence: 1, status: 'CANCELLED' });
    // Its count is in its title, so it is told anew; its day is not moved.
    expect(done.get('A1/transfer')).toMatchObject({
      start: '2027-03-24',
      end: '2027-03-25',
      sequence: 1,
      status: '',
    });
    await typed(folder, 'add transfer A1 --moved 8 --on 2027-03-24');
    const later = await given(folder, '2027-03-25');
    // Half-open: a day that ended this morning is past.
    expect(later.has('A1/transfer')).toBe(false);
    expect(later.has('A1/candle-1')).toBe(false);
    rmSync(folder, { recursive: true });
  });

  test('a hatch that moves by hours alone is a change too', async () => {
    const folder = await folderWith();
    const hatch = async (day: string) => (await given(folder, day)).get('A1/hatch')!;
    expect(await hatch('2027-03-10')).toMatchObject({ start: '2027-03-27T18:00:00Z', sequence: 0 });
    await typed(
      folder,
      'add reading cabinet --event power-off --minutes 360 --room 14 --on 2027-03-11T03:00',
    );
    const moved = await hatch('2027-03-12');
    expect(moved.start > '2027-03-27T18:00:00Z' && moved.start < '2027-03-28').toBe(true);
    expect(moved.sequence).toBe(1);
    expect(await hatch('2027-03-12')).toEqual(moved);
    rmSync(folder, { recursive: true });
  });

  test('what was past and comes again on another day keeps its number and goes on from it', async () => {
    const plan = (on: string) =>
      `plan:\n  - {set: A2, on: ${on}, setter: cabinet, trays: [2], shares: {orchard: 9}}\n`;
    const folder = await folderWith();
    const file = join(folder, 'season.yaml');
    const yaml = readFileSync(file, 'utf8');
    const setting = async (day: string) => (await given(folder, day)).get('A2/set');
    writeFileSync(file, yaml + plan('2027-03-12'));
    expect(await setting('2027-03-08')).toMatchObject({ start: '2027-03-12', sequence: 0 });
    writeFileSync(file, yaml + plan('2027-03-13'));
    expect(await setting('2027-03-08')).toMatchObject({ start: '2027-03-13', sequence: 1 });
    writeFileSync(file, yaml);
    expect(await setting('2027-03-20')).toBeUndefined();
    writeFileSync(file, yaml + plan('2027-03-27'));
    expect(await setting('2027-03-20')).toMatchObject({ start: '2027-03-27', sequence: 2 });
    rmSync(folder, { recursive: true });
  });

  test('things to do: the same identities and numbers, due after they begin, in dates or in instants', async () => {
    const folder = await folderWith();
    const events = await given(folder, '2027-03-07');
    const tasks = await given(folder, '2027-03-07', '--tasks');
    expect(tasks).toEqual(events);
    // RFC 5545, 3.6.2 and 3.8.2.3: DUE is of the type of DTSTART, and later.
    for (const { start, end } of tasks.values()) {
      expect(end.length).toBe(start.length);
      expect(end > start).toBe(true);
    }
    await typed(folder, 'void last');
    for (const one of (await given(folder, '2027-03-08', '--tasks')).values())
      expect(one).toMatchObject({ sequence: 1, status: 'CANCELLED' });
    rmSync(folder, { recursive: true });
  });

  test('a morning that is looked at again is not noted', async () => {
    const folder = await folderWith();
    await given(folder, '2027-03-07', '--now', '2027-03-07');
    await typed(folder, 'void last');
    expect((await given(folder, '2027-03-08')).size).toBe(0);
    rmSync(folder, { recursive: true });
  });
});
