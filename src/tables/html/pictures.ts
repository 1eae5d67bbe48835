import { area, curveStepAfter, line as path } from 'd3-shape';
import { addDays, type Day, daysBetween, weekdayOf } from '../../text/day.ts';
import { lanes } from '../occupancy.ts';
import {
  at,
  type Frame,
  LETTER,
  line,
  numberTicks,
  type Picture,
  percent,
  rect,
  SERIES,
  symbol,
  text,
  textWidth,
  WIDTH,
  widestTick,
  xLabels,
  yAxis,
} from './chart.ts';
import { element, type Markup } from './element.ts';

const ROW = 26;
const GUTTER = 8;
/** About how many values stand along a y axis. */
const Y_TICKS = 5;
/** Bold letters are about this much wider. */
const BOLD = 1.12;

/** One stage of the egg's way: how many are left, and what went out on the way to it. */
export type Stage = { readonly label: string; readonly count: number; readonly lost: string };

/** The egg's way from laid to chick: a bar a stage, as long as its count. */
export function wayPicture(stages: readonly Stage[]): Picture {
  const left = Math.max(...stages.map((stage) => textWidth(stage.label))) + GUTTER;
  const most = Math.max(1, ...stages.map((stage) => stage.count));
  const counts = stages.map((stage) => textWidth(String(stage.count), LETTER * BOLD));
  const room = WIDTH - left - Math.max(...counts) - GUTTER;
  const marks: Markup[] = [];
  let y = 0;
  for (const stage of stages) {
    const length = (stage.count / most) * room;
    if (stage.lost !== '') {
      marks.push(text(left, y + LETTER, stage.lost, { class: 'note' }));
      y += LETTER + 6;
    }
    marks.push(
      text(left - GUTTER, y + ROW * 0.62, stage.label, { class: 'end' }),
      rect(left, y, length, ROW - 5, 'bar'),
      text(left + length + 5, y + ROW * 0.62, String(stage.count), { class: 'strong' }),
    );
    y += ROW;
  }
  return { height: y + 2, marks };
}

/** A share with its interval; null is what cannot be said. */
export type Interval = {
  readonly label: string;
  readonly value: number | null;
  readonly low: number | null;
  readonly high: number | null;
  /** What stands at the right, such as `31 of 42`. */
  readonly note: string;
};

/** Shares in their order, each a dot on its 95 % interval, on an axis from 0 to 100 %. */
export function intervalPicture(rows: readonly Interval[], reference: number | null): Picture {
  const left = Math.max(24, ...rows.map((row) => textWidth(row.label))) + GUTTER;
  const right = WIDTH - Math.max(...rows.map((row) => textWidth(row.note)), 0) - GUTTER;
  const frame: Frame = { left, right, top: 2, bottom: 2 + rows.length * ROW };
  const { x, ticks } = numberTicks([0, 1], [left, right], 4);
  const marks: Markup[] = ticks.map((tick) =>
    line(tick.x, frame.top, tick.x, frame.bottom, 'rule'),
  );
  if (reference !== null)
    marks.push(line(x(reference), frame.top, x(reference), frame.bottom, 'reference'));
  for (const [index, row] of rows.entries()) {
    const y = frame.top + (index + 0.5) * ROW;
    marks.push(text(left - GUTTER, y + LETTER * 0.35, row.label, { class: 'end' }));
    if (row.low !== null && row.high !== null)
      marks.push(
        line(x(row.low), y, x(row.high), y, 'whisker'),
        line(x(row.low), y - 4, x(row.low), y + 4, 'whisker'),
        line(x(row.high), y - 4, x(row.high), y + 4, 'whisker'),
      );
    if (row.value !== null) marks.push(symbol(0, x(row.value), y));
    marks.push(text(right + GUTTER, y + LETTER * 0.35, row.note, { class: 'note' }));
  }
  marks.push(
    ...xLabels(
      frame,
      ticks.map((tick) => ({ ...tick, label: percent(Number(tick.label)) })),
    ),
  );
  return { height: frame.bottom + LETTER * 2, marks };
}

export type Point = {
  readonly x: number;
  readonly y: number;
  readonly low?: number | null;
  readonly high?: number | null;
};
export type Series = { readonly label: string; readonly points: readonly Point[] };

export type Plot = {
  readonly series: readonly Series[];
  readonly x: { readonly domain: readonly [number, number]; readonly label: string };
  readonly y: { readonly domain: readonly [number, number]; readonly label: string };
  readonly yPrint: (value: number) => string;
  /** Marks along the bottom in place of round numbers, such as days. */
  readonly xMarks?: readonly { readonly at: number; readonly label: string }[];
  /** A band to lie in, such as a target: from and to as `y` at each `x`. */
  readonly band?: readonly { readonly x: number; readonly low: number; readonly high: number }[];
  /** False where the series have no names of their own. */
  readonly key?: boolean;
  /** Lines between the points of a series: straight, in steps, or none. */
  readonly join: 'straight' | 'steps' | 'none';
};

/** Points and lines on two number axes, each series with its own shape and dash, named in a key. */
export function plotPicture(plot: Plot): Picture {
  const left = Math.max(widestTick(plot.y.domain, Y_TICKS, plot.yPrint), 28) + GUTTER;
  const key = keyRows(plot.key === false ? [] : plot.series.map((series) => series.label));
  const top = LETTER + 15 + key.height;
  const frame: Frame = { left, right: WIDTH - 8, top, bottom: top + 170 };
  const { y, marks: rules } = yAxis(frame, plot.y.domain, Y_TICKS, plot.yPrint);
  const { x, ticks } = numberTicks(plot.x.domain, [frame.left, frame.right], 6);
  const marks: Markup[] = [
    ...key.marks,
    text(0, top - 14, plot.y.label, { class: 'axis' }),
    ...rules,
  ];
  if (plot.band && plot.band.length > 1) {
    const shape = area<{ x: number; low: number; high: number }>()
      .x((one) => at(x(one.x)))
      .y0((one) => at(y(one.low)))
      .y1((one) => at(y(one.high)));
    marks.push(element('path', { d: shape([...plot.band]), class: 'band' }));
  }
  const shape = path<Point>()
    .x((point) => at(x(point.x)))
    .y((point) => at(y(point.y)));
  if (plot.join === 'steps') shape.curve(curveStepAfter);
  for (const [index, series] of plot.series.entries()) {
    for (const point of series.points)
      if (typeof point.low === 'number' && typeof point.high === 'number')
        marks.push(
          line(x(point.x), y(point.low), x(point.x), y(point.high), `whisker s${index % SERIES}`),
        );
    if (plot.join !== 'none' && series.points.length > 1)
      marks.push(
        element('path', { d: shape([...series.points]), class: `path s${index % SERIES}` }),
      );
    if (plot.join !== 'steps')
      marks.push(...series.points.map((point) => symbol(index, x(point.x), y(point.y))));
  }
  const named = plot.xMarks?.map((mark) => ({ x: x(mark.at), label: mark.label })) ?? ticks;
  marks.push(
    ...xLabels(frame, named),
    text(frame.right, frame.bottom + LETTER * 2.4, plot.x.label, { class: 'end axis' }),
  );
  return { height: frame.bottom + LETTER * 3, marks };
}

function keyRows(labels: readonly string[]): { height: number; marks: Markup[] } {
  if (labels.length < 2) return { height: 0, marks: [] };
  const marks: Markup[] = [];
  let x = 0;
  let y = LETTER;
  for (const [index, label] of labels.entries()) {
    const wide = 34 + textWidth(label) + 14;
    if (x > 0 && x + wide > WIDTH) {
      x = 0;
      y += LETTER + 6;
    }
    marks.push(
      line(x, y - 4, x + 28, y - 4, `path s${index % SERIES}`),
      symbol(index, x + 14, y - 4),
      text(x + 34, y, label, {}),
    );
    x += wide;
  }
  return { height: y + 8, marks };
}

/** One stay on the days `[from, to)`. */
export type Stay = {
  readonly label: string;
  readonly from: Day;
  readonly to: Day;
  readonly planned: boolean;
};

/** Places by days: who was where; a place that held two at once has a row for each. */
export function staysPicture(
  places: readonly { readonly label: string; readonly stays: readonly Stay[] }[],
  from: Day,
  to: Day,
): Picture {
  const left = Math.max(24, ...places.map((place) => textWidth(place.label))) + GUTTER;
  const rows = places.flatMap((place) =>
    lanes(place.stays).map((stays, lane, all) => ({
      label: lane === 0 ? place.label : '',
      stays,
      isLast: lane === all.length - 1,
    })),
  );
  const frame: Frame = { left, right: WIDTH - 4, top: 2, bottom: 2 + rows.length * ROW };
  const { x } = numberTicks([0, Math.max(1, daysBetween(from, to))], [left, frame.right], 6);
  const day = (one: Day) => x(daysBetween(from, one));
  const months = monthMarks(from, to).map((mark) => ({ x: x(mark.at), label: mark.label }));
  const marks: Markup[] = months.map((mark) =>
    line(mark.x, frame.top, mark.x, frame.bottom, 'rule'),
  );
  for (const [index, place] of rows.entries()) {
    const y = frame.top + index * ROW;
    if (place.label !== '')
      marks.push(text(left - GUTTER, y + ROW * 0.64, place.label, { class: 'end' }));
    if (place.isLast) marks.push(line(left, y + ROW, frame.right, y + ROW, 'rule'));
    for (const stay of place.stays) {
      const width = day(stay.to) - day(stay.from);
      marks.push(
        rect(
          day(stay.from) + 0.5,
          y + 4,
          width - 1,
          ROW - 8,
          stay.planned ? 'stay planned' : 'stay',
        ),
      );
      // A name that does not fit is in the table.
      if (textWidth(stay.label, 11) < width - 2)
        marks.push(
          text(day(stay.from) + width / 2, y + ROW * 0.62, stay.label, {
            class: stay.planned ? 'middle small' : 'middle small on-stay',
          }),
        );
    }
  }
  marks.push(...xLabels(frame, months));
  return { height: frame.bottom + LETTER * 2, marks };
}

const MONTHS = 'Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec'.split(' ');

/** First days of months as offsets from a day, named. */
export function monthMarks(from: Day, to: Day): { at: number; label: string }[] {
  const marks: { at: number; label: string }[] = [];
  for (let offset = 0; offset <= daysBetween(from, to); offset++) {
    const day = addDays(from, offset);
    if (day.endsWith('-01'))
      marks.push({ at: offset, label: MONTHS[Number(day.slice(5, 7)) - 1]! });
  }
  // A season within one month still needs its days named.
  if (marks.length > 1) return marks;
  return Array.from({ length: daysBetween(from, to) + 1 }, (_, offset) => offset)
    .filter((offset) => weekdayOf(addDays(from, offset)) === 'mon')
    .map((offset) => {
      const day = addDays(from, offset);
      return {
        at: offset,
        label: `${Number(day.slice(8))} ${MONTHS[Number(day.slice(5, 7)) - 1]}`,
      };
    });
}
