import { feedNeeds, pastTable } from '../compute/flock/feed.ts';
import { flockOf, type Group, kindOfLine } from '../compute/flock/groups.ts';
import { ageOn } from '../compute/flock/heat.ts';
import { eatersAhead, eatersOf } from '../compute/flock/lives.ts';
import { lossAlarm, plannedSurvival } from '../compute/flock/losses.ts';
import { birdsOfSex, livingOfSex } from '../compute/flock/pullets.ts';
import { growing, growthOf } from '../season/brooding.ts';
import { type CautionKey, cautionLines } from '../season/cautions.ts';
import { seenWords } from '../season/figure.ts';
import type { Now, Season } from '../season/model.ts';
import { linesForTerminal } from '../text/escape.ts';
import { quoted } from '../text/fault.ts';
import { didYouMean } from '../text/nearest.ts';
import { type CommandModule, wrongWords } from './command.ts';
import { openSeason } from './open.ts';
import { jsonText, lines } from './say.ts';
import { table } from './tables.ts';

const USUAL_DAYS = 28;
const MOST_DAYS = 400;

export const command: CommandModule = {
  examples: ['flock', 'flock G1', 'flock --days 56 --json'],
  define(command) {
    command
      .argument('[group]', 'one group, with all that happened to it')
      .option('--days <number>', 'days of feed to come', String(USUAL_DAYS));
  },
  async run(context, words, options) {
    const days = Number(options.days);
    if (!Number.isInteger(days) || days < 1 || days > MOST_DAYS)
      throw wrongWords(
        `--days: expected a whole number from 1 to ${MOST_DAYS}, found ${JSON.stringify(options.days)}`,
      );
    const { season, now, notices } = openSeason(context);
    const all = [...flockOf(season).groups.values()];
    const name = words[0];
    const groups = name === undefined ? all : all.filter((group) => group.name === name);
    if (name !== undefined && groups.length === 0)
      throw wrongWords(
        `no group ${quoted(name)}`,
        didYouMean(
          name,
          all.map((group) => group.name),
        ) ?? 'traybook flock lists them',
      );
    const told = groups.map((group) => tell(season, group, now, days));
    if (context.json)
      return { stdout: jsonText('flock', { date: now.day, groups: told }), stderr: notices };
    if (told.length === 0)
      return {
        stdout:
          'no chicks are in the book yet: traybook add group NAME --set SET --brooder NAME --chicks N\n',
        stderr: notices,
      };
    const balance = table(
      {
        columns: [
          { heading: 'group' },
          { heading: 'line' },
          { heading: 'age (days)', align: 'right' },
          { heading: 'where' },
          { heading: 'placed' },
          { heading: 'living' },
          { heading: 'lost' },
          { heading: 'left' },
          { heading: 'losses expected' },
          { heading: 'verdict' },
        ],
        rows: told.map((one) => [
          one.group,
          one.lines.join(', '),
          one.age_days.youngest === one.age_days.oldest
            ? String(one.age_days.youngest)
            : `${one.age_days.youngest} to ${one.age_days.oldest}`,
          one.places.map((place) => `${place.place} ${place.birds}`).join(', '),
          one.placed,
          one.living,
          one.lost,
          one.left,
          one.losses.expected.toFixed(1),
          one.losses.verdict,
        ]),
      },
      context,
    );
    const growingOn = table(
      {
        columns: [
          { heading: 'group' },
          { heading: 'pullets' },
          { heading: 'cockerels' },
          { heading: 'pullets at lay, expected' },
          { heading: 'feed to date (kg)' },
          { heading: `feed, next ${days} days (kg)` },
          { heading: 'bags' },
          { heading: 'water (l a day)' },
        ],
        rows: told.map((one) => [
          one.group,
          span(one.pullets),
          span(one.cockerels),
          one.pullets_at_lay.toFixed(1),
          one.feed.to_date_kg.toFixed(1),
          one.feed.ahead.reduce((sum, need) => sum + need.kg, 0).toFixed(1),
          one.feed.ahead
            .map((need) => `${need.bags} ${need.stage} ${need.protein_percent} %`)
            .join(', '),
          (one.feed.ahead.reduce((sum, need) => sum + need.water_l, 0) / days).toFixed(1),
        ]),
      },
      context,
    );
    const alarms = told
      .filter((one) => one.losses.verdict !== 'fine')
      .map(
        (one) =>
          `${one.group}: ${one.lost} of ${one.placed} lost; as many or more would come by chance ${percent(one.losses.chance)} of the time at the planning rate. Causes: ${one.losses.causes.join(', ') || 'none written'}.`,
      );
    const cautions = new Set<CautionKey>();
    for (const group of groups) {
      if (group.living === 0) continue;
      if (group.lines.some((line) => line.species.group === 'waterfowl'))
        cautions.add('waterfowl-feed');
      else cautions.add('layer-feed');
      if (group.lines.some((line) => line.species.group === 'turkey')) cautions.add('blackhead');
    }
    if (groups.some((group) => (group.sexes?.cockerels ?? 0) > 0)) cautions.add('slaughter');
    if (
      groups.some((group) =>
        group.leavings.some((row) => ['sold', 'given'].includes(row.values.way)),
      )
    )
      cautions.add('sale');
    if (alarms.length > 0) cautions.add('disease');
    if (season.rows.treatment.length > 0) cautions.add('withdrawal');
    const story = name === undefined ? '' : `${events(groups[0]!)}\n`;
    const text = lines(
      balance.trimEnd(),
      'placed = living + lost + left',
      '',
      growingOn.trimEnd(),
      told.some((one) => one.feed.past_table)
        ? 'Past the end of a feed table its last pace is carried on.'
        : null,
      feedSource(season, groups),
      ...alarms,
      ...cautionLines(cautions).map((line) => `Caution: ${line}`),
    );
    return { stdout: linesForTerminal(`${story}${text}\n`), stderr: notices };
  },
};

function percent(share: number): string {
  return share < 0.001 ? 'less than 0.1 %' : `${(share * 100).toFixed(1)} %`;
}

function span(one: { low: number; likely: number; high: number }): string {
  const [low, high] = [Math.round(one.low), Math.round(one.high)];
  return low === high ? String(low) : `${one.likely.toFixed(1)} (${low} to ${high})`;
}

function feedSource(season: Season, groups: readonly Group[]): string {
  const seen = new Set(
    groups.map((group) => seenWords(growthOf(kindOfLine(season, group.line)).feed.seen)),
  );
  const marks = [...seen].filter((one) => one !== '');
  return `Feed is a trade figure${marks.length > 0 ? ` (${marks.join(', ')})` : ''}, waste of ${growing.feedWaste.value * 100} % included; weigh your own bags. Sexes are a draw: likely, and the least and most.`;
}

function tell(season: Season, group: Group, now: Now, days: number) {
  const kind = kindOfLine(season, group.line);
  const growth = growthOf(kind);
  const age = ageOn(group.youngest, now.day);
  const lost = lossAlarm(kind, age, group.placed, group.lost);
  const share = growing.sexRatioFemale.value;
  const pullets = livingOfSex(birdsOfSex(group, 'female', now), share);
  const lay =
    season.values.lines[group.line.name]?.point_of_lay_days ?? growth.first_egg_days.value.low;
  const causes = new Map<string, number>();
  for (const row of group.losses) {
    const cause = row.values.cause === '' ? 'not written' : row.values.cause;
    causes.set(cause, (causes.get(cause) ?? 0) + row.values.birds);
  }
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
    losses: {
      expected: lost.expected,
      chance: lost.chance,
      verdict: lost.verdict,
      of_placed: group.lost / group.placed,
      causes: [...causes].map(([cause, birds]) => `${cause} ${birds}`),
      source: growth.loss_early.source,
    },
    pullets,
    cockerels: livingOfSex(birdsOfSex(group, 'male', now), 1 - share),
    pullets_at_lay: pullets.likely * (age < lay ? plannedSurvival(kind, Math.max(0, age), lay) : 1),
    point_of_lay_days: lay,
    feed: {
      to_date_kg: feedNeeds(eatersOf(season, group, now.day)).reduce((sum, one) => sum + one.kg, 0),
      ahead: feedNeeds(
        eatersAhead(season, group, now, days),
        season.values.feed.bag_kg ?? growing.bagKg.value,
      ),
      past_table: pastTable(kind, age + days),
    },
  };
}

/** What happened to a group, in order of day. */
function events(group: Group): string {
  const told = [
    ...group.parts.map((part) => ({
      day: part.on.day,
      text: `${part.chicks} chicks of ${part.set} ${part.pen.name} placed in ${part.brooder}${part.mark ? `, marked ${part.mark}` : ''}`,
    })),
    ...group.moves.map((row) => ({
      day: row.on.day,
      text: `${row.values.birds} moved to ${row.values.to}`,
    })),
    ...group.losses.map((row) => ({
      day: row.on.day,
      text: `${row.values.birds} lost${row.values.cause ? `: ${row.values.cause}` : ''}`,
    })),
    ...group.sexings.map((row) => ({
      day: row.on.day,
      text: `sexed: ${row.values.pullets} pullets, ${row.values.cockerels} cockerels, ${row.values.unsure} unsure`,
    })),
    ...group.leavings.map((row) => ({
      day: row.on.day,
      text: `${row.values.birds} ${row.values.sex} left: ${row.values.way}`,
    })),
  ].sort((a, b) => (a.day < b.day ? -1 : a.day > b.day ? 1 : 0));
  return `${told.map((one) => `${one.day}  ${one.text}`).join('\n')}\n`;
}
