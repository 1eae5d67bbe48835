// What a loss calls for, and where birds are that went out too early.
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { brood, brooded } from '../../../tests/support/broods.ts';
import { day, seasonOf, type Written } from '../../../tests/support/season.ts';
import { flockOf } from '../../facts/birds/groups.ts';
import { instantOf } from '../../facts/local-time.ts';
import { alarmsAt } from './alarms.ts';
import { adviceOnLoss } from './bird-rules.ts';

const young = brood('A', 'orchard', '2027-03-01', 30);

test.each([
  ['predator', 1, 'what came once comes again, mostly the next night'],
  ['chilled', 1, 'chilled chicks die in numbers, and more in the nights after'],
  ['smothered', 2, 'they pile up from cold, fright or crowding, and do so again'],
  ['accident', 1, 'the same thing will hurt the next one'],
  // One bird culled tells nothing; two have a reason.
  ['culled', 1, null],
  ['culled', 2, 'so many unfit birds have one reason: how they hatched, or what they were fed'],
  // Some die of nothing that a keeper can mend.
  ['found-dead', 9, null],
  ['sick', 9, null],
  ['unknown', 9, null],
])('%s, %i birds: %s', (cause, birds, means) => {
  const season = seasonOf(brooded, [
    ...young,
    ['loss', '2027-03-05', { group: 'A', birds, cause }],
  ]);
  const told = adviceOnLoss(flockOf(season).groups.get('A')!.losses[0]!);
  expect(told?.means ?? null).toBe(means);
  if (told !== null) expect(told.first.length).toBeGreaterThan(10);
});

const alarms = (at: string, ...rows: readonly Written[]) => {
  const season = seasonOf(brooded, [...young, ...rows]);
  const now = {
    instant: instantOf(at, season.zone),
    day: day(at.slice(0, 10)),
    time: at.slice(11),
  };
  return alarmsAt(season, now);
};

describe('losses', () => {
  const lost = (on: string, cause: string, birds = 1): Written => [
    'loss',
    on,
    { group: 'A', birds, cause },
  ];
  const told = (at: string, ...rows: readonly Written[]) =>
    alarms(at, ...rows)
      .filter(({ code }) => code === 'losses')
      .map(({ id, title }) => [id, title]);
  // Two chilled within three days are told.
  test.each([
    ['2027-03-05', [['A/chilled/losses/2027-03-07T00:00', 'A: 2 lost to cold since 2027-03-05']]],
    ['2027-03-04', []],
  ])('one on %s and one on the 7th', (first, expected) => {
    const rows = [lost(first, 'chilled'), lost('2027-03-07', 'chilled')];
    expect(told('2027-03-07T20:00', ...rows)).toEqual(expected);
  });
  test('of two causes each is told by itself, and for a week', () => {
    const rows = [
      lost('2027-03-07', 'chilled', 2),
      lost('2027-03-07', 'accident', 2),
      lost('2027-03-08', 'predator'),
    ];
    expect(told('2027-03-07T20:00', ...rows)).toEqual([
      ['A/chilled/losses/2027-03-07T00:00', 'A: 2 lost to cold today'],
    ]);
    expect(told('2027-03-13T20:00', ...rows).map(([id]) => id)).toEqual([
      'A/chilled/losses/2027-03-07T00:00',
      'A/predator/losses/2027-03-08T00:00',
    ]);
    expect(told('2027-03-14T08:00', ...rows).map(([id]) => id)).toEqual([
      'A/predator/losses/2027-03-08T00:00',
    ]);
    expect(told('2027-03-15T08:00', ...rows)).toEqual([]);
  });
  test('found dead: three in three days are told once they are more than chance brings', () => {
    const [title] = told('2027-03-30T20:00', lost('2027-03-30', 'found-dead', 8))[0]!.slice(1);
    expect(title).toMatch(/^A: 8 found dead today, usual \d\.\d by now$/);
    expect(told('2027-03-30T20:00', lost('2027-03-30', 'found-dead', 2))).toEqual([]);
  });
});

describe('birds out before their time', () => {
  const out = (on: string, to = 'grass', birds = 10): Written => [
    'move',
    on,
    { group: 'A', to, birds },
  ];
  const told = (at: string, ...rows: readonly Written[]) =>
    alarms(at, ...rows)
      .filter(({ code }) => code === 'out-too-early')
      .map(({ place, value, title, why }) => ({ place, value, title, why: why.split(';')[0] }));
  test('on grass or without a place, until they are old enough or back under heat', () => {
    const [first] = told('2027-03-20T20:00', out('2027-03-20'));
    expect(first).toMatchObject({
      place: 'A',
      value: 'out in grass at 19 days',
      title: expect.stringMatching(
        /^10 birds of A out in grass at 19 days; they may be out from 2027-0/,
      ),
      why: expect.stringMatching(
        /^by age alone, as no nights are known: nights of \d+ °C at that age$/,
      ),
    });
    expect(told('2027-03-20T20:00', out('2027-03-20', 'out'))[0]!.value).toBe('out at 19 days');
    const may = day(first!.title.slice(-10));
    const before = day(new Date(Date.parse(may) - 86_400_000).toISOString().slice(0, 10));
    expect(told(`${before}T20:00`, out('2027-03-20'))).toHaveLength(1);
    expect(told(`${may}T06:00`, out('2027-03-20'))).toEqual([]);
    expect(told(`${may}T20:00`, out(may))).toEqual([]);
    expect(told(`${before}T20:00`, out(before))).toHaveLength(1);
    expect(told('2027-03-21T20:00', out('2027-03-20'), out('2027-03-21', 'barn'))).toEqual([]);
    expect(told('2027-03-19T20:00', out('2027-03-20'))).toEqual([]);
  });
  test('nobody is out of a group that is no more', () => {
    const gone: Written = [
      'leaving',
      '2027-03-22',
      { group: 'A', sex: 'unknown', birds: 30, way: 'sold' },
    ];
    expect(told('2027-03-22T20:00', out('2027-03-20', 'grass', 30), gone)).toEqual([]);
  });
});

describe('ducks and chicks under one roof', () => {
  const text = brooded
    .replace('lines:\n', 'lines:\n  harlequin: {species: duck}\n')
    .replace('pens:\n', 'pens:\n  pond: {line: harlequin, hens: 9, males: 1, joined: 2027-01-10}\n')
    .replaceAll('bobwhite: 90', 'bobwhite: 90, duck: 90');
  const march = (n: number): string => `2027-03-${String(n).padStart(2, '0')}`;
  const both = [
    ...brood('A', 'orchard', march(1), 20),
    ...brood('B', 'pond', march(1), 20, 'hoop'),
  ];
  type Move = { readonly on: number; readonly group: 'A' | 'B'; readonly to: string };
  const told = (evening: number, moves: readonly Move[]) => {
    const rows = moves
      .filter(({ on }) => on <= evening)
      .map(({ on, group, to }): Written => ['move', march(on), { group, to, birds: 20 }]);
    const season = seasonOf(text, [...both, ...rows]);
    const at = `${march(evening)}T20:00`;
    const now = { instant: instantOf(at, season.zone), day: day(march(evening)), time: '20:00' };
    return alarmsAt(season, now)
      .filter(({ code }) => code === 'waterfowl-with-chicks')
      .map(({ place, since }) => [place, since.slice(0, 10)]);
  };

  test('are told until they are parted, whichever of them moves, and anew if they meet again', () => {
    const meet: Move = { on: 3, group: 'B', to: 'barn' };
    expect(told(2, [meet])).toEqual([]);
    expect(told(5, [meet])).toEqual([['barn', march(3)]]);
    for (const away of [
      { on: 6, group: 'A', to: 'hoop' },
      { on: 6, group: 'B', to: 'grass' },
    ] as const) {
      expect(told(6, [meet, away])).toEqual([]);
      const back: Move = { on: 9, group: away.group, to: 'barn' };
      expect(told(8, [meet, away, back])).toEqual([]);
      expect(told(10, [meet, away, back])).toEqual([['barn', march(9)]]);
    }
  });

  test('wherever they go, as gone through day by day', () => {
    const moves = fc
      .array(
        fc.record({
          on: fc.integer({ min: 2, max: 12 }),
          group: fc.constantFrom('A' as const, 'B' as const),
          to: fc.constantFrom('barn', 'hoop', 'grass'),
        }),
        { maxLength: 7 },
      )
      .map((list) => list.sort((a, b) => a.on - b.on));
    fc.assert(
      fc.property(moves, fc.integer({ min: 2, max: 13 }), (wanted, evening) => {
        const where = { A: 'barn', B: 'hoop' };
        // Nobody is moved to where they are.
        const made = wanted.filter(({ group, to }) => {
          const isMove = where[group] !== to;
          where[group] = to;
          return isMove;
        });
        const last = (group: 'A' | 'B', on: number): string =>
          made.filter((one) => one.group === group && one.on <= on).at(-1)?.to ??
          (group === 'A' ? 'barn' : 'hoop');
        const together = (on: number): string | null =>
          last('A', on) === last('B', on) && last('A', on) !== 'grass' ? last('A', on) : null;
        const roof = together(evening);
        let since = evening;
        while (roof !== null && together(since - 1) === roof) since -= 1;
        expect(told(evening, made)).toEqual(roof === null ? [] : [[roof, march(since)]]);
      }),
      { numRuns: 60 },
    );
  });
});
