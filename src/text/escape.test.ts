import * as fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  escapeHtml,
  escapeMarkdown,
  forCalendar,
  forTerminal,
  guardCell,
  linesForTerminal,
  oneLine,
  unwritable,
} from './escape.ts';

/** Any text at all, often with what is meant to do harm. */
const hostile = fc
  .array(
    fc.oneof(
      fc.string({ unit: 'binary', maxLength: 8 }),
      fc.constantFrom(
        '\u001b[2J',
        '\u001b]0;title\u0007',
        '\u009b31m',
        '\u202e',
        '\u2066',
        '\u0000',
        '\ud800',
        '\udfff',
        '=cmd()',
        '+1',
        '-1',
        '@SUM(A1)',
        '\t=1',
        '\r\n',
        '\n',
        '\u2028',
        '<script>alert(1)</script>',
        '"><img src=x onerror=y>',
        'BEGIN:VALARM',
        ';,\\',
        '__proto__',
        '../',
        '..\\',
        'C:\\',
        'nul',
        'COM1.txt',
        '.hidden',
        '\ufeff',
        'é',
        '🐣',
      ),
    ),
    { maxLength: 6 },
  )
  .map((parts) => parts.join(''));

const HARMFUL =
  /[\u0000-\u001f\u007f-\u009f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069]|\p{Surrogate}/u;
const runs = { numRuns: Number(process.env.TRAYBOOK_RUNS ?? 500) };

test('nothing a terminal obeys comes through, on one line or many', () => {
  fc.assert(
    fc.property(hostile, (text) => {
      expect(forTerminal(text)).not.toMatch(HARMFUL);
      expect(forCalendar(text).replaceAll('\n', '')).not.toMatch(HARMFUL);
      for (const line of linesForTerminal(text).split('\n')) expect(line).not.toMatch(HARMFUL);
      expect(linesForTerminal(text).split('\n')).toHaveLength(text.split('\n').length);
    }),
    runs,
  );
});

test('plain text comes through a terminal unchanged', () => {
  expect(forTerminal('Hühner, 11 % – “naïve” 🐣')).toBe('Hühner, 11 % – “naïve” 🐣');
  expect(forTerminal('D1\u001b[31m')).toBe('D1\ufffd[31m');
});

test('no cell begins a formula, and numbers stay numbers', () => {
  fc.assert(
    fc.property(hostile, (text) => {
      const cell = guardCell(text);
      expect(cell).not.toMatch(HARMFUL);
      expect(/^\s*[=+\-@]/.test(cell) && !/^[+-]?\d+(?:[.,]\d+)?$/.test(cell)).toBe(false);
    }),
    runs,
  );
  fc.assert(
    fc.property(fc.integer(), (n) => {
      expect(guardCell(`${n}`)).toBe(`${n}`);
    }),
  );
  expect(guardCell('-2.5')).toBe('-2.5');
  expect(guardCell('=1+1')).toBe("'=1+1");
  expect(guardCell('-cmd')).toBe("'-cmd");
  expect(guardCell('\t@x')).toBe("' @x");
  expect(guardCell('north')).toBe('north');
});

test('nothing in a page opens a tag, an attribute or an entity of its own', () => {
  fc.assert(
    fc.property(hostile, (text) => {
      const html = escapeHtml(text);
      expect(html).not.toMatch(HARMFUL);
      expect(html).not.toMatch(/[<>"'`]/);
      expect(html.replace(/&(?:amp|lt|gt|quot|#39|#96);/g, '')).not.toContain('&');
    }),
    runs,
  );
});

test('a Markdown cell stays one cell of plain text', () => {
  fc.assert(
    fc.property(hostile, (text) => {
      const cell = escapeMarkdown(text);
      expect(cell).not.toMatch(/[<>\n]/);
      expect(cell.replace(/\\[\s\S]/g, '')).not.toMatch(/[|`[\]*]/);
    }),
    runs,
  );
});

test('folding makes one line, and what may be written is harmless', () => {
  fc.assert(
    fc.property(hostile, (text) => {
      expect(oneLine(text)).not.toMatch(/[\t\n\r\u2028\u2029]/);
      if (unwritable(text) === null) expect(oneLine(text)).not.toMatch(HARMFUL);
    }),
    runs,
  );
  expect(oneLine('first \r\n  second\tthird\n')).toBe('first second third');
  expect(unwritable('two\nlines, é 🐣')).toBeNull();
  expect(unwritable('\u001b[2J')).toBe('a control character');
  expect(unwritable('a\u202eb')).toBe('an invisible or text-turning character');
  expect(unwritable('\ud800')).toBe('half of a character');
});

test('a megabyte of the worst is done at once', () => {
  const worst = '\u001b[2J\u202e\ud800 \n=<;'.repeat(100_000);
  for (const make of [forTerminal, guardCell, escapeHtml, escapeMarkdown, oneLine]) {
    expect(typeof make(worst)).toBe('string');
  }
  expect(oneLine(`${' '.repeat(300_000)}x`)).toBe('x');
});
