/** What a goal asks of the chain: which stages, by which day, in which pens. */
import { growthOf } from '../season/brooding.ts';
import type { Line, Pen, Season } from '../season/model.ts';
import type { GoalValues } from '../season/schema.ts';
import { plural } from '../tables/numbers.ts';
import { addDays, type Day } from '../text/day.ts';
import type { Place } from '../text/source.ts';
import { kindOfLine } from './birds/groups.ts';
import { lastOpeningDay } from './hatch-time.ts';
import type { Stage } from './stages.ts';

export type Want = GoalValues['want'];
export type At = NonNullable<GoalValues['at']>;

/** A goal of season.yaml with the age it asks for. */
export interface Goal {
  /** Place in `goals:` of season.yaml, from 0. */
  index: number;
  line: Line;
  want: Want;
  at: At;
  by: Day;
  count: number;
  confidence: number;
  /** Days from hatch to the age wanted. */
  ageDays: number;
  place: Place;
}

/** The age meant when a goal does not say. */
export const usualAt: Readonly<Record<Want, At>> = {
  chicks: 'hatch',
  pullets: 'point-of-lay',
  cockerels: 'table',
  birds: 'table',
};

/** A goal, or an order of birds, with the age it asks for. */
export function wantedOf(
  season: Season,
  part: 'goals' | 'orders',
  values: Pick<GoalValues, 'line' | 'want' | 'at' | 'by' | 'count' | 'confidence'>,
  index: number,
): Goal {
  const { want, by, count, confidence } = values;
  const line = season.lines.get(values.line)!;
  const at = values.at ?? usualAt[want];
  const ageDays = ageDaysOf(season, line, at);
  const place = season.file.placeOf([part, index, 'line']);
  return { index, line, want, at, by, count, confidence, ageDays, place };
}

/** The goals of a season, with their ages. */
export function goalsOf(season: Season): Goal[] {
  return season.values.goals.map((values, index) => wantedOf(season, 'goals', values, index));
}

/**
 * Days from hatch to an age: point of lay as the line says, else the middle of its kind's first
 * eggs; table age at the middle of its kind's range.
 */
export function ageDaysOf(season: Season, line: Line, at: At): number {
  if (at === 'hatch') return 0;
  const own = season.values.lines[line.name]?.point_of_lay_days;
  if (at === 'point-of-lay' && own !== undefined) return own;
  const growth = growthOf(kindOfLine(season, line));
  const { low, high } = (at === 'table' ? growth.table_days : growth.first_egg_days).value;
  return Math.round((low + high) / 2);
}

/** Stages an egg that is set has still to pass, and whether it must turn out female or male. */
export function stagesOf(goal: { readonly want: Want; readonly at: At }): {
  stages: Stage[];
  sex: 'female' | 'male' | null;
} {
  const stages: Stage[] = ['fertile', 'candled', 'transferred', 'hatched', 'sound'];
  if (goal.at !== 'hatch') stages.push('reared');
  const sex = goal.want === 'pullets' ? 'female' : goal.want === 'cockerels' ? 'male' : null;
  return { stages, sex };
}

/** Days from setting until birds are counted for a goal: off the hatcher, or of age. */
export function readyAfter(goal: Pick<Goal, 'line' | 'at' | 'ageDays'>): number {
  const { species } = goal.line;
  return goal.at === 'hatch' ? lastOpeningDay(species) : species.hatch_day.value + goal.ageDays;
}

/** Day on which birds of eggs set on a day are counted for a goal. */
export function readyDay(goal: Goal, set: Day): Day {
  return addDays(set, readyAfter(goal));
}

/** The last day on which eggs can be set for a goal. */
export function lastSetDay(goal: Goal): Day {
  return addDays(goal.by, -readyAfter(goal));
}

/** Pens whose eggs serve a goal. */
export function pensOf(season: Season, goal: Goal): Pen[] {
  return [...season.pens.values()].filter((pen) => pen.line === goal.line);
}

/** The birds of a goal in words: `40 dorking pullets at point of lay`, `1 muscovy chick`. */
export function wantedWords(
  goal: {
    readonly count: number;
    readonly want: Want | 'eggs';
    readonly at?: At | null | undefined;
  },
  line: string,
): string {
  const { count, want } = goal;
  const at = want === 'eggs' ? 'hatch' : (goal.at ?? usualAt[want]);
  const ages = { hatch: '', table: ' for the table', 'point-of-lay': ' at point of lay' };
  return `${plural(count, `${line} ${want.slice(0, -1)}`)}${ages[at]}`;
}

/** A goal in words: `40 dorking pullets at point of lay by 2027-10-15`. */
export function goalWords(goal: Goal): string {
  return `${wantedWords(goal, goal.line.name)} by ${goal.by}`;
}
