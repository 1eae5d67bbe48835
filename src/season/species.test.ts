import { expect, test } from 'vitest';
import file from '../../seeds/species.yaml';
import { hensPerMale, speciesOf, speciesTable } from './species.ts';
import { speciesFile, speciesOverride } from './species-schema.ts';

test('the species table meets its schema', () => {
  const result = speciesFile.safeParse(file);
  expect(result.error?.issues ?? []).toEqual([]);
  expect(Object.keys(speciesTable()).sort()).toEqual([
    'bantam',
    'bobwhite',
    'chicken',
    'chukar',
    'coturnix',
    'duck',
    'goose',
    'guinea',
    'muscovy',
    'peafowl',
    'pheasant',
    'turkey',
  ]);
});

test('the days of every species follow one another', () => {
  for (const [key, kind] of Object.entries(speciesTable())) {
    const { low, high } = kind.hatch_window_days.value;
    const hatch = kind.hatch_day.value;
    expect(kind.candle_days.value.at(-1), key).toBeLessThan(kind.transfer_day.value);
    expect(kind.transfer_day.value, key).toBeLessThan(kind.watch_from_day.value);
    expect(kind.watch_from_day.value, key).toBeLessThanOrEqual(low);
    expect(low, key).toBeLessThanOrEqual(hatch);
    expect(hatch, key).toBeLessThanOrEqual(high);
    expect(kind.storage_free_days.value, key).toBeLessThanOrEqual(kind.storage_max_days.value);
    for (const step of kind.storage_penalty.value) {
      expect(step.from_day, key).toBeGreaterThan(kind.storage_free_days.value);
    }
    const range = kind.hatch_day.range;
    if (range) expect(hatch >= range.low && hatch <= range.high, key).toBe(true);
  }
});

test('a bantam is incubated as a chicken and watched earlier', () => {
  const { bantam, chicken } = speciesTable();
  expect(bantam!.transfer_day.value).toBe(chicken!.transfer_day.value);
  expect(bantam!.forced_air_c).toEqual(chicken!.forced_air_c);
  expect(bantam!.watch_from_day.value).toBeLessThan(chicken!.watch_from_day.value);
});

test("a line's override replaces the value and names the season file as its source", () => {
  const goose = speciesOf('goose', { hatch_day: 34, hens_per_male: { low: 1, high: 2 } });
  expect(goose.hatch_day).toEqual({ value: 34, source: 'season.yaml', seen: 'keeper' });
  expect(hensPerMale(goose, 'light').value).toEqual({ low: 1, high: 2 });
  expect(goose.transfer_day).toEqual(speciesTable().goose!.transfer_day);
  expect(speciesTable().goose!.hatch_day.value).toBe(30);
});

test('mating ratios follow the class of the line', () => {
  const chicken = speciesOf('chicken');
  expect(hensPerMale(chicken, 'light').value).toEqual({ low: 12, high: 15 });
  expect(hensPerMale(chicken).value).toEqual(chicken.hens_per_male.value);
});

test('an unknown species, even one that objects inherit, is refused', () => {
  expect(() => speciesOf('dodo')).toThrow(RangeError);
  expect(() => speciesOf('constructor')).toThrow(RangeError);
});

test('an override outside reason is refused', () => {
  expect(speciesOverride.safeParse({ transfer_day: 17 }).success).toBe(true);
  expect(speciesOverride.safeParse({ transfer_day: 17.5 }).success).toBe(false);
  expect(speciesOverride.safeParse({ forced_air_c: 99.5 }).success).toBe(false);
  expect(speciesOverride.safeParse({ hatch_window_days: { low: 22, high: 20 } }).success).toBe(
    false,
  );
  expect(speciesOverride.safeParse({ hatchday: 21 }).success).toBe(false);
});
