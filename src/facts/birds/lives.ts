import { growing } from '../../season/brooding.ts';
import type { Now, Season } from '../../season/model.ts';
import { addDays, type Day, daysBetween, earlier, later } from '../../text/day.ts';
import { groupedBy } from '../../text/lists.ts';
import type { Span } from '../spans.ts';
import { total } from '../tally.ts';
import type { Eaters } from './feed.ts';
import { type Group, kindOfLine, standingOn } from './groups.ts';
import { type LossAlarm, lossAlarm, type Spell } from './losses.ts';

/** Birds of a group alive over the half-open days [from, to), by the likely sex. */
export type Life = Span & {
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
    const arrived = group.parts.filter((part) => part.on.day === day);
    const placed = total(arrived, (part) => part.chicks);
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
  const changes = [...group.parts, ...group.leavings].map((one) => one.on.day);
  const cuts = [...new Set(changes)]
    .filter((day) => day < until || day === group.standings[0]!.day)
    .sort();
  const age = (day: Day): number => Math.max(0, daysBetween(group.youngest, day));
  return cuts.flatMap((from, index) => {
    // Deaths of the first day belong to the first spell; of a later cut, to the spell it ends.
    const early = index === 0 ? group.losses.filter((row) => row.on.day === from) : [];
    const birds = (standingOn(group, from)?.living ?? 0) + total(early, (row) => row.values.birds);
    const to = later(from, cuts[index + 1] ?? until);
    return birds === 0 ? [] : [{ birds, fromAge: age(from), toAge: age(to) }];
  });
}

/** What a group has lost, and of what. */
export type GroupLosses = LossAlarm & { readonly causes: readonly string[] };

/** What a group has lost up to a day against what is usual of its kind, and of what. */
export function lossesOf(season: Season, group: Group, until: Day): GroupLosses {
  const causes = groupedBy(group.losses, ({ values }) => values.cause ?? 'not written');
  return {
    ...lossAlarm(kindOfLine(season, group.line), spellsOf(group, until), group.lost),
    causes: [...causes].map(
      ([cause, rows]) => `${cause} ${total(rows, ({ values }) => values.birds)}`,
    ),
  };
}

/** The eaters of a life, by sex, from one age to another. */
function eatersIn(season: Season, group: Group, life: Life, fromAge: number, toAge: number) {
  const kind = kindOfLine(season, group.line);
  return [
    { kind, sex: 'female', birds: life.females, fromAge, toAge },
    { kind, sex: 'male', birds: life.males, fromAge, toAge },
  ] as const satisfies Eaters[];
}

/** A group's eaters over the days up to `until`, by sex. */
export function eatersOf(season: Season, group: Group, until: Day): Eaters[] {
  const age = (day: Day): number => daysBetween(group.youngest, day);
  return livesOf(group, until).flatMap((life) =>
    eatersIn(season, group, life, age(life.from), age(life.to)),
  );
}

/** What the birds living now will eat from today on over some days, if all live. */
export function eatersAhead(season: Season, group: Group, now: Now, days: number): Eaters[] {
  const life = group.living === 0 ? undefined : livesOf(group, addDays(now.day, 1)).at(-1);
  const age = daysBetween(group.youngest, now.day);
  return life === undefined ? [] : [...eatersIn(season, group, life, age, age + days)];
}
