import { growing } from '../../season/brooding.ts';
import type { Now, Season } from '../../season/model.ts';
import { addDays, type Day, daysBetween, earlier } from '../../text/day.ts';
import { flockOf, type Group, standingOn } from './groups.ts';
import { birdsOfSex, livingOfSex } from './pullets.ts';

/** One group in counts of birds: always placed = living + lost + left. */
export type BirdLine = {
  readonly group: string;
  readonly lines: readonly string[];
  readonly hatched: Day;
  readonly placed: number;
  readonly living: number;
  readonly lost: number;
  readonly left: number;
  /** Pullets and cockerels likely among the living. */
  readonly pullets: number;
  readonly cockerels: number;
};

/** The season's birds: each group, all together, and how many lived when. */
export type BirdSummary = {
  readonly groups: readonly BirdLine[];
  readonly placed: number;
  readonly living: number;
  readonly lost: number;
  readonly left: number;
  /** Birds that left, by way. */
  readonly ways: Readonly<Record<string, number>>;
  /** Birds that count towards goals, by line: pullets living or housed, cockerels living or at table. */
  readonly counting: Readonly<
    Record<string, { readonly pullets: number; readonly cockerels: number; readonly birds: number }>
  >;
  /** Living birds by group at the end of some days, in the order of `groups`. */
  readonly over: readonly { readonly day: Day; readonly living: readonly number[] }[];
};

const WEEK = 7;

/** The birds of a season from the first group to a day; a point every week, and on that day. */
export function birdSummary(season: Season, now: Now): BirdSummary {
  const groups = [...flockOf(season).groups.values()];
  const share = growing.sexRatioFemale.value;
  const females = groups.map((group) => birdsOfSex(group, 'female', now));
  const males = groups.map((group) => birdsOfSex(group, 'male', now));
  const ways: Record<string, number> = {};
  for (const { values } of groups.flatMap((group) => group.leavings))
    ways[values.way] = (ways[values.way] ?? 0) + values.birds;
  const lines = groups.map(
    (group, index): BirdLine => ({
      group: group.name,
      lines: group.lines.map((line) => line.name),
      hatched: group.youngest,
      placed: group.placed,
      living: group.living,
      lost: group.lost,
      left: group.left,
      pullets: livingOfSex(females[index]!, share).likely,
      cockerels: livingOfSex(males[index]!, 1 - share).likely,
    }),
  );
  const sum = (of: (line: BirdLine) => number): number =>
    lines.reduce((total, line) => total + of(line), 0);
  return {
    groups: lines,
    placed: sum((line) => line.placed),
    living: sum((line) => line.living),
    lost: sum((line) => line.lost),
    left: sum((line) => line.left),
    ways,
    counting: Object.fromEntries(
      [...season.lines.keys()].map((line) => {
        const own = groups.flatMap((group, index) => (group.line.name === line ? [index] : []));
        const over = (of: (index: number) => number): number =>
          own.reduce((total, index) => total + of(index), 0);
        return [
          line,
          {
            pullets: over((index) => lines[index]!.pullets + females[index]!.housed),
            cockerels: over((index) => lines[index]!.cockerels + males[index]!.table),
            birds: over((index) => lines[index]!.living),
          },
        ];
      }),
    ),
    over: livingOver(groups, now.day),
  };
}

/** Living birds of each group week by week from the first placing, and on the last day. */
function livingOver(groups: readonly Group[], last: Day): BirdSummary['over'] {
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
