import { growing } from '../../season/brooding.ts';
import type { Now, Season } from '../../season/model.ts';
import { addDays, type Day, daysBetween, earlier } from '../../text/day.ts';
import type { Eaters } from './feed.ts';
import { type Group, kindOfLine } from './groups.ts';

/** Birds of a group alive over the half-open days [from, to), by the likely sex. */
export type Life = {
  readonly from: Day;
  readonly to: Day;
  readonly females: number;
  readonly males: number;
};

/**
 * Living birds of a group from its first day to `until`. The sexes are split as its last sexing
 * counted them, half and half if it never was; losses fall on both alike, leavings as written.
 */
export function livesOf(group: Group, until: Day): Life[] {
  const sexing = group.sexings.at(-1)?.values;
  const sexed = sexing ? sexing.pullets + sexing.cockerels : 0;
  // Birds that left by sex before the sexing were of it too.
  const before = { female: 0, male: 0 };
  for (const row of group.leavings)
    if (row.values.sex !== 'unknown' && row.on.day < (group.sexings.at(-1)?.on.day ?? ''))
      before[row.values.sex] += row.values.birds;
  const femaleShare =
    sexing && sexed > 0
      ? (sexing.pullets + before.female) / (sexed + before.female + before.male)
      : growing.sexRatioFemale.value;
  const lives: Life[] = [];
  let females = 0;
  let males = 0;
  let living = 0;
  let last: Day | null = null;
  for (const { day, living: now } of group.standings) {
    if (last !== null && living > 0 && last < until)
      lives.push({ from: last, to: earlier(day, until), females, males });
    const placed = group.parts
      .filter((part) => part.on.day === day)
      .reduce((sum, part) => sum + part.chicks, 0);
    females += placed * femaleShare;
    males += placed * (1 - femaleShare);
    for (const row of group.leavings) {
      if (row.on.day !== day) continue;
      if (row.values.sex === 'female') females -= row.values.birds;
      else if (row.values.sex === 'male') males -= row.values.birds;
    }
    females = Math.max(0, females);
    males = Math.max(0, males);
    // What else went, or did not come out even, falls on both alike.
    const sum = females + males;
    if (sum > 0) {
      females *= now / sum;
      males *= now / sum;
    } else {
      females = now * femaleShare;
      males = now - females;
    }
    living = now;
    last = day;
  }
  if (last !== null && living > 0 && last < until)
    lives.push({ from: last, to: until, females, males });
  return lives;
}

/** A group's eaters over the days up to `until`, by sex. */
export function eatersOf(season: Season, group: Group, until: Day): Eaters[] {
  const kind = kindOfLine(season, group.line);
  return livesOf(group, until).flatMap((life) =>
    (['female', 'male'] as const).map((sex) => ({
      kind,
      sex,
      birds: sex === 'female' ? life.females : life.males,
      fromAge: daysBetween(group.youngest, life.from),
      toAge: daysBetween(group.youngest, life.to),
    })),
  );
}

/** What the birds living now will eat from today on over some days, if all live. */
export function eatersAhead(season: Season, group: Group, now: Now, days: number): Eaters[] {
  if (group.living === 0) return [];
  const kind = kindOfLine(season, group.line);
  const life = livesOf(group, addDays(now.day, 1)).at(-1);
  if (!life) return [];
  const age = daysBetween(group.youngest, now.day);
  return (['female', 'male'] as const).map((sex) => ({
    kind,
    sex,
    birds: sex === 'female' ? life.females : life.males,
    fromAge: age,
    toAge: age + days,
  }));
}
