import { largest } from '../text/lists.ts';
import { padded, widthOf } from './wrap.ts';

/** How pictures of letters are drawn: `ascii` for a serial console that has nothing else. */
export type Strokes = { readonly width: number; readonly ascii: boolean };

/** One row of a bar picture; `note` stands after the count. */
export type Bar = { readonly label: string; readonly count: number; readonly note: string };

// Letters of code page 437, which the oldest consoles have.
const BLOCK = { bar: '█', from: '├', to: '┤', along: '─', dot: '■', rule: '│', cross: '┼' };
const PLAIN = { bar: '#', from: '|', to: '|', along: '-', dot: 'o', rule: ':', cross: '+' };

/** Bars as long as their counts, the longest filling its room. Ends with a line feed. */
export function barStrip(bars: readonly Bar[], { width, ascii }: Strokes): string {
  const ink = ascii ? PLAIN : BLOCK;
  const labels = largest([0, ...bars.map((bar) => widthOf(bar.label))]);
  const counts = largest([1, ...bars.map((bar) => String(bar.count).length)]);
  const notes = largest([0, ...bars.map((bar) => widthOf(bar.note))]);
  const room = Math.max(8, width - labels - counts - notes - 6);
  const most = largest([1, ...bars.map((bar) => bar.count)]);
  return bars
    .map(({ label, count, note }) => {
      // What is there at all shows at least one block.
      const length = count > 0 ? Math.max(1, Math.round((count / most) * room)) : 0;
      const drawn = padded(ink.bar.repeat(length), room);
      return `${padded(label, labels)}  ${drawn}  ${padded(String(count), counts, 'right')}  ${note}`;
    })
    .map((line) => `${line.trimEnd()}\n`)
    .join('');
}

/** A share with its interval, or with the limits it is expected between. */
export type ShareRow = {
  readonly label: string;
  readonly value: number | null;
  readonly low: number | null;
  readonly high: number | null;
  readonly note: string;
  /** True to mark the row: outside its limits, say. */
  readonly marked?: boolean;
};

/**
 * Shares from 0 to 100 %, each a dot on a line from its low to its high, on one axis. A reference
 * share, such as the season's own, is a rule down the rows. Ends with a line feed.
 */
export function shareStrip(
  rows: readonly ShareRow[],
  reference: number | null,
  { width, ascii }: Strokes,
): string {
  const ink = ascii ? PLAIN : BLOCK;
  const labels = largest([4, ...rows.map((row) => widthOf(row.label))]);
  const notes = largest([0, ...rows.map((row) => widthOf(row.note))]);
  const room = Math.max(21, width - labels - notes - 6);
  const place = (share: number) => Math.round(Math.min(1, Math.max(0, share)) * (room - 1));
  const blank = () => {
    const cells = Array.from({ length: room }, () => ' ');
    if (reference !== null) cells[place(reference)] = ink.rule;
    return cells;
  };
  const body = rows.map((row) => {
    const cells = blank();
    if (row.low !== null && row.high !== null) {
      for (let at = place(row.low); at <= place(row.high); at++)
        cells[at] = cells[at] === ink.rule ? ink.cross : ink.along;
      cells[place(row.low)] = ink.from;
      cells[place(row.high)] = ink.to;
    }
    if (row.value !== null) cells[place(row.value)] = ink.dot;
    const mark = row.marked ? '!' : ' ';
    return `${padded(row.label, labels)} ${mark}${cells.join('')}  ${row.note}`;
  });
  return [axis(labels, room), ...body].map((line) => `${line.trimEnd()}\n`).join('');
}

function axis(labels: number, room: number): string {
  const cells = Array.from({ length: room }, () => ' ');
  for (const share of [0, 25, 50, 75, 100]) {
    const name = share === 100 ? '100 %' : String(share);
    const at = Math.round((share / 100) * (room - 1));
    const from = share === 0 ? 0 : share === 100 ? room - name.length : at - 1;
    for (const [offset, letter] of [...name].entries()) cells[from + offset] = letter;
  }
  return `${' '.repeat(labels + 2)}${cells.join('')}`;
}
