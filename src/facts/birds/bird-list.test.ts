// Birds of several seasons made one flock, their parents named or shared out over the pen.
import { expect, test } from 'vitest';
import { seasonOf, type Written } from '../../../tests/support/season.ts';
import { flockOf } from './bird-list.ts';

const yaml = (more = '', pens = '') => `format: traybook/1
season: 2027
place: {name: Hollin Bank, timezone: Europe/London}
lines: {dorking: {species: chicken}, sussex: {species: chicken}}
pens:
  north: {line: dorking, hens: 2, males: 2, joined: 2027-02-13, sires: [Old], dams: [Ivy, Fern]}
  south: {line: dorking, hens: 3, males: 0, joined: 2027-02-13}
${pens}${more}`;
const bird = (name: string, cells: Record<string, string> = {}, on = '2027-12-01'): Written => [
  'bird',
  on,
  { bird: name, line: 'dorking', ...cells },
];
const parents = (cells: Record<string, string>, text = yaml()) => {
  const { pedigree, sharedOut } = flockOf([seasonOf(text, [bird('A', cells)])]);
  const { sire, dam } = pedigree.find(({ id }) => id === 'A')!;
  return {
    sire,
    dam,
    isShared: sharedOut.has('A'),
    founders: pedigree.filter(({ id }) => id !== 'A'),
  };
};

test('parents that are named are certain, and founders where they have no row', () => {
  expect(parents({ sire: 'Oak', dam: 'Fern', pen: 'north' })).toEqual({
    sire: [{ id: 'Oak', share: 1 }],
    dam: [{ id: 'Fern', share: 1 }],
    isShared: false,
    founders: [
      { id: 'Oak', sire: [], dam: [] },
      { id: 'Fern', sire: [], dam: [] },
    ],
  });
});

test('parents nobody named are shared out over the pen: its named birds, and as many unnamed as it counts', () => {
  expect(parents({ pen: 'north', born: '2027-03-27' })).toEqual({
    sire: [
      { id: 'Old', share: 1 / 2 },
      { id: '0/north/males', share: 1 / 2 },
    ],
    dam: [
      { id: 'Ivy', share: 1 / 2 },
      { id: 'Fern', share: 1 / 2 },
    ],
    isShared: true,
    founders: [
      { id: 'Old', sire: [], dam: [] },
      { id: '0/north/males', sire: [], dam: [], unnamed: 1 },
      { id: 'Ivy', sire: [], dam: [] },
      { id: 'Fern', sire: [], dam: [] },
    ],
  });
  expect(parents({ pen: 'south', sire: 'Oak' })).toMatchObject({
    sire: [{ id: 'Oak', share: 1 }],
    dam: [{ id: '0/south/hens', share: 1 }],
    founders: [{ id: 'Oak' }, { id: '0/south/hens', unnamed: 3 }],
  });
  expect(parents({ pen: 'south' }).sire).toEqual([]);
});

test('more birds named than counted: each of them alike', () => {
  const text = yaml().replace('hens: 2, males: 2', 'hens: 1, males: 2');
  expect(parents({ pen: 'north' }, text).dam).toEqual([
    { id: 'Ivy', share: 1 / 2 },
    { id: 'Fern', share: 1 / 2 },
  ]);
});

test.each([
  ['no pen is told', {}, [], false],
  [
    'a pen of no season file is one unnamed male',
    { pen: 'attic', born: '2025-04-01' },
    ['2025/attic/males'],
    true,
  ],
  ['nor is the year told', { pen: 'attic' }, ['/attic/males'], true],
  [
    'a pen of another line is not the one',
    { pen: 'north', line: 'sussex', born: '2027-05-01' },
    ['2027/north/males'],
    true,
  ],
  // No egg hatches within 17 days of the day on which the pen was joined, the 13th of February.
  ['hatched a day too soon', { pen: 'north', born: '2027-03-01' }, ['2027/north/males'], true],
  [
    'hatched on the first day that can be',
    { pen: 'north', born: '2027-03-02' },
    ['Old', '0/north/males'],
    true,
  ],
])('sires where %s', (_, cells, ids, isShared) => {
  const found = parents(cells);
  expect(found.sire.map(({ id }) => id)).toEqual(ids);
  expect(found.isShared).toBe(isShared);
  if (ids.length === 1) expect(found.dam).toEqual([]);
});

test('the pen is the latest of that name that was joined early enough, of this season or one before', () => {
  const before = seasonOf(yaml().replaceAll('2027', '2026'), []);
  const of = (born: string) => {
    const now = seasonOf(yaml('previous: [../2026]\n'), [bird('A', { pen: 'south', born })]);
    return flockOf([before, now]).pedigree.find(({ id }) => id === 'A')!.dam[0]!.id;
  };
  expect(of('2027-03-02')).toBe('1/south/hens');
  expect(of('2027-03-01')).toBe('0/south/hens');
});

test('a bird entered again is as it stands there, with what that leaves empty; what differs is told', () => {
  const all = { sex: 'male', set: 'D1', pen: 'north', dam: 'Ivy', sire: 'Old', born: '2026-03-27' };
  const before = seasonOf(yaml(), [bird('A', all), bird('B')]);
  const flock = (cells: Record<string, string>) =>
    flockOf([before, seasonOf(yaml('previous: [../2026]\n'), [bird('A', cells)])]);
  const kept = flock({});
  expect(kept.birds.get('A')).toMatchObject({
    ...kept.birds.get('A'),
    sex: 'male',
    hatch: 'D1 2026',
    pen: 'north',
    dam: 'Ivy',
    sire: 'Old',
    born: '2026-03-27',
    season: 1,
  });
  expect(kept.birds.get('B')).toMatchObject({
    sex: null,
    hatch: null,
    pen: null,
    dam: null,
    sire: null,
    born: null,
    season: 0,
  });
  expect([kept.changed, flock(all).changed]).toEqual([[], []]);
  const now = {
    line: 'sussex',
    sex: 'female',
    set: 'D2',
    pen: 'south',
    dam: 'Fern',
    sire: 'Oak',
    born: '2026-03-28',
  };
  const other = flock(now);
  const { set: _set, pen, ...values } = now;
  expect(other.birds.get('A')).toMatchObject({ ...values, pen, hatch: 'D2 2026' });
  // A set or a pen may be told more exactly later, and is no contradiction.
  expect(
    other.changed.map(({ what, before: was, now: is, bird: of, at }) => [
      of,
      what,
      was,
      is,
      at.line,
    ]),
  ).toEqual([
    ['A', 'line', 'dorking', 'sussex', 2],
    ['A', 'sex', 'male', 'female', 2],
    ['A', 'sire', 'Old', 'Oak', 2],
    ['A', 'dam', 'Ivy', 'Fern', 2],
    ['A', 'born', '2026-03-27', '2026-03-28', 2],
  ]);
  expect(
    flockOf([before, seasonOf(yaml('previous: [../2026]\n'), [bird('B', all)])]).changed,
  ).toEqual([]);
  expect(flock({ set: 'D3' }).birds.get('A')!.hatch).toBe('D3 ');
});

test('here are the birds that the last season enters, scores or pens, without those that are gone', () => {
  const before = seasonOf(yaml(), [bird('A'), bird('B')]);
  const text = yaml('gone: [Fern, C]\nprevious: [../2026]\ntraits: {mass: {kind: body-weight}}\n');
  const now = seasonOf(text, [
    bird('C'),
    bird('D'),
    ['score', '2027-12-02', { bird: 'B', trait: 'mass', value: 1 }],
  ]);
  expect([...flockOf([before, now]).here].sort()).toEqual(['B', 'D', 'Ivy', 'Old']);
});
