import { describe, expect, test } from 'vitest';
import { nowAt, seasonOf } from '../../tests/support/season.ts';
import { claimsOf } from '../facts/claims.ts';
import type { Season } from '../season/model.ts';
import type { PlanResult } from './plan.ts';
import { type Binding, type Way, waysOut } from './ways-out.ts';

// What each way does to a season; that it frees a plan is solved for in limits.test.ts.
const base = {
  format: 'traybook/1',
  season: '2027',
  place: '{name: Low Croft, timezone: Europe/London}',
  lines: '{sussex: {species: chicken}, harlequin: {species: duck}}',
  pens: '{north: {line: sussex, hens: 12, males: 1, joined: 2027-02-08}, south: {line: sussex, hens: 3, males: 1, joined: 2027-01-11}, pond: {line: harlequin, hens: 4, males: 1, joined: 2027-01-11}}',
  setters: '{cabinet: {trays: 3, tray_holds: {chicken: 40, duck: 30}}}',
  hatchers: '{lower: {holds: {chicken: 60, duck: 40}, clean_days: 2}}',
  storage: '{max_days: 7}',
  goals: '[{line: sussex, want: chicks, count: 9, by: 2027-05-01}]',
};
const seasonWith = (parts: Readonly<Record<string, string>> = {}) =>
  seasonOf(
    Object.entries({ ...base, ...parts })
      .map(([key, value]) => `${key}: ${value}\n`)
      .join(''),
  );
const now = nowAt('2027-02-01');
/** The claims that fall short by their places; all where not said. */
const waysOf = (parts: Readonly<Record<string, string>> = {}, ...short: number[]) => {
  const season = seasonWith(parts);
  const claims = claimsOf(season).filter((_, i) => short.length === 0 || short.includes(i));
  return { season, ways: waysOut(season, now, claims) };
};
/** A plan to which only its loss matters. */
const freed = (loss = 0) => ({ loss }) as unknown as PlanResult;
const said = (way: Way, amount = 1) => way.say(amount, freed());
const ofLimit = (ways: readonly Way[], limit: Binding) => ways.filter((way) => way.limit === limit);
const the = (ways: readonly Way[], words: RegExp, amount = 1): Way => {
  const found = ways.filter((way) => words.test(said(way, amount)));
  expect(found.map((way) => said(way, amount))).toHaveLength(1);
  return found[0]!;
};

describe('pens', () => {
  test('only those of a line that falls short, each up to three times its hens', () => {
    const ducks = { goals: '[{line: harlequin, want: chicks, count: 9, by: 2027-05-03}]' };
    const { ways } = waysOf();
    expect(ofLimit(ways, 'eggs').map((way) => [said(way, 2), way.most])).toEqual([
      ['2 more hens in north', 36],
      ['2 more hens in south', 10],
    ]);
    expect(ofLimit(waysOf(ducks).ways, 'eggs').map((way) => said(way))).toEqual([
      '1 more hen in pond',
    ]);
  });

  test('more hens are hens of that pen alone, and the season stays as it was', () => {
    const { season, ways } = waysOf();
    const changed = the(ways, /hen in north/).change(season, 5);
    const hens = (one: Season) => [...one.pens.values()].map((pen) => pen.hens);
    expect(hens(changed)).toEqual([17, 3, 4]);
    expect(hens(season)).toEqual([12, 3, 4]);
    expect({ ...changed, pens: season.pens }).toEqual(season);
  });

  test('only a pen yet to be joined can be joined earlier, and not before today', () => {
    const { season, ways } = waysOf();
    const way = the(ways, /joined/, 3);
    expect(said(way, 3)).toBe('north joined 3 days earlier, on 2027-02-05');
    expect(said(way, 1)).toBe('north joined 1 day earlier, on 2027-02-07');
    expect(way.most).toBe(7);
    expect(way.change(season, 7).pens.get('north')!.joined).toBe(now.day);
  });
});

test('a later day is given to every goal and order that falls short, and to no other', () => {
  const { season, ways } = waysOf(
    {
      goals:
        '[{line: sussex, want: chicks, count: 9, by: 2027-05-01}, {line: harlequin, want: chicks, count: 9, by: 2027-05-03}, {line: sussex, want: pullets, count: 9, by: 2027-11-30}]',
      orders:
        '[{for: a neighbour, line: sussex, want: chicks, count: 4, from: 2027-04-20, by: 2027-05-01}]',
    },
    // What hens of the same line give in time already waits for no longer.
    ...[2, 3],
  );
  const way = ways.find((one) => one.limit === 'time' && said(one).startsWith('1 day more'))!;
  const by = (one: Season) => [...one.values.goals, ...one.values.orders].map((claim) => claim.by);
  expect(by(way.change(season, 2))).toEqual([
    '2027-05-01',
    '2027-05-03',
    '2027-12-02',
    '2027-05-03',
  ]);
  expect(by(season)).toEqual(['2027-05-01', '2027-05-03', '2027-11-30', '2027-05-01']);
  expect(said(way, 2)).toBe('2 days more: by 2027-12-02 and 2027-05-03');
});

describe('machines', () => {
  test('trays are added to a setter', () => {
    const { season, ways } = waysOf();
    const way = the(ways, /tray/);
    expect(said(way)).toBe('1 more tray in cabinet');
    expect(said(way, 4)).toBe('4 more trays in cabinet');
    expect(way.change(season, 4).setters.get('cabinet')!.trays).toBe(7);
    expect(season.setters.get('cabinet')!.trays).toBe(3);
  });

  test('of like machines one is tried, of unlike ones each', () => {
    const setter = (trays: number) => `{trays: ${trays}, tray_holds: {chicken: 40}}`;
    const like = waysOf({ setters: `{a: ${setter(3)}, b: ${setter(3)}}` });
    expect(ofLimit(like.ways, 'trays').map((way) => said(way))).toEqual(['1 more tray in a']);
    const unlike = waysOf({ setters: `{a: ${setter(3)}, b: ${setter(4)}}` });
    expect(ofLimit(unlike.ways, 'trays')).toHaveLength(2);
    // The order in which a table of room is written makes no machine another.
    const turned = waysOf({
      setters:
        '{a: {trays: 2, tray_holds: {chicken: 40, duck: 30}}, b: {trays: 2, tray_holds: {duck: 30, chicken: 40}}}',
    });
    expect(ofLimit(turned.ways, 'trays')).toHaveLength(1);
  });

  test('room in a hatcher is made for the kind that falls short', () => {
    const { season, ways } = waysOf();
    const way = the(ways, /room for/, 12);
    expect(said(way, 12)).toBe('room for 12 more eggs in lower');
    expect(way.most).toBe(120);
    expect(way.change(season, 12).hatchers.get('lower')!.holds).toEqual({ chicken: 72, duck: 40 });
    expect(season.hatchers.get('lower')!.holds).toEqual({ chicken: 60, duck: 40 });
  });

  test('another hatcher is one like it beside it', () => {
    const { season, ways } = waysOf();
    const way = the(ways, /hatchers? like/);
    expect([said(way), said(way, 2)]).toEqual([
      'one more hatcher like lower',
      '2 more hatchers like lower',
    ]);
    const { hatchers } = way.change(season, 2);
    expect(hatchers.size).toBe(3);
    for (const one of hatchers.values())
      expect(one).toMatchObject({ holds: { chicken: 60, duck: 40 }, clean_days: 2 });
    // Each under the name it stands by.
    for (const [name, one] of hatchers) expect(one.name).toBe(name);
  });

  test('a hatcher is cleaned sooner only where cleaning takes days, and not below none', () => {
    const { season, ways } = waysOf();
    const way = the(ways, /clean again/);
    expect([said(way), said(way, 2), way.most]).toEqual([
      'lower clean again 1 day sooner',
      'lower clean again 2 days sooner',
      2,
    ]);
    expect(way.change(season, 2).hatchers.get('lower')!.clean_days).toBe(0);
    const none = waysOf({ hatchers: '{lower: {holds: {chicken: 60}, clean_days: 0}}' }).ways;
    expect(none.filter((one) => said(one).includes('clean'))).toEqual([]);
  });

  test('without hatchers or brooders none are told of', () => {
    const { ways } = waysOf({ hatchers: '{}' });
    expect(ofLimit(ways, 'hatcher')).toEqual([]);
    expect(ofLimit(ways, 'brooder')).toEqual([]);
  });
});

describe('brooders', () => {
  const barn = (heat: string, more = '') => ({ brooders: `{barn: {area: 3, ${heat}}${more}}` });

  test('more floor comes by half square metres, or five square feet', () => {
    const metres = waysOf(barn('heat: {kind: lamp}'));
    const way = the(metres.ways, /floor/, 3);
    expect(said(way, 3)).toBe('1.5 m2 more floor in barn');
    expect(way.change(metres.season, 3).brooders.get('barn')!.area).toBe(4.5);
    expect(metres.season.brooders.get('barn')!.area).toBe(3);
    const feet = waysOf({ ...barn('heat: {kind: lamp}'), units: '{area: ft2}' });
    const wide = the(feet.ways, /floor/, 3);
    expect(said(wide, 3)).toBe('15 ft2 more floor in barn');
    expect(wide.change(feet.season, 3).brooders.get('barn')!.area).toBe(18);
  });

  test('more heat comes by lamps, hovers or plates, whichever it has', () => {
    for (const kind of ['lamp', 'hover', 'plate']) {
      const { season, ways } = waysOf(barn(`heat: {kind: ${kind}, count: 2, places: 20}`));
      const way = the(ways, new RegExp(`more ${kind}s? in`), 3);
      expect(said(way, 3)).toBe(`3 more ${kind}s in barn`);
      expect(way.change(season, 3).brooders.get('barn')!.heat).toMatchObject({
        kind,
        count: 5,
        places: 20,
      });
      expect(season.brooders.get('barn')!.heat!.count).toBe(2);
    }
  });

  test('one without heat gets floor or a twin, no heater', () => {
    for (const heat of ['heat: {kind: none}', 'feeder_cm: 200']) {
      const { ways } = waysOf(barn(heat));
      expect(ofLimit(ways, 'brooder').map((way) => said(way))).toEqual([
        '0.5 m2 more floor in barn',
        '1 more brooder like barn',
      ]);
    }
  });

  test('a twin stands beside it under a name of its own', () => {
    const { season, ways } = waysOf(barn('heat: {kind: lamp, count: 2}'));
    const { brooders } = the(ways, /like barn/, 2).change(season, 2);
    expect(brooders.size).toBe(3);
    for (const [name, one] of brooders)
      expect(one).toMatchObject({ name, area: 3, heat: { kind: 'lamp', count: 2 } });
  });

  test('of like brooders one is tried', () => {
    const like = waysOf(barn('heat: {kind: lamp}', ', shed: {area: 3, heat: {kind: lamp}}')).ways;
    expect(ofLimit(like, 'brooder')).toHaveLength(3);
    const unlike = waysOf(barn('heat: {kind: lamp}', ', shed: {area: 2, heat: {kind: lamp}}')).ways;
    expect(ofLimit(unlike, 'brooder')).toHaveLength(6);
  });
});

test('longer storage tells what it costs', () => {
  const { season, ways } = waysOf();
  const [way] = ofLimit(ways, 'storage');
  expect(way!.say(2, freed(1.26))).toBe('eggs stored 2 days longer; storage then takes 1.3 chicks');
  const { species } = season.lines.get('sussex')!;
  expect(way!.change(season, 2).storageMaxDays(species)).toBe(9);
  expect(season.storageMaxDays(species)).toBe(7);
});

describe('days off', () => {
  const said1 = (off: string) => {
    const { season, ways } = waysOf({ days_off: off });
    return {
      season,
      found: ofLimit(ways, 'days off').map((way) => [said(way), way.instead] as const),
      way: (words: RegExp) => the(ways, words),
    };
  };

  test('none taken, none to give up', () => {
    expect(said1('{set: [], hatch: []}').found).toEqual([]);
  });

  test('one alone is given up alone', () => {
    expect(said1('{set: [sun], hatch: []}').found).toEqual([['eggs set on Sundays too', 'set']]);
  });

  test('the smallest first: a date to come, one work on a weekday, the weekday, all', () => {
    const { found, season, way } = said1(
      '{set: [sun], candle: [sun], transfer: [], hatch: [wed], dates: [2027-01-20, 2027-02-01, 2027-03-09]}',
    );
    expect(found).toEqual([
      ['work on 2027-02-01', 'date'],
      ['work on 2027-03-09', 'date'],
      ['eggs set on Sundays too', 'set'],
      ['eggs candled on Sundays too', 'candle'],
      ['chicks hatching on Wednesdays too', 'hatch'],
      ['Sundays not off at all', 'all'],
      ['no days off', 'all'],
    ]);
    const off = (words: RegExp) => way(words).change(season, 1).values.days_off;
    expect(off(/2027-03-09/).dates).toEqual(['2027-01-20', '2027-02-01']);
    expect(off(/eggs set/)).toMatchObject({ set: [], candle: ['sun'], hatch: ['wed'] });
    expect(off(/Sundays not off/)).toMatchObject({ set: [], candle: [], hatch: ['wed'] });
    expect(off(/no days off/)).toMatchObject({ set: [], candle: [], hatch: [], dates: [] });
    expect(season.values.days_off.set).toEqual(['sun']);
  });
});

test('every way changes the season it is given, so that ways can be laid one over another', () => {
  const { season, ways } = waysOf({
    brooders: '{barn: {area: 3, heat: {kind: lamp}}}',
    days_off: '{set: [sun], hatch: [sat]}',
    goals: '[{line: sussex, want: chicks, count: 9, by: 2027-05-01}]',
  });
  for (const way of ways) {
    const changed = way.change(season, 1);
    expect(changed).not.toBe(season);
    expect(changed.rows).toBe(season.rows);
    expect(way.most).toBeGreaterThanOrEqual(1);
  }
  const all = ways.reduce((one, way) => way.change(one, 1), season);
  expect(all.pens.get('north')).toMatchObject({ hens: 13, joined: '2027-02-07' });
  expect(all.setters.get('cabinet')!.trays).toBe(4);
  expect(all.brooders.get('barn')).toMatchObject({ area: 3.5, heat: { count: 2 } });
  expect(all.values.days_off).toMatchObject({ set: [], hatch: [] });
  expect(all.values.goals[0]!.by).toBe('2027-05-02');
});
