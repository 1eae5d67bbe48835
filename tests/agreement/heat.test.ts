// One roof has one heat: today, brooders, the calendar and the costs say the same, over random flocks.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import brooding from '../../seeds/brooding.yaml';
import { nightsOf, roofHeatOf, staysOf } from '../../src/facts/birds/brooders.ts';
import { flockOf } from '../../src/facts/birds/groups.ts';
import { heatText } from '../../src/facts/heat.ts';
import { tasksOf } from '../../src/facts/tasks/tasks.ts';
import { brooderReport } from '../../src/flock/brooder-report.ts';
import { expectedHatches } from '../../src/judge/rates/expected-chicks.ts';
import { farmRates } from '../../src/judge/rates/rates.ts';
import { addDays, daysBetween } from '../../src/text/day.ts';
import { day, nowAt, seasonOf, type Written } from '../support/season.ts';

const yaml = `format: traybook/1
season: 2027
place: {name: Cold Ash, timezone: Europe/London}
lines:
  sussex: {species: chicken}
  norfolk: {species: turkey}
  harlequin: {species: duck}
pens:
  orchard: {line: sussex, hens: 9, males: 1, joined: 2026-12-10}
  wood: {line: norfolk, hens: 9, males: 1, joined: 2026-12-10}
  pond: {line: harlequin, hens: 9, males: 1, joined: 2026-12-10}
setters:
  cabinet: {trays: 9, tray_holds: {chicken: 900, turkey: 900, duck: 900}}
hatchers:
  lower: {holds: {chicken: 900, turkey: 900, duck: 900}, one_set_at_a_time: false}
brooders:
  barn: {area: 40, heat: {kind: lamp, count: 4}}
  shed: {area: 40, heat: {kind: plate, places: 90}}
storage: {max_days: 40}
`;

const kinds = { orchard: 'chicken', wood: 'turkey', pond: 'duck' } as const;
type Pen = keyof typeof kinds;
type Brood = { pen: Pen; hatched: number; roof: 'barn' | 'shed'; moved: number | null };

const FIRST = day('2027-03-01');

function rowsOf(broods: readonly Brood[]): Written[] {
  return broods.flatMap((one, index): Written[] => {
    const hatched = addDays(FIRST, one.hatched);
    const set = `S${index}`;
    const { pen } = one;
    const rows: Written[] = [
      ['eggs', addDays(hatched, -40), { pen, laid: 40, kept: 40 }],
      ['set', addDays(hatched, -28), { set, pen, setter: 'cabinet', eggs: 20 }],
      ['transfer', addDays(hatched, -3), { set, pen, hatcher: 'lower', moved: 20 }],
      ['hatch', hatched, { set, pen, hatched: 20, final: 'yes' }],
      ['group', hatched, { group: `G${index}`, set, pen, brooder: one.roof, chicks: 20 }],
    ];
    if (one.moved !== null)
      rows.push([
        'move',
        addDays(hatched, one.moved),
        { group: `G${index}`, to: one.roof === 'barn' ? 'shed' : 'barn', birds: 20 },
      ]);
    return rows;
  });
}

const brood: fc.Arbitrary<Brood> = fc.record({
  pen: fc.constantFrom<Pen[]>('orchard', 'wood', 'pond'),
  hatched: fc.integer({ min: 0, max: 30 }),
  roof: fc.constantFrom('barn', 'shed'),
  moved: fc.option(fc.integer({ min: 1, max: 20 }), { nil: null }),
});

/** Told again from the broods and the seeds alone: the low and high each kind under a roof needs. */
function needs(broods: readonly Brood[], roof: string, today: string) {
  const youngest = new Map<string, number>();
  for (const one of broods) {
    const age = daysBetween(addDays(FIRST, one.hatched), day(today));
    if (age < 0) continue;
    const away = one.moved !== null && one.moved <= age;
    const here = away ? (one.roof === 'barn' ? 'shed' : 'barn') : one.roof;
    if (here !== roof) continue;
    const kind = kinds[one.pen];
    youngest.set(kind, Math.min(age, youngest.get(kind) ?? age));
  }
  const birds = (brooding as { birds: Record<string, never> }).birds as Record<
    string,
    {
      heat_c: { value: { from_day: number; low: number; high: number }[] };
      heat_until_day: { value: number };
    }
  >;
  return [...youngest].flatMap(([kind, age]) => {
    const table = birds[kind]!;
    if (age >= table.heat_until_day.value) return [];
    return [table.heat_c.value.filter((step) => step.from_day <= age).at(-1)!];
  });
}

test('today, brooders and costs ask one heat of a roof, and it suits the youngest of every kind it can', () => {
  fc.assert(
    fc.property(
      fc.array(brood, { minLength: 1, maxLength: 5 }),
      fc.integer({ min: 0, max: 50 }),
      (broods, ahead) => {
        const today = addDays(FIRST, ahead);
        const season = seasonOf(
          yaml,
          rowsOf(broods).filter(([, on]) => on <= today),
        );
        const now = nowAt(today);
        const tasks = tasksOf(season, now, 1);
        const report = brooderReport(
          season,
          now,
          1,
          expectedHatches(season, now, farmRates(season, [], today)),
        );
        const stays = staysOf(season, flockOf(season).groups.values(), now, nightsOf(season));
        for (const roof of ['barn', 'shed']) {
          const wanted = needs(broods, roof, today);
          const own = report.brooders.find((one) => one.name === roof)?.roof_heat ?? null;
          const round = tasks.filter((one) => one.kind === 'warmth' && one.place === roof);
          const inCosts = roofHeatOf(
            season,
            stays.filter((stay) => stay.brooder === roof),
            roof,
          )(today);
          expect(own).toEqual(inCosts);
          expect(round.map((one) => one.title)).toEqual(
            own === null ? [] : [`${roof} ${heatText(own, 'C')}`],
          );
          if (wanted.length === 0) expect(own).toBeNull();
          else {
            const low = Math.max(...wanted.map((one) => one.low));
            expect(own!.low).toBe(low);
            const suits = wanted.filter((one) => one.high >= low);
            expect(own!.high).toBe(
              suits.length === wanted.length
                ? Math.min(...wanted.map((one) => one.high))
                : wanted.find((one) => one.low === low)!.high,
            );
            expect(own!.unsuited).toHaveLength(wanted.length - suits.length);
          }
          // One task a roof, and it asks for what the roof needs today.
          const changes = tasks.filter((one) => one.kind === 'heat' && one.place === roof);
          expect(changes.length).toBeLessThanOrEqual(1);
          for (const one of changes)
            expect(one.title).toContain(own === null ? 'heat off' : heatText(own, 'C'));
        }
      },
    ),
    { numRuns: 60 },
  );
});

test('the heat of a roof rises when younger birds come, and is never lowered over them', () => {
  const broods: Brood[] = [
    { pen: 'orchard', hatched: 0, roof: 'barn', moved: null },
    { pen: 'orchard', hatched: 18, roof: 'barn', moved: null },
  ];
  const heat = (at: string) =>
    tasksOf(
      seasonOf(
        yaml,
        rowsOf(broods).filter(([, on]) => on <= at),
      ),
      nowAt(at),
      1,
    )
      .filter((one) => one.kind === 'heat' && one.place === 'barn')
      .map((one) => `${one.id} ${one.title}`);
  expect(heat('2027-03-18')).toEqual(['barn/heat/2027-03-15 Lower barn to 28–29 °C']);
  expect(heat('2027-03-19')).toEqual(['barn/heat/2027-03-19 Raise barn to 34–35 °C']);
  // The elder would step down on 22 March; the younger are three days old.
  expect(heat('2027-03-22')).toEqual(['barn/heat/2027-03-19 Raise barn to 34–35 °C']);
  expect(heat('2027-03-26')).toEqual(['barn/heat/2027-03-26 Lower barn to 31–32 °C']);
});

test('where no one heat suits all kinds under a roof, it says so', () => {
  const broods: Brood[] = [
    { pen: 'pond', hatched: 0, roof: 'barn', moved: null },
    { pen: 'orchard', hatched: 8, roof: 'barn', moved: null },
  ];
  const [task] = tasksOf(seasonOf(yaml, rowsOf(broods)), nowAt('2027-03-09'), 1).filter(
    (one) => one.kind === 'heat',
  );
  expect(task!.title).toBe('Raise barn to 34–35 °C');
  expect(task!.why).toContain('no one heat suits all');
  expect(task!.why).toContain('duck at 8 days');
});

test("a kind of the keeper's own is called by its own name", () => {
  const own = yaml
    .replace('harlequin: {species: duck}', 'harlequin: {species: swan}')
    .replaceAll('duck: 900', 'swan: 900')
    .concat('kinds:\n  swan: {like: goose}\n');
  const [task] = tasksOf(
    seasonOf(own, rowsOf([{ pen: 'pond', hatched: 0, roof: 'barn', moved: null }])),
    nowAt('2027-03-08'),
    1,
  ).filter((one) => one.kind === 'heat');
  expect(task!.why).toContain('its youngest, swan, are 7 days old');
});
