/** Farms drawn at random, as season files; the same seed gives the same farm. */
import { dayOf, type Farm, kindOf, number } from './rules.ts';

/** Numbers that look random and are the same in each run (Lehmer, modulus 2^31 - 1). */
export class Draw {
  #state: number;
  constructor(seed: number) {
    this.#state = (seed * 7919 + 1) % 2_147_483_647;
    for (let i = 0; i < 5; i++) this.part();
  }
  part(): number {
    this.#state = (this.#state * 48_271) % 2_147_483_647;
    return this.#state / 2_147_483_647;
  }
  whole(low: number, high: number): number {
    return low + Math.floor(this.part() * (high - low + 1));
  }
  of<T>(all: readonly T[]): T {
    return all[this.whole(0, all.length - 1)]!;
  }
  chance(part: number): boolean {
    return this.part() < part;
  }
  /** How many of some come true. */
  count(all: number, part: number): number {
    let found = 0;
    for (let i = 0; i < all; i++) if (this.chance(part)) found++;
    return found;
  }
}

const kinds = ['chicken', 'chicken', 'chicken', 'duck', 'turkey', 'bantam'] as const;
const size: Readonly<Record<string, number>> = { chicken: 1, bantam: 1.1, duck: 0.7, turkey: 0.7 };
const week = ['mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun'];
const lineNames = ['dorking', 'harlequin', 'buff'];

/** Days at which birds are counted that are not counted at the hatch. */
const AGE = { pullets: 150, cockerels: 110, birds: 110 };

export type DrawnFarm = { readonly farm: Farm & Record<string, unknown>; readonly today: string };

export function drawnFarm(draw: Draw): DrawnFarm {
  const today = dayOf(number('2027-02-01') + draw.whole(0, 40));
  const after = (days: number) => dayOf(number(today) + days);
  const names = lineNames.slice(0, draw.chance(0.6) ? 1 : draw.chance(0.7) ? 2 : 3);
  const lines = Object.fromEntries(
    names.map((name) => {
      const species = draw.of(kinds);
      return [name, { species, point_of_lay_days: AGE.pullets }];
    }),
  );
  const pens: Record<string, Farm['pens'][string]> = {};
  for (const line of names)
    for (let i = draw.chance(0.3) ? 2 : 1; i > 0; i--) {
      const hens = draw.whole(3, 18);
      pens[`${line}-${i}`] = {
        line,
        hens,
        ...{ males: Math.ceil(hens / 5) },
        joined: after(-draw.whole(0, 45)),
        ...(draw.chance(0.2) ? { parted: after(draw.whole(30, 90)) } : {}),
      };
    }
  const species = [...new Set(Object.values(lines).map((one) => one.species))];
  const holding = (eggs: number) =>
    Object.fromEntries(species.map((kind) => [kind, Math.ceil(eggs * size[kind]!)]));
  const closed = () => {
    if (!draw.chance(0.15)) return [];
    const from = draw.whole(5, 60);
    return [{ from: after(from), to: after(from + draw.whole(2, 14)) }];
  };
  const machines = <T>(name: string, count: number, make: () => T) =>
    Object.fromEntries(Array.from({ length: count }, (_, i) => [`${name}${i + 1}`, make()]));
  const farm = {
    format: 'traybook/1',
    season: 2027,
    place: { name: 'Low Croft', timezone: draw.of(['UTC', 'Europe/London', 'America/Denver']) },
    lines,
    pens,
    setters: machines('setter', draw.chance(0.7) ? 1 : 2, () => ({
      trays: draw.whole(1, 5),
      tray_holds: holding(draw.whole(15, 45)),
      closed: closed(),
    })),
    hatchers: machines('hatcher', draw.of([0, 1, 1, 1, 2]), () => ({
      holds: holding(draw.whole(25, 90)),
      clean_days: draw.whole(0, 2),
      one_set_at_a_time: draw.chance(0.6),
      closed: closed(),
    })),
    ...(draw.chance(0.3)
      ? { brooders: machines('roof', draw.whole(1, 3), () => ({ area: draw.whole(3, 20) })) }
      : {}),
    storage: { max_days: draw.whole(5, 11) },
    setting: draw.chance(0.3)
      ? { from: after(draw.whole(-5, 20)), to: after(draw.whole(40, 90)) }
      : {},
    days_off: {
      set: draw.chance(0.6) ? week.filter(() => draw.chance(0.6)).slice(0, 5) : [],
      transfer: draw.chance(0.2) ? [draw.of(week)] : [],
      hatch: draw.chance(0.2) ? [draw.of(week)] : [],
      dates: draw.chance(0.3) ? [after(draw.whole(0, 60)), after(draw.whole(0, 60))] : [],
    },
    goals: names.flatMap((line) =>
      draw.chance(0.25) ? [goalOf(line), goalOf(line)] : [goalOf(line)],
    ),
    orders: draw.chance(0.35) ? [orderOf(draw.of(names))] : [],
    plan: [],
  };
  return { farm, today };

  function goalOf(line: string) {
    const want = draw.of(['chicks', 'chicks', 'pullets', 'pullets', 'cockerels', 'birds'] as const);
    const { hatch_window_days, hatch_day } = kindOf(lines[line]!.species);
    const hatched = want === 'chicks' ? hatch_window_days.value.high : hatch_day.value + AGE[want];
    return {
      line,
      want,
      count: draw.whole(3, Math.max(4, (want === 'chicks' ? 2 : 1) * hensOf(line))),
      by: after(draw.whole(45, 95) + hatched),
      confidence: draw.of([0.7, 0.8, 0.9, 0.9, 0.95]),
      ...(draw.chance(0.4) ? { fate: draw.of(['sold', 'given', 'table']) } : {}),
    };
  }

  /** About as many birds as its hens give in two weeks. */
  function hensOf(line: string): number {
    return Object.values(pens).reduce((sum, pen) => (pen.line === line ? sum + pen.hens! : sum), 0);
  }

  function orderOf(line: string) {
    const { hatch_window_days } = kindOf(lines[line]!.species);
    const from = draw.whole(40, 65) + hatch_window_days.value.high;
    return {
      for: 'the market',
      line,
      want: 'chicks' as const,
      count: draw.whole(2, Math.max(3, hensOf(line))),
      from: after(from),
      by: after(from + draw.whole(5, 14)),
      confidence: draw.of([0.8, 0.9]),
    };
  }
}
