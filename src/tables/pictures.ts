import type { Summary } from '../judge/summary/way.ts';
import { barStrip, type Strokes, shareStrip } from './strips.ts';
import { rateText, stageWords } from './summary.ts';

/** The summary as pictures of letters: the eggs' way, and the hatch of each set in order. */
export function summaryPictures(summary: Summary, strokes: Strokes): string {
  const way = summary.way.map((step) => ({
    label: stageWords[step.stage],
    count: step.count,
    note: step.share === null ? '' : `${(100 * step.share).toFixed(0)} %`,
  }));
  const hatched = summary.sets.filter((set) => set.hatch_of_set.share !== null);
  const eggs = hatched.reduce((sum, { hatch_of_set }) => sum + (hatch_of_set.of ?? 0), 0);
  const chicks = hatched.reduce((sum, { hatch_of_set }) => sum + hatch_of_set.count, 0);
  const sets = hatched.map(({ set, on, hatch_of_set: { share, low, high, ...rest } }) => ({
    label: `${set} ${on}`,
    value: share,
    low,
    high,
    note: `${rest.count} of ${rest.of}`,
  }));
  const pooled = eggs > 0 ? chicks / eggs : null;
  return [
    "THE EGGS' WAY AS A PICTURE (eggs, then chicks; % of what each is divided by)\n",
    barStrip(way, strokes),
    ...(pooled === null
      ? []
      : [
          '\nHATCH OF EACH SET, % OF EGGS SET (dot; line: 95 % interval; rule: all sets)\n',
          shareStrip(sets, pooled, strokes),
          `all sets: ${chicks} of ${eggs}, ${rateText({ count: chicks, of: eggs, share: pooled, low: null, high: null })}\n`,
        ]),
  ].join('');
}
