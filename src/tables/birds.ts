import type { BirdLine, BirdSummary } from '../facts/birds/summary.ts';
import type { Cell, Table } from './table.ts';

/** Columns of days that fit beside a group's name in eighty places. */
const MOST_DAYS = 10;

/** The balance of every group and of all together. */
export function birdTable(birds: BirdSummary): Table {
  const whole = (value: number): number => Math.round(value);
  // Halves of an odd number are not both rounded up: the two sexes make up the living.
  const cockerelsOf = (one: Pick<BirdLine, 'living' | 'pullets' | 'cockerels'>): number =>
    Math.abs(one.pullets + one.cockerels - one.living) < 1e-6
      ? one.living - whole(one.pullets)
      : whole(one.cockerels);
  return {
    columns: [
      { heading: 'group' },
      { heading: 'line' },
      { heading: 'hatched' },
      { heading: 'placed', align: 'right' },
      { heading: 'living', align: 'right' },
      { heading: 'lost', align: 'right' },
      { heading: 'left', align: 'right' },
      { heading: 'pullets', align: 'right' },
      { heading: 'cockerels', align: 'right' },
    ],
    rows: [
      ...birds.groups.map((one) => [
        one.group,
        one.lines.join('+'),
        one.hatched,
        one.placed,
        one.living,
        one.lost,
        one.left,
        whole(one.pullets),
        cockerelsOf(one),
      ]),
      [
        'all',
        null,
        null,
        birds.placed,
        birds.living,
        birds.lost,
        birds.left,
        birds.groups.reduce((sum, one) => sum + whole(one.pullets), 0),
        birds.groups.reduce((sum, one) => sum + cockerelsOf(one), 0),
      ],
    ],
  };
}

/** How birds left, most first: `table 49, sold 200`. */
export function waysText(birds: BirdSummary): string {
  const ways = Object.entries(birds.ways).sort((a, b) => b[1] - a[1]);
  const left = ways.length === 0 ? '' : `; left: ${ways.map((way) => way.join(' ')).join(', ')}`;
  return `${birds.placed} placed = ${birds.living} living + ${birds.lost} lost + ${birds.left} left${left}.`;
}

/** Living birds by group over time: a row a group, evenly chosen days across, the last being now. */
export function livingTable(birds: BirdSummary): Table {
  const step = Math.max(1, Math.ceil((birds.over.length - 1) / (MOST_DAYS - 1)));
  const last = birds.over.length - 1;
  const shown = birds.over.filter((_, index) => (last - index) % step === 0);
  const rows: Cell[][] = birds.groups.map((one, index) => [
    one.group,
    ...shown.map((at) => (at.living[index] === 0 ? null : at.living[index]!)),
  ]);
  rows.push(['all', ...shown.map((at) => at.living.reduce((sum, one) => sum + one, 0))]);
  return {
    columns: [
      { heading: 'group' },
      ...shown.map((at) => ({ heading: shortDate(at.day), align: 'right' as const })),
    ],
    rows,
  };
}

const MONTHS = 'Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec'.split(' ');

/** `5 Apr`, on one line wherever it stands. */
function shortDate(day: string): string {
  return `${Number(day.slice(8))}\u00a0${MONTHS[Number(day.slice(5, 7)) - 1]}`;
}

type Wanted = { readonly line: string; readonly want: string; readonly hatched: number };

/** How many birds a goal has by now; sound chicks where no birds are written down. */
export function countSoFar(goal: Wanted, birds: BirdSummary): number {
  const own = birds.counting[goal.line];
  if (goal.want === 'chicks' || birds.placed === 0 || own === undefined) return goal.hatched;
  if (goal.want === 'pullets') return Math.round(own.pullets);
  return goal.want === 'cockerels' ? Math.round(own.cockerels) : own.birds;
}

/** What a goal has so far: sound chicks, or the birds of the wanted sex living, housed or at table. */
export function soFar(goal: Wanted, birds: BirdSummary): string {
  const have = countSoFar(goal, birds);
  const isCounted = birds.placed > 0 && birds.counting[goal.line] !== undefined;
  if (goal.want === 'chicks' || !isCounted) return `${have} sound chicks`;
  if (goal.want === 'pullets') return `${have} pullets living or housed`;
  if (goal.want === 'cockerels') return `${have} cockerels living or at table`;
  return `${have} birds living`;
}
