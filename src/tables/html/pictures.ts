/** The pictures of the page, each from plain figures. */
import { addDays, type Day, daysBetween, earlier, later, weekdayOf } from '../../text/day.ts';
import { addAll, largest, smallest, there } from '../../text/lists.ts';
import { dayMonth, dayYear, fixed, monthOf, percent } from '../numbers.ts';
import { lanes } from '../occupancy.ts';
import {
  dot,
  type Frame,
  LETTER,
  line,
  numberTicks,
  type Picture,
  path,
  rect,
  text,
  textWidth,
  WIDTH,
  xLabels,
  yAxis,
} from './chart.ts';
import type { Markup } from './element.ts';

const ROW = 24;
const GUTTER = 8;
/** Letters inside a bar. */
const SMALL = 11;

/** A range on one axis with a middle: a rate, hours, points off a target. */
export type IntervalBar = {
  readonly label: string;
  readonly value: number | null;
  readonly low: number | null;
  readonly high: number | null;
  /** What stands at the right, such as `31 of 42`. */
  readonly note: string;
  /** What was before, drawn as an open dot. */
  readonly before?: number | null;
  /** The value is expected, not counted: its line is dashed and its dot open. */
  readonly isExpected?: boolean;
  /** Where it stood when it was last measured: a full line leads from the axis to it. */
  readonly measured?: number;
};

export type IntervalAxis = {
  readonly domain: readonly [number, number];
  readonly print: (value: number) => string;
  readonly label?: string;
  /** A value to compare with, dotted. */
  readonly reference?: number | null;
  /** What is aimed at. */
  readonly band?: readonly [number, number];
};

/** The axis of rates: 0 to 100 %. */
export const rateAxis = (reference: number | null = null): IntervalAxis => ({
  domain: [0, 1],
  print: percent,
  reference,
});

/** Rows in their order, each a dot on its range, on one axis. */
export function intervalPicture(rows: readonly IntervalBar[], axis: IntervalAxis): Picture {
  const left = largest([24, ...rows.map((row) => textWidth(row.label))]) + GUTTER;
  const right = WIDTH - largest([...rows.map((row) => textWidth(row.note)), 0]) - GUTTER;
  const frame: Frame = { left, right, top: 2, bottom: 2 + rows.length * ROW };
  const { x, ticks } = numberTicks(axis.domain, [left, right], 4, axis.print);
  const inside = (value: number): number =>
    x(Math.min(axis.domain[1], Math.max(axis.domain[0], value)));
  const marks: Markup[] = there([
    axis.band !== undefined &&
      rect(
        x(axis.band[0]),
        frame.top,
        x(axis.band[1]) - x(axis.band[0]),
        frame.bottom - frame.top,
        'band',
      ),
    ...ticks.map((tick) => line(tick.x, frame.top, tick.x, frame.bottom, 'rule')),
  ]);
  if (typeof axis.reference === 'number')
    marks.push(line(x(axis.reference), frame.top, x(axis.reference), frame.bottom, 'reference'));
  for (const [index, row] of rows.entries()) {
    const y = frame.top + (index + 0.5) * ROW;
    const says = `${row.label}: ${row.value === null ? 'not known' : axis.print(row.value)}${
      row.low === null || row.high === null
        ? ''
        : ` (${axis.print(row.low)} to ${axis.print(row.high)})`
    }${row.note === '' ? '' : `, ${row.note}`}`;
    marks.push(text(left - GUTTER, y + LETTER * 0.35, row.label, { class: 'end' }));
    if (row.measured !== undefined) {
      marks.push(line(inside(0), y, inside(row.measured), y, 'solid'));
      if (row.value !== null)
        marks.push(line(inside(row.measured), y, inside(row.value), y, 'dashed'));
    }
    if (row.low !== null && row.high !== null)
      marks.push(
        line(inside(row.low), y, inside(row.high), y, row.isExpected ? 'whisker thin' : 'whisker'),
        line(inside(row.low), y - 4, inside(row.low), y + 4, 'whisker'),
        line(inside(row.high), y - 4, inside(row.high), y + 4, 'whisker'),
      );
    if (typeof row.before === 'number') marks.push(dot(inside(row.before), y, 'mark open'));
    if (row.value !== null)
      marks.push(dot(inside(row.value), y, row.isExpected ? 'mark open' : 'mark s0', says));
    if (row.measured !== undefined) marks.push(dot(inside(row.measured), y, 'mark s0', says));
    marks.push(text(right + GUTTER, y + LETTER * 0.35, row.note, { class: 'note' }));
  }
  addAll(marks, xLabels(frame, ticks));
  if (axis.label === undefined) return { height: frame.bottom + LETTER * 2, marks };
  marks.push(text(frame.left, frame.bottom + LETTER * 2.4, axis.label, { class: 'axis' }));
  return { height: frame.bottom + LETTER * 3, marks };
}

/** A part of a whole, and how it is filled: `f0` to `f6` differ in grey as well as in colour. */
export type Piece = { readonly name: string; readonly count: number; readonly fill: number };

/** Rows of one length, each cut into its pieces; a key above says what each filling is. */
export function piecesPicture(
  rows: readonly {
    readonly label: string;
    readonly note: string;
    readonly pieces: readonly Piece[];
  }[],
): Picture {
  const names = [
    ...new Map(rows.flatMap((row) => row.pieces).map((piece) => [piece.fill, piece.name])),
  ].sort(([a], [b]) => a - b);
  const marks: Markup[] = [...patterns()];
  let x = 0;
  let y = 0;
  for (const [fill, name] of names) {
    const wide = 22 + textWidth(name) + 12;
    if (x > 0 && x + wide > WIDTH) {
      x = 0;
      y += LETTER + 8;
    }
    marks.push(rect(x, y + 1, 16, LETTER, `piece f${fill}`), text(x + 22, y + LETTER - 1, name));
    x += wide;
  }
  const top = y + LETTER + 12;
  const left = largest([24, ...rows.map((row) => textWidth(row.label))]) + GUTTER;
  const right = WIDTH - largest([...rows.map((row) => textWidth(row.note)), 0]) - GUTTER;
  for (const [index, row] of rows.entries()) {
    const at = top + index * ROW;
    const whole = row.pieces.reduce((sum, piece) => sum + piece.count, 0);
    marks.push(text(left - GUTTER, at + ROW * 0.62, row.label, { class: 'end' }));
    let from = left;
    for (const piece of row.pieces) {
      if (piece.count === 0) continue;
      const wide = ((right - left) * piece.count) / whole;
      const says = `${row.label}: ${piece.name} ${piece.count} of ${whole}`;
      marks.push(rect(from, at + 2, wide, ROW - 5, `piece f${piece.fill}`, says));
      from += wide;
    }
    marks.push(text(right + GUTTER, at + ROW * 0.62, row.note, { class: 'note' }));
  }
  return { height: top + rows.length * ROW + 2, marks };
}

/** Hatchings that tell fillings apart without colour. */
function patterns(): Markup[] {
  const pattern = (id: string, ...drawn: Markup[]): Markup => ({
    markup: `<pattern id="${id}" width="6" height="6" patternUnits="userSpaceOnUse">${drawn.map((one) => one.markup).join('')}</pattern>`,
  });
  return [
    pattern('slant', rect(0, 0, 6, 6, 'ground'), line(0, 6, 6, 0, 'hatching')),
    pattern('dots', rect(0, 0, 6, 6, 'ground'), rect(2, 2, 2, 2, 'hatching-dot')),
    pattern(
      'cross',
      rect(0, 0, 6, 6, 'ground'),
      line(0, 6, 6, 0, 'hatching'),
      line(0, 0, 6, 6, 'hatching'),
    ),
  ];
}

/** One stay on the days `[from, to)`. */
export type StayBar = {
  readonly label: string;
  readonly from: Day;
  readonly to: Day;
  readonly planned: boolean;
};

/** Places by days, with today: who was where; a place that held two at once has a row for each. */
export function staysPicture(
  places: readonly { readonly label: string; readonly stays: readonly StayBar[] }[],
  from: Day,
  to: Day,
  today: Day,
  across = WIDTH,
): Picture {
  const left = largest([24, ...places.map((place) => textWidth(place.label))]) + GUTTER;
  const rows = places.flatMap((place) =>
    lanes(place.stays).map((stays, lane, all) => ({
      label: lane === 0 ? place.label : '',
      stays,
      isLast: lane === all.length - 1,
    })),
  );
  const hasToday = today >= from && today < to;
  const top = hasToday ? LETTER + 6 : 2;
  const height = ROW - 4;
  const frame: Frame = { left, right: across - 4, top, bottom: top + rows.length * height };
  const { day, marks, months } = dayAxis(frame, from, to);
  for (const [index, place] of rows.entries()) {
    const y = frame.top + index * height;
    if (place.label !== '')
      marks.push(text(left - GUTTER, y + height * 0.7, place.label, { class: 'end' }));
    if (place.isLast) marks.push(line(left, y + height, frame.right, y + height, 'rule'));
    for (const stay of place.stays) {
      const width = day(stay.to) - day(stay.from);
      const says = `${place.label} ${stay.label}: ${dayYear(stay.from)} to ${dayYear(stay.to)}${stay.planned ? ', planned' : ''}`;
      marks.push(
        rect(
          day(stay.from) + 0.5,
          y + 3,
          width - 1,
          height - 6,
          stay.planned ? 'stay planned' : 'stay',
          says,
        ),
      );
      // A name that does not fit is in the figures.
      if (stay.label !== '' && textWidth(stay.label, SMALL) < width - 2)
        marks.push(
          text(day(stay.from) + width / 2, y + height * 0.68, stay.label, {
            class: stay.planned ? 'middle small' : 'middle small on-stay',
          }),
        );
    }
  }
  if (hasToday) addAll(marks, todayMark(frame, day(today)));
  addAll(marks, xLabels(frame, months));
  return { height: frame.bottom + LETTER * 2, marks };
}

function todayMark(frame: Frame, x: number): Markup[] {
  const half = textWidth('today') / 2;
  const middle = Math.min(Math.max(x, frame.left + half), frame.right - half);
  return [
    line(x, frame.top - 2, x, frame.bottom, 'reference'),
    text(middle, frame.top - 5, 'today', { class: 'middle axis' }),
  ];
}

/** Days along the bottom with months ruled. */
function dayAxis(frame: Frame, from: Day, to: Day) {
  const span = Math.max(1, daysBetween(from, to));
  const x = (days: number): number => frame.left + ((frame.right - frame.left) * days) / span;
  const months = monthMarks(from, to).map((mark) => ({ x: x(mark.at), label: mark.label }));
  return {
    day: (one: Day) => x(daysBetween(from, one)),
    months,
    marks: months.map((mark) => line(mark.x, frame.top, mark.x, frame.bottom, 'rule')),
  };
}

/** First days of months as offsets from a day, named. */
function monthMarks(from: Day, to: Day): { at: number; label: string }[] {
  const all = Array.from({ length: daysBetween(from, to) + 1 }, (_, offset) => ({
    at: offset,
    day: addDays(from, offset),
  }));
  const firsts = all.filter(({ day }) => day.endsWith('-01'));
  // A season within one month still needs its days named.
  return firsts.length > 1
    ? firsts.map(({ at, day }) => ({ at, label: monthOf(day) }))
    : all
        .filter(({ day }) => weekdayOf(day) === 'mon')
        .map(({ at, day }) => ({ at, label: dayMonth(day) }));
}

export type ProgressShown = {
  readonly wanted: number;
  readonly from: Day;
  readonly by: Day;
  readonly today: Day;
  /** Birds that count, by the day they hatched. */
  readonly steps: readonly { readonly day: Day; readonly count: number }[];
  /** What the day wanted is expected to bring: the median and where 95 in 100 lie. */
  readonly ahead: { readonly median: number; readonly low: number; readonly high: number } | null;
};

/** A goal over time: what counts so far in steps, the forecast as a fan, what is wanted as a line. */
export function progressPicture(goal: ProgressShown): Picture {
  const have = goal.steps.reduce((sum, step) => sum + step.count, 0);
  const most = Math.max(5, goal.wanted, have, goal.ahead?.high ?? 0) * 1.08;
  const frame: Frame = { left: 40, right: WIDTH - 44, top: 22, bottom: 22 + 120 };
  const { y, marks: rules } = yAxis(frame, [0, most], 4, String);
  const last = later(goal.today, goal.by);
  const { day, months, marks: monthRules } = dayAxis(frame, goal.from, last);
  const marks: Markup[] = [...monthRules, ...rules];
  const now = earlier(goal.today, goal.by);
  if (goal.ahead !== null) {
    const { low, median, high } = goal.ahead;
    marks.push(
      path(
        [
          [day(now), y(have)],
          [day(goal.by), y(high)],
          [day(goal.by), y(low)],
        ],
        'band',
        true,
      ),
      path(
        [
          [day(now), y(have)],
          [day(goal.by), y(median)],
        ],
        'dashed',
      ),
      text(frame.right + 4, y(median) + LETTER * 0.35, fixed(median), { class: 'note' }),
    );
  }
  const points: [number, number][] = [[day(goal.from), y(0)]];
  let sum = 0;
  for (const step of goal.steps) {
    points.push([day(step.day), y(sum)]);
    sum += step.count;
    points.push([day(step.day), y(sum)]);
  }
  points.push([day(now), y(sum)]);
  addAll(marks, [
    path(points, 'solid'),
    dot(day(now), y(have), 'mark s0', `so far: ${have}`),
    line(frame.left, y(goal.wanted), frame.right, y(goal.wanted), 'reference'),
    text(frame.left + 4, y(goal.wanted) - 5, `wanted: ${goal.wanted}`, { class: 'axis' }),
    ...(goal.today < goal.by ? todayMark(frame, day(goal.today)) : []),
    ...xLabels(frame, months),
  ]);
  return { height: frame.bottom + LETTER * 2, marks };
}

/** An axis of hours reaches at least so far either way. */
const LEAST_HOURS = 12;

export type Panel = {
  readonly label: string;
  readonly print: (value: number) => string;
  readonly band: readonly [number, number] | null;
  /** Values of days, joined; or dots alone. */
  readonly points: readonly { readonly day: Day; readonly value: number; readonly says: string }[];
  readonly isJoined: boolean;
};

/** Panels one above the other on one axis of days, with marks down all of them. */
export function panelsPicture(
  panels: readonly Panel[],
  from: Day,
  to: Day,
  notes: readonly { readonly day: Day; readonly label: string }[],
): Picture {
  const HEIGHT = 74;
  const marks: Markup[] = [];
  let top = notes.length === 0 ? LETTER + 8 : 2 * LETTER + 12;
  const first = top;
  let frame: Frame = { left: 44, right: WIDTH - 6, top, bottom: top };
  for (const panel of panels) {
    frame = { left: 44, right: WIDTH - 6, top, bottom: top + HEIGHT };
    const values = panel.points.map((point) => point.value);
    const [least, most] = panel.band ?? [-LEAST_HOURS, LEAST_HOURS];
    const low = smallest([...values, least]);
    const high = largest([...values, most]);
    const air = Math.max((high - low) * 0.1, 0.1);
    const { y, marks: rules } = yAxis(frame, [low - air, high + air], 3, panel.print);
    const { day } = dayAxis(frame, from, to);
    marks.push(text(0, top - 8, panel.label, { class: 'axis' }));
    if (panel.band !== null)
      marks.push(
        rect(
          frame.left,
          y(panel.band[1]),
          frame.right - frame.left,
          y(panel.band[0]) - y(panel.band[1]),
          'band',
        ),
      );
    addAll(marks, rules);
    const points = panel.points.map((one): [number, number] => [day(one.day), y(one.value)]);
    if (panel.isJoined && points.length > 1) marks.push(path(points, 'solid'));
    else
      addAll(
        marks,
        panel.points.map((one) => dot(day(one.day), y(one.value), 'mark s0', one.says)),
      );
    top += HEIGHT + LETTER + 18;
  }
  const { day, months } = dayAxis(frame, from, to);
  for (const note of notes) {
    const half = textWidth(note.label) / 2;
    const middle = Math.min(Math.max(day(note.day), frame.left + half), frame.right - half);
    marks.push(
      line(day(note.day), first - LETTER - 4, day(note.day), frame.bottom, 'alert-line'),
      text(middle, LETTER, note.label, { class: 'middle alert' }),
    );
  }
  addAll(marks, xLabels(frame, months));
  return { height: frame.bottom + LETTER * 2, marks };
}

/** What is needed day by day against what there is: solid to today, dashed beyond. */
export function needPicture(
  points: readonly { readonly day: Day; readonly need: number; readonly high: number | null }[],
  room: number | null,
  today: Day,
): Picture {
  const from = points[0]!.day;
  const to = points.at(-1)!.day;
  const most = largest([5, room ?? 0, ...points.map((one) => one.high ?? one.need)]) * 1.08;
  const frame: Frame = { left: 44, right: WIDTH - 6, top: LETTER + 6, bottom: LETTER + 6 + 120 };
  const { y, marks: rules } = yAxis(frame, [0, most], 4, (value) => fixed(value));
  const { day, months } = dayAxis(frame, from, to);
  const of = (some: typeof points, value: (one: (typeof points)[number]) => number) =>
    some.map((one): [number, number] => [day(one.day), y(value(one))]);
  const past = points.filter((one) => one.day <= today);
  const ahead = points.filter((one) => one.day >= today);
  const marks: Markup[] = [...rules];
  if (ahead.some((one) => one.high !== null))
    marks.push(
      path(
        [
          ...of(ahead, (one) => one.need),
          ...of([...ahead].reverse(), (one) => one.high ?? one.need),
        ],
        'band',
        true,
      ),
    );
  if (past.length > 0)
    marks.push(
      path(
        of(past, (one) => one.need),
        'solid',
      ),
    );
  if (ahead.length > 0)
    marks.push(
      path(
        of(ahead, (one) => one.need),
        'dashed',
      ),
    );
  if (room !== null)
    marks.push(
      line(frame.left, y(room), frame.right, y(room), 'reference'),
      text(frame.left + 4, y(room) - 5, `there is: ${fixed(room)}`, { class: 'axis' }),
    );
  if (today > from && today < to) addAll(marks, todayMark(frame, day(today)));
  addAll(marks, xLabels(frame, months));
  return { height: frame.bottom + LETTER * 2, marks };
}

/** Amounts that add up, each bar beginning where the one before it ended; the last is the whole. */
export function stepsPicture(
  steps: readonly { readonly label: string; readonly amount: number }[],
  total: string,
  print: (amount: number) => string,
): Picture {
  const whole = steps.reduce((sum, step) => sum + step.amount, 0);
  const rows = [...steps, { label: total, amount: whole }];
  const left = largest(rows.map((row) => textWidth(row.label))) + GUTTER;
  const right = WIDTH - largest(rows.map((row) => textWidth(print(row.amount)))) - GUTTER;
  const x = (amount: number): number => left + ((right - left) * amount) / Math.max(whole, 1e-9);
  const marks: Markup[] = [];
  let sum = 0;
  for (const [index, row] of rows.entries()) {
    const y = index * ROW;
    const isTotal = index === rows.length - 1;
    const from = isTotal ? 0 : sum;
    marks.push(
      text(left - GUTTER, y + ROW * 0.62, row.label, { class: isTotal ? 'end strong' : 'end' }),
      rect(
        x(from),
        y + 2,
        x(from + row.amount) - x(from),
        ROW - 6,
        isTotal ? 'stay' : 'bar',
        `${row.label}: ${print(row.amount)}`,
      ),
      text(x(from + row.amount) + 5, y + ROW * 0.62, print(row.amount), { class: 'note' }),
    );
    if (!isTotal) sum += row.amount;
  }
  return { height: rows.length * ROW + 2, marks };
}

export type TreeBird = {
  readonly name: string;
  readonly generation: number;
  readonly parents: readonly string[];
  readonly isMale: boolean;
};

/** Birds by generation from left to right, joined to the parents that are known. */
export function treePicture(birds: readonly TreeBird[]): Picture {
  const generations = [...new Set(birds.map((bird) => bird.generation))].sort((a, b) => a - b);
  const columns = generations.map((one) => birds.filter((bird) => bird.generation === one));
  const most = largest(columns.map((column) => column.length));
  const height = most * (LETTER + 6) + 8;
  const step = WIDTH / columns.length;
  const place = new Map<string, { x: number; y: number; end: number }>();
  columns.forEach((column, index) => {
    column.forEach((bird, row) => {
      const x = index * step + 12;
      const y = ((row + 0.5) * height) / column.length;
      place.set(bird.name, { x, y, end: x + 8 + textWidth(bird.name) });
    });
  });
  const marks: Markup[] = [];
  for (const bird of birds) {
    const to = place.get(bird.name)!;
    for (const parent of bird.parents) {
      const from = place.get(parent);
      if (from !== undefined && from.x < to.x)
        marks.push(line(from.end + 2, from.y, to.x - 6, to.y, 'rule-strong'));
    }
  }
  for (const bird of birds) {
    const { x, y } = place.get(bird.name)!;
    marks.push(
      bird.isMale ? rect(x - 4, y - 4, 8, 8, 'mark s0') : dot(x, y, 'mark open'),
      text(x + 8, y + LETTER * 0.35, bird.name),
    );
  }
  return { height, marks };
}
