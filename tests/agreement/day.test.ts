// What there is to do on a day is asked of one function: the screen of today, its list to tick, its
// JSON, both calendars and the printed day name the same tasks with the same days and counts.
import { join } from 'node:path';
import ICAL from 'ical.js';
import { beforeAll, describe, expect, test } from 'vitest';
import { addDays, type Day } from '../../src/text/day.ts';
import { exampleNow, root } from '../harness/console.ts';
import { answer } from '../support/in-process.ts';

type Told = {
  id: string;
  kind: string;
  class: string;
  state: string;
  due: Day;
  until: Day;
  place: string | null;
  count: number | null;
  title: string;
};
type Morning = { date: Day; headline: string; alarms: { title: string }[]; tasks: Told[] };

/** Mornings on which both kinds of incubator, pens and birds have work, and some on which little is due. */
const mornings: Readonly<Record<string, readonly string[]>> = {
  finished: ['2026-03-07T07:00', '2026-04-18T07:00', '2026-06-13T20:30', exampleNow.finished!],
  midseason: ['2027-02-20T07:00', '2027-03-27T12:00', exampleNow.midseason!, '2027-05-09T06:00'],
};

const words = (text: string): string => text.replace(/\s+/g, ' ');
/** The text of a page, its lists and lines as `[heading, items]`. */
const htmlWords = (html: string): string =>
  words(
    html
      .replace(/<[^>]*>/g, '')
      .replaceAll('&lt;', '<')
      .replaceAll('&gt;', '>')
      .replaceAll('&quot;', '"')
      .replaceAll('&#39;', "'")
      .replaceAll('&amp;', '&'),
  ).trim();
const byId = <T extends { id: string }>(all: readonly T[]): T[] =>
  [...all].sort((a, b) => (a.id < b.id ? -1 : 1));

describe.each(
  Object.entries(mornings).flatMap(([season, all]) => all.map((now) => [season, now] as const)),
)('%s, %s', (season, now) => {
  const ask = async (line: string): Promise<string> => {
    const { code, stdout, stderr } = await answer(join(root, 'examples', season), line.split(' '), {
      now,
    });
    expect([code, stderr.replace(/^\d+ rows? .*\n/m, '')], line).toEqual([0, '']);
    return stdout;
  };
  let morning: Morning;
  let dated: Told[];
  beforeAll(async () => {
    morning = JSON.parse(await ask('today --json'));
    dated = morning.tasks.filter((task) => task.class !== 'routine');
  });

  test('the counts of the headline are those of its tasks', () => {
    const pressing = dated.filter((task) => task.class !== 'coming');
    const late = pressing.filter((task) => task.state === 'overdue').length;
    expect(morning.headline).toBe(
      [
        `${pressing.length - late} due`,
        ...(late > 0 ? [`${late} overdue`] : []),
        ...(morning.alarms.length > 0
          ? [`${morning.alarms.length} alarm${morning.alarms.length > 1 ? 's' : ''}`]
          : []),
      ].join(', '),
    );
  });

  test('the screen in full names each task by its id and words, in the order of the JSON', async () => {
    const text = await ask('today --full');
    expect(text.split('\n')[1]).toBe(morning.headline);
    const places = dated.map((task) => text.indexOf(`\n  ${task.id} `));
    expect(places.filter((at) => at < 0)).toEqual([]);
    expect(places).toEqual([...places].sort((a, b) => a - b));
    const read = words(text);
    for (const task of dated) expect(read).toContain(words(task.title));
    const ids = [...text.matchAll(/^ {2}([\w-]+\/[\w/.-]+) /gm)].map((one) => one[1]);
    expect(ids).toEqual(dated.map((task) => task.id));
  });

  test('the list to tick has one box for each task, of every day too', async () => {
    const list = await ask('today --md');
    const ids = [...list.matchAll(/^- \[ \] .*\(`(.*)`\)$/gm)].map((one) => one[1]);
    expect(ids.slice(morning.alarms.length)).toEqual(morning.tasks.map((task) => task.id));
    expect(list.split('\n')[2]).toBe(morning.headline);
  });

  test('both calendars have the same dates, days, counts and places', async () => {
    const calendars: Told[] = [];
    for (const words of ['calendar', 'calendar --heat'])
      calendars.push(...JSON.parse(await ask(`${words} --json`)).dates);
    const last = addDays(morning.date, 3);
    const said = ({ id, kind, due, until, count, place, title }: Told) => ({
      id,
      kind,
      due,
      until,
      count,
      place,
      title,
    });
    expect(byId(calendars.filter((one) => one.due <= last)).map(said)).toEqual(
      byId(dated).map(said),
    );
    const events = ['calendar', 'calendar --heat'];
    const read = [];
    for (const words of events)
      read.push(
        ...new ICAL.Component(ICAL.parse(await ask(words)))
          .getAllSubcomponents('vevent')
          .map((one) => ({
            id: String(one.getFirstPropertyValue('uid')).replace(/^[^/]*\/|@traybook$/g, ''),
            day: String(one.getFirstPropertyValue('dtstart')).slice(0, 10),
            text: String(one.getFirstPropertyValue('description')),
          })),
      );
    expect(byId(read).map(({ id }) => id)).toEqual(byId(calendars).map(({ id }) => id));
    const byName = new Map(read.map((one) => [one.id, one]));
    for (const { id, kind, due, until, title } of calendars) {
      const { day, text } = byName.get(id)!;
      // A hatch stands at its expected hour, which lies in its days.
      if (kind === 'hatch') expect(day >= due && day <= until, id).toBe(true);
      else expect(day, id).toBe(due);
      expect(text.startsWith(`${title}; `), id).toBe(true);
    }
  });

  test('the printed day has the same boxes, and the rest in lines', async () => {
    const page = await ask('sheet day');
    const boxes = [...page.matchAll(/<li>(.*?)<\/li>/gs)].map((one) => htmlWords(one[1]!));
    const pressing = dated.filter((task) => task.class !== 'coming');
    const isLate = (task: Told) => task.state === 'overdue';
    expect(boxes).toEqual(
      [...pressing.filter(isLate), ...pressing.filter((task) => !isLate(task))].map((task) =>
        words(task.title),
      ),
    );
    const line = (heading: string): string =>
      htmlWords(
        new RegExp(`<h2>${heading}</h2>\\s*<p class="line">(.*?)</p>`, 's').exec(page)?.[1] ?? '',
      );
    const coming = dated.filter((task) => task.class === 'coming');
    const titles = (all: readonly Told[]): string => words(all.map((one) => one.title).join('; '));
    expect(line('Coming').replace(/(^|; )\w{3} \d{1,2} \w{3}: /g, '$1')).toBe(
      coming.length === 0 ? '' : `${titles(coming)}.`,
    );
    const routine = morning.tasks.filter((task) => task.class === 'routine');
    const rest = [line('Every day'), line('Long overdue')].filter((one) => one !== '');
    expect(
      rest
        .join(' ')
        .split(/[;.] ?/)
        .filter(Boolean).length,
    ).toBeGreaterThanOrEqual(routine.length);
    for (const task of routine) expect(rest.join(' ')).toContain(words(task.title));
  });
});
