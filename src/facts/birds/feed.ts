import {
  type BirdKind,
  feedTables,
  growing,
  growthOf,
  pointOfLayOf,
  stepAt,
} from '../../season/brooding.ts';
import { groupedBy } from '../../text/lists.ts';
import { total } from '../tally.ts';

export type FeedSex = 'female' | 'male' | 'unsexed';

const GRAMS_IN_KG = 1000;

/** Feed of a kind in lay, and the age it is taken from; null where no figure was found. */
function layerOf(kind: BirdKind): { fromAge: number; percent: number; kgADay: number } | null {
  const layer = growthOf(kind).layer?.value;
  return layer === undefined
    ? null
    : {
        fromAge: pointOfLayOf(kind),
        percent: layer.percent,
        kgADay: layer.g_a_day / GRAMS_IN_KG,
      };
}

/**
 * Kilograms that one bird has eaten from the hatch to an age. Past the table the last pace holds;
 * hens eat as layers from point of lay on, where that is known.
 */
export function feedToAge(kind: BirdKind, sex: FeedSex, ageDays: number): number {
  if (sex === 'unsexed')
    return (feedToAge(kind, 'female', ageDays) + feedToAge(kind, 'male', ageDays)) / 2;
  const { table, times } = growthOf(kind).feed.value[sex];
  const layer = sex === 'female' ? layerOf(kind) : null;
  const inLay = layer === null ? 0 : Math.max(0, ageDays - layer.fromAge);
  return times * onTable(feedTables[table]!.value, ageDays - inLay) + inLay * (layer?.kgADay ?? 0);
}

/** True if the tables of a kind end before this age, so that their pace was carried on. */
export function pastTable(kind: BirdKind, ageDays: number): boolean {
  const { female, male } = growthOf(kind).feed.value;
  const growingHens = Math.min(ageDays, layerOf(kind)?.fromAge ?? ageDays);
  const ends = (name: string): number => feedTables[name]!.value.at(-1)!.day;
  return growingHens > ends(female.table) || ageDays > ends(male.table);
}

function onTable(points: readonly { day: number; kg: number }[], ageDays: number): number {
  if (ageDays <= 0) return 0;
  let at = points.findIndex((point) => point.day >= ageDays);
  if (at < 1) at = at === 0 ? 1 : points.length - 1;
  const [a, b] = [points[at - 1]!, points[at]!];
  return a.kg + ((b.kg - a.kg) * (ageDays - a.day)) / (b.day - a.day);
}

/** Kilograms that one bird eats from one age to another, waste apart. */
export function feedBetween(kind: BirdKind, sex: FeedSex, fromAge: number, toAge: number): number {
  return Math.max(0, feedToAge(kind, sex, toAge) - feedToAge(kind, sex, fromAge));
}

/** Birds alive over a run of ages, half-open in days. */
export type Eaters = {
  readonly kind: BirdKind;
  readonly sex: FeedSex;
  readonly birds: number;
  readonly fromAge: number;
  readonly toAge: number;
};

/** Feed of one stage (starter, grower …): kilograms with waste, whole bags, water in litres. */
export type FeedNeed = {
  readonly stage: string;
  readonly protein_percent: number;
  readonly kg: number;
  readonly bags: number;
  readonly water_l: number;
};

/** Feed that birds need, by stage of the protein programme, waste included. */
export function feedNeeds(
  eaters: readonly Eaters[],
  bagKg: number = growing.bagKg.value,
): FeedNeed[] {
  const eaten = eaters.flatMap(({ kind, sex, birds, fromAge, toAge }) =>
    programmeOf(kind, sex).flatMap(({ name, percent, from_day, to_day }) => {
      const from = Math.max(fromAge, from_day);
      const to = Math.min(toAge, to_day);
      const kg = to <= from ? 0 : birds * feedBetween(kind, sex, from, to);
      return to <= from ? [] : [{ stage: name, protein_percent: percent, kg }];
    }),
  );
  const stages = groupedBy(eaten, (one) => `${one.stage} ${one.protein_percent}`);
  return [...stages.values()]
    .map((same) => ({
      stage: same[0]!.stage,
      protein_percent: same[0]!.protein_percent,
      kg: total(same, (one) => one.kg * (1 + growing.feedWaste.value)),
    }))
    .sort((a, b) => later(a) - later(b) || b.protein_percent - a.protein_percent)
    .map((one) => ({
      ...one,
      bags: Math.ceil(one.kg / bagKg - 1e-9),
      // Water goes with what is eaten, not with what is spilt.
      water_l: (one.kg / (1 + growing.feedWaste.value)) * growing.waterPerFeed.value,
    }));
}

/** Layer feed comes after all stages of growing, whatever its protein. */
const later = ({ stage }: { stage: string }): number => (stage === 'layer' ? 1 : 0);

/** The stages a bird is fed by: those of growing, then layer feed for hens where that is known. */
function programmeOf(kind: BirdKind, sex: FeedSex) {
  const layer = sex === 'female' ? layerOf(kind) : null;
  const growingUp = growthOf(kind).protein.value;
  const all =
    layer === null
      ? growingUp
      : [
          ...growingUp.filter((step) => step.from_day < layer.fromAge),
          { name: 'layer', percent: layer.percent, from_day: layer.fromAge },
        ];
  return all.map((step, index) => ({
    ...step,
    to_day: all[index + 1]?.from_day ?? Number.POSITIVE_INFINITY,
  }));
}

/** The stage of the protein programme of growing at an age. */
export function feedStage(kind: BirdKind, ageDays: number): { name: string; percent: number } {
  const step = stepAt(growthOf(kind).protein.value, Math.max(0, ageDays))!;
  return { name: step.name, percent: step.percent };
}

/** True if hens of a kind have come to lay at an age, and no figure for their feed was found. */
export function lacksLayerFeed(kind: BirdKind, ageDays: number): boolean {
  const steps = growthOf(kind).protein.value;
  return (
    ageDays > pointOfLayOf(kind) &&
    layerOf(kind) === null &&
    !steps.some((step) => step.name === 'layer')
  );
}
