/** The store of hatching eggs: what lies in it, how old, and which set it goes into. */

import { type PlannedDraw, plannedDraws, storedEggs } from '../facts/egg-store.ts';
import { isPosted, restedOn } from '../facts/laying.ts';
import type { Now, Season } from '../season/model.ts';
import { addDays, type Day } from '../text/day.ts';
import { groupedBy } from '../text/lists.ts';
import { type AnyTable, type Column, tableOf } from './columns.ts';
import { counted, longDay } from './numbers.ts';
import type { Say, Screen } from './terminal.ts';
import { heads } from './words.ts';

type StoredRow = {
  readonly pen: string;
  readonly laid: Day;
  readonly eggs: number;
  readonly age: number;
  readonly settable: boolean;
  /** Last day on which they may be set. */
  readonly until: Day;
  readonly next: { readonly set: string; readonly eggs: number } | null;
};

const columns: readonly Column<StoredRow>[] = [
  heads.pen,
  { key: 'laid', heading: 'laid on', kind: 'day', doc: 'day they were laid' },
  { ...heads.eggs, doc: 'eggs in store' },
  { ...heads.age, key: 'age_days', kind: 'count', doc: 'days in store', of: (one) => one.age },
  {
    key: 'set_until',
    heading: 'set by',
    kind: 'day',
    doc: 'last day on which they are young enough to be set',
    of: (one) => one.until,
  },
  {
    key: 'too_old',
    kind: 'yes',
    doc: 'too old for their kind to be set',
    of: (one) => !one.settable,
  },
  {
    key: 'next_set',
    heading: 'goes into',
    kind: 'text',
    doc: 'the next planned set that takes some of them, and how many',
    of: (one) => (one.next === null ? null : `${one.next.set}: ${one.next.eggs}`),
  },
];

/** The store on a day. What the next sets take is what the rule of the store gives them. */
export function storeTable(season: Season, now: Now): AnyTable {
  return tableOf(columns, rowsOf(season, now));
}

function rowsOf(season: Season, now: Now): StoredRow[] {
  const { settable, tooOld } = storedEggs(season, now.day);
  // Eggs still to be laid are nobody's yet.
  const draws = plannedDraws(season, now.day, () => 0);
  return [
    ...settable.map((one) => ({ ...one, settable: true })),
    ...tooOld.map((one) => ({ ...one, settable: false })),
  ]
    .map(
      (one): StoredRow => ({
        pen: one.pen,
        laid: one.laid,
        eggs: one.left,
        age: one.age,
        settable: one.settable,
        until: addDays(one.laid, season.storageMaxDays(season.pens.get(one.pen)!.line.species)),
        next: nextOf(draws, one.pen, one.laid),
      }),
    )
    .sort((a, b) => (a.pen === b.pen ? (a.laid < b.laid ? -1 : 1) : a.pen < b.pen ? -1 : 1));
}

function nextOf(draws: readonly PlannedDraw[], pen: string, laid: Day): StoredRow['next'] {
  for (const { set, drawn, pen: of } of draws) {
    const taken = of === pen ? drawn.find((one) => one.laid === laid) : undefined;
    if (taken !== undefined) return { set, eggs: taken.eggs };
  }
  return null;
}

/** Where rows that may be set and rows too old stand apart, no column says which is which. */
const shown = columns.filter(({ key }) => key !== 'too_old');

/** Eggs by pen in words: `north 139, south 177`. */
function byPen(rows: readonly StoredRow[]): string {
  const pens = groupedBy(rows, (one) => one.pen);
  return [...pens].map(([pen, own]) => `${pen} ${eggsOf(own)}`).join(', ');
}

const eggsOf = (rows: readonly StoredRow[]): number =>
  rows.reduce((total, one) => total + one.eggs, 0);

/**
 * The store as a screen: how many may be set first, what is too old or still rests, then what may be
 * set, pen by pen. Eggs too old are counted; day by day they stand behind `--full`.
 */
export function storeScreen(season: Season, now: Now, title: string): Screen {
  const rows = rowsOf(season, now);
  const [young, old] = [rows.filter((one) => one.settable), rows.filter((one) => !one.settable)];
  const resting = young.flatMap((one) => {
    const pen = season.pens.get(one.pen)!;
    const until = restedOn(pen, one.laid);
    return isPosted(pen) && now.day < until ? [{ ...one, until }] : [];
  });
  const last = young
    .filter((one) => one.next === null)
    .map((one) => one.until)
    .sort()[0];
  return {
    title,
    answer: [
      `${counted(eggsOf(young), 'egg')} in store may be set.`,
      last !== undefined &&
        `The first that no planned set takes are too old after ${longDay(last)}.`,
    ],
    exceptions: [
      ...resting.map(
        (one): Say => ({
          meaning: 'watch',
          text: `${one.pen}: let ${counted(one.eggs, 'egg')} stand until ${longDay(one.until)}, as they came by road`,
        }),
      ),
      old.length > 0 &&
        ({
          meaning: 'watch',
          text: `${counted(eggsOf(old), 'egg')} too old to be set (${byPen(old)}): traybook add eggs-out PEN --eggs N --way eaten`,
        } as const),
    ],
    parts: [
      { heading: 'May be set', table: tableOf(shown, young) },
      old.length > 0 && { heading: 'Too old', table: tableOf(shown, old), show: 'full' as const },
    ],
  };
}
