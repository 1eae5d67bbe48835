import { growing } from '../../season/brooding.ts';
import type { Now, Season } from '../../season/model.ts';
import { addDays, type Day, daysBetween, earlier, later } from '../../text/day.ts';
import type { Eaters } from './feed.ts';
import { type Group, kindOfLine, standingOn } from './groups.ts';
import type { Spell } from './losses.ts';

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
  const femaleShare = femaleShareOf(group);
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

/**
 * Females among the sexed chicks of a group: those of the last sexing, and those that had left by
 * their sex before it, which were of the group too. Half if it never was sexed.
 */
export function femaleShareOf(group: Group): number {
  const last = group.sexings.at(-1);
  if (last === undefined) return growing.sexRatioFemale.value;
  const seen = { female: last.values.pullets, male: last.values.cockerels };
  for (const row of group.leavings)
    if (row.values.sex !== 'unknown' && row.on.day < last.on.day)
      seen[row.values.sex] += row.values.birds;
  const sexed = seen.female + seen.male;
  return sexed > 0 ? seen.female / sexed : growing.sexRatioFemale.value;
}

/** Birds of a group at risk up to a day, cut at each placing and leaving, by age in days. */
export function spellsOf(group: Group, until: Day): Spell[] {
  const cuts = [
    ...new Set([
      ...group.parts.map((part) => part.on.day),
      ...group.leavings.map((row) => row.on.day),
    ]),
  ]
    .filter((day) => day < until || day === group.standings[0]!.day)
    .sort();
  return cuts.flatMap((from, index) => {
    // Deaths of the first day belong to the first spell; of a later cut, to the spell it ends.
    const early = index === 0 ? lostOn(group, from) : 0;
    const birds = (standingOn(group, from)?.living ?? 0) + early;
    const to = later(from, cuts[index + 1] ?? until);
    return birds === 0
      ? []
      : [
          {
            birds,
            fromAge: Math.max(0, daysBetween(group.youngest, from)),
            toAge: Math.max(0, daysBetween(group.youngest, to)),
          },
        ];
  });
}

function lostOn(group: Group, day: Day): number {
  return group.losses
    .filter((row) => row.on.day === day)
    .reduce((sum, row) => sum + row.values.birds, 0);
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
