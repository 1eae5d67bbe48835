import { type BirdKind, feedTables, growing, growthOf, stepAt } from '../../season/brooding.ts';

export type Sex = 'female' | 'male' | 'unsexed';

/** Kilograms that one bird has eaten from the hatch to an age; past the table the last pace holds. */
export function feedToAge(kind: BirdKind, sex: Sex, ageDays: number): number {
  if (sex === 'unsexed')
    return (feedToAge(kind, 'female', ageDays) + feedToAge(kind, 'male', ageDays)) / 2;
  const { table, times } = growthOf(kind).feed.value[sex];
  return times * onTable(feedTables[table]!.value, ageDays);
}

/** True if the table of a kind ends before this age, so that its pace was carried on. */
export function pastTable(kind: BirdKind, ageDays: number): boolean {
  const { female, male } = growthOf(kind).feed.value;
  return [female.table, male.table].some((name) => ageDays > feedTables[name]!.value.at(-1)!.day);
}

function onTable(points: readonly { day: number; kg: number }[], ageDays: number): number {
  if (ageDays <= 0) return 0;
  let at = points.findIndex((point) => point.day >= ageDays);
  if (at < 1) at = at === 0 ? 1 : points.length - 1;
  const [a, b] = [points[at - 1]!, points[at]!];
  return a.kg + ((b.kg - a.kg) * (ageDays - a.day)) / (b.day - a.day);
}

/** Kilograms that one bird eats from one age to another, waste apart. */
export function feedBetween(kind: BirdKind, sex: Sex, fromAge: number, toAge: number): number {
  return Math.max(0, feedToAge(kind, sex, toAge) - feedToAge(kind, sex, fromAge));
}

/** Birds alive over a run of ages, half-open in days. */
export type Eaters = {
  readonly kind: BirdKind;
  readonly sex: Sex;
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
  const stages = new Map<string, { stage: string; protein_percent: number; kg: number }>();
  for (const one of eaters) {
    const programme = growthOf(one.kind).protein.value;
    for (let index = 0; index < programme.length; index += 1) {
      const step = programme[index]!;
      const from = Math.max(one.fromAge, step.from_day);
      const to = Math.min(one.toAge, programme[index + 1]?.from_day ?? Number.POSITIVE_INFINITY);
      if (to <= from) continue;
      const kg = one.birds * feedBetween(one.kind, one.sex, from, to);
      const key = `${step.name} ${step.percent}`;
      const sum = stages.get(key) ?? { stage: step.name, protein_percent: step.percent, kg: 0 };
      sum.kg += kg * (1 + growing.feedWaste.value);
      stages.set(key, sum);
    }
  }
  return [...stages.values()]
    .sort((a, b) => b.protein_percent - a.protein_percent)
    .map((one) => ({
      ...one,
      bags: Math.ceil(one.kg / bagKg - 1e-9),
      // Water goes with what is eaten, not with what is spilt.
      water_l: (one.kg / (1 + growing.feedWaste.value)) * growing.waterPerFeed.value,
    }));
}

/** The stage of the protein programme at an age. */
export function feedStage(kind: BirdKind, ageDays: number): { name: string; percent: number } {
  const step = stepAt(growthOf(kind).protein.value, Math.max(0, ageDays))!;
  return { name: step.name, percent: step.percent };
}
