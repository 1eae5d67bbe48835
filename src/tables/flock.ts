/** Birds by group: what became of them, where they are, feed, and what is out of the usual. */
import type { Group } from '../facts/birds/groups.ts';
import type { GroupReport } from '../flock/flock-report.ts';
import type { PenLay } from '../flock/lay-report.ts';
import { growing } from '../season/brooding.ts';
import { type CautionKey, cautionLines } from '../season/cautions.ts';
import type { Perhaps } from '../text/lists.ts';
import { lossSay } from './birds.ts';
import { type AnyTable, type Column, tableOf } from './columns.ts';
import { between, count, counted, fixed, measured, percent, type Units } from './numbers.ts';
import type { Screen, ScreenPart } from './terminal.ts';
import { heads } from './words.ts';

type Total = Pick<GroupReport, 'placed' | 'living' | 'lost' | 'left'> & {
  readonly group: string;
  readonly lines: readonly string[];
  readonly age_days: GroupReport['age_days'] | null;
  readonly losses: Pick<GroupReport['losses'], 'expected'> & { readonly verdict: string | null };
};

const balanceColumns: readonly Column<Total>[] = [
  heads.group,
  { ...heads.lines, priority: 1 },
  {
    ...heads.age,
    doc: 'age of the youngest and the oldest',
    of: ({ age_days: age }) => (age === null ? null : { low: age.youngest, high: age.oldest }),
  },
  heads.placed,
  heads.living,
  heads.lost,
  heads.left,
  {
    key: 'usual_loss',
    kind: 'number',
    doc: 'losses to expect by this age',
    of: (row) => row.losses.expected,
  },
  {
    key: 'verdict',
    heading: 'losses are',
    kind: 'text',
    doc: 'whether the losses are more than usual',
    priority: 2,
    of: (row) => row.losses.verdict,
  },
];

/** The balance of groups, the sum below if there are several. */
export function balanceTable(groups: readonly GroupReport[]): AnyTable {
  const sum = (of: (group: GroupReport) => number): number =>
    groups.reduce((total, group) => total + of(group), 0);
  return tableOf<Total>(
    balanceColumns,
    groups,
    groups.length < 2
      ? undefined
      : {
          group: 'all',
          lines: [],
          age_days: null,
          placed: sum((group) => group.placed),
          living: sum((group) => group.living),
          lost: sum((group) => group.lost),
          left: sum((group) => group.left),
          losses: { expected: sum((group) => group.losses.expected), verdict: null },
        },
  );
}

/** A number likely, and the least and the most: `12.5 (9–16)`. */
function likelyText({ low, likely, high }: GroupReport['pullets']): string {
  const [least, most] = [count(Math.round(low)), count(Math.round(high))];
  return least === most ? least : `${fixed(likely, 1)}\u00a0(${between(least, most)})`;
}

const whereColumns: readonly Column<GroupReport>[] = [
  heads.group,
  {
    key: 'where',
    kind: 'text',
    doc: 'places the birds are in',
    of: (group) => group.places.map(({ place, birds }) => `${place} ${birds}`).join(', '),
  },
  { ...heads.pullets, kind: 'name', of: (group) => likelyText(group.pullets) },
  { ...heads.cockerels, kind: 'name', of: (group) => likelyText(group.cockerels) },
  {
    key: 'pullets_at_lay',
    heading: 'pullets at point of lay',
    kind: 'number',
    doc: 'pullets likely to live to lay',
  },
];

const feedColumns = (days: number): readonly Column<GroupReport>[] => [
  heads.group,
  {
    key: 'to_date',
    heading: 'eaten so far',
    kind: 'measure',
    measure: 'weight',
    doc: 'feed eaten so far',
    of: (group) => group.feed.to_date_kg,
  },
  {
    key: 'to_come',
    heading: `to buy for ${days} days`,
    kind: 'measure',
    measure: 'weight',
    doc: 'feed for the days to come',
    of: (group) => group.feed.ahead.reduce((sum, need) => sum + need.kg, 0),
  },
  {
    key: 'water',
    heading: 'water a day',
    kind: 'measure',
    measure: 'volume',
    doc: 'water a day, on average',
    of: (group) => group.feed.ahead.reduce((sum, need) => sum + need.water_l, 0) / days,
  },
  {
    key: 'water_hot',
    heading: 'water on a hot day',
    kind: 'measure',
    measure: 'volume',
    doc: 'water on a day of heat stress, for as much feed',
    show: 'full',
    of: (group) =>
      (group.feed.ahead.reduce((sum, need) => sum + need.water_l, 0) / days) *
      (growing.waterPerFeedHot.value / growing.waterPerFeed.value),
  },
  {
    key: 'bags',
    heading: 'bags, with their protein',
    kind: 'text',
    unit: '%',
    doc: 'bags of each feed, with its protein',
    of: (group) =>
      group.feed.ahead
        .map(({ bags, stage, protein_percent }) => `${bags} ${stage} ${protein_percent}`)
        .join(', '),
  },
];

export const layColumns: readonly Column<PenLay>[] = [
  heads.pen,
  {
    key: 'days',
    heading: 'days counted',
    kind: 'count',
    doc: 'days whose eggs were counted as laid',
  },
  { key: 'laid', kind: 'count', doc: 'eggs laid' },
  {
    key: 'hen_day',
    heading: 'hen-day lay',
    kind: 'percent',
    doc: 'eggs a hen and day, of the hens alive on each day',
  },
  {
    key: 'hen_housed',
    heading: 'hen-housed lay',
    kind: 'percent',
    doc: 'eggs a hen and day, of the hens there on the first day counted',
  },
  {
    key: 'feed_conversion',
    kind: 'number',
    digits: 1,
    doc: 'mass of feed, by the figure of feed in lay, over the mass of the eggs',
  },
];

/** How the pens lay, and what the words of the table mean. */
function layPart(lay: readonly PenLay[]): Perhaps<ScreenPart> {
  return (
    lay.length > 0 && {
      heading: 'Lay of the pens',
      table: tableOf(layColumns, lay),
      reasons: [
        'Hen-day: of the hens alive on each day; hen-housed: of those there on the first, so the dead count. Feed conversion: mass of feed over mass of eggs; feed by the figure of feed in lay, waste included.',
      ],
    }
  );
}

export type FlockMatter = {
  readonly title: string;
  readonly groups: readonly GroupReport[];
  readonly lay: readonly PenLay[];
  /** One group alone: all that happened to it is told. */
  readonly story: Group | null;
  /** Days of feed to come. */
  readonly days: number;
  /** Where the feed figures come from, in words. */
  readonly feedSource: string;
  readonly cautions: Iterable<CautionKey>;
  /** The season's: telephone lines show only in their own country. */
  readonly timezone: string;
  readonly units: Units;
};

/** The flock as a screen: birds living and losses out of the usual, then the tables. */
export function flockScreen(matter: FlockMatter): Screen {
  const { groups, days } = matter;
  const living = groups.filter((group) => group.living > 0);
  return {
    title: matter.title,
    answer: [flockAnswer(groups)],
    exceptions: groups.filter(({ losses }) => losses.verdict !== 'fine').map(lossSay),
    parts: [
      matter.story !== null && {
        heading: 'What happened',
        lines: storyLines(matter.story, matter.units),
      },
      {
        heading: 'Placed = living + lost + left',
        table: balanceTable(groups),
      },
      { heading: 'Where they are, and of which sex', table: tableOf(whereColumns, living) },
      { heading: 'Feed and water', table: tableOf(feedColumns(days), living) },
      { heading: null, reasons: flockReasons(matter, living) },
      layPart(matter.lay),
    ],
    notes: cautionLines(matter.cautions, matter.timezone).map((line) => `Caution: ${line}`),
  };
}

function flockAnswer(groups: readonly GroupReport[]): string {
  if (groups.length === 0)
    return 'No chicks are in the book yet: traybook add group NAME --set SET --brooder NAME --chicks N';
  const sum = (of: (group: GroupReport) => number): number =>
    groups.reduce((total, group) => total + of(group), 0);
  const living = groups.filter((group) => group.living > 0);
  const gone = groups.filter((group) => group.living === 0).map((group) => group.group);
  const where =
    living.length === 0
      ? ''
      : ` in ${living.length === 1 ? living[0]!.group : counted(living.length, 'group')}`;
  const none =
    gone.length === 0 || living.length === 0 ? '' : ` No birds are left in ${gone.join(', ')}.`;
  return `${counted(
    sum((group) => group.living),
    'bird',
  )} living${where}; ${count(sum((group) => group.lost))} lost of ${count(
    sum((group) => group.placed),
  )} placed, ${fixed(
    sum((group) => group.losses.expected),
    1,
  )} usual by now.${none}`;
}

function flockReasons(
  { groups, feedSource, units }: FlockMatter,
  living: readonly GroupReport[],
): string[] {
  const reasons: string[] = [];
  const weighed = groups.filter((group) => group.table.weighed > 0);
  if (weighed.length > 0) {
    const sum = (of: (table: GroupReport['table']) => number): number =>
      weighed.reduce((total, group) => total + of(group.table), 0);
    const [birds, kg, live] = [sum((t) => t.weighed), sum((t) => t.kg), sum((t) => t.live_kg)];
    reasons.push(
      `Table: ${counted(birds, 'bird')} weighed, ${measured(kg, 'weight', units)} dressed, ${measured(kg / birds, 'weight', units, 2)} each; about ${measured(live, 'weight', units)} alive at the usual dressing of ${percent(kg / live)}. Feed conversion about ${fixed(sum((t) => t.feed_kg) / live, 1)}, mass of feed over live mass: feed by the tables, waste included.`,
    );
  }
  if (living.some((group) => group.feed.past_table))
    reasons.push('Older birds than a feed table tells of are taken to eat as at its end.');
  const unfed = living.filter((group) => group.feed.no_layer_figure);
  if (unfed.length > 0)
    reasons.push(
      `No figure for feed in lay was found for ${[...new Set(unfed.flatMap((group) => group.lines))].join(', ')}: they are taken to eat as at the end of growing.`,
    );
  if (living.length > 0) reasons.push(feedSource);
  return reasons;
}

/** What happened to a group, in order of day. */
function storyLines(group: Group, units: Units): NonNullable<ScreenPart['lines']> {
  const told = [
    ...group.parts.map((part) => ({
      day: part.on.day,
      text: `${counted(part.chicks, 'chick')} of ${part.set} ${part.pen.name} placed in ${part.brooder}${part.mark ? `, marked ${part.mark}` : ''}`,
    })),
    ...group.moves.map(({ on, values }) => ({
      day: on.day,
      text: `${counted(values.birds, 'bird')} moved to ${values.to}`,
    })),
    ...group.losses.map(({ on, values }) => ({
      day: on.day,
      text: `${counted(values.birds, 'bird')} lost${values.cause ? `: ${values.cause}` : ''}`,
    })),
    ...group.sexings.map(({ on, values }) => ({
      day: on.day,
      text: `sexed: ${values.pullets} pullets, ${values.cockerels} cockerels, ${values.unsure} unsure`,
    })),
    ...group.leavings.map(({ on, values }) => ({
      day: on.day,
      text: `${values.birds} ${values.sex === 'unknown' ? 'not sexed' : `${values.sex}${values.birds === 1 ? '' : 's'}`} left: ${values.way}${values.mass_kg === null ? '' : `, ${measured(values.mass_kg, 'weight', units)}`}`,
    })),
  ];
  return told
    .sort((a, b) => (a.day < b.day ? -1 : a.day > b.day ? 1 : 0))
    .map(({ day, text }) => ({ name: day, text }));
}
