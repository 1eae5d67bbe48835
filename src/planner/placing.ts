/**
 * Which machine each stay goes to, where machines are planned by their sum: whole sets must lie in one
 * machine, and what is free may be scattered over several.
 */

/** Days [from, to) in a machine. */
export interface PlacedStay {
  from: number;
  to: number;
}

/** A machine with room for so much at a time, and what lies in it already. */
export interface Machine {
  room: number;
  taken: readonly (PlacedStay & { size: number })[];
}

/** A stay to be placed: the machines that could take it, what it takes of each, and how ill it suits. */
export interface Placing extends PlacedStay {
  choices: readonly { machine: number; size: number; cost: number }[];
}

export const meets = (a: PlacedStay, b: PlacedStay) => a.from < b.to && b.from < a.to;

/** The most that lies in a machine on any day of a stay. */
function load(taken: Machine['taken'], stay: PlacedStay): number {
  const meeting = taken.filter((one) => meets(one, stay));
  return [stay.from, ...meeting.map(({ from }) => Math.max(from, stay.from))].reduce(
    (most, day) =>
      Math.max(
        most,
        meeting.reduce((sum, o) => sum + (o.from <= day && day < o.to ? o.size : 0), 0),
      ),
    0,
  );
}

/** Choices tried at most: where there is a way, nearly always the first of each will do (judgement). */
const MOST_TRIES = 10_000;

/**
 * A machine for each stay, so that none is over its room on any day; if no such way is found, the first one
 * that found none. In order of day each takes the fullest machine that suits it best; where a later one
 * then finds none, another is taken.
 */
export function placed(
  stays: readonly Placing[],
  machines: readonly Machine[],
): number[] | { unplaced: number } {
  const taken = machines.map((one) => [...one.taken]);
  const found: number[] = new Array(stays.length);
  const order = stays.map((_, i) => i).sort((a, b) => stays[a]!.from - stays[b]!.from);
  let unplaced: number | null = null;
  let tries = 0;
  const place = (at: number): boolean => {
    const i = order[at];
    if (i === undefined) return true;
    const { choices, from, to } = stays[i]!;
    const free = choices
      .map((choice) => {
        const { room } = machines[choice.machine]!;
        return { ...choice, left: room - load(taken[choice.machine]!, stays[i]!) - choice.size };
      })
      .filter(({ left }) => left >= 0)
      .sort((a, b) => a.cost - b.cost || a.left - b.left || a.machine - b.machine);
    if (free.length === 0) unplaced ??= i;
    for (const { machine, size } of free) {
      if (tries++ >= MOST_TRIES) return false;
      found[i] = machine;
      taken[machine]!.push({ from, to, size });
      if (place(at + 1)) return true;
      taken[machine]!.pop();
    }
    return false;
  };
  return place(0) ? found : { unplaced: unplaced! };
}
