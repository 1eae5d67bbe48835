import type { Group } from '../facts/birds/groups.ts';
import type { GroupReport } from '../flock/flock-report.ts';
import type { CautionKey } from '../season/cautions.ts';
import { cautionText } from './cautions.ts';
import type { Cell, Table } from './table.ts';
import { hanging, wrapped } from './wrap.ts';

export type FlockPaper = {
  /** Days of feed to come. */
  readonly days: number;
  readonly width: number;
  readonly draw: (table: Table) => string;
  /** Where the feed figures come from, in words. */
  readonly feedSource: string;
  readonly cautions: Iterable<CautionKey>;
};

const one = (value: number): string => value.toFixed(1);

/** The balance of groups, the sum below if there are several. */
export function balanceTable(groups: readonly GroupReport[]): Table {
  const sum = (of: (group: GroupReport) => number): number =>
    groups.reduce((total, group) => total + of(group), 0);
  const rows: Cell[][] = groups.map((group) => [
    group.group,
    group.lines.join('+'),
    group.age_days.youngest === group.age_days.oldest
      ? String(group.age_days.youngest)
      : `${group.age_days.youngest} to ${group.age_days.oldest}`,
    group.placed,
    group.living,
    group.lost,
    group.left,
    one(group.losses.expected),
    group.losses.verdict,
  ]);
  if (groups.length > 1)
    rows.push([
      'all',
      null,
      null,
      sum((group) => group.placed),
      sum((group) => group.living),
      sum((group) => group.lost),
      sum((group) => group.left),
      one(sum((group) => group.losses.expected)),
      null,
    ]);
  return {
    columns: [
      { heading: 'group' },
      { heading: 'line' },
      { heading: 'age (days)', align: 'right' },
      { heading: 'placed' },
      { heading: 'living' },
      { heading: 'lost' },
      { heading: 'left' },
      { heading: 'usual loss', align: 'right' },
      { heading: 'verdict' },
    ],
    rows,
  };
}

/** The flock as text: balance, sexes, feed, what is out of the usual. Ends with a line feed. */
export function flockText(groups: readonly GroupReport[], paper: FlockPaper): string {
  const { width, draw } = paper;
  const living = groups.filter((group) => group.living > 0);
  const gone = groups.filter((group) => group.living === 0);
  const parts = [`PLACED = LIVING + LOST + LEFT\n${draw(balanceTable(groups))}`];
  if (living.length > 0) {
    parts.push(
      `WHERE, AND WHICH SEX\n${draw({
        columns: [
          { heading: 'group' },
          { heading: 'where' },
          { heading: 'pullets' },
          { heading: 'cockerels' },
          { heading: 'pullets at lay', align: 'right' },
        ],
        rows: living.map((group) => [
          group.group,
          group.places.map((place) => `${place.place} ${place.birds}`).join(', '),
          span(group.pullets),
          span(group.cockerels),
          one(group.pullets_at_lay),
        ]),
      })}`,
      `FEED AND WATER, NEXT ${paper.days} DAYS\n${draw({
        columns: [
          { heading: 'group' },
          { heading: 'to date (kg)', align: 'right' },
          { heading: 'to come (kg)', align: 'right' },
          { heading: 'water (l a day)', align: 'right' },
          { heading: 'bags, protein (%)' },
        ],
        rows: living.map((group) => [
          group.group,
          one(group.feed.to_date_kg),
          one(group.feed.ahead.reduce((sum, need) => sum + need.kg, 0)),
          one(group.feed.ahead.reduce((sum, need) => sum + need.water_l, 0) / paper.days),
          group.feed.ahead
            .map((need) => `${need.bags} ${need.stage} ${need.protein_percent}`)
            .join(', '),
        ]),
      })}`,
    );
  }
  const notes: string[] = [];
  if (gone.length > 0 && groups.length > 1)
    notes.push(`No birds are left in ${gone.map((group) => group.group).join(', ')}.`);
  for (const group of groups) {
    if (group.losses.verdict === 'fine') continue;
    notes.push(
      `${group.group}: ${group.lost} of ${group.placed} lost, ${group.losses.verdict}: as many or more would come by chance ${chanceWords(group.losses.chance)} of the time at the usual rate. Causes: ${group.losses.causes.join('; ') || 'none written'}.`,
    );
  }
  const weighed = groups.filter((group) => group.table.weighed > 0);
  if (weighed.length > 0) {
    const birds = weighed.reduce((sum, group) => sum + group.table.weighed, 0);
    const kg = weighed.reduce((sum, group) => sum + group.table.kg, 0);
    const live = weighed.reduce((sum, group) => sum + group.table.live_kg, 0);
    notes.push(
      `Table: ${birds === 1 ? '1 bird' : `${birds} birds`} weighed, ${one(kg)} kg dressed, ${(kg / birds).toFixed(2)} kg each; about ${one(live)} kg alive at the usual dressing of ${Math.round((100 * kg) / live)} %.`,
    );
  }
  if (living.some((group) => group.feed.past_table))
    notes.push('Past the end of a feed table its last pace is carried on.');
  const unfed = living.filter((group) => group.feed.no_layer_figure);
  if (unfed.length > 0)
    notes.push(
      `No figure for feed in lay was found for ${[...new Set(unfed.flatMap((group) => group.lines))].join(', ')}: the last stage of growing is carried on.`,
    );
  if (living.length > 0) notes.push(paper.feedSource);
  parts.push(
    [...notes.map((note) => wrapped(note, width)), cautionText(paper.cautions, width)]
      .filter((line) => line !== '')
      .map((line) => `${line}\n`)
      .join(''),
  );
  return parts.filter((part) => part !== '').join('\n');
}

function chanceWords(share: number): string {
  return share < 0.001 ? 'less than 0.1 %' : `${(share * 100).toFixed(1)} %`;
}

function span(range: { low: number; likely: number; high: number }): string {
  const [low, high] = [Math.round(range.low), Math.round(range.high)];
  return low === high ? String(low) : `${one(range.likely)} (${low} to ${high})`;
}

/** What happened to a group, in order of day. Ends with a line feed. */
export function groupStory(group: Group, width: number): string {
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
      text: `${row.values.birds} ${row.values.sex === 'unknown' ? 'not sexed' : `${row.values.sex}${row.values.birds === 1 ? '' : 's'}`} left: ${row.values.way}${row.values.mass_kg === null ? '' : `, ${row.values.mass_kg} kg`}`,
    })),
  ].sort((a, b) => (a.day < b.day ? -1 : a.day > b.day ? 1 : 0));
  return told.map((event) => `${hanging(`${event.day}  `, event.text, width)}\n`).join('');
}
