// One small farm, and a fault planted in it so plainly that nobody would miss it: what is raised, where, since when.
import { describe, expect, test } from 'vitest';
import { after, farm, plainFarm, usual } from '../../../tests/support/plain-farm.ts';
import { seasonOf, type Written } from '../../../tests/support/season.ts';
import { diagnose, raisedFindings } from './diagnose.ts';

const raised = (rows: readonly Written[]) => raisedFindings(seasonOf(plainFarm, rows));
const first = (rows: readonly Written[]) => raised(rows)[0];

test('a season like any other raises nothing, and says of each cause what would have shown', () => {
  const rows = farm(6, () => usual);
  expect(raised(rows)).toEqual([]);
  const all = diagnose(seasonOf(plainFarm, rows));
  expect(new Set(all.map(({ verdict }) => verdict))).toEqual(new Set(['fine', 'unknown']));
  const of = (cause: string) => all.find((one) => one.cause === cause)!;
  expect(of('failing-male')).toMatchObject({
    verdict: 'fine',
    since: null,
    unknown: null,
    would_show: expect.stringMatching(/would have shown$/),
  });
  expect(of('power-cut')).toMatchObject({
    verdict: 'fine',
    would_show: 'no power cut was written while eggs were set',
  });
  expect(of('long-storage')).toMatchObject({
    verdict: 'fine',
    would_show: 'no eggs were stored long enough to lose much by it',
  });
  // Nobody read a gauge.
  expect(of('gauge-wrong')).toMatchObject({
    verdict: 'unknown',
    unknown: 'nothing was written that could show it',
    would_show: null,
    next: [expect.any(String)],
  });
  // Of twice the sets a smaller change would have shown: from 13 % clear to how many?
  const shown = (sets: number) =>
    Number(
      /^(\d+)\s% of eggs set that were clear, where 1\d\s% is usual/.exec(
        (sets === 6
          ? all
          : diagnose(
              seasonOf(
                plainFarm,
                farm(sets, () => usual),
              ),
            )
        ).find(({ cause }) => cause === 'low-fertility')!.would_show!,
      )![1],
    );
  const [few, many] = [shown(3), shown(6)];
  expect(many).toBeGreaterThan(13);
  expect(few).toBeGreaterThan(many);
  for (const one of all) {
    expect(one.probability).toBeGreaterThanOrEqual(0.001);
    expect(one.probability).toBeLessThan(0.5);
    expect([one.evidence, one.rivals, one.cost]).toEqual([
      [],
      [],
      { chicks: null, to_come: null, money: null },
    ]);
  }
});

test('before anything was set nothing is asked', () => {
  const all = diagnose(seasonOf(plainFarm, []));
  expect(all.length).toBeGreaterThan(10);
  expect(new Set(all.map(({ verdict, unknown }) => `${verdict} ${unknown}`))).toEqual(
    new Set(['unknown nothing was written that could show it']),
  );
});

describe('a male that fails from the fourth set on', () => {
  const rows = farm(8, ({ pen, set }) =>
    pen === 'orchard' && set >= 3 ? { clear: 18, quit: 0, unpipped: 1, pipped: 0 } : usual,
  );
  test('is told with his pen and his name, the day of that set, and what was usual', () => {
    const [male, ...others] = raised(rows);
    expect(male).toMatchObject({
      cause: 'failing-male',
      verdict: 'act',
      since: '2027-02-22',
      where: {
        line: 'sussex',
        pen: 'orchard',
        male: 'Oak',
        set: null,
        setter: null,
        hatcher: null,
        tray: null,
        from: '2027-02-22',
        to: null,
      },
      would_show: null,
      unknown: null,
    });
    expect(others.filter(({ verdict }) => verdict === 'act')).toEqual([]);
    expect(male!.probability).toBeGreaterThan(0.5);
    expect(male!.evidence.length).toBeGreaterThan(0);
    // The sign that names the cause is told first, and what it is held against.
    expect(male!.evidence[0]!.says).toContain('clear');
    expect(male!.source).toMatch(/^this season's other sets, and /);
    for (const { cause, odds } of male!.rivals) {
      expect(cause).not.toBe('failing-male');
      expect(odds).toBeGreaterThan(0.02);
      expect(odds).toBeLessThanOrEqual(1);
    }
    expect(male!.rivals.length).toBeLessThanOrEqual(3);
    for (const { log_odds } of male!.evidence) expect(log_odds).toBeGreaterThan(0.7 / Math.LN10);
    expect(male!.estimate).toBeGreaterThan(male!.expected!);
    expect(male!.low).toBeLessThan(male!.estimate!);
    expect(male!.high).toBeGreaterThan(male!.estimate!);
    // Of five shares of 24 eggs some fifteen each were lost to it.
    expect(male!.cost.chicks).toBeGreaterThan(40);
    expect(male!.cost.chicks).toBeLessThan(90);
  });
  test('is let go with the wait of his kind before eggs are surely another’s', () => {
    // Turkeys bear fertile eggs for weeks: 45 days, against 21 of hens.
    const wait = (species: string): string =>
      diagnose(seasonOf(plainFarm.replaceAll('chicken', species), rows))
        .find(({ cause }) => cause === 'failing-male')!
        .next.at(-1)!;
    expect(wait('chicken')).toMatch(/ 21 days after /);
    expect(wait('turkey')).toMatch(/ 45 days after /);
  });
  test('costs what his eggs would have given at the rate of the others of their kind', () => {
    // Of 3 + 8 other shares, 24 eggs each, 16 hatched; with 40 eggs of the usual 70 % that is 67 %.
    // Five shares of 24 gave 5 each: 120 × 0.67 - 25 = 56. A pen of ducks beside them alters nothing.
    const [male] = raised(rows);
    expect(male!.cost.chicks).toBe(56);
    const ducks = `${plainFarm.replace('lines: {', 'lines: {runner: {species: duck}, ').replace('pens:', 'pens:\n  pond: {line: runner, hens: 9, males: 2, joined: 2027-01-10}').replaceAll('chicken: 60', 'chicken: 60, duck: 60').replaceAll('chicken: 200', 'chicken: 200, duck: 200')}`;
    const pond: Written[] = [
      ['eggs', '2027-02-01', { pen: 'pond', kept: 24 }],
      ['set', '2027-02-02', { set: 'P', pen: 'pond', setter: 'cabinet', tray: 2, eggs: 24 }],
      ['transfer', '2027-02-27', { set: 'P', hatcher: 'upper', moved: 24 }],
      ['hatch', '2027-03-03', { set: 'P', hatched: 2, unpipped: 22, final: 'yes' }],
    ];
    const beside = raisedFindings(
      seasonOf(
        ducks,
        [...rows, ...pond].sort((a, b) => (a[1].slice(0, 10) < b[1].slice(0, 10) ? -1 : 1)),
      ),
    ).find(({ cause }) => cause === 'failing-male');
    expect(beside?.cost.chicks).toBe(56);
  });
  test('of two males in one pen nobody can say which', () => {
    const other = farm(8, ({ pen, set }) =>
      pen === 'yard' && set >= 3 ? { clear: 18, quit: 0, unpipped: 1, pipped: 0 } : usual,
    );
    expect(first(other)).toMatchObject({
      cause: 'failing-male',
      where: { pen: 'yard', male: null },
    });
  });
});

describe('a male keeps his name across pens and years', () => {
  type Way = Parameters<typeof farm>[1];
  /** The season of a year, with its males; `more` are rows of its own. */
  const year = (
    of: number,
    way: Way,
    { sets = 8, text = plainFarm, more = [] as Written[] } = {},
  ) =>
    seasonOf(
      text.replaceAll('2027', String(of)),
      farm(sets, way, more).map(([record, on, cells]) => [
        record,
        on.replace('2027', String(of)),
        cells,
      ]),
    );
  const poor = { clear: 15, quit: 0, unpipped: 1, pipped: 0 };
  const worse: Way = ({ pen }) => (pen === 'orchard' ? poor : usual);
  const told = (now: ReturnType<typeof year>, before: readonly ReturnType<typeof year>[] = []) =>
    raisedFindings(now, before).map(({ cause, verdict, since, where: { pen, male } }) => ({
      cause,
      verdict,
      since,
      pen,
      male,
    }));
  const good = [2024, 2025, 2026].map((of) => year(of, () => usual));

  test('one who was good for three years and is not from the first set on has failed', () => {
    const [first, ...others] = told(year(2027, worse), good);
    expect(first).toEqual({
      cause: 'failing-male',
      verdict: 'act',
      since: '2027-02-01',
      pen: 'orchard',
      male: 'Oak',
    });
    expect(others).toEqual([]);
    // Of another male, and of one whom no earlier season knows, it is said that he is poor.
    const other = good.map((_, at) =>
      year(2024 + at, () => usual, { text: plainFarm.replace('[Oak]', '[Ash]') }),
    );
    for (const before of [other, []])
      expect(told(year(2027, worse), before)[0]).toMatchObject({
        cause: 'low-fertility',
        pen: 'orchard',
        male: 'Oak',
      });
  });

  test('what he was shows his fall the plainer', () => {
    const falls: Way = ({ pen, set }) =>
      pen === 'orchard' && set >= 1 ? { ...usual, clear: 12 } : usual;
    const of = (before: Parameters<typeof told>[1]) =>
      raisedFindings(year(2027, falls, { sets: 4 }), before).find(
        ({ cause }) => cause === 'failing-male',
      );
    expect(of([])?.verdict).not.toBe('act');
    expect(of(good)).toMatchObject({
      verdict: 'act',
      since: '2027-02-08',
      where: { pen: 'orchard', male: 'Oak' },
    });
  });

  test('one who was poor before is poor, and fails since no day', () => {
    const before = [2024, 2025, 2026].map((of) => year(of, worse));
    const found = told(year(2027, worse), before);
    expect(found[0]).toEqual({
      cause: 'low-fertility',
      verdict: 'act',
      since: '2027-02-01',
      pen: 'orchard',
      male: 'Oak',
    });
    expect(found.map(({ cause }) => cause)).not.toContain('failing-male');
    // With another male that pen is like any other, and where he stands now is not.
    const moved = plainFarm
      .replace('[Oak]', '[Elm]')
      .replace('males: 2, joined: 2027-01-10', 'males: 1, joined: 2027-01-10, sires: [Oak]');
    const [first] = told(
      year(2027, ({ pen }) => (pen === 'yard' ? poor : usual), { text: moved }),
      before,
    );
    expect(first).toMatchObject({ cause: 'low-fertility', pen: 'yard', male: 'Oak' });
  });

  test('what is said of a poor male counts the seasons he was here', () => {
    const [first] = raisedFindings(year(2027, worse), [year(2026, worse)]);
    expect(first!.evidence[0]!.says).toMatch(
      /^240 of 384 eggs set were clear with Oak, this season and before; elsewhere /,
    );
  });

  test('a change of males in mid-season: what comes with the new one is his', () => {
    const change: Written = [
      'pen-change',
      '2027-02-22',
      { pen: 'orchard', change: 'replaced', sex: 'male', bird: 'Elm' },
    ];
    // Eggs are laid two days before they are set, and are surely of Elm three weeks after he came.
    const falls: Way = ({ pen, set }) => (pen === 'orchard' && set >= 7 ? poor : usual);
    const [first, ...others] = told(year(2027, falls, { sets: 12, more: [change] }));
    expect(first).toEqual({
      cause: 'low-fertility',
      verdict: 'act',
      since: '2027-03-22',
      pen: 'orchard',
      male: 'Elm',
    });
    expect(others).toEqual([]);
    expect(told(year(2027, falls, { sets: 12 }))[0]).toMatchObject({
      cause: 'failing-male',
      male: 'Oak',
    });
  });
});

test('fewer clears more are watched, and not acted on yet', () => {
  const of = (clear: number) =>
    raised(
      farm(8, ({ pen, set }) => (pen === 'orchard' && set >= 3 ? { ...usual, clear } : usual)),
    ).map(({ verdict }) => verdict);
  expect(of(5)).not.toContain('act');
  const watched = of(8);
  expect(watched).toContain('watch');
  expect(watched).not.toContain('act');
});

test('old eggs are told from the first set that had them on', () => {
  const plain = farm(8, ({ set }) => (set >= 4 ? { ...usual, clear: 11, quit: 4 } : usual));
  // From the fifth set on the eggs had been kept for seventeen days, of which the egg rows say nothing.
  const old = plain.flatMap(([record, on, cells]): Written[] => {
    if (on < '2027-02-25' || (record !== 'eggs' && record !== 'set')) return [[record, on, cells]];
    if (record === 'eggs') return [];
    const laid = after(on.slice(0, 10), -17);
    return [[record, on, { ...cells, laid_from: laid, laid_to: laid }]];
  });
  const found = raised(old);
  expect(found.find(({ cause }) => cause === 'long-storage')).toMatchObject({
    since: '2027-03-01',
    where: { pen: null, setter: null, from: '2027-03-01', to: null },
  });
});

test('a pen that was low from the start is low fertility, and no male that failed', () => {
  const found = first(
    farm(6, ({ pen }) =>
      pen === 'orchard' ? { clear: 17, quit: 0, unpipped: 1, pipped: 0 } : usual,
    ),
  );
  expect(found).toMatchObject({
    cause: 'low-fertility',
    where: { pen: 'orchard', from: '2027-02-01' },
  });
});

test('a set that was lost whole is told by its name, and lasts no longer than its day', () => {
  const [lost] = raised(
    farm(6, ({ set }) => (set === 3 ? { clear: 3, quit: 21, unpipped: 0, pipped: 0 } : usual)),
  );
  expect(lost).toMatchObject({
    cause: 'set-lost',
    where: { set: 'S4', pen: null, from: '2027-02-22', to: '2027-02-22' },
  });
});

test('a long cut of power is told with its machine and its day', () => {
  const cut: Written = [
    'reading',
    '2027-02-24T02:00',
    { machine: 'attic', event: 'power-off', minutes: 900, room: 4 },
  ];
  const rows = farm(
    6,
    ({ set }) => (set === 1 || set === 3 ? { clear: 3, quit: 14, unpipped: 5, pipped: 0 } : usual),
    [cut],
  );
  expect(raised(rows).find(({ cause }) => cause === 'power-cut')).toMatchObject({
    where: { setter: 'attic', from: '2027-02-24', to: '2027-02-24' },
  });
});

test('the signs of a second cut say no set from which it began', () => {
  const cut = (on: string): Written => [
    'reading',
    on,
    { machine: 'attic', event: 'power-off', minutes: 900, room: 4 },
  ];
  const rows = farm(
    6,
    ({ set }) => (set === 1 || set === 3 ? { clear: 3, quit: 14, unpipped: 5, pipped: 0 } : usual),
    [cut('2027-02-09T02:00'), cut('2027-02-24T02:00')],
  );
  const signs = raised(rows).find(({ cause }) => cause === 'power-cut')?.evidence ?? [];
  expect(signs.length).toBeGreaterThan(0);
  for (const { says } of signs) expect(says).not.toContain('since');
});

describe('a setter that runs cool from the third set in it on', () => {
  /** Its chicks are a day late, and weak ones die late; its thermometer shows `dry` on every other day. */
  const rows = (dry: number | null) =>
    farm(
      9,
      ({ setter, set }) =>
        setter === 'attic' && set >= 3 ? { ...usual, unpipped: 8, late: 1 } : usual,
      dry === null
        ? []
        : Array.from({ length: 40 }, (_, at): Written => {
            const on = after('2027-02-09', 2 * at);
            return [
              'reading',
              `${on}T08:00`,
              { machine: 'attic', dry: on < '2027-02-22' ? 37.5 : dry },
            ];
          }),
    );
  const told = (dry: number | null) =>
    raised(rows(dry)).map(({ cause, where, verdict }) => [
      cause,
      where.setter,
      where.from,
      verdict,
    ]);
  test('is told with its machine', () => {
    const found = told(null);
    expect(found).toContainEqual(['cool', 'attic', '2027-02-22', expect.any(String)]);
    expect(found.map(([cause]) => cause)).not.toContain('gauge-wrong');
  });
  test('and so is its thermometer, where it shows what it always did', () => {
    const gauge = raised(rows(37.5)).find(({ cause }) => cause === 'gauge-wrong')!;
    expect(gauge).toMatchObject({
      where: { setter: 'attic', from: '2027-02-22' },
      evidence: [
        {
          says: expect.stringMatching(
            /^the thermometer of attic reads as it should, while the chicks say that it runs cool$/,
          ),
        },
      ],
    });
    const shows = told(37.1);
    expect(shows).toContainEqual(['cool', 'attic', '2027-02-22', 'act']);
    expect(shows.map(([cause]) => cause)).not.toContain('gauge-wrong');
  });
});

describe('a thermometer that reads a degree too high while chicks hatch on their day', () => {
  const rows = (reads: (on: string) => number) =>
    farm(
      9,
      () => usual,
      Array.from({ length: 40 }, (_, at): Written => {
        const on = after('2027-02-01', 2 * at);
        return ['reading', `${on}T08:00`, { machine: 'attic', dry: reads(on) }];
      }),
    );
  test.each([
    ['from the first day on', () => 38.6],
    ['from the third set in it on', (on: string) => (on < '2027-02-22' ? 37.5 : 38.6)],
  ])('%s: the thermometer is wrong, not the setter warm', (_, reads) => {
    const named = (of: readonly Written[]) =>
      raised(of).map(({ cause, where }) => [cause, where.setter]);
    const unread = named(farm(9, () => usual));
    expect(named(rows(reads))).toEqual([['gauge-wrong', 'attic'], ...unread]);
  });
});

test('a tray that hatches worse than its neighbours is told by its number', () => {
  const rows = farm(8, ({ tray, setter }) =>
    tray === 2 && setter === 'attic' ? { ...usual, unpipped: 11, pipped: 4 } : usual,
  );
  expect(raised(rows).find(({ cause }) => cause === 'uneven-tray')?.where).toMatchObject({
    setter: 'attic',
    tray: 2,
    pen: null,
    hatcher: null,
  });
});
