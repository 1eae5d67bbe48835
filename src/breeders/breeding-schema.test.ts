import { expect, it } from 'vitest';
import breeding from '../../seeds/breeding.yaml';
import { traitKinds } from '../season/schema.ts';
import { breedingFile } from './breeding-schema.ts';

it('the table of breeding figures has the shape the program takes it to have', () => {
  expect(breedingFile.parse(breeding)).toEqual(breeding);
});

it('gives a heritability for every kind of trait that season.yaml may name, and no other', () => {
  const { heritabilities } = breedingFile.parse(breeding);
  expect(Object.keys(heritabilities).sort()).toEqual([...traitKinds].sort());
});
