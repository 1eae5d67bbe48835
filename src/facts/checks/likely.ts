import type { Row } from '../../records/record.ts';
import { penOn } from '../../season/pens.ts';
import { shortDay } from '../../tables/numbers.ts';
import { type Day, daysBetween } from '../../text/day.ts';
import { type Fault, fault } from '../../text/fault.ts';
import { entry } from '../entry.ts';
import type { Check } from './check.ts';

/** `unlikely-figure`: a count or a mass that is very unlikely, most often a slip. */
export const unlikelyFigure: Check = ({ season }) => {
  const faults: Fault[] = [];
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
    faults.push(
      fault(
        'unlikely-figure',
        row.at,
        `${name}: ${eggs} eggs of ${hens} hens${days > 1 ? ` in ${days} days` : ' in a day'}`,
        { pen: name, about: row.entry, hint: 'a hen lays an egg a day at most: count again' },
      ),
    );
  }
  const weigh = (row: Row, name: string | null, eggs: number, mass: number | null): void => {
    const set = season.sets.get(String(row.values.set));
    if (mass === null || set === undefined) return;
    const { low, high } = set.species.egg_g.value;
    const each = mass / eggs;
    const { value: room } = entry.egg_mass_room;
    if (each >= low / room && each <= high * room) return;
    faults.push(
      fault(
        'unlikely-figure',
        row.at,
        `${set.name}${name === null ? '' : ` ${name}`}: ${mass} g of ${eggs} eggs is ${each.toPrecision(3)} g an egg; ${set.species.name} eggs are of ${low} to ${high} g`,
        {
          set: set.name,
          pen: name,
          about: row.entry,
          hint: 'weigh without the tray, and count the eggs on it',
        },
      ),
    );
  };
  for (const row of season.rows.weighing)
    weigh(row, row.values.pen, row.values.eggs, row.values.mass_g);
  for (const row of season.rows.set) weigh(row, row.values.pen, row.values.eggs, row.values.mass_g);
  return faults;
};

/** `day-not-written`: days between the first and the last eggs row of a pen that have none. */
export const dayNotWritten: Check = ({ season }) => {
  const faults: Fault[] = [];
  for (const pen of season.pens.values()) {
    if (pen.bought !== null) continue;
    const rows = season.rows.eggs.filter((row) => row.values.pen === pen.name);
    const gaps: string[] = [];
    let days = 0;
    rows.forEach((row, index) => {
      const before = rows[index - 1];
      const missed = before === undefined ? 0 : daysBetween(before.on.day, row.on.day) - 1;
      if (missed <= 0) return;
      days += missed;
      gaps.push(
        missed === 1
          ? `after ${shortDay(before!.on.day)}`
          : `${missed} after ${shortDay(before!.on.day)}`,
      );
    });
    if (days === 0) continue;
    faults.push(
      fault(
        'day-not-written',
        rows.at(-1)!.at,
        `${pen.name}: eggs are not written down of ${days} ${days === 1 ? 'day' : 'days'} (${gaps.slice(0, MOST_GAPS).join(', ')}${gaps.length > MOST_GAPS ? ', …' : ''})`,
        {
          pen: pen.name,
          about: pen.name,
          hint: `if eggs were gathered: traybook add eggs ${pen.name} --on DAY --laid N --kept N`,
        },
      ),
    );
  }
  return faults;
};

const MOST_GAPS = 5;

/** `unknown-order`: birds or eggs delivered to an order that season.yaml does not name. */
export const unknownOrder: Check = ({ season }) => {
  const known = new Set(season.values.orders.map((one) => one.for));
  return [...season.rows.leaving, ...season.rows['eggs-out']].flatMap((row) => {
    const { order } = row.values;
    if (order === '' || known.has(order)) return [];
    return [
      fault(
        'unknown-order',
        row.at,
        `order: ${JSON.stringify(order)} is not among orders: of season.yaml`,
        {
          about: order,
          severity: 'warning',
          hint:
            known.size === 0
              ? 'add it under orders: in season.yaml'
              : `orders: ${[...known].join('; ')}`,
        },
      ),
    ];
  });
};
