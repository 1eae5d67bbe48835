/**
 * From sets in parts to whole sets: days first, then setters and trays, then hatchers. After each step the
 * program is solved again, so that what follows makes up for what was rounded.
 */
import type { Effort } from './effort.ts';
import type { Problem, Start } from './problem.ts';
import { type Need, Program, type SetsInParts } from './program.ts';

/** A set without its eggs. */
export type SetSlot = Omit<Start, 'eggs'>;

/** Whole sets, in a program that holds them, and the solution with eggs in parts. */
export interface Rounded {
  program: Program;
  slots: SetSlot[];
  parts: SetsInParts;
}

/** Less of a set than this makes no day to set on (bench:plan, large: 20 s became 13). */
const PART_OF_DAY = 0.02;
/** A day with so much of a set is made whole beside another, if a week lies between. */
const NEARLY_WHOLE = 0.6;
const WEEK = 7;
/**
 * More than this lost of the least need is worth a repair, of so many neighbouring sets at a time (bench:plan, middle:
 * 20 sets without, 19 with; a third more or less of WORTH_REPAIR changes nothing).
 */
const WORTH_REPAIR = 0.004;
const REPAIRED = 3;
const REPAIR_STEP = 2;
/** Days on either side within which sets let go may be set anew. */
const REPAIR_DAYS = 10;
const NOTHING = 1e-3;

/** What is rounded: a calendar beside other sets, the needs, and how many sets there may be. */
export interface RoundingAsked {
  p: Problem;
  calendar: number;
  others: readonly Start[];
  needs: readonly Need[];
  effort: Effort;
}

/**
 * Whole sets near a solution in parts of the program on all days; the caller closes the program. Null
 * where none were found.
 */
export async function rounded(
  asked: RoundingAsked,
  full: Program,
  parts: SetsInParts,
  most: number,
): Promise<Rounded | null> {
  const days = full.days.filter((day) => full.setsOn(day, parts.values) >= PART_OF_DAY);
  let best = await roundedOn(asked, days, most, []);
  if (best === null) return null;
  // What is lost is looked for where three neighbouring sets are set anew, the others held.
  for (let at = 0; at + 1 < best.slots.length; at += REPAIR_STEP) {
    if (parts.least - best.parts.least <= WORTH_REPAIR) break;
    const free = best.slots.slice(at, at + REPAIRED);
    const held = best.slots.filter((slot) => !free.includes(slot));
    const near = full.days.filter(
      (day) =>
        day >= free[0]!.day - REPAIR_DAYS &&
        day <= free.at(-1)!.day + REPAIR_DAYS &&
        (full.setsOn(day, parts.values) >= PART_OF_DAY ||
          free.some((one) => Math.abs(one.day - day) <= 2)),
    );
    const tried = await roundedOn(asked, near, most, held);
    if (tried === null) continue;
    if (tried.parts.least > best.parts.least + NOTHING) {
      best.program.close();
      best = tried;
    } else tried.program.close();
  }
  return best;
}

/** Whole sets on some days, beside sets that are held. */
export async function roundedOn(
  { p, calendar, others, needs, effort }: RoundingAsked,
  days: readonly number[],
  most: number,
  held: readonly SetSlot[],
): Promise<Rounded | null> {
  const all = [...new Set([...days, ...held.map(({ day }) => day)])].sort((a, b) => a - b);
  const program = await Program.open(p, calendar, all, others, effort);
  program.ask(needs);
  const only = new Set(days);
  for (const day of program.days) {
    const here = held.filter((slot) => slot.day === day);
    if (here.length === 0 && only.has(day)) continue;
    program.hold(day, here.length, only.has(day) ? Number.POSITIVE_INFINITY : here.length);
    for (const one of here) holdSlot(program, one);
  }
  const parts = wholeDays(program, most);
  const slots = parts && wholeStays(program, parts, most);
  if (slots === null) {
    program.close();
    return null;
  }
  return { program, ...slots };
}

/** Holds a set in its setter, trays and hatcher. */
function holdSlot(program: Program, { day, setter, trays, hatcher }: SetSlot): void {
  const held = [
    ...program.sets.filter((one) => one.setter === setter && one.trays === trays),
    ...program.stays.filter((one) => one.hatcher === hatcher),
  ];
  for (const one of held)
    if (one.day === day) program.setColumn(one.column, 1, program.upperOf(one.column));
}

/** Makes the number of sets of every day whole, nearest to whole first. */
function wholeDays(program: Program, most: number): SetsInParts | null {
  let parts = program.fullest(most);
  if (parts === null) return null;
  const open = new Set(program.days);
  let sets = 0;
  while (open.size > 0 && sets < most) {
    const amounts = [...open]
      .map((day) => ({ day, sets: program.setsOn(day, parts!.values) }))
      .filter((one) => one.sets > NOTHING)
      .sort((a, b) => offWhole(a.sets) - offWhole(b.sets) || a.day - b.day);
    const [first] = amounts;
    if (!first) break;
    let picked = [first];
    for (const one of amounts.slice(1))
      if (one.sets >= NEARLY_WHOLE && picked.every(({ day }) => Math.abs(day - one.day) >= WEEK))
        picked.push(one);
    let next: SetsInParts | null = null;
    for (;;) {
      for (const one of picked) program.hold(one.day, wholeOf(one.sets), wholeOf(one.sets));
      next = program.fullest(most);
      if (next !== null) break;
      for (const one of picked) program.hold(one.day, 0, Number.POSITIVE_INFINITY);
      if (picked.length === 1) break;
      picked = [first];
    }
    if (next === null) {
      // There is no place for a whole one beside those that are held.
      program.hold(first.day, 0, 0);
      open.delete(first.day);
      next = program.fullest(most);
      if (next === null) return null;
    } else
      for (const one of picked) {
        open.delete(one.day);
        sets += wholeOf(one.sets);
      }
    parts = next;
  }
  for (const day of open) program.hold(day, 0, 0);
  return open.size > 0 ? program.fullest(most) : parts;
}

const wholeOf = (sets: number): number => Math.max(1, Math.round(sets));
const offWhole = (sets: number): number => Math.abs(sets - wholeOf(sets));

type RoundingColumn = { day: number; column: number };

/** Makes setters, trays and hatchers of every set whole. */
function wholeStays(
  program: Program,
  from: SetsInParts,
  most: number,
): { slots: SetSlot[]; parts: SetsInParts } | null {
  let parts: SetsInParts | null = from;
  const families: (readonly RoundingColumn[])[] = [program.sets, program.stays];
  for (const family of families) {
    for (const day of program.days) {
      const own = family.filter((one) => one.day === day);
      for (;;) {
        const values: Float64Array = parts.values;
        const open = own.filter(({ column }) => isInParts(values[column]!));
        if (open.length === 0) break;
        const next = fixedOne(program, open, values, most);
        if (next === null) return null;
        parts = next;
      }
      // What is whole stays.
      for (const { column } of own) {
        const count = Math.round(parts.values[column]!);
        program.setColumn(column, count, count);
      }
    }
  }
  parts = program.fullest(most);
  return parts && { slots: slotsOf(program, parts), parts };
}

const isInParts = (value: number): boolean => Math.abs(value - Math.round(value)) > NOTHING;

/** Makes one more column whole: the largest part first, up, and else down. */
function fixedOne(
  program: Program,
  open: readonly RoundingColumn[],
  values: ArrayLike<number>,
  most: number,
): SetsInParts | null {
  const order = [...open].sort(
    (a, b) => values[b.column]! - values[a.column]! || b.column - a.column,
  );
  for (const { column } of order) {
    const up = Math.ceil(values[column]!);
    program.setColumn(column, up, up);
    const next = program.fullest(most);
    if (next !== null) return next;
    program.setColumn(column, 0, up - 1);
  }
  return program.fullest(most);
}

function slotsOf(program: Program, { values }: SetsInParts): SetSlot[] {
  const { calendar } = program;
  return program.days.flatMap((day) => {
    const sets = program.sets
      .filter((one) => one.day === day)
      .flatMap((one) => new Array<typeof one>(Math.round(values[one.column]!)).fill(one));
    const stays = program.stays
      .filter((one) => one.day === day)
      .flatMap((one) => new Array<number>(Math.round(values[one.column]!)).fill(one.hatcher));
    // The largest go where most room is: of like days the order of classes is kept.
    return sets.map(
      ({ setter, trays }, i): SetSlot => ({
        calendar,
        day,
        setter,
        trays,
        hatcher: stays[i] ?? -1,
      }),
    );
  });
}
