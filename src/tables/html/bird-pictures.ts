import { area, curveStepAfter } from 'd3-shape';
import { type Day, daysBetween } from '../../text/day.ts';
import {
  at,
  type Frame,
  LETTER,
  line,
  type Picture,
  text,
  textWidth,
  WIDTH,
  xLabels,
  yAxis,
} from './chart.ts';
import { element, type Markup } from './element.ts';
import { monthMarks } from './pictures.ts';

/** One band of a stack: its name, and its birds on each of the days. */
export type Band = { readonly label: string; readonly birds: readonly number[] };

const LEFT = 36;
const HEIGHT = 190;
const SHADES = 3;
/** Letters in a band, and the least height of a band that can bear them. */
const NAME = 11;

/** A band's lower and upper edge at a day, in chart units; y grows downwards. */
type Edge = { readonly x: number; readonly low: number; readonly high: number };

/** Where a band is high enough for its name all along the name's width, the highest such place. */
function placeOfName(
  points: readonly Edge[],
  width: number,
  frame: Frame,
): { x: number; y: number } | null {
  let best: { x: number; y: number; room: number } | null = null;
  const middles = points.slice(1).map((point, index) => (point.x + points[index]!.x) / 2);
  for (const x of [...points.map((point) => point.x), ...middles]) {
    const [from, to] = [x - width / 2, x + width / 2];
    if (from < frame.left || to > frame.right) continue;
    const here = points.filter(
      (point, index) => point.x <= to && (points[index + 1]?.x ?? frame.right) >= from,
    );
    const low = Math.min(...here.map((point) => point.low));
    const high = Math.max(...here.map((point) => point.high));
    const room = low - high;
    if (room >= NAME && (best === null || room > best.room))
      best = { x, y: (low + high) / 2, room };
  }
  return best;
}

/** Living birds over days, a band a group, the first group lowest; the top edge is the whole flock. */
export function stackPicture(days: readonly Day[], bands: readonly Band[]): Picture {
  const from = days[0]!;
  const to = days.at(-1)!;
  const sums = days.map((_, index) => bands.reduce((sum, band) => sum + band.birds[index]!, 0));
  const top = LETTER + 12;
  const frame: Frame = { left: LEFT, right: WIDTH - 8, top, bottom: top + HEIGHT };
  const { y, marks: rules } = yAxis(frame, [0, Math.max(5, ...sums)], 5, String);
  const span = Math.max(1, daysBetween(from, to));
  const x = (day: Day): number =>
    frame.left + ((frame.right - frame.left) * daysBetween(from, day)) / span;
  const months = monthMarks(from, to).map((mark) => ({
    x: frame.left + ((frame.right - frame.left) * mark.at) / span,
    label: mark.label,
  }));
  const marks: Markup[] = [text(0, top - 11, 'living birds', { class: 'axis' }), ...rules];
  const names: Markup[] = [];
  const below = days.map(() => 0);
  for (const [index, band] of bands.entries()) {
    const points = days.map((day, where) => ({
      x: x(day),
      low: y(below[where]!),
      high: y(below[where]! + band.birds[where]!),
    }));
    const shape = area<Edge>()
      .curve(curveStepAfter)
      .x((point) => at(point.x))
      .y0((point) => at(point.low))
      .y1((point) => at(point.high));
    marks.push(element('path', { d: shape(points), class: `stack t${index % SHADES}` }));
    const place = placeOfName(points, textWidth(band.label, NAME), frame);
    if (place !== null)
      names.push(
        text(place.x, place.y + NAME * 0.36, band.label, {
          class: `middle small on-t${index % SHADES}`,
        }),
      );
    for (const [where] of days.entries()) below[where]! += band.birds[where]!;
  }
  marks.push(...names, ...xLabels(frame, months));
  marks.push(line(frame.left, frame.top, frame.left, frame.bottom, 'axis-line'));
  return { height: frame.bottom + LETTER * 2, marks };
}
