import type { Row } from '../../records/record.ts';
import { penOn } from '../../season/pens.ts';
import { plural, shortDay } from '../../tables/numbers.ts';
import { type Day, daysBetween } from '../../text/day.ts';
import { type Fault, fault } from '../../text/fault.ts';
import { gathered } from '../../text/lists.ts';
import { entry } from '../entry.ts';
import type { Check, Checked } from './check.ts';

/** `unlikely-figure`: a count or a mass that is very unlikely, most often a slip. */
export const unlikelyFigure = gathered(function* ({ season }: Checked): Generator<Fault> {
  const last = new Map<string, Day>();
  for (const row of season.rows.eggs) {
    const { pen: name, laid, kept } = row.values;
    const pen = season.pens.get(name)!;
    const before = last.get(name);
    last.set(name, row.on.day);
    const hens = row.values.hens ?? penOn(pen, row.on.day).hens;
    if (pen.bought !== null || hens === 0) continue;
    const { value: longest } = entry.gathered_days;
    const gap = before === undefined ? longest : Math.max(1, daysBetween(before, row.on.day));
    const days = Math.min(gap, longest);
    const most = hens * days * entry.eggs_a_hen_a_day.value + entry.eggs_found_late.value;
    const eggs = laid ?? kept;
    if (eggs <= most) continue;
    yield fault(
      'unlikely-figure',
      row.at,
      `${name}: ${plural(eggs, 'egg')} of ${plural(hens, 'hen')}${days > 1 ? ` in ${days} days` : ' in a day'}`,
      { pen: name, about: row.entry, hint: 'a hen lays an egg a day at most: count again' },
    );
  }
  const weighed: readonly (Row & { readonly values: Weighed })[] = [
    ...season.rows.weighing,
    ...season.rows.set,
  ];
  for (const row of weighed) {
    const { pen, eggs, mass_g: mass } = row.values;
    const set = season.sets.get(row.values.set);
    if (mass === null || set === undefined) continue;
    const { low, high } = set.species.egg_g.value;
    const each = mass / eggs;
    const { value: room } = entry.egg_mass_room;
    if (each >= low / room && each <= high * room) continue;
    yield fault(
      'unlikely-figure',
      row.at,
      `${set.name}${pen === null ? '' : ` ${pen}`}: ${mass} g of ${plural(eggs, 'egg')} is ${each.toPrecision(3)} g an egg; ${set.species.name} eggs are of ${low} to ${high} g`,
      {
        set: set.name,
        pen,
        about: row.entry,
        hint: 'weigh without the tray, and count the eggs on it',
      },
    );
  }
});

type Weighed = {
  readonly set: string;
  readonly pen: string | null;
  readonly eggs: number;
  readonly mass_g: number | null;
};

/** `day-not-written`: days between the first and the last eggs row of a pen that have none. */
export const dayNotWritten = gathered(function* ({ season }: Checked): Generator<Fault> {
  for (const { name, bought } of season.pens.values()) {
    if (bought !== null) continue;
    const rows = season.rows.eggs.filter((row) => row.values.pen === name);
    const gaps = rows.slice(1).flatMap((row, index) => {
      const after = rows[index]!.on.day;
      const missed = daysBetween(after, row.on.day) - 1;
      return missed > 0 ? [{ missed, after: shortDay(after) }] : [];
    });
    const days = gaps.reduce((sum, { missed }) => sum + missed, 0);
    if (days === 0) continue;
    const named = gaps
      .slice(0, MOST_GAPS)
      .map(({ missed, after }) => (missed === 1 ? `after ${after}` : `${missed} after ${after}`));
    yield fault(
      'day-not-written',
      rows.at(-1)!.at,
      `${name}: eggs are not written down of ${days} ${days === 1 ? 'day' : 'days'} (${named.join(', ')}${gaps.length > MOST_GAPS ? ', …' : ''})`,
      {
        pen: name,
        about: name,
        hint: `if eggs were gathered: traybook add eggs ${name} --on DAY --laid N --kept N`,
      },
    );
  }
});

const MOST_GAPS = 5;

/** `unknown-order`: birds or eggs delivered to an order that season.yaml does not name. */
export const unknownOrder = gathered(function* ({ season }: Checked): Generator<Fault> {
  const known = season.values.orders.map((one) => one.for);
  for (const { at, values } of [...season.rows.leaving, ...season.rows['eggs-out']]) {
    const { order } = values;
    if (order === '' || known.includes(order)) continue;
    const hint =
      known.length === 0
        ? 'add it under orders: in season.yaml'
        : `orders: ${[...new Set(known)].join('; ')}`;
    yield fault(
      'unknown-order',
      at,
      `order: ${JSON.stringify(order)} is not among orders: of season.yaml`,
      { about: order, severity: 'warning', hint },
    );
  }
});

export const likelyChecks: readonly Check[] = [unlikelyFigure, dayNotWritten, unknownOrder];
