import { expect, test } from 'vitest';
import file from '../../seeds/rates.yaml';
import { ratesFile } from './rates-schema.ts';
import { speciesNames } from './species.ts';

const seeds = ratesFile.parse(file);

test('the table of rates has its shape, and every species of the incubation table has its rates', () => {
  expect(Object.keys(seeds.species).sort()).toEqual([...speciesNames()].sort());
});

test('a chicken egg set becomes a chick about as often as small flocks hatch', () => {
  // Hatch of set of small flocks: 60 to 75 % (extension texts; common practice, no source).
  const { fertile, candled, transferred, hatched } = seeds.species.chicken!;
  const hatch = fertile.mean * candled.mean * transferred.mean * hatched.mean;
  expect(hatch).toBeGreaterThan(0.6);
  expect(hatch).toBeLessThan(0.8);
});

test('what has no source says so', () => {
  const figures = [
    ...Object.values(seeds.species).flatMap((one) => Object.values(one)),
    ...Object.values(seeds.spread),
    ...Object.values(seeds.between),
    ...Object.values(seeds.storage),
  ];
  for (const { source, seen } of figures)
    if (seen === 'memory') expect(source).toMatch(/memory/);
    else if (seen === 'copy') expect(source).toMatch(/copy|abstract/);
});
