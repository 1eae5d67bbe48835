import { scaleLinear } from 'd3-scale';
import { type AnyTable, type Texts, textsOf } from '../columns.ts';
import type { Units } from '../numbers.ts';
import { type Table, textsOfCells } from '../table.ts';
import { type Attributes, element, type Markup } from './element.ts';

/** A picture with its words: `says` is read aloud in its place, `table` stands under it. */
export type Chart = {
  /** Unique on the page; letters, digits and hyphens. */
  readonly id: string;
  readonly title: string;
  /** What the picture shows, in one or two sentences with its main figures. */
  readonly says: string;
  readonly picture: Picture;
  readonly table: Table;
};

export type Picture = { readonly height: number; readonly marks: readonly Markup[] };

// Drawn 400 units wide with letters of 14, a chart stays legible on a phone of 360 pixels and not
// clumsy in a column of 560; so one drawing serves every width, without a script.
export const WIDTH = 400;
export const LETTER = 14;
/** Generous widths of letters of the widest face named, as a share of their height. */
const LETTER_SHARE = 0.66;
const CAPITAL_SHARE = 0.82;
const WIDEST_SHARE = 1.1;

/** About how wide a text is drawn, in chart units. */
export function textWidth(text: string, size = LETTER): number {
  let width = 0;
  for (const letter of text)
    width += /[MWmw]/.test(letter)
      ? WIDEST_SHARE
      : /\p{Lu}/u.test(letter)
        ? CAPITAL_SHARE
        : LETTER_SHARE;
  return width * size;
}

/** A number for an attribute: two decimals are a two-hundredth of a pixel. */
export function at(value: number): number {
  return Math.round(value * 100) / 100;
}

export function text(x: number, y: number, words: string, more: Attributes = {}): Markup {
  return element('text', { x: at(x), y: at(y), ...more }, words);
}

export function line(x1: number, y1: number, x2: number, y2: number, kind: string): Markup {
  return element('line', { x1: at(x1), y1: at(y1), x2: at(x2), y2: at(y2), class: kind });
}

export function rect(x: number, y: number, width: number, height: number, kind: string): Markup {
  return element('rect', {
    x: at(x),
    y: at(y),
    width: at(Math.max(0, width)),
    height: at(Math.max(0, height)),
    class: kind,
  });
}

/** The figure: picture with its alternative text, caption above, table under it. */
export function figure(chart: Chart): Markup {
  const title = `${chart.id}-title`;
  const says = `${chart.id}-says`;
  return element(
    'figure',
    { id: chart.id },
    element('figcaption', { id: title }, chart.title),
    element(
      'svg',
      {
        viewBox: `0 0 ${WIDTH} ${at(chart.picture.height)}`,
        role: 'img',
        'aria-labelledby': title,
        'aria-describedby': says,
      },
      chart.picture.marks,
    ),
    element('p', { class: 'says', id: says }, chart.says),
    figures(chart.table, chart.title),
  );
}

/** A table of the older kind; see `tableFigures`. */
export function figures(table: Table, caption: string): Markup {
  return textsFigures(textsOfCells(table), caption);
}

/** A table of figures with numbers to the right; it scrolls by itself where it is too wide. */
export function tableFigures(table: AnyTable, units: Units, caption: string): Markup {
  return textsFigures(textsOf(table, units, true), caption);
}

function textsFigures({ columns, rows }: Texts, caption: string): Markup {
  const kind = (index: number) => (columns[index]!.numeric ? 'number' : null);
  return element(
    'div',
    // A region that can scroll must be reachable by keyboard, and have a name.
    { class: 'scroll', tabindex: 0, role: 'region', 'aria-label': `Figures: ${caption}` },
    element(
      'table',
      {},
      element('caption', {}, `Figures: ${caption}`),
      element(
        'thead',
        {},
        element(
          'tr',
          {},
          columns.map((column, index) =>
            element('th', { scope: 'col', class: kind(index) }, column.heading),
          ),
        ),
      ),
      element(
        'tbody',
        {},
        rows.map((row) =>
          element(
            'tr',
            {},
            row.map((cell, index) =>
              element(
                index === 0 ? 'th' : 'td',
                {
                  class: kind(index) ?? (isShort(cell) ? 'short' : null),
                  ...(index === 0 ? { scope: 'row' } : {}),
                },
                cell === null || cell === '' ? '–' : cell,
              ),
            ),
          ),
        ),
      ),
    ),
  );
}

/** Letters up to which a cell stays on one line: a date, a name, a share with its interval. */
const SHORT = 18;

function isShort(cell: string | null): boolean {
  return cell !== null && cell.length <= SHORT;
}

export type Frame = { left: number; right: number; top: number; bottom: number };

/** Horizontal rules with their values at the left, at round numbers. */
export function yAxis(
  frame: Frame,
  domain: readonly [number, number],
  wanted: number,
  print: (value: number) => string,
): { readonly y: (value: number) => number; readonly marks: Markup[] } {
  const scale = scaleLinear([...domain], [frame.bottom, frame.top]);
  const marks = scale
    .ticks(wanted)
    .flatMap((tick) => [
      line(frame.left, scale(tick), frame.right, scale(tick), 'rule'),
      text(frame.left - 6, scale(tick) + LETTER * 0.35, print(tick), { class: 'end axis' }),
    ]);
  return { y: (value) => scale(value), marks };
}

/** Values along the bottom; a label that would run into the one before it is left out. */
export function xLabels(
  frame: Frame,
  ticks: readonly { readonly x: number; readonly label: string }[],
): Markup[] {
  const marks: Markup[] = [];
  let free = Number.NEGATIVE_INFINITY;
  for (const { x, label } of ticks) {
    marks.push(line(x, frame.bottom, x, frame.bottom + 4, 'axis-line'));
    const half = textWidth(label) / 2;
    const middle = Math.min(Math.max(x, half), WIDTH - half);
    if (middle - half < free) continue;
    free = middle + half + 6;
    marks.push(text(middle, frame.bottom + 4 + LETTER, label, { class: 'middle axis' }));
  }
  marks.push(line(frame.left, frame.bottom, frame.right, frame.bottom, 'axis-line'));
  return marks;
}

/** Round values of a plain number axis, with their places. */
export function numberTicks(
  domain: readonly [number, number],
  range: readonly [number, number],
  wanted: number,
): { readonly x: (value: number) => number; readonly ticks: { x: number; label: string }[] } {
  const scale = scaleLinear([...domain], [...range]);
  return {
    x: (value) => scale(value),
    ticks: scale.ticks(wanted).map((tick) => ({ x: scale(tick), label: String(tick) })),
  };
}

/** The widest label an axis will bear over a domain, in chart units. */
export function widestTick(
  domain: readonly [number, number],
  wanted: number,
  print: (value: number) => string,
): number {
  const ticks = scaleLinear([...domain], [0, 1]).ticks(wanted);
  return Math.max(0, ...ticks.map((tick) => textWidth(print(tick))));
}

export const percent = (share: number): string => `${Math.round(share * 100)} %`;

/** The mark of a series: shape and dash differ, so that grey print and every eye tell them apart. */
export const SERIES = 6;

export function symbol(series: number, x: number, y: number): Markup {
  const kind = `mark s${series % SERIES}`;
  const r = 4.5;
  switch (series % SERIES) {
    case 0:
      return element('circle', { cx: at(x), cy: at(y), r, class: kind });
    case 1:
      return rect(x - r, y - r, r * 2, r * 2, kind);
    case 2:
      return polygon(
        [
          [0, -r * 1.2],
          [r * 1.15, r],
          [-r * 1.15, r],
        ],
        x,
        y,
        kind,
      );
    case 3:
      return polygon(
        [
          [0, -r * 1.3],
          [r * 1.3, 0],
          [0, r * 1.3],
          [-r * 1.3, 0],
        ],
        x,
        y,
        kind,
      );
    case 4:
      return polygon(
        [
          [0, r * 1.2],
          [r * 1.15, -r],
          [-r * 1.15, -r],
        ],
        x,
        y,
        kind,
      );
    default:
      return element('circle', { cx: at(x), cy: at(y), r, class: `${kind} open` });
  }
}

function polygon(points: readonly [number, number][], x: number, y: number, kind: string): Markup {
  return element('polygon', {
    points: points.map(([dx, dy]) => `${at(x + dx)},${at(y + dy)}`).join(' '),
    class: kind,
  });
}
