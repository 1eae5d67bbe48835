// May these be there on that day: every limit is worked out here once more, day by day, from the words
// of the trade and the figures of the season file; check and the refusal of a plan say the same.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { conflictsOf } from '../../src/facts/checks/index.ts';
import { reasonsAgainst } from '../../src/facts/feasible/feasible.ts';
import { occupancyOf } from '../../src/facts/occupancy.ts';
import { addDays, type Day, daysBetween, weekdayOf } from '../../src/text/day.ts';
import { day, nowAt, seasonOf } from '../support/season.ts';

const FIRST = day('2027-03-01');
const at = (days: number): Day => addDays(FIRST, days);

// Days of setting, move, hatch and last opening (seeds/species.yaml, with its sources).
const kinds = {
  orchard: { kind: 'chicken', transfer: 18, hatch: 21, over: 22, places: 45 },
  pond: { kind: 'duck', transfer: 25, hatch: 28, over: 29, places: 30 },
} as const;
type Pen = keyof typeof kinds;

const line = fc.record({
  pen: fc.constantFrom<Pen>('orchard', 'pond'),
  start: fc.integer({ min: 0, max: 16 }),
  tray: fc.integer({ min: 1, max: 3 }),
  hatcher: fc.constantFrom('lower', 'upper'),
  eggs: fc.integer({ min: 1, max: 34 }),
});
const any = fc.record({
  lines: fc.array(line, { minLength: 1, maxLength: 5 }),
  alone: fc.boolean(),
  clean: fc.integer({ min: 0, max: 2 }),
  closed: fc.option(
    fc.record({ from: fc.integer({ min: 0, max: 40 }), days: fc.integer({ min: 0, max: 5 }) }),
    { nil: null },
  ),
  setting: fc.option(fc.integer({ min: 0, max: 16 }), { nil: null }),
  off: fc.constantFrom<'sun' | 'wed' | null>(null, 'sun', 'wed'),
});
type Any = typeof any extends fc.Arbitrary<infer T> ? T : never;

const yamlOf = ({ lines, alone, clean, closed, setting, off }: Any) => `format: traybook/1
season: 2027
place: {name: Cold Ash, timezone: Europe/London}
lines:
  sussex: {species: chicken}
  harlequin: {species: duck}
pens:
  orchard: {line: sussex, hens: 9, males: 1, joined: 2026-12-10}
  pond: {line: harlequin, hens: 9, males: 1, joined: 2026-12-10}
setters:
  cabinet: {trays: 3, tray_holds: {chicken: 30, duck: 20}}
hatchers:
  lower: {holds: {chicken: 45, duck: 30}, clean_days: ${clean}, one_set_at_a_time: ${alone}${closed === null ? '' : `, closed: [{from: ${at(closed.from)}, to: ${at(closed.from + closed.days)}}]`}}
  upper: {holds: {chicken: 45, duck: 30}, clean_days: ${clean}, one_set_at_a_time: ${alone}}
storage: {max_days: 8}
${setting === null ? '' : `setting: {to: ${at(setting)}}\n`}${off === null ? '' : `days_off: {hatch: [${off}]}\n`}plan:
${lines
  .map(
    (one, index) =>
      `  - {set: S${index}, on: ${at(one.start)}, trays: [${one.tray}], shares: {${one.pen}: ${one.eggs}}, hatcher: ${one.hatcher}}\n`,
  )
  .join('')}`;

/** What is wrong, worked out day by day: `code set`. */
function wrong(one: Any): Set<string> {
  const out = new Set<string>();
  const sets = one.lines
    .map((all, index) => ({ ...all, ...kinds[all.pen], name: `S${index}` }))
    .map((set) => ({ ...set, moved: set.start + set.transfer, empty: set.start + set.over }));
  const last = 60;
  for (const a of sets) {
    if (one.off !== null && weekdayOf(at(a.start + a.hatch)) === one.off)
      out.add(`day-off ${a.name}`);
    if (one.setting !== null && a.start > one.setting) out.add(`out-of-season ${a.name}`);
    for (let d = a.moved; d < a.empty; d += 1) {
      const { closed } = one;
      const shut = closed !== null && closed.from <= d && d <= closed.from + closed.days;
      if (shut && a.hatcher === 'lower') out.add(`machine-closed ${a.name}`);
    }
    for (const b of sets) {
      if (a === b) continue;
      const second = b.start > a.start || (b.start === a.start && b.name > a.name);
      for (let d = 0; d < last; d += 1) {
        const lies = (set: typeof a) => set.start <= d && d < set.moved;
        if (second && a.tray === b.tray && lies(a) && lies(b)) out.add(`tray-taken ${b.name}`);
        const later = b.moved > a.moved || (b.moved === a.moved && b.name > a.name);
        if (!later || a.hatcher !== b.hatcher || d !== b.moved) continue;
        const hatches = a.moved <= d && d < a.empty;
        if (hatches && one.alone) out.add(`hatcher-taken ${b.name}`);
        if (hatches && a.start + a.hatch !== b.start + b.hatch) out.add(`mixed-stage ${b.name}`);
        if (a.empty <= d && d < a.empty + one.clean) out.add(`hatcher-not-clean ${b.name}`);
      }
    }
    // Every one of the eggs may live: nothing is expected of them here.
    const there = sets.filter(
      (b) => b.hatcher === a.hatcher && b.moved <= a.moved && a.moved < b.empty,
    );
    const room = there.reduce((sum, b) => sum + b.eggs / b.places, 0);
    if (room > 1 + 1e-9) out.add(`hatcher-overfull ${a.name}`);
  }
  return out;
}

test('every limit, day by day', () => {
  const seen = new Set<string>();
  fc.assert(
    fc.property(any, (one) => {
      const season = seasonOf(yamlOf(one));
      const now = nowAt(addDays(FIRST, -5));
      const said = new Set(
        reasonsAgainst(season, now, null)
          .filter((reason) => reason.code !== 'tray-overfull')
          .map((reason) => `${reason.code} ${reason.set}`),
      );
      expect([...said].sort()).toEqual([...wrong(one)].sort());
      for (const reason of said) seen.add(reason.split(' ')[0]!);
      // Check prints each of them, in the same words.
      const printed = conflictsOf(season, now).map((fault) => fault.message);
      for (const reason of reasonsAgainst(season, now, null))
        expect(printed).toContain(reason.message);
      // Where nothing is wrong with trays, no day of the occupancy has two sets in one.
      if ([...said].some((reason) => reason.startsWith('tray-taken'))) return;
      const { trays } = occupancyOf(season, now);
      for (const a of trays)
        for (const b of trays)
          if (a !== b && a.tray === b.tray)
            expect(daysBetween(a.from, b.to) <= 0 || daysBetween(b.from, a.to) <= 0).toBe(true);
    }),
    { numRuns: 60 },
  );
  // A limit that no case meets is not tested.
  expect([...seen].sort()).toEqual([
    'day-off',
    'hatcher-not-clean',
    'hatcher-overfull',
    'hatcher-taken',
    'machine-closed',
    'mixed-stage',
    'out-of-season',
    'tray-taken',
  ]);
});
