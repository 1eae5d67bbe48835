// What keepers met, one test a class: each is a season on which an answer was once wrong.
import { describe, expect, it } from 'vitest';
import { diagnose } from '../../src/judge/diagnose/diagnose.ts';
import type { Finding } from '../../src/judge/diagnose/finding.ts';
import { bookOf } from '../../src/judge/model/book.ts';
import { countBases, countStreams } from '../../src/judge/model/streams.ts';
import { addDays, type Day } from '../../src/text/day.ts';
import { logbook } from './logbook.ts';
import { simulated, wellKept } from './simulate.ts';

const raised = (findings: readonly Finding[]): Finding[] =>
  findings.filter((f) => f.verdict === 'act' || f.verdict === 'watch');

describe('a season', () => {
  it('whose chicks all come early under a right-looking gauge has a warm machine, and a wrong gauge', () => {
    const { season } = simulated(61, [{ cause: 'warm', from: 0 }], { ...wellKept, stuck: true });
    const causes = raised(diagnose(season)).map((f) => f.cause);
    expect(causes[0]).toBe('warm');
    expect(causes).toContain('gauge-wrong');
  });

  it('with a low pen in sets that all grow older is not put down to storage', () => {
    const { season, truth } = simulated(62, [{ cause: 'failing-male', from: 5 }], {
      ...wellKept,
      ageing: true,
    });
    const [first] = diagnose(season);
    expect(first).toMatchObject({ cause: 'failing-male', where: { pen: truth.pen } });
  });

  it.each(['none', 'some', 'all'] as const)(
    'of too few fertile eggs is told so with %s of the clears opened',
    (breakouts) => {
      const { season } = simulated(63, [{ cause: 'low-fertility', from: 5 }], {
        ...wellKept,
        breakouts,
      });
      expect(raised(diagnose(season))[0]?.cause).toBe('low-fertility');
    },
  );

  it.each([64, 65, 66, 67])(
    'looked at only at transfer and sound is not told to act (%i)',
    (seed) => {
      const { season } = simulated(seed, null, { ...wellKept, candling: false, breakouts: 'none' });
      expect(diagnose(season).filter((f) => f.verdict === 'act')).toEqual([]);
    },
  );
});

describe('two kinds', () => {
  const yaml = `format: traybook/1
season: 2027
place: {name: Two kinds, timezone: UTC, altitude_m: 100}
lines:
  hens: {species: chicken, class: dual-purpose}
  ducks: {species: duck}
pens:
  run: {line: hens, hens: 12, males: 1, joined: 2026-12-01}
  pond: {line: ducks, hens: 9, males: 2, joined: 2026-12-01}
setters: {cabinet: {trays: 4, tray_holds: {chicken: 60, duck: 40}, turns: automatic}}
hatchers: {lower: {holds: {chicken: 200, duck: 150}, one_set_at_a_time: false}}
`;
  /** Eight sets of hens, and of ducks as many as are wanted, each kind as it is usual with it. */
  function season(duckSets: number, duckEggs: number) {
    const book = logbook(yaml);
    const put = (
      set: string,
      pen: string,
      day: Day,
      eggs: number,
      clear: number,
      late: number,
      term: number,
    ) => {
      book.row('set', day, { set, pen, tray: 1, eggs });
      book.row('candling', addDays(day, 7), { set, pen, clear });
      book.row('transfer', addDays(day, term - 3), { set, pen, moved: eggs - clear });
      const hatched = eggs - clear - late;
      book.row('hatch', addDays(day, term), { set, pen, hatched, unpipped: late, final: 'yes' });
    };
    for (let i = 0; i < 8; i++)
      put(`H${i}`, 'run', addDays('2027-02-01' as Day, 7 * i), 40, 4, 3, 21);
    for (let i = 0; i < duckSets; i++)
      put(
        `D${i}`,
        'pond',
        addDays('2027-02-01' as Day, 7 * i),
        duckEggs,
        Math.round(0.2 * duckEggs),
        Math.round(0.15 * duckEggs),
        28,
      );
    return book.season();
  }

  it('are never weighed as one: hens as usual beside ducks as usual raise nothing', () => {
    const both = season(8, 30);
    const book = bookOf(both);
    for (const stream of countStreams(book, countBases(book), 'set'))
      expect(new Set(stream.units.map((unit) => unit.species)).size).toBe(1);
    expect(raised(diagnose(both))).toEqual([]);
  });

  it('with one small set of the second leave the answers to the first as they were', () => {
    const answers = (findings: readonly Finding[]) =>
      Object.fromEntries(findings.map((f) => [f.cause, f.verdict]));
    expect(answers(diagnose(season(1, 14)))).toEqual(answers(diagnose(season(0, 0))));
  });
});
