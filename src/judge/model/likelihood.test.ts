// What the looks at a share say, against egg after egg gone through: when it ends, and who finds it.
import { describe, expect, test } from 'vitest';
import { plainFarm } from '../../../tests/support/plain-farm.ts';
import { seasonOf, type Written } from '../../../tests/support/season.ts';
import { besideCounts, breakoutsOf, keepingOf, lookCounts } from './likelihood.ts';
import { seeds } from './priors.ts';
import { conditional } from './stages.ts';

const odds = { infertile: -2, early: -2.9, middle: -3.4, late: -2.2, pipped: -3.8 };
const TERM = 21;

type Look = { readonly day: number; readonly clear: number; readonly quit: number };
type Opened = Partial<Record<'infertile' | 'early' | 'middle' | 'late' | 'malposed', number>>;
type Case = {
  readonly eggs: number;
  readonly candlings: readonly Look[];
  readonly transfer: Look;
  readonly unpipped: number;
  readonly pipped: number;
  readonly clears?: Opened;
  readonly unhatched?: Opened;
};

const day = (n: number): string =>
  new Date(Date.UTC(2027, 1, 1) + n * 86_400_000).toISOString().slice(0, 10);

/** The set of a case as rows, and what the model makes of them. */
function rowsOf({ eggs, candlings, transfer, unpipped, pipped, clears, unhatched }: Case) {
  const of = { set: 'A', pen: 'orchard' };
  const out = (looks: readonly Look[]) => looks.reduce((sum, one) => sum + one.clear + one.quit, 0);
  const moved = eggs - out([...candlings, transfer]);
  const { clear, quit } = transfer;
  const rows: Written[] = [
    ['set', day(0), { ...of, setter: 'cabinet', tray: 1, eggs }],
    ...candlings.map(
      (one): Written => ['candling', day(one.day), { ...of, clear: one.clear, quit: one.quit }],
    ),
    ['transfer', day(transfer.day), { ...of, hatcher: 'lower', moved, clear, quit }],
    [
      'hatch',
      day(TERM),
      { ...of, hatched: moved - unpipped - pipped, unpipped, pipped, final: 'yes' },
    ],
  ];
  if (clears) rows.push(['breakout', day(TERM), { ...of, from: 'clear', ...clears }]);
  if (unhatched) rows.push(['breakout', day(TERM), { ...of, from: 'unhatched', ...unhatched }]);
  const season = seasonOf(plainFarm, rows);
  const opened = breakoutsOf(season);
  const [share] = season.sets.get('A')!.shares;
  return {
    looks: lookCounts(share!, opened.get('A\norchard'), keepingOf(season, opened)),
    beside: besideCounts(share!, opened.get('A\norchard')),
    hatched: moved - unpipped - pipped,
  };
}

const ends = ['infertile', 'early', 'middle', 'late', 'pipped', 'out'] as const;
type End = (typeof ends)[number];

/** Share of the deaths of a kind that lie behind on a day. */
function isDeadBy(end: End, at: number): number {
  const { early_until, middle_until } = seeds.levels;
  const third = early_until.value * TERM;
  const last = middle_until.value * TERM;
  const line = (from: number, to: number) => Math.min(1, Math.max(0, (at - from) / (to - from)));
  if (end === 'infertile') return 1;
  if (end === 'early') return Math.min(1, Math.sqrt(at / third));
  if (end === 'middle') return line(third, last);
  return end === 'late' ? line(last, TERM) : 0;
}

/** Chances of where an egg is found, and as what: `clear 7`, `quit 7`, `late unhatched`, `pipped`, `out`. */
function foundAt(looks: readonly { day: number }[]): Map<string, number> {
  const seen = 1 - seeds.levels.overlooked.value;
  const looksClear = seeds.levels.looks_clear.value;
  const chances = new Map<string, number>();
  const put = (where: string, chance: number) =>
    chances.set(where, (chances.get(where) ?? 0) + chance);
  let reached = 1;
  for (const end of ends) {
    const fails = end === 'out' ? 1 : 1 / (1 + Math.exp(-odds[end]));
    const whole = reached * fails;
    reached -= whole;
    if (end === 'out' || end === 'pipped') {
      put(end, whole);
      continue;
    }
    // Between which looks it dies, and then whether each look from there on sees it.
    const bounds = [...looks.map((one) => isDeadBy(end, one.day)), 1];
    bounds.forEach((bound, k) => {
      let here = whole * (bound - (bounds[k - 1] ?? 0));
      for (const look of looks.slice(k)) {
        const clear = end === 'infertile' ? 1 : end === 'early' ? looksClear : 0;
        put(`${end} clear ${look.day}`, here * seen * clear);
        put(`${end} quit ${look.day}`, here * seen * (1 - clear));
        here *= 1 - seen;
      }
      put(`${end} unhatched`, here);
    });
  }
  return chances;
}

const chain = (rows: ReturnType<typeof rowsOf>['looks']): number =>
  rows.reduce((sum, { x, n, cell, rest }) => {
    const p = conditional(odds, cell, rest);
    return sum + x * Math.log(p) + (n - x) * Math.log(1 - p);
  }, 0);

/** Log chance of what was found: of each count, that of all places and ends that it may be. */
function reckoned(
  looks: readonly Look[],
  counts: readonly (readonly [count: number, isIt: (where: string) => boolean])[],
): number {
  const chances = [...foundAt(looks)];
  expect(chances.reduce((sum, [, chance]) => sum + chance, 0)).toBeCloseTo(1, 12);
  return counts.reduce((sum, [count, isIt]) => {
    const chance = chances.reduce((so, [where, one]) => so + (isIt(where) ? one : 0), 0);
    return sum + count * Math.log(chance);
  }, 0);
}

const at = (kind: string, on: number) => (where: string) => where.endsWith(` ${kind} ${on}`);
const whole = (where: string) => where.endsWith(' unhatched');
const ofLooks = (looks: readonly Look[]) =>
  looks.flatMap(({ day: on, clear, quit }) => [
    [clear, at('clear', on)] as const,
    [quit, at('quit', on)] as const,
  ]);

const transfer = { day: 18, clear: 1, quit: 2 };
const plain: Case = {
  eggs: 80,
  candlings: [{ day: 7, clear: 9, quit: 3 }],
  transfer,
  unpipped: 10,
  pipped: 2,
};
const looksOf = (one: Case) => [...one.candlings, one.transfer];

describe('eggs left whole at the last opening', () => {
  test('that nobody opened may have ended at any time that no look saw', () => {
    const { looks, hatched } = rowsOf(plain);
    expect(chain(looks)).toBeCloseTo(
      reckoned(looksOf(plain), [
        ...ofLooks(looksOf(plain)),
        [10, whole],
        [2, (where) => where === 'pipped'],
        [hatched, (where) => where === 'out'],
      ]),
      9,
    );
  });

  test('all opened are each at their own end', () => {
    const unhatched = { infertile: 1, early: 1, middle: 1, late: 7 };
    const { looks, hatched } = rowsOf({ ...plain, unhatched });
    expect(looks.map(({ stream }) => stream)).not.toContain('unpipped');
    expect(chain(looks)).toBeCloseTo(
      reckoned(looksOf(plain), [
        ...ofLooks(looksOf(plain)),
        ...Object.entries(unhatched).map(
          ([end, count]) => [count, (where: string) => where === `${end} unhatched`] as const,
        ),
        [2, (where) => where === 'pipped'],
        [hatched, (where) => where === 'out'],
      ]),
      9,
    );
  });

  test('some opened split as their ends do among the eggs left, the others are only left', () => {
    const unhatched = { infertile: 1, middle: 1, late: 3 };
    const { looks, hatched } = rowsOf({ ...plain, unhatched });
    expect(looks.filter(({ stream }) => stream.endsWith('of unhatched opened'))).toMatchObject([
      { stream: 'infertile of unhatched opened', x: 1, n: 5 },
      { stream: 'early of unhatched opened', x: 0, n: 4 },
      { stream: 'middle of unhatched opened', x: 1, n: 4 },
    ]);
    // Five of the ten are known by their end, the five others by none.
    const left = [...foundAt(looksOf(plain))].reduce(
      (sum, [where, chance]) => sum + (whole(where) ? chance : 0),
      0,
    );
    expect(chain(looks)).toBeCloseTo(
      reckoned(looksOf(plain), [
        ...ofLooks(looksOf(plain)),
        [10, whole],
        ...Object.entries(unhatched).map(
          ([end, count]) => [count, (where: string) => where === `${end} unhatched`] as const,
        ),
        [2, (where) => where === 'pipped'],
        [hatched, (where) => where === 'out'],
      ]) -
        5 * Math.log(left),
      9,
    );
  });

  test('with clears opened too, an end is one count wherever its eggs were found', () => {
    const clears = { infertile: 8, early: 2 };
    const unhatched = { infertile: 1, early: 1, middle: 1, late: 7 };
    const { looks, hatched } = rowsOf({ ...plain, clears, unhatched });
    const either = (end: string) => (where: string) =>
      where.startsWith(`${end} clear`) || where === `${end} unhatched`;
    const quits = looksOf(plain).map(({ day: on, quit }) => [quit, at('quit', on)] as const);
    expect(chain(looks)).toBeCloseTo(
      reckoned(looksOf(plain), [
        ...quits,
        [9, either('infertile')],
        [3, either('early')],
        [1, either('middle')],
        [7, either('late')],
        [2, (where) => where === 'pipped'],
        [hatched, (where) => where === 'out'],
      ]),
      9,
    );
  });

  test('of eggs looked at only at the hatch hold every end', () => {
    const only: Case = {
      ...plain,
      candlings: [],
      transfer: { day: 18, clear: 0, quit: 0 },
      unpipped: 22,
    };
    const { looks, hatched } = rowsOf(only);
    expect(chain(looks)).toBeCloseTo(
      reckoned(
        [],
        [
          [22, whole],
          [2, (where) => where === 'pipped'],
          [hatched, (where) => where === 'out'],
        ],
      ),
      9,
    );
  });
});

test('eggs that died between two candlings are found at the second, those missed at either', () => {
  const two: Case = {
    ...plain,
    candlings: [
      { day: 4, clear: 8, quit: 1 },
      { day: 6, clear: 2, quit: 2 },
      { day: 10, clear: 1, quit: 2 },
      { day: 14, clear: 0, quit: 2 },
    ],
  };
  const { looks, hatched } = rowsOf(two);
  // Clears, and quits after the first candling, are one count each: none is known by its day.
  const after = (where: string) => / quit (6|10|14)$/.test(where);
  const candled = (where: string) => / clear (4|6|10|14)$/.test(where);
  expect(chain(looks)).toBeCloseTo(
    reckoned(looksOf(two), [
      [11, candled],
      [1, at('quit', 4)],
      [6, after],
      [1, at('clear', 18)],
      [2, at('quit', 18)],
      [10, whole],
      [2, (where) => where === 'pipped'],
      [hatched, (where) => where === 'out'],
    ]),
    9,
  );
});

test('chicks lying wrong are of all that lived to the last days, as many as the opened stand for', () => {
  const of = (unhatched: Opened) =>
    rowsOf({ ...plain, unhatched }).beside.find(({ stream }) => stream === 'malposed');
  const alive = 80 - 9 - 3 - 1 - 2;
  expect(of({ infertile: 1, early: 1, middle: 1, late: 7, malposed: 2 })).toEqual({
    stream: 'malposed',
    x: 2,
    // Ten opened of twelve that did not hatch; a pipped one was not opened.
    n: Math.round((10 / 12) * alive),
  });
  expect(of({ late: 3, malposed: 1 })).toEqual({
    stream: 'malposed',
    x: 1,
    n: Math.round((3 / 12) * alive),
  });
  // Nothing opened says nothing.
  expect(rowsOf(plain).beside.map(({ stream }) => stream)).not.toContain('malposed');
});
