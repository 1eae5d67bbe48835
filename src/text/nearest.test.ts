import { expect, test } from 'vitest';
import { didYouMean, nearest } from './nearest.ts';

test('a slip of a letter, a swap, a beginning; not a stranger', () => {
  const known = ['orchard', 'pond', 'yard', 'north'];
  expect(nearest('pnod', known)).toEqual(['pond']);
  expect(nearest('Orchrd', known)).toEqual(['orchard']);
  expect(nearest('nor', known)).toEqual(['north']);
  expect(nearest('barn', [])).toEqual([]);
  expect(nearest('cabinet', known)).toEqual([]);
});

test('without a near word a short list is shown whole, a long one not', () => {
  expect(didYouMean('cabinet', ['pond', 'yard'])).toBe('known: pond, yard');
  expect(
    didYouMean(
      'cabinet',
      Array.from({ length: 13 }, (_, n) => `x${n}`),
    ),
  ).toBeNull();
  expect(didYouMean('pnod', ['pond'])).toBe('did you mean pond?');
});
