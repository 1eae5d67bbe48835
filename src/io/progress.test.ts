import { expect, test } from 'vitest';
import { progressOn } from './progress.ts';

/** What is left on the line of a terminal after some text with carriage returns. */
const seen = (text: string): string => {
  const cells: string[] = [];
  let at = 0;
  for (const letter of text) {
    if (letter === '\r') at = 0;
    else cells[at++] = letter;
  }
  return cells.join('').trimEnd();
};

test('progress is told after a second, on one line, and leaves nothing behind', () => {
  let now = 0;
  let written = '';
  const { tell, end } = progressOn(
    (text) => {
      written += text;
    },
    () => now,
  )('writing tables');
  now = 900;
  tell(1, 20);
  expect(written).toBe('');
  now = 1100;
  tell(12, 20);
  expect(seen(written)).toBe('writing tables: 12 of 20');
  now = 1200;
  tell(13, 20);
  expect(seen(written)).toBe('writing tables: 12 of 20');
  now = 1400;
  tell('nearly');
  expect(seen(written)).toBe('writing tables: nearly');
  now = 1700;
  tell('x'.repeat(200));
  expect(seen(written)).toHaveLength(79);
  end();
  expect(seen(written)).toBe('');
  expect(written.split('\r').every((line) => !line.includes('\n'))).toBe(true);
});

test('what is over within a second is never told', () => {
  let written = '';
  const progress = progressOn(
    (text) => {
      written += text;
    },
    () => 0,
  )('reading');
  progress.tell(1);
  progress.end();
  expect(written).toBe('');
});
