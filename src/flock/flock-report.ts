import { feedNeeds, feedToAge, lacksLayerFeed, pastTable } from '../facts/birds/feed.ts';
import { flockOf, type Group, kindOfLine } from '../facts/birds/groups.ts';
import { eatersAhead, eatersOf, lossesOf } from '../facts/birds/lives.ts';
import { plannedSurvival } from '../facts/birds/losses.ts';
import { birdsOfSex, livingOfSex } from '../facts/birds/pullets.ts';
import { ageOn } from '../facts/heat.ts';
import { total } from '../facts/tally.ts';
import { growing, growthOf, pointOfLayOf } from '../season/brooding.ts';
import type { Now, Season } from '../season/model.ts';

/** What is known of one group, and what is expected of it. Counts of birds, kg, l. */
export type GroupReport = ReturnType<typeof reportOf>;

const birdsIn = (rows: readonly { readonly values: { readonly birds: number } }[]): number =>
  total(rows, ({ values }) => values.birds);

/** One group as it stands, with feed over some days to come. */
function reportOf(season: Season, group: Group, now: Now, days: number) {
  const kind = kindOfLine(season, group.line);
  const growth = growthOf(kind);
  const age = ageOn(group.youngest, now.day);
  const share = growing.sexRatioFemale.value;
  const pullets = livingOfSex(birdsOfSex(group, 'female', now), share);
  const lay = pointOfLayOf(kind);
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
    /** Birds that left, by way. */
    ways,
    losses: {
      ...lossesOf(season, group, now.day),
      of_placed: group.lost / group.placed,
      source: growth.loss_early.source,
    },
    pullets,
    cockerels: livingOfSex(birdsOfSex(group, 'male', now), 1 - share),
    pullets_at_lay: pullets.likely * (age < lay ? plannedSurvival(kind, Math.max(0, age), lay) : 1),
    point_of_lay_days: lay,
    /** Birds gone to table: those weighed, their dressed mass, and what that was alive. */
    table: {
      birds: ways.table ?? 0,
      weighed: birdsIn(weighed),
      kg,
      live_kg: kg / growth.dressing.value,
      /** What those weighed have eaten, waste included, by table, sex and age. */
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
      /** Hens have come to lay, or will within these days, and no figure for their feed was found. */
      no_layer_figure: group.living > 0 && pullets.high > 0 && lacksLayerFeed(kind, age + days),
    },
  };
}

/** Every group, in the order they were begun. */
export function flockReport(season: Season, now: Now, days: number): GroupReport[] {
  return [...flockOf(season).groups.values()].map((group) => reportOf(season, group, now, days));
}
