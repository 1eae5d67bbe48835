import { kindOfLine } from '../facts/birds/groups.ts';
import { growing, growthOf } from '../season/brooding.ts';
import type { Now, Season } from '../season/model.ts';
import { penOn } from '../season/pens.ts';
import type { Day } from '../text/day.ts';

/** How a pen lays and what its eggs cost in feed, over the days whose eggs were counted. */
export type PenLay = {
  readonly pen: string;
  readonly days: number;
  readonly laid: number;
  /** Eggs a hundred hens and day, of the hens alive on each of these days; as a share. */
  readonly hen_day: number;
  /** The same of the hens there on the first of them: the dead count against it. */
  readonly hen_housed: number;
  /** kg of feed, waste included, for each kg of eggs; null where no figure for the feed was found. */
  readonly feed_conversion: number | null;
};

const GRAMS_IN_KG = 1000;

/**
 * Every pen of which eggs were counted as laid. Hen-day and hen-housed lay as the International
 * Livestock Research Institute defines them (dagris.ilri.cgiar.org, nodes 2277 and 2278); feed by
 * eggs, kg to kg, as in Layer production indices (ecoursesonline.iasri.res.in, 129858).
 */
export function layReport(season: Season, now: Now): PenLay[] {
  return [...season.pens.values()].flatMap((pen): PenLay[] => {
    const days = new Map<Day, { laid: number; hens: number }>();
    for (const { on, values } of season.rows.eggs) {
      if (values.pen !== pen.name || values.laid === null || on.day > now.day) continue;
      const hens = values.hens ?? penOn(pen, on.day).hens;
      const known = days.get(on.day);
      days.set(on.day, {
        laid: (known?.laid ?? 0) + values.laid,
        hens: Math.max(known?.hens ?? 0, hens),
      });
    }
    const first = [...days].sort(([a], [b]) => (a < b ? -1 : 1))[0]?.[1];
    if (first === undefined || first.hens === 0) return [];
    let laid = 0;
    let henDays = 0;
    for (const day of days.values()) {
      laid += day.laid;
      henDays += day.hens;
    }
    const { layer } = growthOf(kindOfLine(season, pen.line));
    const { low, high } = pen.line.species.egg_g.value;
    const eggs = (laid * (pen.line.egg_g ?? (low + high) / 2)) / GRAMS_IN_KG;
    const feed =
      layer === undefined
        ? null
        : (henDays * layer.value.g_a_day * (1 + growing.feedWaste.value)) / GRAMS_IN_KG;
    return [
      {
        pen: pen.name,
        days: days.size,
        laid,
        hen_day: laid / henDays,
        hen_housed: laid / (first.hens * days.size),
        feed_conversion: feed === null || eggs === 0 ? null : feed / eggs,
      },
    ];
  });
}
