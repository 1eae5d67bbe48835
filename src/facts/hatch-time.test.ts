import { describe, expect, test } from 'vitest';
import { day, hill, nowAt, seasonOf, type Written } from '../../tests/support/season.ts';
import { speciesOf, speciesTable } from '../season/species.ts';
import { addDays } from '../text/day.ts';
import {
  chicksFound,
  hatchHoursOf,
  hoursLate,
  lastOpeningDay,
  machineHours,
  milestonesOf,
  milestonesOfSet,
  milestonesOfShare,
  openPlan,
  storageHours,
} from './hatch-time.ts';
import { occupancyOf } from './occupancy.ts';
import { tasksOf } from './tasks/tasks.ts';

const chicken = speciesOf('chicken');
const on = { day: day('2027-03-06'), time: '18:00' };
const aged = (...ages: number[]) =>
  ages.map((age) => ({ laid: addDays(on.day, -age), age, eggs: 10 }));

describe('expected hours', () => {
  test('of fresh chicken eggs: the window of 20 to 22 days about the 21st', () => {
    expect(hatchHoursOf(chicken, [], 0)).toEqual({ first: 480, middle: 504, last: 528 });
  });

  // An hour a day beyond the third (Mather & Laughlin 1976, from memory; seeds/species.yaml).
  test.each([
    [3, 504],
    [4, 505],
    [10, 511],
  ])('of eggs stored %i days: the middle after %i hours', (age, middle) => {
    expect(hatchHoursOf(chicken, aged(age), 0).middle).toBe(middle);
  });

  test('of mixed ages: the freshest first, the oldest last, the middle by the mean', () => {
    expect(hatchHoursOf(chicken, aged(0, 5, 10), 0)).toEqual({
      first: 480,
      middle: 507,
      last: 535,
    });
  });

  test('of eggs none of which is fresh: the first comes later too', () => {
    expect(hatchHoursOf(chicken, aged(5, 10), 0)).toEqual({
      first: 482,
      middle: 508.5,
      last: 535,
    });
  });

  test('of Muscovy eggs: two hours for each day', () => {
    // Muscovy eggs are held up twice as long as others (Bagliacca, Paci & Marzoni 2005, J. Poult.
    // Sci. 42:205, says much longer than Pekin; the two is judgement, seeds/species.yaml).
    const muscovy = speciesOf('muscovy');
    const { after_days } = muscovy.storage_extra_hours.value;
    expect(storageHours(muscovy, after_days)).toBe(0);
    expect(storageHours(muscovy, after_days + 3)).toBe(6);
  });

  test('move as a whole with the machine', () => {
    expect(hatchHoursOf(chicken, [], -6)).toEqual({ first: 474, middle: 498, last: 522 });
  });
});

describe('a hatch is over', () => {
  test('at the end of the kind’s window, or as long as the hatcher is kept if that is later', () => {
    for (const [name, species] of Object.entries(speciesTable())) {
      const last = lastOpeningDay(species);
      expect(last, name).toBeGreaterThanOrEqual(species.hatch_window_days.value.high);
      const dates = milestonesOf(species, on, [], 'UTC');
      expect(dates.lastOpening, name).toBe(addDays(on.day, last));
    }
    // Geese hatch from day 28 to 34 by breed (seeds/species.yaml): not to be ended on day 32.
    expect(lastOpeningDay(speciesOf('goose'))).toBe(34);
    expect(lastOpeningDay(chicken)).toBe(22);
    // Bantams hatch from day 19 to 21, and the hatcher is kept a day longer.
    expect(lastOpeningDay(speciesOf('bantam'))).toBe(22);
  });

  test('later by what storage adds for the oldest eggs', () => {
    const overAt = (age: number) => milestonesOf(chicken, on, aged(0, age), 'UTC').overAt;
    expect(overAt(3)).toBe('2027-03-28T18:00');
    expect(overAt(9)).toBe('2027-03-29T00:00');
    expect(overAt(10)).toBe('2027-03-29T01:00');
  });
});

const stored: Written[] = [
  ['eggs', '2027-02-24', { pen: 'orchard', kept: 40 }],
  [
    'set',
    '2027-03-06T18:00',
    { set: 'A1', pen: 'orchard', tray: 1, eggs: 40, laid_to: '2027-02-24' },
  ],
  ['candling', '2027-03-13', { set: 'A1', clear: 10 }],
  ['transfer', '2027-03-24T18:00', { set: 'A1', moved: 30 }],
];
const goslings = hill
  .replace('harlequin: {species: duck}', 'harlequin: {species: goose}')
  .replaceAll('duck:', 'goose:');
const share = (written: readonly Written[], yaml = hill) => {
  const season = seasonOf(yaml, written);
  return milestonesOfShare(season.sets.get('A1')!.shares[0]!, season);
};
const opened = (at: string, cells: Record<string, string | number>): Written[] => [
  ...stored,
  ['hatch', at, { set: 'A1', ...cells }],
];

describe('with what has been seen', () => {
  test('60 hours after the first chick, and 12 after the last opening that found one', () => {
    const first = opened('2027-03-28T06:00', { hatched: 3 });
    expect(share(first).overAt).toBe('2027-03-30T18:00');
    const late: Written[] = [...first, ['hatch', '2027-03-30T10:00', { set: 'A1', hatched: 20 }]];
    expect(share(late).overAt).toBe('2027-03-30T22:00');
    const later: Written[] = [...first, ['hatch', '2027-03-30T12:00', { set: 'A1', hatched: 20 }]];
    expect(share(later).overAt).toBe('2027-03-31T00:00');
    const third: Written[] = [...later, ['hatch', '2027-03-30T20:00', { set: 'A1', hatched: 1 }]];
    expect(share(third).overAt).toBe('2027-03-31T08:00');
  });

  test('a look that finds nobody moves nothing, an early chick does not end the window', () => {
    expect(share(opened('2027-03-28T06:00', { hatched: 0 })).overAt).toBe('2027-03-29T02:00');
    expect(share(opened('2027-03-25T06:00', { hatched: 1 })).overAt).toBe('2027-03-29T02:00');
  });

  test('of one share for all the set', () => {
    const two: Written[] = [
      ['eggs', '2027-03-05', { pen: 'orchard', kept: 20 }],
      ['eggs', '2027-03-05', { pen: 'yard', kept: 10 }],
      ['set', '2027-03-06T18:00', { set: 'A1', pen: 'orchard', tray: 1, eggs: 20 }],
      ['set', '2027-03-06T18:00', { set: 'A1', pen: 'yard', tray: 1, eggs: 10 }],
      ['transfer', '2027-03-24', { set: 'A1', pen: 'orchard', moved: 20 }],
      ['transfer', '2027-03-24', { set: 'A1', pen: 'yard', moved: 10 }],
      ['hatch', '2027-03-28T06:00', { set: 'A1', pen: 'yard', hatched: 3 }],
    ];
    expect(share(two).overAt).toBe('2027-03-30T18:00');
  });

  test('the set as one body ends with its last share', () => {
    const rows: Written[] = [
      ['set', '2027-03-06T18:00', { set: 'A1', pen: 'orchard', tray: 1, eggs: 20 }],
      ['set', '2027-03-06T18:00', { set: 'A1', pen: 'yard', tray: 2, eggs: 10 }],
      ['transfer', '2027-03-24', { set: 'A1', pen: 'orchard', moved: 20 }],
      ['transfer', '2027-03-24', { set: 'A1', pen: 'yard', moved: 10 }],
      ['hatch', '2027-03-29T06:00', { set: 'A1', pen: 'orchard', hatched: 20, final: 'yes' }],
      ['hatch', '2027-03-27T06:00', { set: 'A1', pen: 'yard', hatched: 10, final: 'yes' }],
    ];
    const season = seasonOf(hill, rows);
    const set = season.sets.get('A1')!;
    expect(milestonesOfSet(set, season).lastOpening).toBe('2027-03-29');
    expect(chicksFound(set).map((one) => [one.on.day, one.before?.day ?? null])).toEqual([
      ['2027-03-27', null],
      ['2027-03-29', '2027-03-27'],
    ]);
    // A set of which one share is still open tells nothing of its machine yet.
    const open = seasonOf(hill, rows.slice(0, -1)).sets.get('A1')!;
    expect(hoursLate(set, season.zone)).not.toBeNull();
    expect(hoursLate(open, season.zone)).toBeNull();
  });

  test('the opening that closes it, or that leaves nothing, ends it', () => {
    const closed = opened('2027-03-28T06:00', { hatched: 3, unpipped: 27, final: 'yes' });
    expect(share(closed).lastOpening).toBe('2027-03-28');
    expect(share(opened('2027-03-28T06:00', { hatched: 30 })).lastOpening).toBe('2027-03-28');
    expect(share(opened('2027-03-28T06:00', { hatched: 29 })).lastOpening).toBe('2027-03-30');
  });
});

describe('nothing is opened for good or cleaned before it is over', () => {
  const kinds = (written: readonly Written[], at: string, yaml = hill) =>
    tasksOf(seasonOf(yaml, written), nowAt(at), 1).map((one) => one.id);
  test('eggs stored ten days, 3 of 30 out on day 22', () => {
    const rows = opened('2027-03-28T06:00', { hatched: 3 });
    for (const at of ['2027-03-28', '2027-03-29']) {
      expect(kinds(rows, at)).not.toContain('A1/last-opening');
      expect(kinds(rows, at)).not.toContain('A1/clean');
    }
    expect(kinds(rows, '2027-03-30')).toContain('A1/last-opening');
    const [span] = occupancyOf(seasonOf(hill, rows), nowAt('2027-03-28')).hatchers;
    expect([span!.emptyOn, span!.to]).toEqual(['2027-03-30', '2027-03-31']);
  });

  test('geese on day 32 and 33 of a window to 34', () => {
    const rows: Written[] = [
      ['set', '2027-03-06T18:00', { set: 'A1', pen: 'pond', tray: 1, eggs: 8 }],
      ['transfer', '2027-04-02', { set: 'A1', moved: 8 }],
    ];
    for (const days of [32, 33])
      expect(kinds(rows, addDays(on.day, days), goslings)).not.toContain('A1/last-opening');
    expect(kinds(rows, addDays(on.day, 34), goslings)).toContain('A1/last-opening');
  });
});

describe('what a machine has done so far', () => {
  const set = (name: string, from: string, ...openings: [number, number][]): Written[] => [
    ['set', `${from}T18:00`, { set: name, pen: 'orchard', tray: 1, eggs: 20 }],
    ['transfer', `${addDays(day(from), 18)}T18:00`, { set: name, moved: 20 }],
    ...openings.map(([hours, hatched], index): Written => {
      const at = new Date(Date.parse(`${from}T18:00Z`) + hours * 3_600_000).toISOString();
      return [
        'hatch',
        at.slice(0, 16),
        { set: name, hatched, ...(index === openings.length - 1 ? { final: 'yes' } : {}) },
      ];
    }),
  ];
  const zoneless = hill.replace('Europe/London', 'Etc/UTC');
  const late = (...openings: [number, number][]) =>
    hoursLate(seasonOf(zoneless, set('A1', '2027-03-06', ...openings)).sets.get('A1')!, 'Etc/UTC');

  test('a set agrees with 504 hours where they lie between the look before and the one that found the middle chick', () => {
    expect(late([500, 9], [510, 11])).toBe(0);
    expect(late([504, 9], [510, 11])).toBe(0);
    expect(late([505, 9], [510, 11])).toBe(1);
    expect(late([500, 10], [510, 10])).toBe(-4);
    expect(late([498, 11], [510, 9])).toBe(-6);
    expect(late([510, 20])).toBe(0);
    expect(late([520, 0], [530, 20])).toBe(16);
  });

  test('a set without a chick, or not closed, tells nothing', () => {
    expect(late([510, 0])).toBeNull();
    const open = set('A1', '2027-03-06', [490, 5], [500, 5]).slice(0, -1);
    expect(hoursLate(seasonOf(zoneless, open).sets.get('A1')!, 'Etc/UTC')).toBeNull();
  });

  test('is drawn to 0 as by two sets on time, and moves the sets to come', () => {
    const one = seasonOf(zoneless, set('A1', '2027-03-06', [510, 0], [520, 20]));
    expect([machineHours(one, 'cabinet'), machineHours(one, 'none')]).toEqual([2, 0]);
    const two = seasonOf(zoneless, [
      ...set('A1', '2027-03-06', [510, 0], [520, 20]),
      ...set('A2', '2027-03-13', [510, 0], [520, 20]),
      ['set', '2027-04-13T18:00', { set: 'A3', pen: 'orchard', tray: 1, eggs: 20 }],
    ]);
    expect(machineHours(two, 'cabinet')).toBe(3);
    const dates = milestonesOfShare(two.sets.get('A3')!.shares[0]!, two);
    expect([dates.hatchHours, dates.expected.middle]).toEqual([504, 507]);
    expect([dates.hatchAt, dates.overAt]).toEqual(['2027-05-04T21:00', '2027-05-05T21:00']);
  });

  test('eggs of one set that lie in two machines hatch between the two', () => {
    const two = seasonOf(
      zoneless.replace('setters:\n', 'setters:\n  second: {trays: 3, tray_holds: {chicken: 40}}\n'),
      [
        ...set('A1', '2027-03-06', [510, 0], [520, 20]).map(
          ([name, on, cells]): Written => [
            name,
            on,
            name === 'set' ? { ...cells, setter: 'cabinet' } : cells,
          ],
        ),
        [
          'set',
          '2027-04-13T18:00',
          { set: 'A3', pen: 'orchard', setter: 'cabinet', tray: 1, eggs: 10 },
        ],
        [
          'set',
          '2027-04-13T18:00',
          { set: 'A3', pen: 'orchard', setter: 'second', tray: 1, eggs: 10 },
        ],
      ],
    );
    expect([machineHours(two, 'cabinet'), machineHours(two, 'second')]).toEqual([2, 0]);
    const dates = milestonesOfShare(two.sets.get('A3')!.shares[0]!, two);
    expect(dates.expected.middle).toBe(504 + 1);
  });

  test('a fast machine brings the hatch forward, and never its end', () => {
    const season = seasonOf(zoneless, [
      ...set('A1', '2027-03-06', [480, 20], [490, 0]),
      ['set', '2027-04-13T18:00', { set: 'A3', pen: 'orchard', tray: 1, eggs: 20 }],
    ]);
    expect(machineHours(season, 'cabinet')).toBe(-8);
    const dates = milestonesOfShare(season.sets.get('A3')!.shares[0]!, season);
    expect([dates.expected.middle, dates.overAt]).toEqual([496, '2027-05-05T18:00']);
  });
});

test('without the minute of setting no minute of the hatch is told', () => {
  const dates = milestonesOf(chicken, { day: day('2027-03-06'), time: null }, [], 'UTC');
  expect([dates.hatchAt, dates.overAt]).toEqual([null, '2027-03-28T12:00']);
});

test('a planned set is open until it is recorded', () => {
  const plan = `${hill}plan:
  - {set: A1, on: 2027-03-06, trays: [1], shares: {orchard: 20}}
  - {set: A2, on: 2027-03-13, trays: [2], shares: {orchard: 20}}
`;
  const names = (rows: Written[]) => openPlan(seasonOf(plan, rows)).map((one) => one.name);
  expect(names([])).toEqual(['A1', 'A2']);
  expect(names([['set', '2027-03-06', { set: 'A1', pen: 'orchard', tray: 1, eggs: 20 }]])).toEqual([
    'A2',
  ]);
});

test('openings of one minute are one look, whichever share they are of', () => {
  const season = seasonOf(hill, [
    ['set', '2027-03-06', { set: 'A1', pen: 'orchard', tray: 1, eggs: 20 }],
    ['set', '2027-03-06', { set: 'A1', pen: 'yard', tray: 1, eggs: 10 }],
    ['hatch', '2027-03-27T08:00', { set: 'A1', pen: 'orchard', hatched: 0 }],
    ['hatch', '2027-03-27T18:00', { set: 'A1', pen: 'orchard', hatched: 5, dead: 1 }],
    ['hatch', '2027-03-27T18:00', { set: 'A1', pen: 'yard', hatched: 3 }],
    ['hatch', '2027-03-28T08:00', { set: 'A1', pen: 'yard', hatched: 1 }],
  ]);
  const at = (text: string) => ({ day: day(text.slice(0, 10)), time: text.slice(11) });
  expect(chicksFound(season.sets.get('A1')!)).toEqual([
    { on: at('2027-03-27T18:00'), before: at('2027-03-27T08:00'), chicks: 9 },
    { on: at('2027-03-28T08:00'), before: at('2027-03-27T18:00'), chicks: 1 },
  ]);
});

describe('a power cut', () => {
  const rows = (...more: Written[]): Written[] => [
    ['eggs', '2027-03-05', { pen: 'orchard', laid: 40, kept: 40 }],
    [
      'set',
      '2027-03-06T18:00',
      { set: 'A1', pen: 'orchard', setter: 'cabinet', tray: 1, eggs: 40 },
    ],
    ...more,
  ];
  const cut = (on: string, minutes: number, room: number, machine = 'cabinet'): Written => [
    'reading',
    on,
    { machine, event: 'power-off', minutes, room },
  ];
  const dates = (...more: Written[]) => {
    const season = seasonOf(hill, rows(...more));
    return milestonesOfSet(season.sets.get('A1')!, season);
  };

  // By hand, with the time constant of 6 h: in a room of 5 °C eggs are below 35 °C after 0.5 h and below
  // 27 °C after 2.3 h, so that 12 hours lose 0.9 + 9.7.
  test('moves the hatch, and its end, by the growth that was lost', () => {
    const usual = dates();
    const moved = dates(cut('2027-03-12T22:00', 720, 5));
    expect(moved.expected.middle - usual.expected.middle).toBeCloseTo(10.6, 1);
    expect(moved.hatchAt).toMatch(/^2027-03-28T05:3/);
    expect(moved.overAt > usual.overAt).toBe(true);
    // The machine is measured against the kind alone.
    expect(moved.hatchHours).toBe(usual.hatchHours);
  });

  test('moves nothing if it was short, of another machine, or before the eggs were in', () => {
    const usual = dates().expected;
    expect(dates(cut('2027-03-12T22:00', 180, 5)).expected).toEqual(usual);
    expect(dates(cut('2027-03-12T22:00', 720, 5, 'lower')).expected).toEqual(usual);
    expect(dates(cut('2027-03-05T22:00', 720, 5)).expected).toEqual(usual);
  });

  test('of days on end moves it by a day, no more', () => {
    const long = dates(cut('2027-03-12T22:00', 4000, 5)).expected.middle;
    expect(long - dates().expected.middle).toBe(24);
  });
});
