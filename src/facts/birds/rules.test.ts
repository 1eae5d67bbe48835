import { expect, test } from 'vitest';
import { brood, brooded as yaml } from '../../../tests/support/broods.ts';
import {
  built,
  codesOf,
  day,
  nowAt,
  seasonOf,
  type Written,
} from '../../../tests/support/season.ts';
import { brooderReport } from '../../flock/brooder-report.ts';
import { expectedHatches, together } from '../../judge/rates/expected-chicks.ts';
import { farmRates } from '../../judge/rates/rates.ts';
import { conflictsOf } from '../checks/index.ts';
import { tasksOf } from '../tasks/tasks.ts';
import { nightsOf, weatherOf } from './brooders.ts';
import { flockOf } from './groups.ts';
import { femaleShareOf, spellsOf } from './lives.ts';
import { nightsMissing } from './nights.ts';
import { birdsOfSex, livingOfSex } from './pullets.ts';
import { birdSummary } from './summary.ts';

const flockCodes = (rows: readonly Written[], now: string): string[] =>
  codesOf(yaml, rows, now).filter((code) =>
    [
      'kept-apart',
      'ages-apart',
      'look-alike',
      'waterfowl-with-chicks',
      'brooder-overfull',
    ].includes(code),
  );

test('turkeys are kept apart from chickens, and off ground that chickens used', () => {
  const poults = brood('T', 'wood', '2027-03-01', 20, 'hoop');
  const chicks = brood('C', 'orchard', '2027-03-01', 20);
  expect(flockCodes([...poults, ...chicks], '2027-03-02')).toEqual([]);
  const mixed = [...brood('T', 'wood', '2027-03-01', 20), ...chicks];
  const fault = conflictsOf(seasonOf(yaml, mixed), nowAt('2027-03-02')).find(
    (one) => one.code === 'kept-apart',
  );
  expect(fault).toMatchObject({ severity: 'error' });
  const ground: Written[] = [
    ['move', '2027-05-01', { group: 'C', to: 'grass', birds: 20 }],
    ['move', '2027-06-01', { group: 'C', to: 'out', birds: 20 }],
    ['move', '2027-06-10', { group: 'T', to: 'grass', birds: 20 }],
  ];
  expect(flockCodes([...poults, ...chicks, ...ground], '2027-06-11')).toContain('kept-apart');
});

test('game birds are told to be apart from other kinds', () => {
  const rows = [
    ...brood('Q', 'heath', '2027-03-01', 20),
    ...brood('C', 'orchard', '2027-03-01', 20),
  ];
  expect(flockCodes(rows, '2027-03-02')).toContain('kept-apart');
});

test('ages in one brooder: a week apart when young', () => {
  const rows = (second: string) => [
    ...brood('A', 'orchard', '2027-03-01', 20),
    ...brood('B', 'orchard', second, 20),
  ];
  expect(flockCodes(rows('2027-03-08'), '2027-03-09')).toEqual([]);
  expect(flockCodes(rows('2027-03-09'), '2027-03-10')).toContain('ages-apart');
});

test('look-alikes need a mark; a down that is not said is a warning', () => {
  const rows = (pen: string, mark: string) => [
    ...brood('A', 'orchard', '2027-03-01', 20),
    ...brood('B', pen, '2027-03-01', 20, 'barn', mark),
  ];
  const fault = (all: readonly Written[]) =>
    conflictsOf(seasonOf(yaml, all), nowAt('2027-03-02')).find((one) => one.code === 'look-alike');
  expect(fault(rows('yard', ''))).toMatchObject({ severity: 'error' });
  expect(fault(rows('lane', ''))).toMatchObject({ severity: 'warning' });
  expect(fault(rows('yard', 'leg band, red'))).toBeUndefined();
});

test('each limit of a brooder is judged by itself', () => {
  const tight = (line: string) => yaml.replace(/ {2}barn: .*/, `  barn: ${line}`);
  const rows = brood('A', 'orchard', '2027-03-01', 20);
  const told = (line: string) =>
    conflictsOf(seasonOf(tight(line), rows), nowAt('2027-03-02'))
      .filter((one) => one.code === 'brooder-overfull')
      .map((one) => one.message);
  const heat = 'heat: {kind: lamp, count: 2}';
  expect(told(`{area: 9, ${heat}, feeder_cm: 900, drinker_cm: 900}`)).toEqual([]);
  expect(told(`{area: 1, ${heat}}`)).toEqual([expect.stringContaining('floor')]);
  expect(told('{area: 9, heat: {kind: plate, places: 10}}')).toEqual([
    expect.stringContaining('places under the heat'),
  ]);
  expect(told(`{area: 9, ${heat}, feeder_cm: 60}`)).toEqual([expect.stringContaining('feeder')]);
  expect(told(`{area: 9, ${heat}, drinker_cm: 20}`)).toEqual([expect.stringContaining('drinker')]);
});

test('the heat is stepped down by age, in the keeper’s unit; a settled step is gone', () => {
  const rows = brood('A', 'orchard', '2027-03-01', 20);
  const tasks = (now: string, more: Written[] = [], file = yaml) =>
    tasksOf(seasonOf(file, [...rows, ...more]), nowAt(now), 1).filter((one) => one.kind === 'heat');
  expect(tasks('2027-03-07')).toEqual([]);
  expect(tasks('2027-03-08')).toMatchObject([
    { id: 'barn/heat/2027-03-08', place: 'barn', count: 20 },
  ]);
  expect(tasks('2027-03-08')[0]!.title).toContain('31–32 °C');
  expect(tasks('2027-03-15').map((one) => one.id)).toEqual(['barn/heat/2027-03-15']);
  expect(tasks('2027-03-08', [['tick', '2027-03-08', { task: 'barn/heat/2027-03-08' }]])).toEqual(
    [],
  );
  const fahrenheit = yaml.replace('lines:', 'units: {temperature: F}\nlines:');
  expect(tasks('2027-03-08', [], fahrenheit)[0]!.title).toContain('88–90 °F');
});

test('a brooder is warmed the day before chicks are due; an opening settles it', () => {
  const [eggs, set, transfer, hatch] = brood('A', 'orchard', '2027-02-22', 20) as [
    Written,
    Written,
    Written,
    Written,
  ];
  const ids = (rows: Written[], now: string) =>
    tasksOf(seasonOf(yaml, rows), nowAt(now), 1).map((one) => one.id);
  expect(ids([eggs, set, transfer], '2027-02-21')).toContain('SA/warm');
  expect(ids([eggs, set, transfer, hatch], '2027-02-22')).not.toContain('SA/warm');
});

test('shade: a hoop on a hot day, not a house, not a cool day', () => {
  const shade = (brooder: string, high: number) =>
    tasksOf(
      seasonOf(yaml, [
        ...brood('A', 'orchard', '2027-06-01', 20, brooder),
        ['weather', '2027-06-10', { low: 15, high }],
      ]),
      nowAt('2027-06-10'),
      1,
    ).filter((one) => one.kind === 'shade');
  expect(shade('hoop', 28)).toMatchObject([{ place: 'hoop' }]);
  expect(shade('hoop', 22)).toEqual([]);
  expect(shade('barn', 28)).toEqual([]);
});

test('dates of birds go to the calendar, the daily round does not', () => {
  const season = seasonOf(yaml, brood('A', 'orchard', '2027-03-01', 20));
  const kinds = tasksOf(season, nowAt('2027-03-02'), 400)
    .filter((one) => one.class !== 'routine')
    .map((one) => one.kind);
  expect(kinds).toEqual(expect.arrayContaining(['heat', 'harden', 'move-out', 'sex', 'feed']));
  expect(kinds).not.toContain('birds');
});

test('a place that is not there is a fault of names, and the row is left out', () => {
  const { season, faults } = built(yaml, [
    ...brood('A', 'orchard', '2027-03-01', 20),
    ...brood('B', 'orchard', '2027-03-01', 20, 'bran'),
    ['move', '2027-03-09', { group: 'A', to: 'gras', birds: 3 }],
  ]);
  expect(faults).toMatchObject([{ code: 'unknown-name', hint: 'did you mean barn?' }]);
  expect(flockOf(season).faults).toMatchObject([
    { code: 'unknown-name', hint: 'did you mean grass?' },
  ]);
  expect(flockOf(season).groups.get('A')).toMatchObject({ living: 20 });
});

test('sexed counts: what is known, unsure and gone, and the range of it', () => {
  const season = seasonOf(yaml, [
    ...brood('A', 'orchard', '2027-03-01', 20),
    ['sexing', '2027-05-10', { group: 'A', pullets: 9, cockerels: 7, unsure: 4 }],
    ['loss', '2027-05-20', { group: 'A', birds: 1 }],
    ['leaving', '2027-06-20', { group: 'A', sex: 'male', birds: 5, way: 'table', mass_kg: 8 }],
    ['leaving', '2027-07-20', { group: 'A', sex: 'female', birds: 2, way: 'layer' }],
  ]);
  const group = flockOf(season).groups.get('A')!;
  const females = birdsOfSex(group, 'female', nowAt('2027-08-01'));
  expect(females).toMatchObject({ known: 7, other: 2, unsure: 4, gone: 1, housed: 2, living: 12 });
  expect(females.known + females.other + females.unsure - females.gone).toBe(females.living);
  expect(livingOfSex(females, 0.5)).toEqual({ low: 6, likely: (9 * 12) / 13, high: 11 });
  // A count taken after the cockerels went says nothing of the share hatched.
  const late = seasonOf(yaml, [
    ...brood('A', 'orchard', '2027-03-01', 20),
    ['leaving', '2027-06-20', { group: 'A', sex: 'male', birds: 9, way: 'table', mass_kg: 8 }],
    ['sexing', '2027-07-10', { group: 'A', pullets: 10, cockerels: 1, unsure: 0 }],
  ]);
  expect(femaleShareOf(flockOf(late).groups.get('A')!)).toBe(0.5);
});

test('birds that left were at risk only until then', () => {
  const season = seasonOf(yaml, [
    ...brood('A', 'orchard', '2027-03-01', 20),
    ['loss', '2027-03-03', { group: 'A', birds: 1 }],
    ['leaving', '2027-03-08', { group: 'A', sex: 'unknown', birds: 10, way: 'sold' }],
  ]);
  expect(spellsOf(flockOf(season).groups.get('A')!, day('2027-04-12'))).toEqual([
    { birds: 20, fromAge: 0, toAge: 7 },
    { birds: 9, fromAge: 7, toAge: 42 },
  ]);
});

test('chicks to come: in the room ahead, and together less than the sum of their nine in ten', () => {
  const season = seasonOf(yaml, [
    ...brood('A', 'orchard', '2027-03-01', 20),
    ['eggs', '2027-02-20', { pen: 'yard', laid: 90, kept: 90 }],
    ['set', '2027-02-20', { set: 'S1', pen: 'yard', setter: 'cabinet', tray: 2, eggs: 40 }],
    ['set', '2027-02-27', { set: 'S2', pen: 'yard', setter: 'cabinet', tray: 3, eggs: 40 }],
  ]);
  const now = nowAt('2027-03-02');
  const report = brooderReport(
    season,
    now,
    6,
    expectedHatches(season, now, farmRates(season, [], now.day)),
  );
  expect(report.expected.map((one) => one.set)).toEqual(['S1', 'S2']);
  for (const one of report.expected) {
    expect(one.median).toBeLessThan(one.high);
    expect(one.high).toBeLessThanOrEqual(40);
    expect(Math.abs(one.median - one.mean)).toBeLessThanOrEqual(1);
  }
  const both = together(report.expected);
  expect(both.high).toBeLessThan(report.expected.reduce((sum, one) => sum + one.high, 0) + 1);
  expect(report.weeks[0]!.birds.median).toBe(20);
  expect(report.weeks.at(-1)!.birds.high).toBeGreaterThan(report.weeks[0]!.birds.high + 40);
  expect(report.empty).toEqual(['hoop']);
});

test('nights: gaps are told, normals stand in, and earlier seasons give the tenth', () => {
  const rows: Written[] = [
    ...brood('A', 'orchard', '2027-03-01', 20),
    ['weather', '2027-03-01', { low: 1, high: 9 }],
    ['weather', '2027-03-02', { high: 9 }],
    ['weather', '2027-03-04', { low: 2, high: 9 }],
  ];
  const season = seasonOf(`${yaml}normals:\n  mar: {low: 3, high: 9}\n`, rows);
  const days = ['2027-03-01', '2027-03-02', '2027-03-03', '2027-03-04'].map(day);
  expect(nightsMissing(weatherOf(season), days)).toEqual(['2027-03-02', '2027-03-03']);
  expect(nightsOf(season)(day('2027-03-02'))).toMatchObject({ low: 3, low_10: null });
  const earlierWeather = Array.from({ length: 20 }, (_, index) => ({
    day: day(`2026-03-${String(index + 1).padStart(2, '0')}`),
    low: index - 4,
    high: null,
  }));
  const told = nightsOf({ ...season, earlierWeather })(day('2027-03-10'))!;
  // Of twenty nights a tenth, two (-4 and -3), were colder than the third.
  expect(told.low_10).toBe(-2);
});

test('the summary of birds keeps the balance, by group and together', () => {
  const season = seasonOf(yaml, [
    ...brood('A', 'orchard', '2027-03-01', 20),
    ...brood('B', 'yard', '2027-03-05', 15, 'hoop'),
    ['loss', '2027-03-09', { group: 'A', birds: 2 }],
    ['leaving', '2027-03-20', { group: 'B', sex: 'unknown', birds: 5, way: 'sold', money: 20 }],
  ]);
  const birds = birdSummary(season, nowAt('2027-03-22'));
  expect(birds).toMatchObject({ placed: 35, living: 28, lost: 2, left: 5, ways: { sold: 5 } });
  for (const one of birds.groups) expect(one.placed).toBe(one.living + one.lost + one.left);
  expect(birds.over.map((one) => one.day)).toEqual([
    '2027-03-01',
    '2027-03-08',
    '2027-03-15',
    '2027-03-22',
  ]);
  expect(birds.over.at(-1)!.living).toEqual([18, 10]);
});
