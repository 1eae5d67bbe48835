// Random seasons for the tests of agreement: two pens of hens and one of ducks, sets in any state of
// their way, plan lines to come. Counts balance or fall short by an egg or two, as they do in a barn.
import fc from 'fast-check';
import type { Season } from '../../src/season/model.ts';
import { addDays, type Day } from '../../src/text/day.ts';
import { day, hill, seasonOf, type Written } from '../support/season.ts';

export const FIRST = day('2027-03-01');

const share = fc.double({ min: 0, max: 1, noNaN: true });
const openings = fc.array(fc.record({ hour: fc.integer({ min: 0, max: 60 }), part: share }), {
  maxLength: 3,
});
const life = fc.record({
  pens: fc.subarray(['orchard', 'yard'], { minLength: 1 }),
  eggs: fc.integer({ min: 1, max: 20 }),
  tray: fc.integer({ min: 1, max: 9 }),
  /** Days after the first on which it is set, and how far it has come: looked at, moved, opened, closed. */
  start: fc.integer({ min: 0, max: 40 }),
  steps: fc.integer({ min: 0, max: 4 }),
  clear: share,
  quit: share,
  lost: fc.integer({ min: 0, max: 2 }),
  sorted: share,
  openings,
});
export type Life = typeof life extends fc.Arbitrary<infer T> ? T : never;

const plan = fc.record({
  start: fc.integer({ min: 0, max: 30 }),
  eggs: fc.integer({ min: 1, max: 40 }),
  tray: fc.integer({ min: 1, max: 9 }),
  pen: fc.constantFrom('orchard', 'yard', 'pond'),
});

const rest = fc.record({
  start: fc.integer({ min: 0, max: 60 }),
  pen: fc.constantFrom('orchard', 'yard', 'pond'),
  change: fc.constantFrom('broody', 'moulting', 'laying'),
  birds: fc.integer({ min: 1, max: 4 }),
});

export const anySeason = fc.record({
  lives: fc.array(life, { minLength: 1, maxLength: 5 }),
  laid: fc.array(fc.integer({ min: 0, max: 7 }), { minLength: 30, maxLength: 30 }),
  sold: fc.array(fc.integer({ min: 1, max: 6 }), { maxLength: 3 }),
  /** Hens that sit, moult or lay again. */
  rests: fc.array(rest, { maxLength: 4 }),
  plan: fc.array(plan, { maxLength: 3 }),
  now: fc.integer({ min: 0, max: 75 }),
});
export type AnySeason = typeof anySeason extends fc.Arbitrary<infer T> ? T : never;

function rowsOfLife(one: Life, name: string): Written[] {
  const on = addDays(FIRST, one.start);
  const out: Written[] = one.pens.map((pen) => [
    'set',
    `${on}T18:00`,
    { set: name, pen, tray: one.tray, eggs: one.eggs },
  ]);
  for (const pen of one.pens) {
    const clear = Math.floor(one.clear * (one.eggs / 2));
    const quit = Math.floor(one.quit * ((one.eggs - clear) / 2));
    const left = one.eggs - clear - quit;
    if (one.steps < 1) continue;
    out.push(['candling', addDays(on, 7), { set: name, pen, clear, quit }]);
    if (one.steps < 2) continue;
    const sorted = Math.floor(one.sorted * (left / 2));
    const moved = Math.max(0, left - sorted - one.lost);
    out.push(['transfer', `${addDays(on, 18)}T09:00`, { set: name, pen, moved, quit: sorted }]);
    if (one.steps < 3) continue;
    let rest = moved;
    const looks = [...one.openings].sort((a, b) => a.hour - b.hour);
    for (const { hour, part } of looks) {
      const hatched = Math.floor(part * rest);
      rest -= hatched;
      const at = `${addDays(on, 20 + Math.floor(hour / 24))}T${String(hour % 24).padStart(2, '0')}:00`;
      out.push(['hatch', at, { set: name, pen, hatched, weak: Math.floor(hatched / 4) }]);
    }
    if (one.steps < 4) continue;
    out.push([
      'hatch',
      `${addDays(on, 23)}T12:00`,
      { set: name, pen, hatched: 0, unpipped: Math.max(0, rest - one.lost), final: 'yes' },
    ]);
  }
  return out;
}

/** The rows and the file of a random season. */
export function written(any: AnySeason): { yaml: string; rows: Written[] } {
  const yaml = hill
    .replace(
      'trays: 3, tray_holds: {chicken: 40, duck: 30}',
      'trays: 9, tray_holds: {chicken: 30, duck: 20}',
    )
    .replace('clean_days: 1}', 'clean_days: 1, one_set_at_a_time: true}')
    .concat(
      any.plan.length === 0
        ? ''
        : `plan:\n${any.plan
            .map(
              (one, index) =>
                `  - {set: P${index}, on: ${addDays(FIRST, one.start + any.now)}, trays: [${one.tray}], shares: {${one.pen}: ${one.eggs}}}\n`,
            )
            .join('')}`,
    );
  const eggs = any.laid.flatMap((kept, index): Written[] =>
    ['orchard', 'yard', 'pond'].map((pen, p) => [
      'eggs',
      addDays(FIRST, index),
      { pen, kept: Math.max(0, kept - p), laid: kept + 2 },
    ]),
  );
  const out = any.sold.map(
    (count, index): Written => [
      'eggs-out',
      addDays(FIRST, 5 * index + 6),
      { pen: 'orchard', eggs: count, way: 'sold' },
    ],
  );
  const rests = any.rests.map(
    ({ start, pen, change, birds }): Written => [
      'pen-change',
      addDays(FIRST, start),
      { pen, change, birds, sex: 'female' },
    ],
  );
  return {
    yaml,
    rows: [
      ...eggs,
      ...out,
      ...rests,
      ...any.lives.flatMap((one, index) => rowsOfLife(one, `A${index}`)),
    ],
  };
}

export function anySeasonOf(any: AnySeason): { season: Season; today: Day } {
  const { yaml, rows } = written(any);
  return { season: seasonOf(yaml, rows), today: addDays(FIRST, any.now) };
}

/** Every share of a season. */
export const sharesOf = (season: Season) => [...season.sets.values()].flatMap((set) => set.shares);
