import {
  type FeedNeed,
  feedNeeds,
  feedToAge,
  lacksLayerFeed,
  pastTable,
} from '../facts/birds/feed.ts';
import { flockOf, type Group, kindOfLine } from '../facts/birds/groups.ts';
import { eatersAhead, eatersOf, spellsOf } from '../facts/birds/lives.ts';
import { type LossAlarm, lossAlarm, plannedSurvival } from '../facts/birds/losses.ts';
import { birdsOfSex, livingOfSex } from '../facts/birds/pullets.ts';
import { ageOn } from '../facts/heat.ts';
import { growing, growthOf, pointOfLayOf } from '../season/brooding.ts';
import type { Now, Season } from '../season/model.ts';
import type { Day } from '../text/day.ts';

type Range = { readonly low: number; readonly likely: number; readonly high: number };

/** What is known of one group, and what is expected of it. Counts of birds, kg, l. */
export type GroupReport = {
  readonly group: string;
  readonly lines: readonly string[];
  readonly hatched: { readonly youngest: Day; readonly oldest: Day };
  readonly age_days: { readonly youngest: number; readonly oldest: number };
  readonly places: readonly { readonly place: string; readonly birds: number }[];
  readonly placed: number;
  readonly living: number;
  readonly lost: number;
  readonly left: number;
  /** Birds that left, by way. */
  readonly ways: Readonly<Record<string, number>>;
  readonly losses: LossAlarm & {
    readonly of_placed: number;
    readonly causes: readonly string[];
    readonly source: string;
  };
  readonly pullets: Range;
  readonly cockerels: Range;
  readonly pullets_at_lay: number;
  readonly point_of_lay_days: number;
  /** Birds gone to table: those weighed, their dressed mass, and what that was alive. */
  readonly table: {
    readonly birds: number;
    readonly weighed: number;
    readonly kg: number;
    readonly live_kg: number;
    /** What those weighed have eaten, waste included, by table, sex and age. */
    readonly feed_kg: number;
  };
  readonly feed: {
    readonly to_date_kg: number;
    readonly ahead: readonly FeedNeed[];
    readonly past_table: boolean;
    /** Hens have come to lay, or will within these days, and no figure for their feed was found. */
    readonly no_layer_figure: boolean;
  };
};

/** One group as it stands, with feed over some days to come. */
function reportOf(season: Season, group: Group, now: Now, days: number): GroupReport {
  const kind = kindOfLine(season, group.line);
  const growth = growthOf(kind);
  const age = ageOn(group.youngest, now.day);
  const share = growing.sexRatioFemale.value;
  const pullets = livingOfSex(birdsOfSex(group, 'female', now), share);
  const lay = pointOfLayOf(kind);
  const causes = new Map<string, number>();
  for (const { values } of group.losses) {
    const cause = values.cause ?? 'not written';
    causes.set(cause, (causes.get(cause) ?? 0) + values.birds);
  }
  const ways: Record<string, number> = {};
  for (const { values } of group.leavings)
    ways[values.way] = (ways[values.way] ?? 0) + values.birds;
  const weighed = group.leavings.filter(
    (row) => row.values.way === 'table' && row.values.mass_kg !== null,
  );
  const kg = weighed.reduce((sum, row) => sum + row.values.mass_kg!, 0);
  return {
    group: group.name,
    lines: group.lines.map((line) => line.name),
    hatched: { youngest: group.youngest, oldest: group.oldest },
    age_days: { youngest: age, oldest: ageOn(group.oldest, now.day) },
    places: [...group.standings.at(-1)!.places].map(([place, birds]) => ({ place, birds })),
    placed: group.placed,
    living: group.living,
    lost: group.lost,
    left: group.left,
    ways,
    losses: {
      ...lossAlarm(kind, spellsOf(group, now.day), group.lost),
      of_placed: group.lost / group.placed,
      causes: [...causes].map(([cause, birds]) => `${cause} ${birds}`),
      source: growth.loss_early.source,
    },
    pullets,
    cockerels: livingOfSex(birdsOfSex(group, 'male', now), 1 - share),
    pullets_at_lay: pullets.likely * (age < lay ? plannedSurvival(kind, Math.max(0, age), lay) : 1),
    point_of_lay_days: lay,
    table: {
      birds: ways.table ?? 0,
      weighed: weighed.reduce((sum, row) => sum + row.values.birds, 0),
      kg,
      live_kg: kg / growth.dressing.value,
      feed_kg: weighed.reduce((sum, { on, values }) => {
        const sex = values.sex === 'unknown' ? 'unsexed' : values.sex;
        const each = feedToAge(kind, sex, ageOn(group.youngest, on.day));
        return sum + each * values.birds * (1 + growing.feedWaste.value);
      }, 0),
    },
    feed: {
      to_date_kg: feedNeeds(eatersOf(season, group, now.day)).reduce((sum, one) => sum + one.kg, 0),
      ahead: feedNeeds(
        eatersAhead(season, group, now, days),
        season.values.feed.bag_kg ?? growing.bagKg.value,
      ),
      past_table: group.living > 0 && pastTable(kind, age + days),
      no_layer_figure: group.living > 0 && pullets.high > 0 && lacksLayerFeed(kind, age + days),
    },
  };
}

/** Every group, in the order they were begun. */
export function flockReport(season: Season, now: Now, days: number): GroupReport[] {
  return [...flockOf(season).groups.values()].map((group) => reportOf(season, group, now, days));
}
