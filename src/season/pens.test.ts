import { expect, test } from 'vitest';
import { day, hill, seasonOf, type Written } from '../../tests/support/season.ts';
import { hatchesInPlace, hensOf, isHen, machineSetters, nestText, usualSetter } from './hens.ts';
import { penOn } from './pens.ts';

const named = hill.replace(
  'hens: 9, males: 1, joined: 2027-01-30}',
  'hens: 9, males: 1, joined: 2027-01-30, sires: [Oak], dams: [Ivy, Fern]}',
);
type Change = readonly [on: string, change: string, sex: string, birds?: number, bird?: string];
const orchard = (...changes: readonly Change[]) => {
  const rows = changes.map(
    ([on, change, sex, birds, bird]): Written => [
      'pen-change',
      on,
      {
        pen: 'orchard',
        change,
        sex,
        ...(birds === undefined ? {} : { birds }),
        ...(bird === undefined ? {} : { bird }),
      },
    ],
  );
  return seasonOf(named, rows).pens.get('orchard')!;
};

test('a pen without changes is as it began', () => {
  expect(orchard()).toMatchObject({
    hens: 9,
    males: 1,
    sires: ['Oak'],
    dams: ['Ivy', 'Fern'],
    malesChanged: [],
    parted: null,
  });
});

test('birds that died, were removed or added are counted, one where no number is given', () => {
  expect(orchard(['2027-02-01', 'died', 'female'])).toMatchObject({ hens: 8, males: 1 });
  expect(orchard(['2027-02-01', 'removed', 'female', 3])).toMatchObject({ hens: 6 });
  expect(orchard(['2027-02-01', 'added', 'male', 2])).toMatchObject({ hens: 9, males: 3 });
  expect(orchard(['2027-02-01', 'replaced', 'female', 4])).toMatchObject({ hens: 9 });
  expect(orchard(['2027-02-01', 'broody', 'female', 4])).toMatchObject({ hens: 9 });
});

test('names come and go with their birds', () => {
  const names = (...changes: Change[]) => {
    const { sires, dams } = orchard(...changes);
    return [sires, dams];
  };
  expect(names(['2027-02-01', 'died', 'female', 1, 'Ivy'])).toEqual([['Oak'], ['Fern']]);
  expect(names(['2027-02-01', 'added', 'male', 1, 'Elm'])).toEqual([
    ['Oak', 'Elm'],
    ['Ivy', 'Fern'],
  ]);
  // All males are others now; of the hens only some.
  expect(names(['2027-02-01', 'replaced', 'male', 1, 'Elm'])).toEqual([['Elm'], ['Ivy', 'Fern']]);
  expect(names(['2027-02-01', 'replaced', 'female', 8])).toEqual([['Oak'], ['Ivy', 'Fern']]);
  expect(names(['2027-02-01', 'replaced', 'female', 9])).toEqual([['Oak'], []]);
});

test('a bird that went takes no name but its own along, however few are left', () => {
  const pen = (change: Change) =>
    seasonOf(
      named.replace(
        'males: 1, joined: 2027-01-30, sires: [Oak]',
        'males: 2, joined: 2027-01-30, sires: [Oak, Ash]',
      ),
      [
        [
          'pen-change',
          change[0],
          { pen: 'orchard', change: change[1], sex: change[2], bird: change[4]! },
        ],
      ],
    ).pens.get('orchard')!.sires;
  expect(pen(['2027-02-01', 'removed', 'male', 1, 'Ash'])).toEqual(['Oak']);
  expect(pen(['2027-02-01', 'replaced', 'male', 1, 'Elm'])).toEqual(['Oak', 'Ash', 'Elm']);
});

test('the birds of a day have the changes of that day, and who went and was never there is missing', () => {
  const pen = orchard(['2027-02-03', 'died', 'female', 10], ['2027-02-05', 'removed', 'male', 3]);
  const on = (text: string) => penOn(pen, day(text));
  expect(on('2027-02-02')).toMatchObject({ hens: 9, males: 1, missing: { hens: 0, males: 0 } });
  expect(on('2027-02-03')).toMatchObject({ hens: 0, males: 1, missing: { hens: 1, males: 0 } });
  expect(on('2027-02-05')).toMatchObject({ hens: 0, males: 0, missing: { hens: 1, males: 2 } });
});

test('new males change the pen where eggs may still be of one that went', () => {
  const changed = (...changes: Change[]) => orchard(...changes).malesChanged;
  expect(changed(['2027-02-01', 'replaced', 'male', 1])).toEqual(['2027-02-01']);
  expect(changed(['2027-02-01', 'added', 'male', 1])).toEqual([]);
  expect(changed(['2027-02-01', 'died', 'male', 1], ['2027-02-01', 'added', 'male', 1])).toEqual([
    '2027-02-01',
  ]);
  expect(changed(['2027-02-01', 'died', 'female', 1], ['2027-02-01', 'added', 'male', 1])).toEqual(
    [],
  );
  expect(changed(['2027-02-01', 'added', 'male', 1], ['2027-02-02', 'died', 'male', 1])).toEqual(
    [],
  );
  const byHand = named.replace('dams: [Ivy, Fern]}', 'males_changed: [2027-03-01, 2027-02-01]}');
  const rows = ['2027-02-15', '2027-03-01'].map(
    (on): Written => ['pen-change', on, { pen: 'orchard', change: 'replaced', sex: 'male' }],
  );
  expect(seasonOf(byHand, rows).pens.get('orchard')!.malesChanged).toEqual([
    '2027-02-01',
    '2027-02-15',
    '2027-03-01',
  ]);
  // Eggs are certainly free of a male after four weeks (seeds/species.yaml).
  const carried = seasonOf(named).pens.get('orchard')!.line.species.carry_over_days.value;
  const last = carried.certain ?? carried.safe;
  const at = (days: number) =>
    changed(
      ['2027-02-01', 'removed', 'male', 1],
      [new Date(Date.UTC(2027, 1, 1 + days)).toISOString().slice(0, 10), 'added', 'male', 1],
    );
  expect(at(last)).toHaveLength(1);
  expect(at(last + 1)).toEqual([]);
});

test('a pen parts on the first day that says so', () => {
  expect(orchard(['2027-02-01', 'died', 'female']).parted).toBeNull();
  const parted: Change = ['2027-05-10', 'parted', ''];
  expect(orchard(['2027-02-01', 'died', 'female'], parted).parted).toBe('2027-05-10');
  const rows: Written[] = [['pen-change', '2027-05-10', { pen: 'orchard', change: 'parted' }]];
  for (const [byHand, first] of [
    ['2027-05-01', '2027-05-01'],
    ['2027-05-11', '2027-05-10'],
  ]) {
    const yaml = named.replace('dams: [Ivy, Fern]}', `dams: [Ivy, Fern], parted: ${byHand}}`);
    expect(seasonOf(yaml, rows).pens.get('orchard')!.parted).toBe(first);
  }
  // All its birds go, whatever sex a row names.
  expect(orchard(['2027-05-10', 'parted', 'male'])).toMatchObject({ males: 1, sires: ['Oak'] });
});

const setters = (...nests: readonly [string, boolean][]) => ({
  setters: new Map(nests.map(([name, broody]) => [name, { broody }])),
});

test('the setter meant where none is named', () => {
  const usual = (...nests: readonly [string, boolean][]) => usualSetter(setters(...nests).setters);
  expect(usual()).toBeNull();
  expect(usual(['cabinet', false])).toBe('cabinet');
  expect(usual(['cabinet', false], ['attic', false])).toBeNull();
  expect(usual(['hazel', true], ['cabinet', false], ['dot', true])).toBe('cabinet');
  expect(usual(['hazel', true])).toBe('hazel');
  expect(usual(['hazel', true], ['dot', true])).toBeNull();
});

test('hens and machines', () => {
  const both = setters(['hazel', true], ['cabinet', false]);
  expect([isHen(both, 'hazel'), isHen(both, 'cabinet'), isHen(both, 'none')]).toEqual([
    true,
    false,
    false,
  ]);
  expect(hensOf(both)).toEqual(['hazel']);
  expect(machineSetters(both)).toEqual([{ broody: false }]);
  expect(nestText(both, 'hazel', [1])).toBe('hazel');
  expect(nestText(both, 'cabinet', [1, 2])).toBe('cabinet tray 1, 2');
  const farm = { ...both, hatchers: new Map([['lower', {}]]) };
  expect(hatchesInPlace(farm, { setter: 'hazel' })).toBe(true);
  expect(hatchesInPlace(farm, { setter: 'cabinet' })).toBe(false);
  expect(hatchesInPlace({ ...farm, hatchers: new Map() }, { setter: 'cabinet' })).toBe(true);
  const share = (underHen: boolean, transferredOn: string | null) =>
    hatchesInPlace(farm, { underHen, transferredOn });
  expect([share(true, null), share(true, '2027-03-24'), share(false, null)]).toEqual([
    true,
    false,
    false,
  ]);
});
