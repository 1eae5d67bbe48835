import { describe, expect, it } from 'vitest';
import { diagnose, raisedFindings } from '../../src/judge/diagnose/diagnose.ts';
import { comparisonsOf } from '../../src/judge/review/comparisons.ts';
import { reviewOf } from '../../src/judge/review/review.ts';
import type { Season } from '../../src/season/model.ts';
import { diagnosisScreen, isRaised } from '../../src/tables/diagnosis.ts';
import { markdownScreen } from '../../src/tables/markdown.ts';
import { metric } from '../../src/tables/numbers.ts';
import { unpainted } from '../../src/tables/paint.ts';
import { reviewDocument, reviewJson, reviewScreen } from '../../src/tables/review.ts';
import { type Paper, screenText } from '../../src/tables/terminal.ts';
import { type Logbook, logbook } from './logbook.ts';

const yaml = (pens: string): string => `format: traybook/1
season: 2027
place: {name: Test, timezone: Europe/London, altitude_m: 0}
lines: {grey: {species: chicken}}
pens: {${pens}}
setters: {cabinet: {trays: 4, tray_holds: {chicken: 60}}}
hatchers: {lower: {holds: {chicken: 200}, one_set_at_a_time: false}}
`;
const onePen = 'ash: {line: grey, hens: 10, males: 1, joined: 2026-12-01}';
const twoPens = `${onePen}, birch: {line: grey, hens: 10, males: 1, joined: 2026-12-01}`;

type Counts = {
  eggs: number;
  clear?: number;
  quit?: number;
  candled?: boolean;
  moved?: number;
  hatched?: number;
  pipped?: number;
  unpipped?: number;
};

function put(book: Logbook, set: string, on: string, pen: string, tray: number, c: Counts): void {
  const month = Number(on.slice(5, 7));
  const later = (days: number): string => {
    const d = new Date(Date.UTC(2027, month - 1, Number(on.slice(8, 10)) + days));
    return d.toISOString().slice(0, 10);
  };
  book.row('set', on, { set, pen, tray, eggs: c.eggs });
  if (c.candled !== false)
    book.row('candling', later(7), { set, pen, clear: c.clear ?? 0, quit: c.quit ?? 0 });
  if (c.moved === undefined) return;
  book.row('transfer', later(18), { set, pen, moved: c.moved });
  if (c.hatched === undefined) return;
  book.row('hatch', `${later(21)}T08:00`, {
    set,
    pen,
    hatched: c.hatched,
    pipped: c.pipped ?? 0,
    unpipped: c.unpipped ?? 0,
    final: 'yes',
  });
}

const paper: Paper = {
  width: 80,
  fits: true,
  ascii: true,
  full: true,
  paint: unpainted,
  units: metric,
};
const title = 'Test, season 2027';
const diagnosed = (findings: ReturnType<typeof diagnose>, numbers: boolean): string =>
  screenText(diagnosisScreen(findings, title, metric, numbers), paper);

/** Every number is finite, every share of nothing is null, every page says no nonsense. */
function sound(season: Season): {
  review: ReturnType<typeof reviewOf>;
  findings: ReturnType<typeof diagnose>;
  tests: ReturnType<typeof comparisonsOf>;
} {
  const review = reviewOf(season);
  const findings = diagnose(season);
  const walk = (value: unknown, path: string): void => {
    if (typeof value === 'number') expect(Number.isFinite(value), path).toBe(true);
    else if (value !== null && typeof value === 'object')
      for (const [key, v] of Object.entries(value)) walk(v, `${path}.${key}`);
  };
  const tests = comparisonsOf(season);
  const raised = raisedFindings(season);
  expect(raised).toEqual(findings.filter(isRaised));
  const all = { review, findings, raised, tests };
  walk(reviewJson(all), 'review');
  walk(findings, 'findings');
  for (const group of review.groups)
    for (const rate of Object.values(group.rates))
      if (rate.n === 0) expect(rate).toMatchObject({ estimate: null, low: null, high: null });
      else expect(rate.x).toBeLessThanOrEqual(rate.n);
  const wishes = {
    by: ['pen', 'set', 'tray', 'week', 'storage age', 'hatcher'] as const,
  };
  const reviewed = screenText(reviewScreen(all, title, metric, wishes), paper);
  for (const text of [
    reviewed,
    markdownScreen(reviewDocument(all, title, metric, wishes), metric),
    diagnosed(findings, true),
    diagnosed(findings, false),
  ])
    expect(text).not.toMatch(/NaN|Infinity|undefined|\[object/);
  for (const text of [reviewed, diagnosed(findings, true)])
    expect(text.split('\n').filter((line) => line.length > 80)).toEqual([]);
  return all;
}

const rateOf = (review: ReturnType<typeof reviewOf>, name: string) =>
  (
    review.groups.find((g) => g.by === 'season')!.rates as Record<
      string,
      { x: number; n: number; estimate: number | null }
    >
  )[name];

describe('seasons that are not as a book has them', () => {
  it('an empty season', () => {
    const { review, findings } = sound(logbook(yaml(onePen)).season());
    expect(rateOf(review, 'hatch_of_set')).toMatchObject({ n: 0, estimate: null });
    expect(findings.filter((f) => f.verdict !== 'unknown')).toEqual([]);
  });

  it('sets still running count for what is known of them', () => {
    const book = logbook(yaml(onePen));
    put(book, 'A', '2027-03-01', 'ash', 1, { eggs: 20, clear: 3 });
    put(book, 'B', '2027-03-08', 'ash', 2, { eggs: 20, clear: 2, moved: 18 });
    const { review } = sound(book.season());
    expect(rateOf(review, 'fertile_apparent')).toMatchObject({ x: 35, n: 40 });
    expect(rateOf(review, 'hatch_of_set')).toMatchObject({ n: 0, estimate: null });
    expect(rateOf(review, 'late')).toMatchObject({ n: 0, estimate: null });
    expect(review.running).toEqual(['A ash', 'B ash']);
  });

  it('without candling fertility is not known, and not 100 %', () => {
    const book = logbook(yaml(onePen));
    put(book, 'A', '2027-03-01', 'ash', 1, {
      eggs: 20,
      candled: false,
      moved: 20,
      hatched: 15,
      unpipped: 5,
    });
    const { review, findings } = sound(book.season());
    expect(rateOf(review, 'fertile_apparent')).toMatchObject({ n: 0, estimate: null });
    expect(rateOf(review, 'hatch_of_fertile')).toMatchObject({ n: 0, estimate: null });
    expect(rateOf(review, 'hatch_of_set')).toMatchObject({ x: 15, n: 20 });
    expect(review.notCandled).toEqual(['A ash']);
    expect(findings.find((f) => f.cause === 'low-fertility')!.verdict).toBe('unknown');
  });

  it('no egg fertile', () => {
    const book = logbook(yaml(onePen));
    for (const [i, set] of ['A', 'B', 'C'].entries())
      put(book, set, `2027-03-0${1 + i}`, 'ash', i + 1, {
        eggs: 20,
        clear: 20,
        moved: 0,
        hatched: 0,
      });
    const { review, findings } = sound(book.season());
    expect(rateOf(review, 'fertile_apparent')).toMatchObject({ x: 0, n: 60, estimate: 0 });
    expect(rateOf(review, 'early')).toMatchObject({ n: 0, estimate: null });
    expect(rateOf(review, 'hatch_of_fertile')).toMatchObject({ n: 0, estimate: null });
    expect(findings[0]).toMatchObject({ cause: 'low-fertility', verdict: 'act' });
  });

  it('every egg hatched, in two pens and trays', () => {
    const book = logbook(yaml(twoPens));
    for (const [i, set] of ['A', 'B', 'C', 'D'].entries())
      for (const pen of ['ash', 'birch'])
        put(book, set, `2027-03-0${1 + i}`, pen, i + 1, { eggs: 20, moved: 20, hatched: 20 });
    const { review, findings, tests } = sound(book.season());
    expect(rateOf(review, 'hatch_of_set')).toMatchObject({ x: 160, n: 160, estimate: 1 });
    expect(findings.filter((f) => f.verdict === 'act')).toEqual([]);
    expect(tests.filter((t) => t.p !== null)).toEqual([]);
  });

  it('one set, one pen', () => {
    const book = logbook(yaml(onePen));
    put(book, 'A', '2027-03-01', 'ash', 1, {
      eggs: 12,
      clear: 2,
      quit: 1,
      moved: 9,
      hatched: 8,
      pipped: 1,
    });
    const { review, findings } = sound(book.season());
    expect(rateOf(review, 'hatch_of_fertile')).toMatchObject({ x: 8, n: 10 });
    expect(review.charts).toEqual([]);
    const fertility = findings.find((f) => f.cause === 'low-fertility')!;
    expect(fertility.verdict).toBe('unknown');
    expect(fertility.unknown).toMatch(/too few/);
    expect(fertility.next[0]).toMatch(/Candle every set/);
    expect(findings.filter((f) => f.verdict === 'act')).toEqual([]);
  });

  it('counts that contradict each other are left out and named', () => {
    const book = logbook(yaml(twoPens));
    put(book, 'A', '2027-03-01', 'ash', 1, { eggs: 20, clear: 15, moved: 10, hatched: 10 });
    put(book, 'A', '2027-03-01', 'birch', 2, {
      eggs: 20,
      clear: 2,
      moved: 18,
      hatched: 16,
      unpipped: 2,
    });
    book.row('breakout', '2027-03-08', {
      set: 'A',
      pen: 'birch',
      from: 'clear',
      infertile: 1,
      early: 1,
    });
    const { review } = sound(book.season());
    expect(review.leftOut).toEqual([
      { set: 'A', pen: 'ash', why: expect.stringMatching(/^5 too many: 20 set/) },
    ]);
    expect(rateOf(review, 'hatch_of_set')).toMatchObject({ x: 16, n: 20 });
    expect(rateOf(review, 'fertile')).toMatchObject({ x: 19, n: 20 });
  });

  it('eggs not accounted for are shown and leave the denominators they would distort', () => {
    const book = logbook(yaml(onePen));
    put(book, 'A', '2027-03-01', 'ash', 1, {
      eggs: 20,
      clear: 2,
      moved: 17,
      hatched: 14,
      unpipped: 1,
    });
    const { review } = sound(book.season());
    expect(review.unaccounted).toEqual([{ set: 'A', pen: 'ash', eggs: 3 }]);
    expect(rateOf(review, 'fertile_apparent')).toMatchObject({ x: 17, n: 19 });
    expect(rateOf(review, 'hatch_of_set')).toMatchObject({ x: 14, n: 17 });
    expect(rateOf(review, 'hatch_of_fertile')).toMatchObject({ x: 14, n: 15 });
  });
});

describe('clears of which a sample was opened', () => {
  it('are scaled up, and the interval is wider than with all opened', () => {
    const season = (infertile: number, early: number): ReturnType<typeof reviewOf> => {
      const book = logbook(yaml(onePen));
      put(book, 'A', '2027-03-01', 'ash', 1, {
        eggs: 60,
        clear: 20,
        moved: 40,
        hatched: 36,
        unpipped: 4,
      });
      book.row('breakout', '2027-03-08', { set: 'A', from: 'clear', infertile, early });
      return sound(book.season()).review;
    };
    const width = (r: ReturnType<typeof reviewOf>): number => {
      const rate = r.groups.find((g) => g.by === 'season')!.rates.fertile!;
      return rate.high! - rate.low!;
    };
    const all = season(15, 5);
    const some = season(3, 1);
    expect(rateOf(all, 'fertile')).toMatchObject({ x: 45, n: 60 });
    expect(rateOf(some, 'fertile')).toMatchObject({ x: 45, n: 60 });
    expect(rateOf(some, 'early')).toMatchObject({ x: 5, n: 45 });
    expect(width(some)).toBeGreaterThan(width(all));
    expect(some.groups.find((g) => g.by === 'season')!.opened.clear).toEqual({ of: 20, opened: 4 });
  });
});

describe('machine readings', () => {
  it('apply a correction, query a wet bulb written as humidity, and advise on a power cut', () => {
    const book = logbook(yaml(onePen));
    put(book, 'A', '2027-03-01', 'ash', 1, { eggs: 20, clear: 2 });
    book.row('reading', '2027-03-01T08:00', { machine: 'cabinet', dry: 38, rh: 55 });
    book.row('reading', '2027-03-02T08:00', {
      machine: 'cabinet',
      event: 'calibration',
      dry: -0.5,
    });
    book.row('reading', '2027-03-03T08:00', { machine: 'cabinet', dry: 38, rh: 86 });
    book.row('reading', '2027-03-04T08:00', {
      machine: 'cabinet',
      event: 'power-off',
      minutes: 400,
    });
    const [m] = sound(book.season()).review.readings;
    expect(m!.temperature_c!.mean).toBeCloseTo(37.75, 9);
    expect(m!.humidity!.readings).toBe(1);
    expect(m!.queries.join()).toMatch(/rh 86: .*in a setter/);
    expect(m!.powerCuts[0]).toMatchObject({ hours: 400 / 60, sets: [{ set: 'A', day: 3 }] });
    expect(m!.powerCuts[0]!.advice).toMatch(/young embryos bear cold better than heat/);
  });
});

describe('calibrations', () => {
  const reading = (values: Record<string, string | number>): (() => Season) => {
    const book = logbook(yaml(onePen));
    book.row('reading', '2027-03-01T08:00', { machine: 'cabinet', ...values });
    return () => book.season();
  };

  it('correct each instrument by itself, upward and downward, from then on', () => {
    const book = logbook(yaml(onePen));
    put(book, 'A', '2027-03-01', 'ash', 1, { eggs: 20, clear: 2 });
    book.row('reading', '2027-03-01T08:00', { machine: 'cabinet', dry: 37.5, rh: 60 });
    book.row('reading', '2027-03-02T08:00', { machine: 'cabinet', event: 'calibration', rh: -8 });
    book.row('reading', '2027-03-03T08:00', { machine: 'cabinet', dry: 37.5, rh: 60 });
    book.row('reading', '2027-03-03T09:00', { machine: 'cabinet', event: 'calibration', wet: -1 });
    const [m] = sound(book.season()).review.readings;
    expect(m!.humidity!.mean).toBe(56);
    expect(m!.queries).toEqual([]);
  });

  it('may be below nought where a reading may not, and must correct something', () => {
    expect(reading({ event: 'calibration', rh: -8 })).not.toThrow();
    expect(reading({ event: 'calibration', wet: -0.5 })).not.toThrow();
    expect(reading({ dry: 37.5, rh: -8 })).toThrow(/expected a humidity from 0 to 100, found -8/);
    expect(reading({ event: 'calibration' })).toThrow(/what to add to the readings/);
  });
});

describe('weighings', () => {
  it('an egg taken out is not water lost', () => {
    const book = logbook(yaml(onePen));
    book.row('set', '2027-03-01', { set: 'A', pen: 'ash', tray: 1, eggs: 20, mass_g: 1200 });
    // 12 % by day 18; four of the heavier eggs go out on day 7.
    const left = (day: number): number => 1 - (0.12 * day) / 18;
    book.row('weighing', '2027-03-08', { set: 'A', eggs: 20, mass_g: (1200 * left(7)).toFixed(2) });
    book.row('candling', '2027-03-08', { set: 'A', clear: 4 });
    book.row('weighing', '2027-03-09', { set: 'A', eggs: 16, mass_g: (940 * left(8)).toFixed(2) });
    book.row('weighing', '2027-03-15', { set: 'A', eggs: 16, mass_g: (940 * left(14)).toFixed(2) });
    const [loss] = sound(book.season()).review.losses;
    expect(loss!.course.atTransfer).toBeCloseTo(12, 1);
  });

  it('by the hour where hours were written: a morning after an evening is no whole day', () => {
    const book = logbook(yaml(onePen));
    const days = 6 + 16 / 24;
    book.row('set', '2027-03-01T18:00', { set: 'A', pen: 'ash', tray: 1, eggs: 20, mass_g: 1200 });
    book.row('weighing', '2027-03-08T10:00', {
      set: 'A',
      eggs: 20,
      mass_g: (1200 * (1 - (0.12 * days) / 18)).toFixed(2),
    });
    const [{ course } = { course: null }] = sound(book.season()).review.losses;
    expect(course).toMatchObject({ day: 7, elapsed: days });
    expect(course!.atTransfer).toBeCloseTo(12, 2);
    // 1.96 times the error of a weighing at transfer, as much larger as the day is earlier.
    expect(course!.high - course!.atTransfer).toBeCloseTo((1.96 * 0.4 * 18) / days, 6);
  });
});
