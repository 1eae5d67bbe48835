// Every key of season.yaml one step outside what it may be, told in our own words, and at its ends.
import { expect, test } from 'vitest';
import { readSeasonFile } from './read-file.ts';

const nameWords =
  "a name of at most 48 letters, digits, spaces and . _ - ', beginning with a letter or digit";

/** Each line with a comment has the fault the comment tells, at the value after its key. */
const faulty = `format: traybook/2 # traybook/1, found "traybook/2"
season: [2027] # a year such as 2027, found a list of 1
place:
  name: true # a text, found true
  timezone: Europe/Lodon # a time zone such as Europe/London, found "Europe/Lodon"
  altitude_m: -501 # a number from -500 to 6000, found -501
units:
  temperature: K # one of C, F, found "K"
  mass: kg # one of g, oz, found "kg"
  area: # one of m2, ft2, found nothing
  currency: 3 # a text, found 3
previous: {a: b} # a list, found a mapping
id: a b? # ${nameWords}, found "a b?"
kinds:
  rhea:
    like: 7 # a kind, such as goose, found 7
    group: gamefowl # one of fowl, waterfowl, turkey, game, found "gamefowl"
    name: "" # a text of 1 to 200 characters, found ""
    hatch_window: [38, 37] # two days of incubation such as [34, 38], the earlier first, found a list of 2
    candle_days: [] # one or two days of incubation, such as [7, 14], the earlier first, found a list of 0
    hatch_day: 0 # at least 1, found 0
    transfer_day: 121 # at most 120, found 121
  emu:
    like: goose
    name: 7 # a text of 1 to 200 characters, found 7
    candle_days: [5, 5] # one or two days of incubation, such as [7, 14], the earlier first, found a list of 2
    hatch_window: 7 # two days of incubation such as [34, 38], the earlier first, found 7
  kiwi:
    like: goose
    name: ${'x'.repeat(201)} # a text of 1 to 200 characters, found "${'x'.repeat(60)}…"
    candle_days: [5, 6, 7] # one or two days of incubation, such as [7, 14], the earlier first, found a list of 3
  nandu: 7 # a mapping (key: value lines), found 7
lines:
  sussex:
    species: 7 # a species, such as chicken or duck, found 7
    class: ${'x'.repeat(201)} # a text of at most 200 characters, found "${'x'.repeat(60)}…"
    down: [x] # a text, found a list of 1
    egg_g: 0 # a number from 1 to 3000, found 0
    sexing_age_days: 0 # a whole number from 1 to 400, found 0
    point_of_lay_days: 1001 # a whole number from 1 to 1000, found 1001
    feathers: long # one of slow, fast, found "long"
    override: 7 # a mapping (key: value lines), found 7
  duck:
    species: duck
    egg_g: x # a number from 1 to 3000, found "x"
    override:
      candle_days: 7 # one or two days of incubation, such as [7, 14], the earlier first, found 7
      transfer_day: 17.5 # a whole number, found 17.5
      hatch_window_days: {low: 31, high: 30} # low and high, such as {low: 6, high: 8}, low not above high, found a mapping
      pip_hours: {low: 5} # a number, found nothing
      forced_air_c: 42.1 # at most 42, found 42.1
      still_air_c: x # a number, found "x"
      setter_rh: 50 # low and high, such as {low: 6, high: 8}, low not above high, found 50
      weight_loss_percent: {low: 12, target: 11, high: 13} # low, target and high in order, such as {low: 11, target: 12, high: 14}, found a mapping
      egg_g: {low: 0, high: 5} # more than 0, found 0
      storage_penalty: [{from_day: 3, points_per_day: 1}, {from_day: 3, points_per_day: 2}] # at most 12 steps such as {from_day: 8, points_per_day: 2}, each later than the one before, found a list of 2
      carry_over_days: {probable: 9, safe: 8} # probable, safe and certain in order, such as {safe: 14, certain: 21}, found a mapping
      hens_per_male: {low: 3, high: 101} # at most 100, found 101
      heat_c: [{from_day: 1, low: 30, high: 32}] # a list of steps such as {from_day: 0, low: …, high: …}, each later than the one before, the first from day 0, found a list of 1
      heat_until_day: 0 # a whole number of days from 1 to 1000, found 0
      floor_m2: [] # a list of steps such as {from_day: 0, m2: …}, each later than the one before, the first from day 0, found a list of 0
      floor_least_m2: 3 # a list of steps such as {from_day: 0, m2: …}, each later than the one before, the first from day 0, found 3
      feeder_cm: [{from_day: 0, cm: 1}, {from_day: 0, cm: 2}] # a list of steps such as {from_day: 0, cm: …}, each later than the one before, the first from day 0, found a list of 2
      drinker_cm: [{from_day: 0, cm: 51}] # a number of cm from 0.1 to 50, found 51
      heat_places: 0 # a number of chick places from 0.1 to 10, found 0
      feathered_day: {low: 1.5, high: 40} # a whole number of days from 0 to 1000, found 1.5
      out: [{from_day: 6, night_low: 5}, {from_day: 5, night_low: 4}] # a list of steps such as {from_day: 0, night_low: …}, each later than the one before, found a list of 2
      out_meat: [] # a list of steps such as {from_day: 0, night_low: …}, each later than the one before, found a list of 0
      gap_days: {early: 9, late: 8} # early and late in order, such as {early: 7, late: 14}, found a mapping
      feed: {female: {table: 7, times: 1}, male: {table: duck, times: 1}} # the name of a feed table, found 7
      protein: [{from_day: 0, percent: 20, name: ab}] # a name of three letters or more, such as starter, found "ab"
      layer: {percent: 16, g_a_day: 0} # a number above 0, found 0
      loss_early: {until_day: 7, good: 0.2, plan: 0.1, poor: 0.3, first_week_share: 1} # good, plan and poor in order, such as {good: 0.02, plan: 0.05, poor: 0.1}, found a mapping
      loss_late: {good: 0.1, plan: 0.3, poor: 0.2} # good, plan and poor in order, such as {good: 0.02, plan: 0.05, poor: 0.1}, found a mapping
      sexing_days: {first: 9, certain: 8, last: 10} # first, certain and last in order, such as {first: 28, certain: 42, last: 56}, found a mapping
      table_days: {low: 9, high: 8} # ages in days such as {low: 35, high: 42}, found a mapping
      dressing: 1.1 # a share from 0 to 1, found 1.1
      first_egg_days: 9 # ages in days such as {low: 35, high: 42}, found 9
  gosling: {species: goose, override: {feed: 7}} # a mapping (key: value lines), found 7
  goose: {species: goose, override: {heat_c: [{from_day: 0, low: 33, high: 32}]}} # steps whose low is not above their high, found a list of 1
pens:
  yard:
    line: 7 # the name of a line, found 7
    hens: -1 # a whole number from 0, found -1
    males: 1.5 # a whole number from 0, found 1.5
    joined: 2027-02-30 # a day such as 2027-03-06, found "2027-02-30"
    parted: 7 # a day such as 2027-03-06, found 7
    males_changed: 2027-03-01 # a list, found "2027-03-01"
    sires: Oak # a list, found "Oak"
    dams: [7] # ${nameWords}, found 7
    age: ripe # one of young, old, found "ripe"
  hired:
    line: duck
    males: 1
    joined: 2027-01-01
    hens: 1000001 # a whole number from 0 to 1000000, found 1000001
  bare: {line: duck, males: 1, joined: 2027-01-01} # a whole number from 0, found nothing
  lone: {line: duck, hens: 1, joined: 2027-01-01} # a whole number from 0, found nothing
  idle: {line: duck, hens: 1, males: 1} # a day such as 2027-03-06, found nothing
  a b?: {line: duck, hens: 1, males: 1, joined: 2027-01-01} # ${nameWords}, found "a b?"
  posted:
    line: duck
    bought:
      from: 7 # a text, found 7
      on: 2027-13-01 # a day such as 2027-03-06, found "2027-13-01"
      eggs: 0 # a whole number from 1, found 0
      road_days: 15 # a whole number from 0 to 14, found 15
      days_old: 31 # a whole number from 0 to 30, found 31
next_pens:
  yard:
    line: 7 # the name of a line, found 7
    hens: -1 # a whole number from 0, found -1
    males: x # a whole number from 0, found "x"
gone: [7] # ${nameWords}, found 7
traits:
  weight:
    kind: weight # one of body-weight, egg-number, egg-weight, age-at-first-egg, hatchability, fertility, viability, judged, found "weight"
    better: high # one of more, less, found "high"
    weight: 1001 # a number from 0 to 1000, found 1001
    age_days: 0 # a whole number from 1 to 3000, found 0
    within_days: 61 # a whole number from 0 to 60, found 61
    heritability: 0 # a number from 0.01 to 0.99, found 0
    sex: hen # one of both, female, male, found "hen"
    unit: 7 # a text, found 7
setters:
  cabinet:
    trays: 101 # a whole number from 1 to 100, found 101
    tray_holds: 7 # a mapping (key: value lines), found 7
    broody: 1 # true or false, found 1
    turns: never # one of automatic, hand, found "never"
    air: hot # one of forced, still, found "hot"
    watts: 20001 # a number from 0 to 20000, found 20001
    closed: {from: 2027-01-01} # a list, found a mapping
  drawer: {trays: 1, tray_holds: {duck: 0}} # a whole number from 1, found 0
  shelf: {tray_holds: {duck: 5}} # a whole number from 1 to 100, found nothing
  hilda:
    tray_holds: {duck: 5}
    broody: true
    trays: 2 # nothing: a broody hen has one nest, found 2
    turns: hand # nothing: a broody hen is no machine, found "hand"
    air: still # nothing: a broody hen is no machine, found "still"
    watts: 0 # nothing: a broody hen is no machine, found 0
hatchers:
  lower:
    holds: {duck: 0.5} # a whole number from 1, found 0.5
    clean_days: 61 # a whole number from 0 to 60, found 61
    one_set_at_a_time: 1 # true or false, found 1
    air: hot # one of forced, still, found "hot"
    watts: -1 # a number from 0 to 20000, found -1
    closed: [{from: 2027-01-02, to: 2027-01-01}] # a day not before from, found "2027-01-01"
storage:
  temperature: -11 # a number from -10 to 120, found -11
  max_days: x # a whole number from 1 to 60, or such numbers by kind, found "x"
  turns_per_day: 25 # a whole number from 0 to 24, found 25
brooders:
  stall:
    area: 0 # a number from 0.01 to 100000, found 0
    heat:
      kind: fire # one of lamp, hover, plate, none, found "fire"
      watts: -1 # a number from 0 to 20000, found -1
      count: 0 # a whole number from 1 to 200, found 0
      area: 0 # a number from 0.001 to 10000, found 0
      places: 0 # a whole number from 1 to 10000, found 0
    feeder_cm: 0 # a number from 1 to 100000, found 0
    drinker_cm: 0 # a number from 1 to 100000, found 0
    housing: barn # one of house, tunnel, hoop, found "barn"
    house_low: -61 # a number from -60 to 130, found -61
runs: {grass: {area: 0}} # a number from 0.01 to 1000000, found 0
normals:
  apr:
    low: -61 # a number from -60 to 130, found -61
    high: 131 # a number from -60 to 130, found 131
    low_10: x # a number from -60 to 130, found "x"
  may: {low: 5, high: 4} # a high not below the low, found 4
  jun: {low: 5, low_10: 6} # a low_10 not above the low: nine nights in ten stay above it, found 6
feed: {bag_kg: 0} # a number from 0.1 to 1000, found 0
prices: {egg: -1} # a number from 0 to 1000000, found -1
days_off:
  set: sun # a list, found "sun"
  candle: [sunday] # one of mon, tue, wed, thu, fri, sat, sun, found "sunday"
setting: {from: 2027-05-02, to: 2027-05-01} # a day not before from, found "2027-05-01"
goals:
  - line: 7 # the name of a line, found 7
    want: eggs # one of chicks, pullets, cockerels, birds, found "eggs"
    at: birth # one of hatch, point-of-lay, table, found "birth"
    count: 0 # a whole number from 1, found 0
    by: soon # a day such as 2027-03-06, found "soon"
    confidence: 1 # a number above 0 and below 1, found 1
    fate: eaten # one of kept, sold, given, table, found "eaten"
  - 7 # a mapping (key: value lines), found 7
orders:
  - for: 7 # a text, found 7
    line: duck
    want: hens # one of eggs, chicks, pullets, cockerels, birds, found "hens"
    at: birth # one of hatch, point-of-lay, table, found "birth"
    count: 0 # a whole number from 1, found 0
    by: 2027-05-01
    confidence: 0 # a number above 0 and below 1, found 0
  - {for: fair, line: duck, want: eggs, count: 1, from: 2027-05-02, by: 2027-05-01} # a day not before from, found "2027-05-01"
  - {for: fair, line: duck, want: eggs, at: hatch, count: 1, by: 2027-05-01} # nothing: eggs have no age, found "hatch"
rates:
  duck:
    fertile: 1 # a share above 0 and below 1, such as 0.85, found 1
    candled: 0 # a share above 0 and below 1, such as 0.85, found 0
    reared: {mean: 0.5, strength: 0.5} # at least 1, found 0.5
    female: x # a share above 0 and below 1, such as 0.85, or {mean: 0.85, strength: 60}, found "x"
    hatched: {mean: 1} # a share above 0 and below 1, such as 0.85, found 1
  goose: 0.9 # a mapping (key: value lines), found 0.9
plan:
  - set: a b? # ${nameWords}, found "a b?"
    on: x # a day such as 2027-03-06, found "x"
    setter: 7 # the name of a setter, found 7
    trays: [] # a list of at least one tray number, found a list of 0
    shares: {} # at least one pen and its eggs, found a mapping
    hatcher: 7 # the name of a hatcher, found 7
  - set: A1
    on: 2027-03-01
    setter: cabinet
    trays: [0] # a whole number from 1 to 100, found 0
    shares: {yard: 0} # a whole number from 1, found 0
`;

test('every key outside its bounds is told at its line, in our own words, once', () => {
  const expected = faulty.split('\n').flatMap((line, index) => {
    const words = line.split(' # ')[1];
    return words === undefined ? [] : [`${index + 1}: ${words}`];
  });
  const { file, faults } = readSeasonFile({ path: 'season.yaml', text: faulty });
  expect(file).toBeNull();
  const told = faults.map(({ at, message }) => ({ at, words: message.split(': expected ')[1] }));
  told.sort((a, b) => a.at.line - b.at.line);
  expect(told.map(({ at, words }) => `${at.line}: ${words}`)).toEqual(expected);
});

/** A season with its keys at one end of what they may be. */
const season = (keys: string) => `format: traybook/1
season: 2027
place: {name: Cold Ash, timezone: Europe/London}
${keys}`;

test.each([
  [
    'lowest',
    `id: "0"
kinds:
  rhea: {like: goose, name: r, hatch_window: [38, 38], candle_days: [1], hatch_day: 1}
lines:
  duck:
    species: duck
    egg_g: 1
    override:
      hatch_window_days: {low: 28, high: 28}
      forced_air_c: 30
      weight_loss_percent: {low: 12, target: 12, high: 12}
      carry_over_days: {probable: 8, safe: 8, certain: 8}
      storage_penalty: [{from_day: 3, points_per_day: 0}, {from_day: 4, points_per_day: 0}]
      heat_c: [{from_day: 0, low: 5, high: 5}, {from_day: 1, low: 5, high: 5}]
      heat_until_day: 1
      feathered_day: {low: 0, high: 0}
      out: [{from_day: 1, night_low: -30}, {from_day: 2, night_low: -30}]
      gap_days: {early: 0, late: 0}
      feed: {female: {table: duck, times: 0.001}, male: {table: duck, times: 1}}
      protein: [{from_day: 0, percent: 5, name: abc}]
      loss_late: {good: 0, plan: 0, poor: 0}
      sexing_days: {first: 0, certain: 0, last: 0}
pens:
  yard: {line: duck, hens: 0, males: 0, joined: 2027-01-01, parted: 2027-01-01, sires: [], dams: []}
  posted: {line: duck, bought: {from: "", on: 2027-01-01, eggs: 1, road_days: 0, days_old: 0}}
traits: {w: {kind: judged, better: less, weight: 0, age_days: 1, within_days: 0, sex: both}}
setters:
  cabinet: {trays: 1, tray_holds: {duck: 1}, turns: hand, air: still, watts: 0}
  hilda: {broody: true, trays: 1, tray_holds: {}}
hatchers:
  lower: {holds: {duck: 1}, clean_days: 0, air: still, closed: [{from: 2027-01-01, to: 2027-01-01}]}
storage: {temperature: -10, max_days: {duck: 1}, turns_per_day: 0}
brooders: {stall: {area: 0.01, heat: {kind: none, count: 1, places: 1}, housing: hoop, house_low: -60}}
normals: {apr: {low: -60, high: -60, low_10: -60}}
setting: {from: 2027-01-01, to: 2027-01-01}
goals: [{line: duck, want: chicks, count: 1, by: 2027-05-01, confidence: 0.001}]
orders:
  - {for: fair, line: duck, want: eggs, count: 1, from: 2027-05-01, by: 2027-05-01}
  - {for: fair, line: duck, want: birds, at: table, count: 1, by: 2027-05-01}
rates: {duck: {fertile: 0.001, hatched: {mean: 0.5, strength: 1}, reared: {mean: 0.5}}}
plan: [{set: A1, on: 2027-03-01, setter: cabinet, trays: [1], shares: {yard: 1}}]
`,
  ],
  [
    'highest',
    `id: ${'x'.repeat(48)}
units: {temperature: F, mass: oz, area: ft2, currency: EUR}
kinds:
  rhea: {like: goose, name: ${'x'.repeat(200)}, candle_days: [119, 120], transfer_day: 120, group: game}
lines:
  duck: {species: duck, class: ${'x'.repeat(200)}, egg_g: 3000, point_of_lay_days: 1000, feathers: slow}
  geese:
    species: goose
    override: {forced_air_c: 42, hens_per_male: {low: 100, high: 100}, dressing: 1, heat_until_day: 1000}
pens:
  yard: {line: duck, hens: 1000000, males: 1, joined: 2027-01-01, age: young}
  posted: {line: duck, bought: {from: Elder, on: 2027-01-01, eggs: 1000000, road_days: 14, days_old: 30}}
traits: {w: {kind: viability, better: more, weight: 1000, within_days: 60, sex: female}}
setters: {cabinet: {trays: 100, tray_holds: {duck: 1000000}, turns: automatic, air: forced, watts: 20000}}
hatchers: {lower: {holds: {}, clean_days: 60, one_set_at_a_time: false, air: forced}}
storage: {temperature: 120, max_days: 60, turns_per_day: 24}
brooders: {stall: {area: 100000, heat: {kind: lamp, count: 200}, housing: tunnel, house_low: 130}}
normals: {apr: {low: 130, high: 130}}
feed: {bag_kg: 1000}
prices: {egg: 1000000}
setting: {to: 2027-05-01}
goals: [{line: duck, want: birds, at: point-of-lay, count: 1000000, by: 2027-05-01, confidence: 0.999}]
plan: [{set: A1, on: 2027-03-01, setter: cabinet, trays: [100], shares: {yard: 1000000}}]
`,
  ],
])('every key at its %s is read', (_, keys) => {
  expect(readSeasonFile({ path: 'season.yaml', text: season(keys) }).faults).toEqual([]);
});

test('what is left out', () => {
  const { values } = readSeasonFile({
    path: 'season.yaml',
    text: season(`lines: {duck: {species: duck}}
setters: {hilda: {broody: true, tray_holds: {duck: 9}}, cabinet: {trays: 2, tray_holds: {}}}
hatchers: {lower: {holds: {}}}
pens: {posted: {line: duck, bought: {from: Elder, on: 2027-03-10}}}
goals: [{line: duck, want: birds, count: 1, by: 2027-05-01}]
traits: {w: {kind: judged}}
`),
  }).file!;
  expect(values).toMatchObject({
    place: { altitude_m: 0 },
    units: { temperature: 'C', mass: 'g', area: 'm2', currency: '' },
    pens: { posted: { hens: 0, males: 0, joined: '2027-03-10', bought: { road_days: 0 } } },
    setters: { hilda: { trays: 1 }, cabinet: { broody: false, closed: [] } },
    hatchers: { lower: { clean_days: 1, one_set_at_a_time: true } },
    storage: { turns_per_day: 0 },
    goals: [{ confidence: 0.9, fate: 'kept' }],
    traits: { w: { better: 'more', weight: 1 } },
    orders: [],
    days_off: { set: [], dates: [] },
  });
});
