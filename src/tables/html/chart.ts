import { ticks } from 'd3-array';
import { type AnyTable, textsOf } from '../columns.ts';
import type { Units } from '../numbers.ts';
import { type Attributes, classed, element, html, type Markup } from './element.ts';

/** A table with what it shows in words. */
export type Figures = { readonly caption: string; readonly table: AnyTable };

/** A picture with its words: `says` is read aloud in its place; its tables stand at the page's end. */
export type Chart = {
  /** Unique on the page; letters, digits and hyphens. */
  readonly id: string;
  readonly title: string;
  /** What the picture shows, in one or two sentences with its main figures. */
  readonly says: string;
  readonly picture: Picture;
  readonly figures: readonly Figures[];
};

export type Picture = { readonly height: number; readonly marks: readonly Markup[] };

// Drawn 400 units wide with letters of 14 and never shown wider than 457 pixels, a chart's letters
// are never larger than the body's 16 pixels, and still legible on a phone of 360.
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

/** What a mark stands for, shown where the pointer rests and read aloud. */
function told(says: string | undefined): Markup | null {
  return says === undefined ? null : element('title', {}, says);
}

export function line(
  x1: number,
  y1: number,
  x2: number,
  y2: number,
  kind: string,
  says?: string,
): Markup {
  return element(
    'line',
    { x1: at(x1), y1: at(y1), x2: at(x2), y2: at(y2), class: kind },
    told(says),
  );
}

export function rect(
  x: number,
  y: number,
  width: number,
  height: number,
  kind: string,
  says?: string,
): Markup {
  return element(
    'rect',
    {
      x: at(x),
      y: at(y),
      width: at(Math.max(0, width)),
      height: at(Math.max(0, height)),
      class: kind,
    },
    told(says),
  );
}

/** A filled shape or a line through points; `closed` joins the last to the first. */
export function path(
  points: readonly (readonly [number, number])[],
  kind: string,
  closed = false,
): Markup {
  const d = points.map(([x, y], index) => `${index === 0 ? 'M' : 'L'}${at(x)},${at(y)}`).join('');
  return element('path', { d: closed ? `${d}Z` : d, class: kind });
}

/** A dot: full for what was counted, open for what is expected or was before. */
export function dot(x: number, y: number, kind: string, says?: string): Markup {
  return element('circle', { cx: at(x), cy: at(y), r: 4.5, class: kind }, told(says));
}

/** A picture as it stands in a page, so many units across. */
export function drawn(picture: Picture, across: number, about: Attributes): Markup {
  const viewBox = `0 0 ${across} ${at(picture.height)}`;
  return element('svg', { viewBox, role: 'img', ...about }, picture.marks);
}

/** The figure: caption, picture with its alternative text, words, and the way to its figures. */
export function figure({ id, title, says, picture, figures }: Chart): Markup {
  const about = { 'aria-labelledby': `${id}-title`, 'aria-describedby': `${id}-says` };
  return html`
    <figure id="${id}"><figcaption id="${id}-title">${title}</figcaption>
    ${drawn(picture, WIDTH, about)}
    <p class="says" id="${id}-says">${says}</p>
    ${
      figures.length > 0 &&
      html`<p class="to-figures"><a href="#${id}-figures">Figures: ${title}</a></p>`
    }</figure>
  `;
}

/** Tables behind a line to open them; all open on paper. */
export function folded(
  id: string,
  title: string,
  figures: readonly Figures[],
  units: Units,
): Markup {
  return html`
    <details id="${id}-figures"><summary>${title}</summary>
    ${figures.map(({ caption, table }) => tableFigures(table, units, caption))}</details>
  `;
}

/** A table of figures with numbers to the right; on a phone each row stands as a card. */
export function tableFigures(table: AnyTable, units: Units, caption: string): Markup {
  const { columns, rows, hasTotal } = textsOf(table, units, true);
  const cellOf = (cell: string | null, index: number): Markup => {
    const { numeric, heading } = columns[index]!;
    const kind = numeric ? 'number' : isShort(cell) && 'short';
    const inside = html`${classed(kind)} data-heading="${heading}"`;
    const words = cell || '–';
    return index === 0
      ? html`<th${inside} scope="row">${words}</th>`
      : html`<td${inside}>${words}</td>`;
  };
  const isTotal = (which: number): boolean => hasTotal && which === rows.length - 1;
  return html`
    <table><caption>${caption}</caption><thead><tr>
    ${columns.map(
      ({ heading, numeric }) =>
        html`<th scope="col"${classed(numeric && 'number')}>${heading}</th>`,
    )}</tr></thead><tbody>
    ${rows.map(
      (row, which) => html`<tr${classed(isTotal(which) && 'total')}>${row.map(cellOf)}</tr>`,
    )}</tbody></table>
  `;
}

/** Letters up to which a cell stays on one line: a date, a name, a rate with its interval. */
const SHORT = 18;

function isShort(cell: string | null): boolean {
  return cell !== null && cell.length <= SHORT;
}

export type Frame = { left: number; right: number; top: number; bottom: number };

type Ends = readonly [number, number];

/** Places of values in a straight line from one end to the other; in the middle, where the ends are one. */
function linear([from, to]: Ends, [first, last]: Ends): (value: number) => number {
  return (value) => {
    const part = from === to ? 0.5 : (value - from) / (to - from);
    return first * (1 - part) + last * part;
  };
}

/** Horizontal rules with their values at the left, at round numbers. */
export function yAxis(
  frame: Frame,
  domain: Ends,
  wanted: number,
  print: (value: number) => string,
): { readonly y: (value: number) => number; readonly marks: Markup[] } {
  const y = linear(domain, [frame.bottom, frame.top]);
  const marks = ticks(domain[0], domain[1], wanted).flatMap((tick) => [
    line(frame.left, y(tick), frame.right, y(tick), 'rule'),
    text(frame.left - 6, y(tick) + LETTER * 0.35, print(tick), { class: 'end axis' }),
  ]);
  return { y, marks };
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
    const middle = Math.min(Math.max(x, half), Math.max(WIDTH, frame.right + 4) - half);
    if (middle - half < free) continue;
    free = middle + half + 3;
    marks.push(text(middle, frame.bottom + 4 + LETTER, label, { class: 'middle axis' }));
  }
  marks.push(line(frame.left, frame.bottom, frame.right, frame.bottom, 'axis-line'));
  return marks;
}

/** Round values of a plain number axis, with their places. */
export function numberTicks(
  domain: Ends,
  range: Ends,
  wanted: number,
  print: (value: number) => string,
): { readonly x: (value: number) => number; readonly ticks: { x: number; label: string }[] } {
  const x = linear(domain, range);
  return {
    x,
    ticks: ticks(domain[0], domain[1], wanted).map((tick) => ({ x: x(tick), label: print(tick) })),
  };
}
