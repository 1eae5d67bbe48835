import { expect, it } from 'vitest';
import { norms } from './norms.ts';
import { normsFile } from './norms-schema.ts';

it('the table of norms has the shape the program takes it to have', () => {
  expect(normsFile.parse(norms)).toEqual(norms);
});
