import { Ajv2020 } from 'ajv/dist/2020.js';
import { describe, expect, test } from 'vitest';
import { type Column, jsonRows, tableOf } from './columns.ts';
import { tableFigures } from './html/chart.ts';
import { markdownTable } from './markdown.ts';
import { metric } from './numbers.ts';
import { unpainted } from './paint.ts';
import { rowSchema } from './schema.ts';
import { tableText } from './terminal.ts';
import { heads } from './words.ts';

type Pen = { pen: string; eggs: number; hatch: number | null; egg_g: number };
const columns: readonly Column<Pen>[] = [
  { ...heads.pen, of: (row) => row.pen },
  { ...heads.eggs, of: (row) => row.eggs },
  {
    key: 'hatch',
    heading: 'hatch of set',
    kind: 'percent',
    doc: 'hatch of set',
    of: (row) => row.hatch,
  },
  {
    key: 'egg_g',
    heading: 'egg',
    kind: 'measure',
    measure: 'mass',
    doc: 'mass',
    of: (row) => row.egg_g,
  },
  { key: 'note', heading: 'note', kind: 'text', doc: 'note', show: 'people', of: () => 'a | b' },
  { key: 'raw', heading: 'raw', kind: 'data', schema: {}, doc: 'raw', show: 'data', of: () => [1] },
];
const table = tableOf(columns, [{ pen: 'north', eggs: 20, hatch: null, egg_g: 58 }]);
const ounces = { ...metric, mass: 'oz' } as const;

describe('one list of columns', () => {
  test('heads the terminal, the pipe, Markdown and HTML alike, in the units of the season', () => {
    const paper = { width: 80, fits: false, ascii: false, full: false, paint: unpainted };
    const headings = ['pen', 'eggs', 'hatch of set (%)', 'egg (oz)', 'note'];
    const plain = tableText(table, { ...paper, units: ounces });
    expect(plain.split('\n')[0]!.split(/ {2,}/)).toEqual(headings);
    expect(plain.split('\n')[1]).toMatch(/^north +20 +- +2\.0 +a \| b$/);
    expect(markdownTable(table, ounces).split('\n')[0]).toBe(`| ${headings.join(' | ')} |`);
    const html = tableFigures(table, ounces, 'pens').markup;
    expect([...html.matchAll(/<th scope="col"[^>]*>(.*?)<\/th>/g)].map((one) => one[1])).toEqual(
      headings,
    );
  });

  test('makes the JSON, in the units the program keeps, and its schema', () => {
    expect(jsonRows(table)).toEqual([{ pen: 'north', eggs: 20, hatch: null, egg_g: 58, raw: [1] }]);
    const check = new Ajv2020({ strict: true, allowUnionTypes: true }).compile(rowSchema(columns));
    expect(check(jsonRows(table)[0])).toBe(true);
    expect(check({ ...jsonRows(table)[0], eggs: '20' })).toBe(false);
    const { eggs: _left, ...short } = jsonRows(table)[0]!;
    expect(check(short)).toBe(false);
  });
});
