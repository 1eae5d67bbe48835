import { describe, expect, it } from 'vitest';
import { diagnose } from '../../src/judge/diagnose/diagnose.ts';
import { reviewOf } from '../../src/judge/review/review.ts';
import { type YearTurn, yearTurn } from '../../src/planner/year/turn.ts';
import type { Season } from '../../src/season/model.ts';
import { markdownScreen } from '../../src/tables/markdown.ts';
import { metric } from '../../src/tables/numbers.ts';
import { unpainted } from '../../src/tables/paint.ts';
import { screenText } from '../../src/tables/terminal.ts';
import { turnParts } from '../../src/tables/year.ts';
import { logbook } from '../diagnosis/logbook.ts';
import { simulate, wellKept } from '../diagnosis/simulate.ts';

const screenOf = (turn: YearTurn, season: string) => ({
  title: '',
  answer: [],
  parts: turnParts(turn, season),
});
const turnText = (turn: YearTurn, season: string): string =>
  screenText(screenOf(turn, season), {
    width: 80,
    fits: true,
    ascii: false,
    full: false,
    paint: unpainted,
    units: metric,
  });
const turnMarkdown = (turn: YearTurn, season: string): string =>
  markdownScreen(screenOf(turn, season), metric);

type Pen = { hens: number; males: number; clear: number };

/** Four sets of twenty eggs a pen; every set loses the pen's clears, all else hatches. */
function kept(year: number, pens: Readonly<Record<string, Pen>>, eggs = 20, sets = 4): Season {
  const rows = Object.entries(pens);
  const book = logbook(`format: traybook/1
season: ${year}
place: {name: Test, timezone: UTC, altitude_m: 0}
lines: {grey: {species: chicken}}
pens: {${rows.map(([name, p]) => `${name}: {line: grey, hens: ${p.hens}, males: ${p.males}, joined: ${year - 1}-12-01}`).join(', ')}}
setters: {cabinet: {trays: 4, tray_holds: {chicken: 90}}}
hatchers: {lower: {holds: {chicken: 200}, one_set_at_a_time: false}}
`);
  const day = (set: number, after: number): string =>
    new Date(Date.UTC(year, 2, 1 + 7 * set + after)).toISOString().slice(0, 10);
  for (let s = 0; s < sets; s++)
    for (const [pen, { clear }] of rows) {
      const set = `S${s + 1}`;
      book.row('set', day(s, 0), { set, pen, tray: s + 1, eggs });
      book.row('candling', day(s, 7), { set, pen, clear });
      book.row('transfer', day(s, 18), { set, pen, moved: eggs - clear });
      book.row('hatch', `${day(s, 21)}T08:00`, { set, pen, hatched: eggs - clear, final: 'yes' });
    }
  return book.season();
}

const turnOf = (season: Season, earlier: readonly Season[] = []): YearTurn =>
  yearTurn(season, earlier, { review: reviewOf(season, earlier), findings: diagnose(season) });

describe('what the record suggests', () => {
  it('what the diagnosis acts on, once each, and nothing else', () => {
    const seasons = [
      kept(2027, {
        ash: { hens: 12, males: 1, clear: 8 },
        birch: { hens: 12, males: 2, clear: 1 },
      }),
      simulate(12, 'failing-male'),
      simulate(13, 'warm'),
    ];
    const backed = seasons.map((season) => turnOf(season).suggestions.map((s) => s.backed));
    const acts = seasons.map((season) =>
      diagnose(season)
        .filter((finding) => finding.verdict === 'act')
        .map((finding) => `diagnosis: ${finding.cause}`),
    );
    expect(backed).toEqual(acts);
    expect(acts.flat().length).toBeGreaterThan(0);
  });

  it('nothing on a few eggs, and nothing where pens are alike', () => {
    const few = kept(
      2027,
      { ash: { hens: 12, males: 1, clear: 1 }, birch: { hens: 12, males: 2, clear: 0 } },
      8,
      2,
    );
    const alike = kept(2027, {
      ash: { hens: 12, males: 1, clear: 2 },
      birch: { hens: 12, males: 2, clear: 2 },
    });
    for (const season of [few, alike]) expect(turnOf(season).suggestions).toEqual([]);
    expect(turnText(turnOf(few), '2027')).toMatch(
      /no sure reason to change anything: of 19 questions 5 found\snothing wrong, 14 cannot/,
    );
  });

  it('stays quiet on healthy seasons', () => {
    const loud = [301, 302, 303, 304, 305, 306].filter(
      (seed) => turnOf(simulate(seed, null, { ...wellKept, penSpread: 0 })).suggestions.length > 0,
    );
    expect(loud.length).toBeLessThanOrEqual(1);
  });
});

describe('against the season before', () => {
  const before = kept(2026, { ash: { hens: 12, males: 1, clear: 2 } });

  it('finds no difference between like seasons, and says how the other was kept', () => {
    const same = turnOf(kept(2027, { ash: { hens: 12, males: 1, clear: 2 } }), [before]);
    const [one] = same.against;
    expect(one!.season).toBe('2026');
    for (const rate of one!.rates) expect(rate.difference, rate.rate).toBeCloseTo(0, 12);
    expect(one!.differently.map((d) => d.what)).toEqual(['set on (weekdays)']);
  });

  it('names what was done differently', () => {
    const other = turnOf(kept(2027, { ash: { hens: 10, males: 2, clear: 0 } }, 24, 3), [before]);
    expect(other.against[0]!.differently).toEqual(
      expect.arrayContaining([
        { what: 'sets', before: '4', now: '3' },
        { what: 'eggs a set, mean', before: '20', now: '24' },
        { what: 'hens to a male, grey', before: '12.0', now: '5.0' },
        { what: 'pen ash', before: '12 hens, 1 male', now: '10 hens, 2 males' },
      ]),
    );
  });

  it('is told in words of eighty columns and in Markdown', () => {
    const turn = turnOf(kept(2027, { ash: { hens: 10, males: 2, clear: 0 } }), [before]);
    const text = turnText(turn, '2027');
    expect(text.split('\n').filter((line) => line.length > 80)).toEqual([]);
    expect(text).toMatch(/AGAINST SEASON 2026/);
    for (const page of [text, turnMarkdown(turn, '2027')])
      expect(page).not.toMatch(/NaN|undefined|\[object/);
    expect(turnText(turnOf(before), '2026')).toMatch(/No earlier season is named under previous:/);
    const lost = { ...turnOf(before), named: 1 };
    for (const page of [turnText(lost, '2026'), turnMarkdown(lost, '2026')])
      expect(page).toMatch(/No earlier season named under previous:/);
  });
});
