// A season written by two people in two clones: entries, retries after a kill, entries made again on
// purpose, merges by lines. What is twice in it is known here from what was written, not from rows.

import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { stringify } from 'csv-stringify/sync';
import { expect } from 'vitest';
import { flockOf } from '../../src/facts/birds/groups.ts';
import { twinsOf } from '../../src/facts/checks/twins.ts';
import { readSeasonFolder } from '../../src/io/season-folder.ts';
import { kindOf, type RecordName } from '../../src/records/index.ts';
import { headerOf } from '../../src/records/record.ts';
import { addDays, type Day } from '../../src/text/day.ts';

type Cells = Readonly<Record<string, string | number>>;
type Line = { readonly record: RecordName; readonly entry: string; readonly cells: Cells };

const PENS = ['north', 'south'] as const;
const GROUPS = ['K1', 'K2'] as const;
const FIRST_DAY = '2027-02-20' as Day;

const season = `format: traybook/1
season: 2027
place: {name: Two Clones, timezone: Europe/London}
lines:
  sussex: {species: chicken}
pens:
  north: {line: sussex, hens: 40, males: 4, joined: 2027-01-04}
  south: {line: sussex, hens: 40, males: 4, joined: 2027-01-04}
setters:
  cabinet: {trays: 40, tray_holds: {chicken: 60}}
hatchers:
  lower: {holds: {chicken: 400}}
brooders:
  barn: {area: 40}
`;

/** What came of one season: what was found, and what had to be. */
export type WrittenTwice = {
  readonly entries: number;
  /** Rows told as twins, and how many there were. */
  readonly twins: { readonly found: number; readonly due: number };
  /** Kept eggs of all pens; those left, set and gone out by the store. */
  readonly eggs: { readonly kept: number; readonly accounted: number };
  /** Birds of all groups placed; living, lost and left. */
  readonly birds: { readonly placed: number; readonly accounted: number };
};

/** Writes a season of so many entries and reads it. `below` draws a whole number below another. */
export async function writtenTwice(
  entries: number,
  below: (most: number) => number,
): Promise<WrittenTwice> {
  const ALPHABET = 'abcdefghjkmnpqrstvwxyz';
  let written = 0;
  const entry = (): string => {
    written += 1;
    return [...String(written).padStart(10, '0')].map((digit) => ALPHABET[Number(digit)]!).join('');
  };
  const start = startOf(entry);
  const clones: Line[][] = [[...start], [...start]];
  let sets = 0;
  const add = (clone: Line[]): void => {
    const pen = PENS[below(PENS.length)]!;
    const on = addDays(FIRST_DAY, below(60));
    const kind = below(10);
    const line = (record: RecordName, cells: Cells): Line => ({
      record,
      entry: entry(),
      cells: { on, ...cells },
    });
    if (kind < 5) clone.push(line('eggs', { pen, laid: 5 + below(20), kept: below(5) }));
    else if (kind === 5)
      clone.push(line('eggs-out', { pen, eggs: 1 + below(6), way: below(2) ? 'sold' : 'eaten' }));
    else if (kind === 6) {
      sets += 1;
      clone.push(
        line('set', { set: `S${sets}`, pen, setter: 'cabinet', tray: 1, eggs: 1 + below(8) }),
      );
    } else if (kind === 7)
      clone.push(
        line('leaving', { group: GROUPS[below(2)]!, sex: 'unknown', birds: 1, way: 'sold' }),
      );
    else
      clone.push(
        line('loss', { group: GROUPS[below(2)]!, birds: 1, cause: below(2) ? 'chilled' : 'sick' }),
      );
  };
  for (let n = 0; n < entries; n += 1) {
    const clone = clones[below(2)]!;
    const last = clone.at(-1)!;
    const what = below(20);
    if (what === 0 && last.record !== 'set' && last.record !== 'acceptance') {
      // Killed after the write, and retried by a script that did not know.
      clone.push({ ...last, entry: entry() });
    } else if (what === 1 && last.record !== 'set' && last.record !== 'acceptance') {
      const again = { ...last, entry: entry() };
      clone.push(again, {
        record: 'acceptance',
        entry: entry(),
        cells: { on: last.cells.on!, code: 'twin-rows', about: again.entry, why: 'again' },
      });
    } else if (what === 2) {
      // A merge by lines: both have all rows, each once.
      const all = [
        ...new Map([...clones[0]!, ...clones[1]!].map((one) => [one.entry, one])).values(),
      ];
      clones[0] = [...all];
      clones[1] = [...all];
    } else add(clone);
  }
  const all = [...new Map([...clones[0]!, ...clones[1]!].map((one) => [one.entry, one])).values()];
  return judgedOf(all, entries);
}

/** Two hatched sets whose chicks are the groups. */
function startOf(entry: () => string): Line[] {
  return GROUPS.flatMap((group, index): Line[] => {
    const set = `H${index + 1}`;
    const pen = PENS[index]!;
    const line = (record: RecordName, on: string, cells: Cells): Line => ({
      record,
      entry: entry(),
      cells: { on, ...cells },
    });
    return [
      line('eggs', '2027-02-01', { pen, kept: 60, hens: 60 }),
      line('set', '2027-02-01', { set, pen, setter: 'cabinet', tray: 30 + index, eggs: 60 }),
      line('transfer', '2027-02-19', { set, pen, hatcher: 'lower', moved: 60 }),
      line('hatch', '2027-02-22', { set, pen, hatched: 60, final: 'yes' }),
      line('group', '2027-02-22', { group, set, pen, brooder: 'barn', chicks: 60 }),
    ];
  });
}

async function judgedOf(lines: readonly Line[], entries: number): Promise<WrittenTwice> {
  const folder = mkdtempSync(join(tmpdir(), 'traybook-twice-'));
  try {
    mkdirSync(join(folder, 'log'));
    writeFileSync(join(folder, 'season.yaml'), season);
    for (const record of new Set(lines.map((line) => line.record))) {
      const kind = kindOf(record);
      const header = headerOf(kind);
      const rows = lines
        .filter((line) => line.record === record)
        .map(({ entry, cells }, index) => {
          const cell: Cells = {
            entry,
            recorded: new Date(Date.UTC(2027, 4, 1) + index * 1000).toISOString(),
            by: 'ada',
            ...cells,
          };
          return header.map((column) => String(cell[column] ?? ''));
        });
      writeFileSync(join(folder, 'log', kind.file), stringify([[...header], ...rows]));
    }
    const read = await readSeasonFolder(folder);
    if (read.season === null) throw new Error(JSON.stringify(read.faults.slice(0, 3)));
    const { lots, sets, eggsOut } = read.season;
    const sum = (numbers: Iterable<number>) => [...numbers].reduce((total, one) => total + one, 0);
    const groups = [...flockOf(read.season).groups.values()];
    return {
      entries,
      twins: { found: twinsOf(read.season).length, due: dueOf(lines) },
      eggs: {
        kept: sum(
          lines.filter((line) => line.record === 'eggs').map((line) => Number(line.cells.kept)),
        ),
        accounted:
          sum(lots.map((lot) => lot.left)) +
          sum(
            [...sets.values()].flatMap((set) =>
              set.shares.map((share) => share.eggs - share.notKept),
            ),
          ) +
          sum(eggsOut.map((one) => one.row.values.eggs - one.notKept)),
      },
      birds: {
        placed: sum(groups.map((group) => group.placed)),
        accounted: sum(groups.map((group) => group.living + group.lost + group.left)),
      },
    };
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** Of the rows that say the same all but one are twins, without those accepted. */
function dueOf(lines: readonly Line[]): number {
  const accepted = new Set(
    lines.filter((line) => line.record === 'acceptance').map((line) => line.cells.about),
  );
  const alike = new Map<string, number>();
  for (const { record, entry, cells } of lines) {
    if (record === 'acceptance' || accepted.has(entry)) continue;
    const key = JSON.stringify([record, cells]);
    alike.set(key, (alike.get(key) ?? 0) + 1);
  }
  return [...alike.values()].reduce((total, rows) => total + rows - 1, 0);
}

/** Numbers that look random and are the same in each run (Lehmer, modulus 2^31 - 1). */
export function drawer(seed: number): (most: number) => number {
  let state = seed;
  return (most) => {
    state = (state * 48_271) % 2_147_483_647;
    return state % most;
  };
}

/** Writes so many seasons of so many entries: each twin is found, each egg and bird accounted for. */
export async function expectNothingTwice(seasons: number, entries: number): Promise<void> {
  let twins = 0;
  for (let n = 1; n <= seasons; n += 1) {
    const one = await writtenTwice(entries, drawer(n * 7919));
    expect(one.twins.found, `season ${n}`).toBe(one.twins.due);
    expect(one.eggs.accounted, `season ${n}`).toBe(one.eggs.kept);
    expect(one.birds.accounted, `season ${n}`).toBe(one.birds.placed);
    twins += one.twins.found;
  }
  expect(twins).toBeGreaterThan(seasons);
}
