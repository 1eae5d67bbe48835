import { expect, test } from 'vitest';
import { hill } from '../../tests/support/season.ts';
import { carriedSeason } from './carry.ts';
import { readSeasonFile } from './read-file.ts';

const carried = (text: string, year: number | null = null) => {
  const source = { path: 'season.yaml', text };
  const { file, faults } = readSeasonFile(source);
  if (file === null) throw new Error(JSON.stringify(faults));
  const next = carriedSeason(source, file.values, { year, previous: '../2027' });
  return readSeasonFile({ path: 'season.yaml', text: next }).file!.values;
};
const keys = `goals:
  - {line: sussex, want: chicks, count: 5, by: 2027-06-01}
days_off: {set: [sun], dates: [2027-04-04]}
gone: [Oak]
plan:
  - {set: A1, on: 2027-03-06, trays: [1], shares: {orchard: 9}}
`;

test('the year after, or the year said, with the old season to go by', () => {
  expect(carried(hill)).toMatchObject({ season: 2028, previous: ['../2027'] });
  expect(carried(hill, 2030)).toMatchObject({ season: 2030 });
  expect(carried(hill.replace('season: 2027', 'season: 2027 spring'), 2028).season).toBe(2028);
  expect(carried(hill.replace('season: 2027', 'season: 2027 spring')).season).toBe(2028);
  const early = hill.replace('season: 2027', 'season: early');
  expect(carried(early).season).toBe('early');
  // No year to count from: a season on.
  expect(carried(early, 2029).pens.orchard!.joined).toBe('2028-01-30');
});

test('dates go on by the years between, and what was of that year alone is left', () => {
  const next = carried(`${hill}${keys}`, 2030);
  expect(next.goals.map((one) => one.by)).toEqual(['2030-06-01']);
  expect(next.days_off).toMatchObject({ set: ['sun'], dates: [] });
  expect([next.gone, next.plan]).toEqual([[], []]);
  expect(Object.values(next.pens).map((one) => one.joined)).toEqual(Array(3).fill('2030-01-30'));
  const named = hill.replace('season: 2027', 'season: early');
  expect(carried(named).pens.orchard!.joined).toBe('2028-01-30');
});

test('the 29th of February is the 28th', () => {
  const leap = hill.replace('season: 2027', 'season: 2028').replaceAll('2027-01-30', '2028-02-29');
  expect(carried(leap).pens.orchard!.joined).toBe('2029-02-28');
});

test('a pen begins anew: parted no more, with the males it has', () => {
  const pen = 'hens: 9, males: 1, joined: 2027-01-30';
  const text = hill.replace(
    pen,
    `${pen}, parted: 2027-06-01, males_changed: [2027-03-01], other_males_until: 2027-01-20, sires: [Oak]`,
  );
  expect(carried(text).pens.orchard).toEqual({
    ...carried(hill).pens.orchard,
    sires: ['Oak'],
  });
});

test('pens chosen for a line take the place of its pens, joined on the day of those', () => {
  const text = `${hill.replaceAll('sussex, hens: 8, males: 1, joined: 2027-01-30', 'sussex, hens: 8, males: 1, joined: 2027-02-10')}next_pens:
  yard: {line: sussex, hens: 5, males: 1, sires: [Oak]}
  meadow: {line: sussex, hens: 4, males: 1}
`;
  const next = carried(text);
  expect(Object.keys(next.pens)).toEqual(['yard', 'pond', 'meadow']);
  expect(next.pens.yard).toMatchObject({ hens: 5, joined: '2028-02-10', sires: ['Oak'] });
  expect(next.pens.meadow).toMatchObject({ hens: 4, joined: '2028-01-30' });
  expect(next.next_pens).toEqual({});
  // A line that had no pen: the middle of February.
  const first = carried(
    `${hill}next_pens:\n  lake: {line: x, hens: 2, males: 1}\n`.replace(
      'lines:',
      'lines:\n  x: {species: goose}',
    ),
  );
  expect(first.pens.lake!.joined).toBe('2028-02-15');
  const bare = hill.replace(/pens:\n(?: {2}.*\n)*?(?=setters)/, '');
  expect(carried(bare).pens).toEqual({});
  const only = `${bare}next_pens:\n  lake: {line: sussex, hens: 2, males: 1}\n`;
  expect(Object.keys(carried(only).pens)).toEqual(['lake']);
  expect(bare).not.toContain('pens');
});
