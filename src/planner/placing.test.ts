import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Machine, meets, type Placing, placed } from './placing.ts';

const anywhere = (from: number, to: number, size: number, machines = 2): Placing => ({
  from,
  to,
  choices: Array.from({ length: machines }, (_, machine) => ({ machine, size, cost: 0 })),
});
const empty = (room: number): Machine => ({ room, taken: [] });

/** What lies in each machine on a day, by adding up. */
function lying(
  stays: readonly Placing[],
  at: readonly number[],
  machine: number,
  day: number,
): number {
  return stays.reduce((sum, stay, i) => {
    const here = at[i] === machine && stay.from <= day && day < stay.to;
    return here ? sum + stay.choices.find((one) => one.machine === machine)!.size : sum;
  }, 0);
}

describe('stays in machines', () => {
  test('the fullest machine that still has room is taken', () => {
    const machines = [empty(4), { room: 4, taken: [{ from: 0, to: 30, size: 1 }] }];
    expect(placed([anywhere(0, 18, 3)], machines)).toEqual([1]);
  });

  test('a stay goes where it suits less only if it must', () => {
    const choices = [
      { machine: 0, size: 2, cost: 0 },
      { machine: 1, size: 2, cost: 1 },
    ];
    const stays = [0, 1, 2].map((from) => ({ from, to: from + 18, choices }));
    expect(placed(stays, [empty(4), empty(4)])).toEqual([0, 0, 1]);
  });

  test('where one after the other runs out of room, another machine is taken', () => {
    // Two of 2 and two of 3 in machines of 5: filled up in order the twos lie together (4 of 5), and
    // no machine but one has room for a three. Each must take a two and a three.
    const stays = [anywhere(0, 18, 2), anywhere(1, 19, 2), anywhere(2, 20, 3), anywhere(3, 21, 3)];
    const at = placed(stays, [empty(5), empty(5)]);
    expect(at).toHaveLength(4);
    const [a, b, c, d] = at as number[];
    expect(a).not.toBe(b);
    expect(c).not.toBe(d);
  });

  test('there may be no way though there is room in sum', () => {
    // Three of 2 in two machines of 3: six places, and one machine takes but one of them.
    const stays = [anywhere(0, 18, 2), anywhere(0, 18, 2), anywhere(0, 18, 2)];
    expect(placed(stays, [empty(3), empty(3)])).toEqual({ unplaced: 2 });
  });

  test('no machine is ever over its room, and a way is found where trying all finds one', () => {
    const stay = fc
      .record({
        from: fc.nat(12),
        days: fc.integer({ min: 1, max: 8 }),
        size: fc.integer({ min: 1, max: 3 }),
      })
      .map(({ from, days, size }) => anywhere(from, from + days, size));
    fc.assert(
      fc.property(fc.array(stay, { minLength: 1, maxLength: 6 }), (stays) => {
        const machines = [empty(3), empty(4)];
        const days = stays.map(({ from }) => from);
        const fits = (at: readonly number[]) =>
          machines.every(({ room }, m) => days.every((day) => lying(stays, at, m, day) <= room));
        const ways = Array.from({ length: 2 ** stays.length }, (_, bits) =>
          stays.map((_, i) => (bits >> i) & 1),
        );
        const found = placed(stays, machines);
        expect('unplaced' in found).toBe(!ways.some(fits));
        if (!('unplaced' in found)) expect(fits(found)).toBe(true);
      }),
      { numRuns: 60 },
    );
  });
});

test('half-open stays that only touch do not meet', () => {
  expect(meets({ from: 0, to: 3 }, { from: 3, to: 5 })).toBe(false);
  expect(meets({ from: 0, to: 4 }, { from: 3, to: 5 })).toBe(true);
});
