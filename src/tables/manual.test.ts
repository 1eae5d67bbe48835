import { expect, test } from 'vitest';
import { manualText } from './manual.ts';

const shown = (page: string): string => manualText(page, { width: 40, bold: null });

test('a paragraph is filled over lines that begin with code', () => {
  expect(shown('half the time you fall short. A goal with\n`confidence: 0.9` is planned.\n')).toBe(
    'half the time you fall short. A goal\nwith confidence: 0.9 is planned.\n',
  );
  expect(shown('say so with\n`--to`, or with\n--all\n')).toBe('say so with --to, or with --all\n');
});

test('a list, a table or a block of code ends the paragraph before it', () => {
  expect(shown('these:\n- one\n')).toBe('these:\n- one\n');
  expect(shown('these:\n```sh\nls\n```\n')).toBe('these:\n  ls\n');
  expect(shown('these:\n| a | b |\n| --- | --- |\n| 1 | 2 |\n')).toMatch(/^these:\na/);
});
