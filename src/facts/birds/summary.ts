import { growing } from '../../season/brooding.ts';
import type { Now, Season } from '../../season/model.ts';
import { addDays, type Day, daysBetween, earlier } from '../../text/day.ts';
import { total } from '../tally.ts';
import { flockOf, type Group, standingOn } from './groups.ts';
import { lossesOf } from './lives.ts';
import { birdsOfSex, livingOfSex } from './pullets.ts';

/** The season's birds: each group, all together, and how many lived when. */
export type BirdSummary = ReturnType<typeof birdSummary>;
/** One group in counts of birds: always placed = living + lost + left. */
export type BirdLine = BirdSummary['groups'][number];

const WEEK = 7;

/** The birds of a season from the first group to a day; a point every week, and on that day. */
export function birdSummary(season: Season, now: Now) {
  const groups = [...flockOf(season).groups.values()];
  const share = growing.sexRatioFemale.value;
  const all = groups.map((group) => {
    const females = birdsOfSex(group, 'female', now);
    const males = birdsOfSex(group, 'male', now);
    const { name, youngest, placed, living, lost, left } = group;
    // Pullets and cockerels likely among the living.
    const pullets = livingOfSex(females, share).likely;
    const cockerels = livingOfSex(males, 1 - share).likely;
    const lines = group.lines.map((line) => line.name);
    return {
      line: {
        group: name,
        lines,
        hatched: youngest,
        placed,
        living,
        lost,
        left,
        pullets,
        cockerels,
      },
      of: group.line.name,
      // Pullets living or housed and cockerels living or at table count towards goals.
      counts: {
        pullets: pullets + females.housed,
        cockerels: cockerels + males.table,
        birds: living,
      },
    };
  });
  const lines = all.map(({ line }) => line);
  const ways: Record<string, number> = {};
  for (const { values } of groups.flatMap((group) => group.leavings))
    ways[values.way] = (ways[values.way] ?? 0) + values.birds;
  return {
    groups: lines,
    placed: total(lines, (line) => line.placed),
    living: total(lines, (line) => line.living),
    lost: total(lines, (line) => line.lost),
    left: total(lines, (line) => line.left),
    /** Birds that left, by way. */
    ways,
    /** Birds that count towards goals, by line. */
    counting: Object.fromEntries(
      [...season.lines.keys()].map((line) => {
        const own = all.filter(({ of }) => of === line).map(({ counts }) => counts);
        return [
          line,
          {
            pullets: total(own, (one) => one.pullets),
            cockerels: total(own, (one) => one.cockerels),
            birds: total(own, (one) => one.birds),
          },
        ];
      }),
    ),
    /** Groups that lost more than is usual by now. */
    beyond_usual: groups.flatMap((group) => {
      const losses = lossesOf(season, group, now.day);
      const { name, lost, placed } = group;
      return losses.verdict === 'fine' ? [] : [{ group: name, lost, placed, losses }];
    }),
    /** Living birds by group at the end of some days, in the order of `groups`. */
    over: livingOver(groups, now.day),
  };
}

/** Living birds of each group week by week from the first placing, and on the last day. */
function livingOver(
  groups: readonly Group[],
  last: Day,
): { readonly day: Day; readonly living: readonly number[] }[] {
  const starts = groups.map((group) => group.standings[0]!.day);
  const first = starts.length === 0 ? last : starts.reduce(earlier);
  if (groups.length === 0 || first > last) return [];
  const days: Day[] = [];
  for (let at = 0; at < daysBetween(first, last); at += WEEK) days.push(addDays(first, at));
  days.push(last);
  return days.map((day) => ({
    day,
    living: groups.map((group) => standingOn(group, day)?.living ?? 0),
  }));
}
