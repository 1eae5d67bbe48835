import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Column, tableOf } from './columns.ts';
import { metric } from './numbers.ts';
import { unpainted } from './paint.ts';
import { type Paper, sayText, screenText, tableText } from './terminal.ts';
import { widthOf } from './wrap.ts';

type Row = { set: string; eggs: number | null; day: string; why: string };
const columns: readonly Column<Row>[] = [
  { key: 'set', heading: 'set', kind: 'name', doc: 'name', of: (row) => row.set },
  { key: 'eggs', heading: 'eggs set', kind: 'count', doc: 'eggs', of: (row) => row.eggs },
  { key: 'day', heading: 'set on', kind: 'day', doc: 'day', priority: 1, of: (row) => row.day },
  { key: 'why', heading: 'why', kind: 'text', doc: 'why', of: (row) => row.why },
];
const rows: Row[] = [
  { set: 'D1', eggs: 42, day: '2027-03-06', why: 'the power was off from two to four, lid shut' },
  { set: 'D2', eggs: null, day: '2027-03-13', why: 'a cool night' },
];
const paper = (width: number, more: Partial<Paper> = {}): Paper => ({
  width,
  fits: true,
  ascii: false,
  full: false,
  paint: unpainted,
  units: metric,
  ...more,
});

describe('a table on a terminal', () => {
  test('stands as it is where there is room', () => {
    expect(tableText(tableOf(columns, rows), paper(80)).split('\n')).toEqual([
      'set  eggs set  set on      why',
      `───  ────────  ──────────  ${'─'.repeat(44)}`,
      'D1         42  2027-03-06  the power was off from two to four, lid shut',
      'D2          -  2027-03-13  a cool night',
      '',
    ]);
  });

  test('wraps its words first, then leaves out what matters least, then becomes cards', () => {
    expect(tableText(tableOf(columns, rows), paper(44))).toContain('2027-03-06');
    const narrow = tableText(tableOf(columns, rows), paper(30));
    expect(narrow).not.toContain('2027-03-06');
    expect(narrow).toContain('Left out here: set on.');
    expect(tableText(tableOf(columns, rows), paper(18))).toContain('D1\n  eggs set 42; set\n');
  });

  test('is never wider than the terminal, and no word, number or date of it is broken', () => {
    const word = fc.stringMatching(/^[a-z]{1,9}$/);
    fc.assert(
      fc.property(
        fc.array(
          fc.record({
            set: word,
            eggs: fc.option(fc.nat(99_999)),
            day: fc.constant('2027-03-06'),
            why: fc.array(word, { minLength: 1, maxLength: 12 }).map((words) => words.join(' ')),
          }),
          { minLength: 1, maxLength: 5 },
        ),
        fc.integer({ min: 20, max: 90 }),
        (some, width) => {
          const text = tableText(tableOf(columns, some), paper(width));
          for (const line of text.split('\n')) expect(widthOf(line)).toBeLessThanOrEqual(width);
          const printed = new Set(text.split(/[\s;]+/));
          for (const row of some)
            for (const whole of [row.set, ...row.why.split(' ')]) expect(printed).toContain(whole);
        },
      ),
    );
  });

  test('in a pipe a row is one line whatever its length', () => {
    const lines = tableText(tableOf(columns, rows), paper(20, { fits: false })).split('\n');
    expect(lines).toHaveLength(4);
    for (const line of lines.slice(0, -1)) expect(line.split(/ {2,}/)).toHaveLength(4);
  });
});

describe('a table in a pipe', () => {
  test('whatever the cells hold, a row is one line that awk can cut', () => {
    fc.assert(
      fc.property(
        fc.array(
          fc.record({
            set: fc.string(),
            eggs: fc.option(fc.integer()),
            day: fc.string(),
            why: fc.string(),
          }),
          { minLength: 1, maxLength: 8 },
        ),
        (any) => {
          const lines = tableText(tableOf(columns, any), paper(80, { fits: false })).split('\n');
          expect(lines.length).toBe(any.length + 2);
          for (const line of lines.slice(0, -1)) expect(line.split(/ {2,}/)).toHaveLength(4);
        },
      ),
    );
  });

  test('a wide character takes two places', () => {
    expect(widthOf('鶏')).toBe(2);
    expect(widthOf('e\u0301')).toBe(1);
    expect(widthOf('Mühle')).toBe(5);
  });
});

describe('a screen', () => {
  const screen = {
    title: 'Hollin Bank',
    answer: ['All is well.'],
    exceptions: [{ meaning: 'act' as const, text: 'D3 is out of balance' }],
    parts: [
      { heading: 'Sets', table: tableOf(columns, rows) },
      { heading: 'Odds', show: 'full' as const, reasons: ['none'] },
    ],
  };

  test('says its answer first, what is wrong next, and what --full would show last', () => {
    const text = screenText(screen, paper(80));
    expect(text).toMatch(/^Hollin Bank\nAll is well\.\n\n▲ act: D3 is out of balance\n\nSETS\n/);
    expect(text).toMatch(/\n--full shows more: odds\.\n$/);
    expect(screenText(screen, paper(80, { full: true }))).toMatch(/ODDS\nnone\n$/);
  });

  test('is plain ASCII where only that may stand', () => {
    const text = screenText(
      { ...screen, answer: ['−3 to 82–90 °C in 4 m²'] },
      paper(80, { ascii: true }),
    );
    expect(text).toMatch(/^[\n\x20-\x7e]*$/);
    expect(text).toContain('-3 to 82-90 C in 4 m2');
  });

  test('a colour never stands alone: the sign and the word say the same', () => {
    const painted = { ...unpainted, act: (text: string) => `<${text}>` };
    expect(sayText({ meaning: 'act', text: 'x' }, paper(80, { paint: painted }))).toBe(
      '<▲ act: >x',
    );
  });
});
