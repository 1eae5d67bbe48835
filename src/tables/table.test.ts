import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { plainTable, type Table } from './table.ts';
import { widthOf } from './wrap.ts';

const rates: Table = {
  columns: [{ heading: 'pen' }, { heading: 'set (eggs)' }, { heading: 'note' }],
  rows: [
    ['north', 20, 'a cool night; turned late'],
    ['Mühle', 108, null],
  ],
};

describe('off a terminal', () => {
  test('columns line up, numbers to the right, the unknown is a dash', () => {
    expect(plainTable(rates)).toBe(
      'pen    set (eggs)  note\n' +
        'north          20  a cool night; turned late\n' +
        'Mühle         108  -\n',
    );
  });

  test('whatever the cells hold, a row is one line that awk can cut', () => {
    const cell = fc.oneof(fc.string(), fc.integer(), fc.constant(null));
    fc.assert(
      fc.property(fc.array(fc.tuple(cell, cell, cell), { maxLength: 8 }), (rows) => {
        const lines = plainTable({ ...rates, rows }).split('\n');
        expect(lines.length).toBe(rows.length + 2);
        for (const line of lines.slice(0, -1)) expect(line.split(/ {2,}/)).toHaveLength(3);
      }),
    );
  });

  test('a wide character takes two places', () => {
    expect(widthOf('鶏')).toBe(2);
    expect(widthOf('e\u0301')).toBe(1);
    expect(widthOf('Mühle')).toBe(5);
  });
});
