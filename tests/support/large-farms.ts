// Random farms with many unlike machines, most of them just large enough to be planned calendar by calendar.
import normal from '@stdlib/stats-base-dists-normal-cdf';
import * as fc from 'fast-check';
import { goalsOf } from '../../src/facts/goals.ts';
import type { farmRates } from '../../src/judge/rates/rates.ts';
import type { ClaimOutlook, Outlook } from '../../src/planner/tried.ts';
import type { Season } from '../../src/season/model.ts';
import { addDays, type Day, daysBetween } from '../../src/text/day.ts';
import type { Written } from './season.ts';
import { expectedBirds, type FarmCase, seasonText } from './sound-plan.ts';

/** Duck and turkey hatch after as many days; so do chicken and bantam, with other eggs. */
const kinds = ['chicken', 'duck', 'turkey', 'bantam', 'goose', 'guinea'] as const;
type Kind = (typeof kinds)[number];
/** Eggs in the place of a chicken's. */
const sizes: Readonly<Record<Kind, number>> = {
  chicken: 1,
  duck: 0.7,
  turkey: 0.7,
  bantam: 1.2,
  goose: 0.35,
  guinea: 1.1,
};
/** Days from setting until the chicks are out, about. */
const INCUBATED = 31;

const weekdays = ['mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun'];
const off = (most: number) => fc.subarray(weekdays, { maxLength: most });
const fitting = fc.subarray([...kinds], { minLength: 2 });

export const largeFarms = (ways: { min: number; max: number }) =>
  fc.record({
    kinds: fc.subarray([...kinds], { minLength: 1, maxLength: 4 }),
    hens: fc.array(fc.integer({ min: 3, max: 20 }), { minLength: 6, maxLength: 6 }),
    secondPen: fc.option(fc.integer({ min: 3, max: 12 })),
    setters: fc.array(
      fc.record({
        trays: fc.integer({ min: 1, max: 5 }),
        holds: fc.integer({ min: 18, max: 50 }),
        fits: fc.option(fitting, { freq: 1 }),
      }),
      { minLength: 3, maxLength: 6 },
    ),
    hatchers: fc.array(
      fc.record({
        holds: fc.integer({ min: 25, max: 110 }),
        clean: fc.integer({ min: 0, max: 3 }),
        alone: fc.boolean(),
        fits: fc.option(fitting, { freq: 1 }),
      }),
      { minLength: 3, maxLength: 5 },
    ),
    brooder: fc.option(
      fc.oneof(fc.integer({ min: 4, max: 30 }), fc.integer({ min: 30, max: 300 })),
    ),
    store: fc.integer({ min: 5, max: 12 }),
    offSet: off(4),
    offCandle: off(3),
    offTransfer: off(2),
    offHatch: off(2),
    dates: fc.array(fc.integer({ min: 0, max: 90 }), { maxLength: 3 }),
    /** Days for setting times setters times hatchers, about. */
    ways: fc.integer(ways),
    days: fc.integer({ min: 0, max: 50 }),
    kept: fc.integer({ min: 0, max: 9 }),
    sets: fc.array(
      fc.record({ ago: fc.integer({ min: 0, max: 24 }), eggs: fc.integer({ min: 2, max: 40 }) }),
      { maxLength: 4 },
    ),
    lines: fc.array(
      fc.record({ ahead: fc.integer({ min: 0, max: 40 }), eggs: fc.integer({ min: 2, max: 25 }) }),
      { maxLength: 3 },
    ),
    /** Birds wanted as a share of those that all eggs would give, by kind. */
    wants: fc.array(
      fc.oneof(
        { weight: 5, arbitrary: fc.double({ min: 0.05, max: 0.5, noNaN: true }) },
        { weight: 1, arbitrary: fc.double({ min: 0.5, max: 1.3, noNaN: true }) },
      ),
      { minLength: 6, maxLength: 6 },
    ),
    /** Days by which goals end earlier than the season, by kind. */
    earlier: fc.array(fc.integer({ min: 0, max: 25 }), { minLength: 6, maxLength: 6 }),
    pullets: fc.boolean(),
    replan: fc.boolean(),
  });
export type LargeFarm = ReturnType<typeof largeFarms> extends fc.Arbitrary<infer T> ? T : never;

const JOINED = '2027-01-25' as Day;
/** Days of laying before eggs are surely fertile, with some to spare. */
const FERTILE = 16;
/** Chicks of a hen and day if all eggs are set, about. */
const CHICKS_A_HEN = 0.25;

/** The season file and logs of a farm. */
export function largeCase(f: LargeFarm): FarmCase {
  const today = addDays(JOINED, f.days);
  const tableOf = (each: number, fits: readonly Kind[] | null) =>
    `{${f.kinds
      .filter((kind) => fits === null || fits.includes(kind))
      .map((kind) => `${kind}: ${Math.ceil(each * sizes[kind])}`)
      .join(', ')}}`;
  const pens = [
    ...f.kinds.map((kind, i) => ({ name: `${kind}s`, line: kind, hens: f.hens[i]! })),
    ...(f.secondPen === null ? [] : [{ name: 'yard', line: f.kinds[0]!, hens: f.secondPen }]),
  ];
  // The first machines take every kind.
  const setters = f.setters.map(({ fits, ...one }, i) => ({
    ...one,
    fits: i === 0 ? null : fits,
    name: `s${i + 1}`,
  }));
  const hatchers = f.hatchers.map(({ fits, ...one }, i) => ({
    ...one,
    fits: i === 0 ? null : fits,
    name: `h${i + 1}`,
  }));

  const rows: Written[] = [];
  const stock = new Map<string, { laid: Day; eggs: number }[]>();
  for (const pen of pens) {
    const lots: { laid: Day; eggs: number }[] = [];
    for (let day = addDays(JOINED, FERTILE); day < today; day = addDays(day, 1)) {
      const kept = Math.min(f.kept, pen.hens);
      rows.push(['eggs', day, { pen: pen.name, laid: kept + 1, kept }]);
      lots.push({ laid: day, eggs: kept });
    }
    stock.set(pen.name, lots);
  }
  const trays = setters.flatMap(({ name, trays: count, fits, holds }) =>
    Array.from({ length: count }, (_, i) => ({ setter: name, tray: i + 1, fits, holds })),
  );
  const recorded = [...f.sets].sort((a, b) => b.ago - a.ago);
  recorded.forEach(({ ago, eggs }, i) => {
    const on = addDays(today, -ago);
    const pen = pens[i % pens.length]!;
    const there = stock
      .get(pen.name)!
      .filter(({ laid, eggs: left }) => left > 0 && laid <= on && daysBetween(laid, on) <= f.store);
    const at = trays.findIndex(({ fits }) => fits === null || fits.includes(pen.line));
    const place = trays[at];
    if (!place) return;
    let wanted = Math.min(
      eggs,
      Math.ceil(place.holds * sizes[pen.line]),
      there.reduce((sum, lot) => sum + lot.eggs, 0),
    );
    if (wanted === 0) return;
    trays.splice(at, 1);
    const { setter, tray } = place;
    rows.push(['set', on, { set: `R${i + 1}`, pen: pen.name, setter, tray, eggs: wanted }]);
    for (const lot of there) {
      const taken = Math.min(lot.eggs, wanted);
      lot.eggs -= taken;
      wanted -= taken;
    }
  });

  const [first] = pens;
  const holdsFirst = Math.ceil(setters[0]!.holds * sizes[first!.line]);
  const own = f.lines.map(
    ({ ahead, eggs }, i) =>
      `  - {set: K${i + 1}, on: ${addDays(today, ahead)}, setter: s1, trays: [${1 + (i % setters[0]!.trays)}], shares: {${first!.name}: ${Math.min(eggs, holdsFirst)}}, hatcher: h1}`,
  );

  // As long as it takes to have so many ways.
  const free = [f.offSet, f.offTransfer, f.offHatch].reduce(
    (part, days) => part * (1 - days.length / 7),
    1,
  );
  const days = Math.ceil(f.ways / (setters.length * hatchers.length * f.kinds.length * free));
  const dates = [...new Set(f.dates)].map((ahead) => addDays(today, ahead));
  const goals = f.kinds.map((kind, i) => {
    const until = Math.max(3, days - (i === 0 ? 0 : f.earlier[i]!));
    const hens = pens.filter(({ line }) => line === kind).reduce((sum, pen) => sum + pen.hens, 0);
    const isPullets = i === 0 && f.pullets && kind === 'chicken';
    const chicks = hens * CHICKS_A_HEN * until * f.wants[i]!;
    const count = Math.max(1, Math.round(isPullets ? chicks * 0.45 : chicks));
    const by = addDays(today, until + INCUBATED + (isPullets ? 165 : 0));
    return `  - {line: ${kind}, want: ${isPullets ? 'pullets' : 'chicks'}, count: ${count}, by: ${by}, confidence: 0.8}`;
  });
  const head = [
    'format: traybook/1',
    'season: 2027',
    'place: {name: Low Croft, timezone: Europe/London}',
    'lines:',
    ...f.kinds.map((kind) => `  ${kind}: {species: ${kind}}`),
    'pens:',
    ...pens.map(
      ({ name, line, hens }) =>
        `  ${name}: {line: ${line}, hens: ${hens}, males: 3, joined: ${JOINED}}`,
    ),
    'setters:',
    ...setters.map(
      ({ name, trays: count, holds, fits }) =>
        `  ${name}: {trays: ${count}, tray_holds: ${tableOf(holds, fits)}}`,
    ),
    'hatchers:',
    ...hatchers.map(
      ({ name, holds, clean, alone, fits }) =>
        `  ${name}: {holds: ${tableOf(holds, fits)}, clean_days: ${clean}, one_set_at_a_time: ${alone}}`,
    ),
    ...(f.brooder === null ? [] : [`brooders: {barn: {area: ${f.brooder}}}`]),
    `storage: {max_days: ${f.store}}`,
    `days_off: {set: [${f.offSet}], candle: [${f.offCandle}], transfer: [${f.offTransfer}], hatch: [${f.offHatch}], dates: [${dates}]}`,
    'goals:',
    ...goals,
  ];
  return { yaml: seasonText(head, own), rows, today };
}

/** Scatter of the birds expected, as a share of them. */
const SCATTER = 0.1;

/** A plain outlook: the birds expected, scattered normally. */
export const scattered =
  (rates: ReturnType<typeof farmRates>) =>
  (base: Season): Outlook =>
    withoutWorlds((shares, wanted) =>
      wanted.map((i) => {
        const goal = goalsOf(base)[i]!;
        const expected = expectedBirds(rates, goal, shares);
        const sd = Math.max(1, SCATTER * expected);
        return { expected, sd, probability: normal(expected, goal.count - 0.5, sd), error: 0 };
      }),
    );

/** An outlook that simulates nothing, and tells no chicks of single sets. */
export const withoutWorlds = (of: (...words: Parameters<Outlook>) => ClaimOutlook[]): Outlook =>
  Object.assign(of, { draws: Number.POSITIVE_INFINITY, chicksOf: () => new Map() });
