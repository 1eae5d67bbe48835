import { expect, test } from 'vitest';
import { hill, seasonOf } from '../../tests/support/season.ts';
import { readSeasonFile } from './read-file.ts';

const read = (text: string) => readSeasonFile({ path: 'season.yaml', text });
test('a kind like another, with changes: days that follow from the term move with it', () => {
  const season = seasonOf(
    `${hill.replace('species: duck', 'species: swan')}kinds:\n  swan: {like: goose, hatch_day: 35, transfer_day: 32, hatch_window: [34, 38]}\n`,
  );
  const { species, speciesName, likeSpecies } = season.lines.get('harlequin')!;
  expect([speciesName, likeSpecies, species.name, species.group]).toEqual([
    'swan',
    'goose',
    'swan',
    'waterfowl',
  ]);
  expect(species.hatch_day).toEqual({ value: 35, source: 'season.yaml', seen: 'keeper' });
  expect(species.transfer_day.value).toBe(32);
  expect(species.hatch_window_days.value).toEqual({ low: 34, high: 38 });
  // Geese are watched from a day before theirs; a term five days longer is watched five days later.
  expect(species.watch_from_day).toEqual({
    value: 33,
    source: 'as far from the hatch as in the goose',
    seen: 'computed',
  });
});

test('days that a kind does not give: as far from the hatch as in the kind it is like', () => {
  const kind = (keys: string) =>
    seasonOf(
      `${hill.replace('species: duck', 'species: swan')}kinds:\n  swan: {like: goose${keys}}\n`,
    ).lines.get('harlequin')!.species;
  const goose = kind('');
  const later = kind(`, hatch_day: ${goose.hatch_day.value + 5}`);
  for (const key of ['transfer_day', 'watch_from_day'] as const) {
    expect(goose[key].seen).not.toBe('computed');
    expect(later[key].value).toBe(goose[key].value + 5);
  }
  const { low, high } = goose.hatch_window_days.value;
  expect(later.hatch_window_days.value).toEqual({ low: low + 5, high: high + 5 });
  expect(kind(', hatch_window_days: {low: 29, high: 33}').hatch_window_days).toEqual({
    value: { low: 29, high: 33 },
    source: 'season.yaml',
    seen: 'keeper',
  });
  expect([goose.name, goose.group]).toEqual(['swan', 'waterfowl']);
  const named = kind(', name: mute swan, group: game');
  expect([named.name, named.group]).toEqual(['mute swan', 'game']);
});

test('a kind of one’s own figures says what nothing can be planned without', () => {
  const kind = (keys: string) =>
    `${hill.replace('species: duck', 'species: rhea')}kinds:\n  rhea: {${keys}}\n`;
  expect(read(kind('group: fowl, hatch_day: 37')).faults.map((one) => one.message)).toEqual([
    'kinds › rhea: expected like: and a species, or figures of its own (group, hatch_day, transfer_day, candle_days), found no transfer_day, candle_days',
  ]);
  const season = seasonOf(
    kind('group: fowl, hatch_day: 37, transfer_day: 34, candle_days: [10, 20]'),
  );
  expect(season.lines.get('harlequin')!.species.candle_days.value).toEqual([10, 20]);
});

test('a kind that is in the table, or like none', () => {
  expect(read(`${hill}kinds:\n  duck: {like: goose}\n`).faults.map((one) => one.code)).toEqual([
    'name-taken',
  ]);
  expect(read(`${hill}kinds:\n  swan: {like: gose}\n`).faults.map((one) => one.hint)).toEqual([
    'did you mean goose?',
  ]);
});

test('storage by kind; a line’s own figure goes before', () => {
  const days = (maxDays: string, override = '') => {
    const season = seasonOf(
      hill
        .replace('max_days: 8', `max_days: ${maxDays}`)
        .replace('species: duck', `species: duck${override}`),
    );
    return [...season.lines.values()].map((line) => season.storageMaxDays(line.species));
  };
  expect(days('8')).toEqual(expect.arrayContaining([8]));
  expect(new Set(days('8')).size).toBe(1);
  expect(days('{chicken: 6, duck: 9}').at(-1)).toBe(9);
  expect(days('{chicken: 6, duck: 9}', ', override: {storage_max_days: 5}').at(-1)).toBe(5);
  const kind = (keys: string, storage = '{}') =>
    seasonOf(
      `${hill.replace('species: duck', 'species: swan').replace('{max_days: 8}', storage)}kinds:\n  swan: {like: goose${keys}}\n`,
    ).lines.get('harlequin')!.species.storage_max_days.value;
  expect(kind(', storage_max_days: 5')).toBe(5);
  expect(kind(', storage_max_days: 5', '{max_days: {swan: 6}}')).toBe(6);
  expect(read(hill.replace('max_days: 8', 'max_days: {duk: 6}')).faults[0]!.hint).toBe(
    'did you mean duck?',
  );
});
