/** The season's birds: what became of each group, and how many lived when. */
import type { BirdLine, BirdSummary } from '../facts/birds/summary.ts';
import { type AnyTable, type Column, tableOf } from './columns.ts';
import { count, counted, dayMonth, percent, plural } from './numbers.ts';
import { heads } from './words.ts';

/** Columns of days that fit beside a group's name in eighty places. */
const MOST_DAYS = 10;

type FlockBirdRow = Omit<BirdLine, 'hatched'> & { readonly hatched: string | null };

const birdColumns: readonly Column<FlockBirdRow>[] = [
  heads.group,
  { ...heads.lines, priority: 1 },
  {
    key: 'hatched',
    heading: 'hatched on',
    kind: 'day',
    priority: 2,
    doc: 'day the youngest hatched',
  },
  heads.placed,
  heads.living,
  heads.lost,
  heads.left,
  { ...heads.pullets, doc: 'pullets likely among the living' },
  { ...heads.cockerels, doc: 'cockerels likely among the living' },
];

/** The balance of every group and of all together. */
export function birdTable(birds: BirdSummary): AnyTable {
  const rows: readonly FlockBirdRow[] = birds.groups;
  const sum = (of: (row: FlockBirdRow) => number): number =>
    rows.reduce((total, row) => total + of(row), 0);
  return tableOf(birdColumns, rows, {
    group: 'all',
    lines: [],
    hatched: null,
    placed: birds.placed,
    living: birds.living,
    lost: birds.lost,
    left: birds.left,
    pullets: sum((row) => row.pullets),
    cockerels: sum((row) => row.cockerels),
  });
}

/** `331 birds living of 410 placed; 30 lost, 49 left (table 49).` */
export function birdsAnswer(birds: BirdSummary): string {
  const ways = Object.entries(birds.ways).sort((a, b) => b[1] - a[1]);
  const left = ways.map(([way, number]) => `${way} ${count(number)}`).join(', ');
  return `${counted(birds.living, 'bird')} living of ${count(birds.placed)} placed; ${count(birds.lost)} lost, ${count(birds.left)} left${left === '' ? '' : ` (${left})`}.`;
}

type GroupOver = { readonly group: string; readonly living: readonly (number | null)[] };

/** Living birds by group over time: a row a group, evenly chosen days across, the last being now. */
export function livingTable(birds: BirdSummary): AnyTable {
  const step = Math.max(1, Math.ceil((birds.over.length - 1) / (MOST_DAYS - 1)));
  const last = birds.over.length - 1;
  const shown = birds.over.filter((_, index) => (last - index) % step === 0);
  return tableOf<GroupOver>(
    [
      heads.group,
      ...shown.map(
        ({ day }, index): Column<GroupOver> => ({
          key: day,
          heading: dayMonth(day),
          kind: 'count',
          doc: `birds living on ${day}`,
          of: (row) => row.living[index] || null,
        }),
      ),
    ],
    birds.groups.map((one, index) => ({
      group: one.group,
      living: shown.map((at) => at.living[index]!),
    })),
    {
      group: 'all',
      living: shown.map((at) => at.living.reduce((total, one) => total + one, 0)),
    },
  );
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
  if (goal.want === 'chicks' || !isCounted) return plural(have, 'sound chick');
  if (goal.want === 'pullets') return `${plural(have, 'pullet')} living or housed`;
  if (goal.want === 'cockerels') return `${plural(have, 'cockerel')} living or at table`;
  return `${plural(have, 'bird')} living`;
}

/** A group that lost more than is usual, in one sentence. */
export function lossSay({
  group,
  lost,
  placed,
  losses: { chance, causes, verdict },
}: BirdSummary['beyond_usual'][number]) {
  const often = chance < 0.001 ? 'less than 0.1\u00a0%' : percent(chance);
  return {
    meaning: verdict === 'act' ? verdict : ('watch' as const),
    text: `${group}: ${lost} of ${placed} lost. At the usual rate so many or more die in ${often} of groups. Causes: ${causes.length === 0 ? 'none written' : causes.join('; ')}.`,
  };
}
