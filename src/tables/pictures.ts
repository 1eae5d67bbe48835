/** The summary as pictures of letters. */

import type { Summary } from '../judge/summary/way.ts';
import { there } from '../text/lists.ts';
import { percent, rateWords } from './numbers.ts';
import { barStrip, type Strokes, shareStrip } from './strips.ts';
import type { ScreenPart } from './terminal.ts';
import { rates, wayStages } from './words.ts';

/** The eggs' way, and the hatch of each set in order. */
export function summaryPictures(summary: Summary): ScreenPart[] {
  const way = summary.way.map((step) => ({
    label: wayStages[step.stage],
    count: step.count,
    note: step.share === null ? '' : percent(step.share),
  }));
  const pooled = summary.hatch_of_set;
  const done = summary.sets.filter((set) => set.hatch_of_set.share !== null);
  const sets = done.map(({ set, on, hatch_of_set: { share, low, high, ...rest } }) => ({
    label: `${set} ${on}`,
    value: share,
    low,
    high,
    note: `${rest.count} of ${rest.of}`,
  }));
  return there([
    {
      heading: "The eggs' way as a picture (eggs, then chicks; % of what each is divided by)",
      picture: (paper: Strokes) => barStrip(way, paper),
    },
    pooled.share !== null && {
      heading: `${rates.hatch_of_set.name} of each set (%; dot, 95 % interval; rule: all sets)`,
      picture: (paper: Strokes) => shareStrip(sets, pooled.share, paper),
      reasons: [`All sets: ${rateWords(pooled)}.`],
    },
  ]);
}
