// The work with birds by their age: the day before, on and after. Ages of dual-purpose chickens
// (seeds/growth.yaml, brooding.yaml): grower from day 42, toe punches at 14, sexed from 70 to 98,
// table from 84 to 119, lay from 147 to 182; out of the heat at 42, hardened five to seven days before.
import { describe, expect, test } from 'vitest';
import { brood, brooded } from '../../../tests/support/broods.ts';
import { nowAt, seasonOf, type Written } from '../../../tests/support/season.ts';
import { flockTasks } from './bird-tasks.ts';

const MARCH = '2027-03-01';
const chicks = brood('A', 'orchard', MARCH, 20);
const punched = brood('A', 'orchard', MARCH, 20, 'barn', 'Toe 1');
const tasks = (rows: readonly Written[], now: string, file = brooded, time = '07:00') =>
  flockTasks(seasonOf(file, rows), { ...nowAt(now), time });
const one = (id: string, ...args: Parameters<typeof tasks>) =>
  tasks(...args).find((task) => task.id === id);
const windows = (...args: Parameters<typeof tasks>) =>
  tasks(...args)
    .filter((task) => task.set !== null)
    .map(({ id, due, until, count, place }) => [id, due, until, count, place]);
const later = (...rows: Written[]): Written[] => [...chicks, ...rows];

test('the life of a group, each work in its window', () => {
  expect(windows(punched, MARCH)).toEqual([
    ['A/harden', '2027-04-05', '2027-04-07', 20, 'barn'],
    ['A/move-out', '2027-04-12', '2027-04-19', 20, 'barn'],
    ['A/feed-2', '2027-04-12', '2027-04-19', 20, null],
    ['A/mark', '2027-03-15', '2027-03-18', 20, null],
    ['A/sex', '2027-05-10', '2027-06-07', 20, null],
    ['A/point-of-lay', '2027-07-26', '2027-08-30', null, null],
  ]);
  const sexed = later(['sexing', '2027-05-01', { group: 'A', pullets: 11, cockerels: 9 }]);
  expect(windows(sexed, '2027-05-01').slice(3)).toEqual([
    ['A/table', '2027-05-24', '2027-06-28', 9, null],
    ['A/point-of-lay', '2027-07-26', '2027-08-30', 11, null],
  ]);
});

test('a group of which nobody lives has no work, and one outside need not move out', () => {
  const dead = later(['loss', '2027-03-05', { group: 'A', birds: 20 }]);
  expect(tasks(dead, '2027-03-06')).toEqual([]);
  const out = later(['move', '2027-04-12', { group: 'A', to: 'out', birds: 20 }]);
  expect(windows(out, '2027-04-13').map(([id]) => id)).toEqual([
    'A/feed-2',
    'A/sex',
    'A/point-of-lay',
  ]);
});

test('of a group in two places those in the brooder move out', () => {
  const some = later(['move', '2027-04-01', { group: 'A', to: 'out', birds: 12 }]);
  expect(one('A/move-out', some, '2027-04-02')).toMatchObject({
    count: 8,
    place: 'barn',
    title: 'Move 8 birds of A out of barn',
    settle: 'add move A --to out --birds 8',
  });
  expect(one('A/sex', some, '2027-04-02')!.count).toBe(20);
});

test('the nights decide where they are known, and say so', () => {
  const normals = (apr: number, mar = 3) =>
    brooded.replace(
      'lines:',
      `normals:\n  mar: {low: ${mar}, high: 18}\n  apr: {low: ${apr}, high: 18}\n  may: {low: 12, high: 20}\nlines:`,
    );
  const why = (file: string) => one('A/move-out', chicks, MARCH, file)!;
  expect(why(brooded).why).toContain('by age alone: no nights are known; they can meet 15 °C');
  expect(why(normals(6))).toMatchObject({ due: '2027-04-26', until: '2027-05-03' });
  expect(why(normals(6)).why).toContain('nights of 5 °C suit them, not before');
  expect(why(normals(15)).due).toBe('2027-04-12');
  expect(why(normals(15)).why).toContain('nights of 10 °C suit them, not before');
  expect(why(normals(16, 16)).why).toMatch(
    /^nights of 15 °C suit them; nine nights in ten: not known/,
  );
});

test('a change of feed is told until the next, and four weeks at the most', () => {
  const feeds = (now: string, pen = 'orchard') =>
    tasks(brood('A', pen, MARCH, 20), now)
      .filter((task) => task.kind === 'feed')
      .map((task) => task.id);
  expect(feeds('2027-05-10')).toEqual(['A/feed-2']);
  expect(feeds('2027-05-11')).toEqual([]);
  // Turkeys change feed more often: the one before is left out on the day of the next.
  const all = tasks(brood('A', 'wood', MARCH, 20), MARCH).filter((task) => task.kind === 'feed');
  expect(all.length).toBeGreaterThan(1);
  const [first, second] = all;
  expect(feeds(first!.due, 'wood')).toContain('A/feed-2');
  expect(feeds(second!.due, 'wood')).not.toContain('A/feed-2');
  expect(one('A/feed-2', chicks, MARCH)!.title).toBe('Change A to grower, 16 % protein');
});

test('toe punches are looked at again for four weeks, bands are not', () => {
  expect(one('A/mark', punched, '2027-03-29')).toMatchObject({
    due: '2027-03-15',
    until: '2027-03-18',
  });
  expect(one('A/mark', punched, '2027-03-30')).toBeUndefined();
  expect(
    one('A/mark', brood('A', 'orchard', MARCH, 20, 'barn', 'band red'), MARCH),
  ).toBeUndefined();
  expect(one('A/mark', chicks, MARCH)).toBeUndefined();
});

test('a sexing from the first age on settles it; the line may say its own age', () => {
  // The first signs show at four weeks.
  const sexing = (on: string): Written => [
    'sexing',
    on,
    { group: 'A', pullets: 10, cockerels: 10 },
  ];
  expect(one('A/sex', later(sexing('2027-03-28')), '2027-05-10')).toBeDefined();
  expect(one('A/sex', later(sexing('2027-03-29')), '2027-05-10')).toBeUndefined();
  const own = brooded.replace(
    'class: dual-purpose, down',
    'class: dual-purpose, sexing_age_days: 20, down',
  );
  expect(one('A/sex', chicks, MARCH, own)).toMatchObject({
    due: '2027-03-21',
    until: '2027-03-21',
  });
  expect(one('A/sex', chicks, MARCH, own)!.why).toContain(
    '20 days of age, as season.yaml says of sussex',
  );
  expect(one('A/sex', later(sexing('2027-03-20')), '2027-05-10', own)).toBeDefined();
  expect(one('A/sex', later(sexing('2027-03-21')), '2027-05-10', own)).toBeUndefined();
});

test('table and lay are asked where there are birds of that sex', () => {
  const sexed = (pullets: number, cockerels: number) =>
    windows(later(['sexing', '2027-05-01', { group: 'A', pullets, cockerels }]), '2027-05-02')
      .map(([id]) => id)
      .slice(3);
  expect(sexed(20, 0)).toEqual(['A/point-of-lay']);
  expect(sexed(0, 20)).toEqual(['A/table']);
  const own = brooded.replace(
    'class: dual-purpose, down',
    'class: dual-purpose, point_of_lay_days: 190, down',
  );
  expect(one('A/point-of-lay', chicks, MARCH, own)).toMatchObject({
    due: '2027-09-07',
    until: '2027-09-07',
  });
});

describe('the daily round', () => {
  test('names the feed by age, and layer feed for hens from point of lay on', () => {
    const title = (now: string, ...rows: Written[]) =>
      one(`A/${now}/water`, later(...rows), now)!.title;
    expect(title('2027-04-11')).toBe('Feed, water and count A: 20 birds, starter');
    expect(title('2027-04-12')).toBe('Feed, water and count A: 20 birds, grower');
    // The first hens lay at 147 days.
    expect(title('2027-07-25')).toBe('Feed, water and count A: 20 birds, grower');
    expect(title('2027-07-26')).toBe(
      'Feed, water and count A: 20 birds, grower, layer for hens that lay',
    );
    const males: Written = ['sexing', '2027-05-01', { group: 'A', pullets: 0, cockerels: 20 }];
    expect(title('2027-07-26', males)).toBe('Feed, water and count A: 20 birds, grower');
    expect(one('A/2027-03-02/water', chicks, '2027-03-02')).toMatchObject({
      daily: true,
      place: 'barn',
      count: 20,
    });
  });

  test('a hot day asks for shade in a hoop or a tunnel', () => {
    const shade = (high: number, housing = 'hoop') =>
      one(
        'hoop/2027-06-10/shade',
        [
          ...brood('A', 'orchard', '2027-06-01', 20, 'hoop'),
          ['weather', '2027-06-10', { low: 12, high }],
        ],
        '2027-06-10',
        brooded.replace('housing: hoop', `housing: ${housing}`),
      );
    // From 27 °C (seeds/brooding.yaml).
    expect(shade(26.9)).toBeUndefined();
    expect(shade(27)).toMatchObject({
      due: '2027-06-10',
      title: 'Shade and air for hoop: 27 °C expected',
    });
    expect(shade(27, 'tunnel')).toBeDefined();
    expect(shade(27, 'house')).toBeUndefined();
  });

  test('without a known high nobody shades', () => {
    const rows = brood('A', 'orchard', '2027-06-01', 20, 'hoop');
    expect(one('hoop/2027-06-10/shade', rows, '2027-06-10')).toBeUndefined();
  });
});

describe('chicks that wait for a brooder', () => {
  const waiting = brood('A', 'orchard', '2027-03-01T08:00', 20).filter(
    ([name]) => name !== 'group',
  );
  const task = (now: string, time: string, file = brooded, rows: readonly Written[] = waiting) =>
    one('SA/brood', rows, now, file, time)!;

  test('say for how long, and what is the limit', () => {
    expect(task('2027-03-02', '09:00')).toMatchObject({
      due: '2027-03-01',
      until: '2027-03-02',
      count: 20,
      pen: 'orchard',
      title: '20 chicks of SA wait 25 h: heat, water, feed',
      why: 'before 48 hours; 72 is the limit of survival, not a target',
      settle: 'add group NAME --set SA --pen orchard --brooder BROODER --chicks 20',
    });
    expect(task('2027-03-04', '07:59').why).toContain('not a target');
    expect(task('2027-03-04', '08:00').why).toBe('past 72 hours, the limit of survival');
    const noMinute = brood('A', 'orchard', MARCH, 20).filter(([name]) => name !== 'group');
    expect(task('2027-03-02', '09:00', brooded, noMinute).title).toContain('wait 9–33 h');
  });

  test('are settled by a group, by those who buy them, or by a tick', () => {
    const single = brooded.replace(/ {2}hoop: .*\n/, '');
    expect(task('2027-03-02', '09:00', single).settle).toContain('--brooder barn --chicks 20');
    const bare = brooded.replace(/brooders:\n(?: {2}\w+: .*\n)+/, '');
    expect(task('2027-03-02', '09:00', bare).settle).toBe('add tick SA/brood');
    const toGo: Written[] = [
      ...waiting,
      ['group', '2027-03-01T09:00', { group: 'A', set: 'SA', pen: 'orchard', chicks: 20 }],
    ];
    expect(task('2027-03-02', '09:00', brooded, toGo).settle).toBe(
      'add leaving A --sex unknown --birds 20 --way sold',
    );
  });

  test('of two pens the pen is asked for', () => {
    const second = brood('A', 'yard', '2027-03-01T08:00', 10).filter(([name]) => name !== 'group');
    expect(task('2027-03-02', '09:00', brooded, [...waiting, ...second])).toMatchObject({
      count: 30,
      pen: null,
      settle: 'add group NAME --set SA --pen PEN --brooder BROODER --chicks 30',
    });
  });
});

test('chicks with their hen are entered as a group', () => {
  const hen = brooded.replace(
    'hatchers:',
    '  hazel: {broody: true, tray_holds: {chicken: 20}}\nhatchers:',
  );
  const rows: Written[] = [
    ['set', '2027-02-08', { set: 'S1', pen: 'orchard', setter: 'hazel', eggs: 12 }],
    ['hatch', MARCH, { set: 'S1', hatched: 9, unpipped: 3, final: 'yes' }],
  ];
  expect(tasks(rows, '2027-03-02', hen)).toMatchObject([
    {
      id: 'S1/brood',
      kind: 'with-hen',
      due: '2027-03-01',
      until: '2027-03-04',
      count: 9,
      place: 'hazel',
      pen: 'orchard',
      settle: 'add group NAME --set S1 --pen orchard --brooder hazel --chicks 9',
    },
  ]);
});

test('the first day that eggs or meat are clear again is told until it has come', () => {
  const treated = (days: number): Written => [
    'treatment',
    '2027-03-10',
    { group_or_pen: 'A', product: 'as labelled', meat_withdrawal_days: days },
  ];
  const told = (now: string, days = 7) =>
    tasks(later(treated(days)), now)
      .filter((task) => task.kind === 'withdrawal')
      .map(({ due, until, title }) => [due, until, title]);
  const clear = ['2027-03-18', '2027-03-18', 'A: meat clear again after as labelled'];
  expect(told('2027-03-10')).toEqual([clear]);
  expect(told('2027-03-18')).toEqual([clear]);
  expect(told('2027-03-19')).toEqual([]);
  expect(told('2027-03-10', 0)).toEqual([]);
});

describe('heat under a roof', () => {
  const heat = (rows: readonly Written[], now: string, file = brooded) =>
    tasks(rows, now, file)
      .filter((task) => task.id.includes('/heat/'))
      .map(({ due, until, title }) => `${due}..${until} ${title}`);

  test('is lowered a step a week, off at six weeks, and what a later step replaced is left out', () => {
    const steps = heat(chicks, '2027-03-14');
    expect(steps).toEqual([
      '2027-03-08..2027-03-10 Lower barn to 31–32 °C',
      '2027-03-15..2027-03-17 Lower barn to 28–29 °C',
      '2027-03-22..2027-03-24 Lower barn to 26–27 °C',
      '2027-03-29..2027-03-31 Lower barn to 24 °C',
      '2027-04-05..2027-04-07 Lower barn to 21 °C',
    ]);
    expect(heat(chicks, '2027-03-15')).toEqual(steps.slice(1));
    expect(heat(chicks, '2027-05-01')).toEqual([
      '2027-04-12..2027-04-14 barn: heat off by day; on again if the birds huddle',
    ]);
  });

  test('rises on the day that younger birds come, of that roof alone', () => {
    const both = [...chicks, ...brood('B', 'orchard', '2027-03-20', 20)];
    expect(heat(both, '2027-03-20')[0]).toBe('2027-03-20..2027-03-20 Raise barn to 34–35 °C');
    const apart = [...chicks, ...brood('B', 'orchard', '2027-03-20', 20, 'hoop')];
    expect(heat(apart, '2027-03-20').some((one) => one.includes('Raise'))).toBe(false);
    // After the heat was off.
    const again = [...chicks, ...brood('B', 'orchard', '2027-04-20', 20)];
    expect(heat(again, '2027-04-20')[0]).toBe('2027-04-20..2027-04-20 Raise barn to 34–35 °C');
  });

  test('begins anew once the roof was empty', () => {
    const emptied: Written[] = [
      ...chicks,
      ['move', '2027-03-10', { group: 'A', to: 'hoop', birds: 20 }],
    ];
    const barn = (now: string) =>
      heat([...emptied, ...brood('B', 'orchard', '2027-03-20', 20)], now).filter((one) =>
        one.includes('barn'),
      );
    expect(barn('2027-03-20')[0]).toBe('2027-03-27..2027-03-29 Lower barn to 31–32 °C');
  });

  test('is nobody’s where the brooder has none, and daily where it has', () => {
    const none = brooded.replace('heat: {kind: lamp, count: 4}', 'heat: {kind: none}');
    expect(heat(chicks, '2027-03-14', none)).toEqual([]);
    expect(one('barn/2027-03-14/warm', chicks, '2027-03-14', none)).toBeUndefined();
    expect(one('barn/2027-03-14/warm', chicks, '2027-03-14')).toMatchObject({
      daily: true,
      title: 'barn 31–32 °C',
    });
    expect(one('barn/2027-04-12/warm', chicks, '2027-04-12')).toBeUndefined();
    const unsaid = brooded.replace(', heat: {kind: lamp, count: 4}', '');
    expect(heat(chicks, '2027-03-14', unsaid)).toHaveLength(5);
  });
});

describe('a brooder is warmed before chicks come', () => {
  const moved = brood('A', 'orchard', '2027-02-22', 20).slice(0, 3);
  const warm = (now: string, rows: readonly Written[] = moved, file = brooded) =>
    one('SA/warm', rows, now, file);

  test('from the day they are watched until the hatch is over', () => {
    // Set on 1 February: watched from day 20, hatched on day 21, closed a day later.
    expect(warm('2027-02-10')).toMatchObject({
      due: '2027-02-21',
      until: '2027-02-22',
      count: 40,
      place: null,
      title: 'Warm a brooder for SA: 34–35 °C',
    });
    const single = brooded.replace(/ {2}hoop: .*\n/, '');
    expect(warm('2027-02-10', moved, single)).toMatchObject({
      place: 'barn',
      title: 'Warm barn for SA: 34–35 °C',
    });
    expect(warm('2027-02-23')).toBeDefined();
    expect(warm('2027-02-24')).toBeUndefined();
  });

  test('for the live eggs of the shares that are not over', () => {
    const second: Written[] = [
      ['set', '2027-02-01', { set: 'SA', pen: 'yard', setter: 'cabinet', tray: 2, eggs: 10 }],
      ['candling', '2027-02-08', { set: 'SA', pen: 'yard', clear: 10 }],
    ];
    expect(warm('2027-02-10', [...moved, ...second])!.count).toBe(40);
    expect(warm('2027-02-10', [...moved, second[0]!])!.count).toBe(50);
    const dead: Written[] = [
      ...moved.slice(0, 2),
      ['candling', '2027-02-08', { set: 'SA', clear: 40 }],
    ];
    expect(warm('2027-02-10', dead)).toBeUndefined();
  });

  test('a box is enough where all go at the hatch, sold or given', () => {
    const goals = (...all: string[]) =>
      `${brooded}goals:\n${all.map((goal) => `  - {line: ${goal}}\n`).join('')}`;
    const title = (...all: string[]) => warm('2027-02-10', moved, goals(...all))!.title;
    const sold = 'sussex, want: chicks, count: 9, by: 2027-06-01, fate: sold';
    const box = /^Keep a warm box for chicks of SA until they go/;
    expect(title(sold)).toMatch(box);
    expect(title(sold.replace('sold', 'given'))).toMatch(box);
    expect(title(sold.replace(', fate: sold', ''))).toMatch(/^Warm/);
    expect(title(sold, sold.replace('chicks', 'pullets'))).toMatch(/^Warm/);
    // Goals of other lines are not asked.
    expect(title(sold, 'wyandotte, want: pullets, count: 9, by: 2027-12-01')).toMatch(box);
    expect(title(sold.replace('sussex', 'wyandotte'))).toMatch(/^Warm/);
  });
});
