/**
 * Brooding and growing against published worked examples and tables. Each source stands beside its
 * check, and how well it was seen.
 */
import { expect, test } from 'vitest';
import brooding from '../../seeds/brooding.yaml';
import growth from '../../seeds/growth.yaml';
import { feedNeeds, feedToAge, lacksLayerFeed } from '../../src/facts/birds/feed.ts';
import { lossAlarm, plannedLoss } from '../../src/facts/birds/losses.ts';
import { movingOut } from '../../src/facts/birds/moving-out.ts';
import { type BrooderRoom, floorOf, heatPlaces, limitsOf } from '../../src/facts/birds/room.ts';
import { heatUse, hoursBelow } from '../../src/facts/heat.ts';
import { broodingOf, feedTables, growing, growthOf } from '../../src/season/brooding.ts';
import { broodingFile, growthFile } from '../../src/season/brooding-schema.ts';
import { speciesNames } from '../../src/season/species.ts';
import type { Day } from '../../src/text/day.ts';

const chicken = { species: 'chicken' };
const SQUARE_FOOT = 0.09290304;
const room = (heat: BrooderRoom['heat'], house_c: number | null = null): BrooderRoom => ({
  area_m2: 100,
  heat,
  feeder_cm: null,
  drinker_cm: null,
  house_c,
});

test('consistency: the tables of brooding and growth meet their schemas, for every species', () => {
  expect(broodingFile.safeParse(brooding).error?.issues ?? []).toEqual([]);
  expect(growthFile.safeParse(growth).error?.issues ?? []).toEqual([]);
  for (const species of speciesNames()) {
    expect(() => broodingOf({ species }), species).not.toThrow();
    expect(() => growthOf({ species }), species).not.toThrow();
  }
});

test('floor: one square foot a chick at 5 to 8 weeks (Clauer, read), half from the first day (judgement)', () => {
  // Clauer, Space should increase as birds grow (read), least 1.0 sq ft at 5 to 8 weeks; the half
  // foot from day one is judgement between two extension texts. A house of 120 sq ft so takes 240 chicks
  // to three weeks, 120 to eight.
  const house = 120 * SQUARE_FOOT;
  expect(house / floorOf(chicken, 0).need).toBeCloseTo(240, 0);
  expect(house / floorOf(chicken, 40).need).toBeCloseTo(120, 2);
});

test('floor: bobwhite to five weeks need 372 cm² (Wilson et al., Poultry Sci., read)', () => {
  const [floor] = limitsOf(room(null), [
    { kind: { species: 'bobwhite' }, ageDays: 20, birds: 100 },
  ]);
  expect(floor!.least).toBeCloseTo(3.72, 2);
});

test('lamps: 50 chicks under one (Raising pheasant chicks, copy), 25 goslings (text on geese, copy), 75 in a mild house (judgement)', () => {
  // Oakwood Game Farm (copy): up to 250 chicks under four lamps, between ours of cold and mild houses.
  const lamp = { kind: 'lamp' as const, count: 1, watts: 250, area_m2: null, places: null };
  expect(heatPlaces(room(lamp, 5))!.places).toBe(50);
  expect(heatPlaces(room(lamp, 15))!.places).toBe(75);
  // Texas A&M guide 4-8 (read): 500 chicks under six lamps lies between ours and the most printed.
  const six = heatPlaces(room({ ...lamp, count: 6 }, 15))!;
  expect(six.places).toBeLessThanOrEqual(500);
  expect(six.most).toBeGreaterThanOrEqual(500);
  const heat = limitsOf(room(lamp, 5), [{ kind: { species: 'goose' }, ageDays: 0, birds: 25 }])[1]!;
  expect(heat.need).toBe(heat.have);
});

test('insulated box: one of 24 by 26 in holds 50 to 60 chicks (keepers’ reports, copy)', () => {
  const area_m2 = ((24 * 26) / 144) * SQUARE_FOOT;
  const { places } = heatPlaces(
    room({ kind: 'hover', count: 1, watts: null, area_m2, places: null }),
  )!;
  expect(places).toBeGreaterThanOrEqual(50);
  expect(places).toBeLessThanOrEqual(60);
});

test('power, own arithmetic: an open 250 W lamp burns 168 kWh in four weeks', () => {
  const heat = { kind: 'lamp' as const, count: 1, watts: 250, area_m2: null, places: null };
  const use = heatUse(
    heat,
    '2027-03-01' as Day,
    '2027-03-29' as Day,
    () => 30,
    () => ({ low: 2, high: 10 }),
  );
  expect(use.kwh).toBeCloseTo(168, 9);
});

test('hours below a temperature, own arithmetic: half the day at the mean, none above, all below', () => {
  expect(hoursBelow(10, 5, 15)).toBeCloseTo(12, 9);
  expect(hoursBelow(4, 5, 15)).toBe(0);
  expect(hoursBelow(16, 5, 15)).toBe(24);
});

test.each([
  // NRC 1994 Table 2-1, weekly intakes recalled, summed: kg to week 4 … 20.
  ['egg-light', [0.6, 1.2, 1.9, 2.6, 3.4, 4.2, 5.1, 6.0, 6.9]],
  ['egg-brown', [0.7, 1.3, 2.0, 2.8, 3.6, 4.5, 5.4, 6.4, 7.4]],
])('feed, consistency: %s pullets to twenty weeks, as NRC 1994 is recalled', (table, sums) => {
  sums.forEach((kg, index) => {
    const point = feedTables[table]!.value.find(({ day }) => day === (4 + 2 * index) * 7)!;
    expect(Math.abs(point.kg - kg)).toBeLessThanOrEqual(0.05);
  });
});

test('feed budget: a hundred brown-egg pullets, as breeders’ guides for hybrids are recalled (from memory)', () => {
  // From memory of two management guides, not seen again: Lohmann Brown-Classic, 7.4 to 7.8 kg a
  // pullet in weeks 1 to 20; Hy-Line Brown, 5.75 to 6.13 kg to 17 weeks. The table is ±10 %.
  const brown = feedTables['egg-brown']!.value;
  const at = (day: number): number => {
    const next = brown.findIndex((point) => point.day >= day);
    const [a, b] = [brown[next - 1]!, brown[next]!];
    return 100 * (a.kg + ((b.kg - a.kg) * (day - a.day)) / (b.day - a.day));
  };
  for (const [kg, low, high] of [
    [at(140), 740, 780],
    [at(119), 575, 613],
  ] as const) {
    expect(kg).toBeGreaterThanOrEqual(0.95 * low);
    expect(kg).toBeLessThanOrEqual(1.05 * high);
  }
});

// Cost per pullet: no publication was found that prints a whole worked account with the prices of
// its parts. Cornell Ext. Bull. 1062 and Hays & Locke 1931 give the method, not the sum; the account
// of one pullet is worked by hand beside the code.

test('feed: about a kilogram for an egg-type chick, near four for a meat chick, in six weeks (Manitoba Agriculture, read)', () => {
  // Manitoba Agriculture, Basic feeding programs for small chicken flocks (read).
  const light = feedToAge({ species: 'chicken', class: 'light' }, 'female', 42);
  const meat = feedToAge({ species: 'chicken', class: 'meat' }, 'unsexed', 42);
  expect(Math.abs(light - 1)).toBeLessThanOrEqual(0.25);
  expect(Math.abs(meat - 4)).toBeLessThanOrEqual(0.6);
});

test('feed budget: fifty broilers to six weeks by NRC 1984 (read) with waste, in bags', () => {
  // No published budget with its own waste was found; the intakes are printed, the sum is by hand.
  // 25 females at 2.65 kg and 25 males at 3.025 kg, the printed sums; our meat types a quarter more.
  const eaters = (['female', 'male'] as const).map((sex) => ({
    kind: { species: 'chicken', class: 'meat' },
    sex,
    birds: 25,
    fromAge: 0,
    toAge: 42,
  }));
  const printed = 25 * 2.65 + 25 * 3.025;
  const needs = feedNeeds(eaters, 25);
  const kg = needs.reduce((sum, one) => sum + one.kg, 0);
  expect(kg).toBeCloseTo(printed * 1.25 * 1.075, 6);
  for (const need of needs) expect(need.bags).toBe(Math.ceil(need.kg / 25));
});

test('feed, common practice: layer feed for hens from point of lay, none for cockerels or kinds without a figure', () => {
  // 110 to 140 g a day for a dual-purpose hen, 15 to 17 % protein.
  const kind = { species: 'chicken', class: 'dual-purpose', point_of_lay_days: 150 };
  const eaters = (sex: 'female' | 'male', of: { species: string } = kind) => [
    { kind: of, sex, birds: 10, fromAge: 140, toAge: 160 },
  ];
  const hens = feedNeeds(eaters('female'));
  expect(hens.map((one) => [one.stage, one.protein_percent])).toEqual([
    ['grower', 16],
    ['layer', 16],
  ]);
  expect(hens[1]!.kg).toBeCloseTo(10 * 10 * 0.125 * 1.075, 9);
  expect(hens[1]!.kg / (10 * 10 * 1.075)).toBeGreaterThanOrEqual(0.11);
  expect(hens[1]!.kg / (10 * 10 * 1.075)).toBeLessThanOrEqual(0.14);
  expect(feedToAge(kind, 'female', 160)).toBeCloseTo(feedToAge(kind, 'female', 150) + 1.25, 9);
  expect(feedNeeds(eaters('male')).map((one) => one.stage)).toEqual(['grower']);
  const duck = { species: 'duck', point_of_lay_days: 150 };
  expect(feedNeeds(eaters('female', duck)).map((one) => one.stage)).not.toContain('layer');
  expect(lacksLayerFeed(duck, 151)).toBe(true);
  expect(lacksLayerFeed(duck, 150)).toBe(false);
  expect(lacksLayerFeed(kind, 151)).toBe(false);
  expect(lacksLayerFeed({ species: 'coturnix' }, 200)).toBe(false);
});

test('water: twice the feed; 100 growing pullets drink about 10 l a day (Univ. of Kentucky, table 12.1, read)', () => {
  // Univ. of Kentucky poultry manual, ch. 12 and Table 12.1 (read): 2.64 US gallons at 68 °F.
  expect(2.64 * 3.785411784).toBeCloseTo(growing.waterPer100.pullets_growing.value, 1);
  const kind = { species: 'chicken', class: 'light' };
  // At about ten weeks a light pullet eats 53 g: within a quarter of the table.
  const perDay =
    100 *
    growing.waterPerFeed.value *
    (feedToAge(kind, 'female', 71) - feedToAge(kind, 'female', 70));
  expect(Math.abs(perDay - 10) / 10).toBeLessThanOrEqual(0.25);
});

test('losses: rearing 95 % to six weeks (Marble & Schano, read), 1.1 chicks for each pullet (copy)', () => {
  // Marble & Schano, Cornell 4-H (read): a good poultryman rears 95 %.
  expect(plannedLoss(chicken, 42)).toBeCloseTo(0.05, 12);
  // Extension text, reposted (copy): pay 1.1 chicks a pullet for deaths and culls.
  const reared = 1 - plannedLoss(chicken, 1000);
  expect(Math.abs(1 / reared - growing.chicksPerPullet.value)).toBeLessThanOrEqual(0.02);
});

test('replacement pullets, own arithmetic from published links: 100 eggs give about 39 pullets at lay', () => {
  // No published example prints the whole chain; each link has its own source, multiplied by hand.
  // 85 of 100 eggs hatch (Butcher & Nilipour, UF/IFAS VM101 target, read), half are pullets, 95 %
  // reared (Marble & Schano, read), 4 % lost from there to lay (common practice): 100 × 0.85 × 0.5 ×
  // 0.95 × 0.96. Our survival must multiply, not add.
  expect(100 * 0.85 * growing.sexRatioFemale.value * (1 - plannedLoss(chicken, 1000))).toBeCloseTo(
    100 * 0.85 * 0.5 * 0.95 * 0.96,
    9,
  );
});

test('loss alarm, own arithmetic: the exact binomial tail', () => {
  // P(X ≥ 3 | 10, 0.05) = 1 − (0.95¹⁰ + 10·0.05·0.95⁹ + 45·0.05²·0.95⁸) = 0.011504 (binomial formula).
  const ten = [{ birds: 10, fromAge: 0, toAge: 42 }];
  const alarm = lossAlarm(chicken, ten, 3);
  expect(alarm.chance).toBeCloseTo(0.0115036, 6);
  expect(alarm.verdict).toBe('watch');
  expect(lossAlarm(chicken, ten, 0)).toMatchObject({ chance: 1, verdict: 'fine' });
  expect(() => lossAlarm(chicken, ten, 11)).toThrow(RangeError);
  // Six of ten leave in the middle: two binomials, convolved by hand for no loss at all.
  const left = lossAlarm(
    chicken,
    [
      { birds: 10, fromAge: 0, toAge: 7 },
      { birds: 4, fromAge: 7, toAge: 42 },
    ],
    1,
  );
  expect(left.chance).toBeCloseTo(1 - 0.975 ** 10 * (0.95 / 0.975) ** 4, 12);
});

test('moving out: six weeks when nights stay at 50 °F (Colorado State 2.502, read); sooner in warmth and for meat types (practice)', () => {
  // Colorado State Univ. Extension 2.502 (read): comfort zone from 50 °F (10 °C).
  const night = (low: number) => () => ({
    low,
    high: low + 9,
    low_10: low - 3,
    source: 'normals' as const,
  });
  const hatched = '2027-04-01' as Day;
  const at = (
    low: number,
    kind: { species: string; class?: string } = chicken,
    birds = 40,
    slow = false,
  ) => movingOut(kind, hatched, birds, slow, night(low));
  expect(at(10).earliest).toBe('2027-05-13');
  expect(at(18).earliest).toBe('2027-04-29');
  expect(at(10, { species: 'chicken', class: 'meat' }).earliest! < at(10).earliest!).toBe(true);
  expect(at(10, chicken, 10).earliest).toBe('2027-05-20');
  expect(at(10).safe! > at(10).earliest!).toBe(true);
  const unknown = movingOut(chicken, hatched, 40, false, () => null);
  expect(unknown).toMatchObject({ earliest: null, safe: null, heldBy: 'unknown' });
});
