/**
 * Which sets go to which hatchers, where a program counts sets by setter and by hatcher apart.
 */

import { NO_PART } from './dive.ts';
import {
  type EggsInWay,
  eggsName,
  type HatchingModel,
  type SetColumn,
  setsName,
  traysName,
  type Way,
} from './hatching-model.ts';
import { amountOf } from './linear-program.ts';
import type { ChosenSets } from './set-search.ts';

/** One set of a solution along a way, and its eggs by kind. */
interface One {
  way: Way;
  eggs: ReadonlyMap<number, number>;
}

export interface Paired {
  chosen: ChosenSets[];
  /** Sets, trays and eggs by the names of the columns of a program that counts machines together. */
  values: Map<string, number>;
}

/**
 * Of the sets of one calendar and day the fullest goes to the hatcher that is to take most, and so on.
 * Null where one would go to a hatcher that none of its eggs fit. Sets without eggs are left out.
 */
export function paired(model: HatchingModel, values: Float64Array): Paired | null {
  const { problem } = model;
  const chosen = new Map<string, ChosenSets>();
  const named = new Map<string, number>();
  const add = (name: string, amount: number) => named.set(name, (named.get(name) ?? 0) + amount);
  const days = new Set(model.sets.map(({ timing, day }) => `${timing} ${day}`));
  for (const at of days) {
    const [timing, day] = at.split(' ').map(Number) as [number, number];
    const ofDay = (sets: readonly SetColumn[], eggs: readonly EggsInWay[]): One[] =>
      singles(
        sets.filter((one) => one.timing === timing && one.day === day),
        eggs.filter((one) => problem.kinds[one.kind]!.timing === timing && one.day === day),
        values,
      );
    const starts = ofDay(model.sets, model.trays);
    const stays = ofDay(model.stays, model.eggsInHatchers);
    for (const start of starts) {
      if (start.eggs.size === 0) continue;
      const fitting = stays.findIndex(({ way }) =>
        [...start.eggs.keys()].some((kind) => problem.hatchers[way.hatcher]!.holds[kind]! > 0),
      );
      if (fitting < 0) return null;
      const [stay] = stays.splice(fitting, 1);
      const way = { setter: start.way.setter, hatcher: stay!.way.hatcher };
      const key = `${at} ${way.setter} ${way.hatcher}`;
      const known = chosen.get(key);
      if (known) known.sets += 1;
      else chosen.set(key, { ...way, timing, day, sets: 1 });
      add(setsName(problem, timing, day, way), 1);
      for (const [kind, eggs] of start.eggs) {
        add(eggsName(problem, kind, day, way), eggs);
        const trays = Math.ceil(eggs / problem.setters[way.setter]!.holds[kind]! - NO_PART);
        add(traysName(problem, kind, day, way), trays);
      }
    }
  }
  return { chosen: [...chosen.values()], values: named };
}

/** The sets of one calendar and day one by one, the fullest first; those of one way are alike. */
function singles(
  sets: readonly SetColumn[],
  eggs: readonly EggsInWay[],
  values: Float64Array,
): One[] {
  return sets
    .flatMap(({ column, setter, hatcher }): One[] => {
      const count = Math.round(values[column]!);
      const own = eggs.filter((one) => one.setter === setter && one.hatcher === hatcher);
      const each = new Map(
        own.flatMap((one) => {
          const amount = amountOf(one.eggs, values) / count;
          return amount > NO_PART ? [[one.kind, amount]] : [];
        }),
      );
      return Array.from({ length: count }, () => ({ way: { setter, hatcher }, eggs: each }));
    })
    .sort((a, b) => sizeOf(b) - sizeOf(a));
}

const sizeOf = ({ eggs }: One) => [...eggs.values()].reduce((sum, amount) => sum + amount, 0);
