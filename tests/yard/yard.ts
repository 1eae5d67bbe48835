// A yard that goes on by itself, hour by hour, with laws of its own: nothing here is asked of the
// program. Machines wander and break, gauges err, power fails, eggs live and die, chicks hatch early
// and late, foxes come. A keeper (keeper.ts) sees only what an eye, a gauge or a lamp would show.
//
// Figures, from memory of extension texts unless said otherwise: a hen's egg hatches after 21 days, a
// duck's after 28, a goose's after 30; a day in store past the third adds an hour (common practice); a
// degree warm or cool through the term moves the hatch by some 30 hours (half a day to a day a degree
// Fahrenheit); growth stands still below 27 °C. Chicks begin under 95 °F, 5 °F less a week down to
// 70 °F; ducklings and goslings under 90 °F, some 7 °F less a week. The rest is judgement.

/** A stream of chance from a seed (mulberry32, from memory): the same season for the same seed. */
export class Chance {
  #state: number;
  constructor(seed: number) {
    this.#state = seed >>> 0;
  }
  next(): number {
    this.#state = (this.#state + 0x6d2b79f5) >>> 0;
    let t = this.#state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
  }
  between(low: number, high: number): number {
    return low + (high - low) * this.next();
  }
  whole(low: number, high: number): number {
    return Math.floor(this.between(low, high + 1));
  }
  is(chance: number): boolean {
    return this.next() < chance;
  }
  normal(sd: number): number {
    return sd * Math.sqrt(-2 * Math.log(1 - this.next())) * Math.cos(2 * Math.PI * this.next());
  }
}

export type KindName = 'chicken' | 'duck' | 'goose';

export type Kind = {
  readonly term: number;
  /** Hours of scatter from egg to egg, and from hole to chick. */
  readonly scatter: number;
  readonly pip: { readonly low: number; readonly high: number };
  /** Day on which eggs go to the hatcher. */
  readonly transfer: number;
  /** °C at which a machine is run that turns eggs of this kind beside those of hens. */
  readonly aim: number;
  readonly massG: number;
  readonly lossPercent: number;
  /** °C at the edge of the heat in the first week, and how much less each week. */
  readonly heat: { readonly first: number; readonly step: number };
};

export const yardKinds: Readonly<Record<KindName, Kind>> = {
  chicken: {
    term: 21,
    scatter: 6,
    pip: { low: 8, high: 24 },
    transfer: 18,
    aim: 37.5,
    massG: 58,
    lossPercent: 12,
    heat: { first: 35, step: 2.8 },
  },
  duck: {
    term: 28,
    scatter: 8,
    pip: { low: 20, high: 40 },
    transfer: 25,
    aim: 37.5,
    massG: 78,
    lossPercent: 13,
    heat: { first: 32, step: 3.6 },
  },
  goose: {
    term: 30,
    scatter: 16,
    pip: { low: 24, high: 60 },
    transfer: 27,
    aim: 37.35,
    massG: 160,
    lossPercent: 12,
    heat: { first: 32, step: 4.5 },
  },
};

/** °C to which growth stands still, and at which it runs at its full pace. */
const STILL_C = 27;
const FULL_C = 36;
/** Hours that a degree through the whole term moves the hatch. */
const HOURS_A_DEGREE = 30;

export type YardEgg = {
  readonly fertile: boolean;
  /** Day of incubation on which it dies; infinite for those that hatch. */
  diesOn: number;
  /** Hours of growth it needs, and before that the hole. */
  readonly needs: number;
  readonly pipsBefore: number;
  growth: number;
  hatchedAt: number | null;
  isOut: boolean;
};

export type YardSet = {
  readonly name: string;
  readonly kind: KindName;
  readonly setAt: number;
  machine: string;
  eggs: YardEgg[];
  /** Hours on which it lay cold, of which the keeper knows nothing but that the power was off. */
  lost: number;
};

export type Fault = {
  readonly machine: string;
  readonly kind: 'heater' | 'gauge';
  readonly size: number;
  readonly from: number;
  /** Hours until it is there in full: 0 for a part that breaks. */
  readonly ramp: number;
  mendedAt: number | null;
};

export type Machine = {
  readonly name: string;
  aim: number;
  trueC: number;
  wander: number;
  phase: number;
  /** What the keeper has found out and entered, to be added to the gauge. */
  corrected: number;
};

export type Cut = { readonly from: number; readonly hours: number; readonly room: number };

/** A roof with birds of one hatch after another: the hours at which each lot of them came out. */
export type Roof = { heat: number | null; lots: Lot[] };

export type Lot = { readonly kind: KindName; readonly from: number; birds: number };

export class Yard {
  readonly chance: Chance;
  hour = 0;
  readonly sets: YardSet[] = [];
  readonly machines = new Map<string, Machine>();
  readonly faults: Fault[] = [];
  readonly cuts: Cut[] = [];
  readonly roofs = new Map<string, Roof>();
  readonly foxes: number[] = [];
  readonly #cooling: number;

  /** @param aim °C at which the keeper runs the machine that turns eggs */
  constructor(seed: number, aim: number, hours: number) {
    this.chance = new Chance(seed);
    this.#cooling = this.chance.between(4, 9);
    for (const [name, runs] of [
      ['cabinet', aim],
      ['lower', 36.9],
    ] as const)
      this.machines.set(name, {
        name,
        aim: runs,
        trueC: runs,
        wander: 0,
        phase: this.chance.between(0, 6),
        corrected: 0,
      });
    // A fault every two or three weeks, in turn in each machine, once there are eggs to hurt.
    for (let at = this.chance.whole(9 * 24, 16 * 24); at < hours - 20 * 24; ) {
      const warm = this.chance.is(0.5) ? 1 : -1;
      this.faults.push({
        machine: this.chance.is(0.7) ? 'cabinet' : 'lower',
        kind: this.chance.is(0.7) ? 'heater' : 'gauge',
        size: warm * this.chance.between(0.5, 1.3),
        from: at,
        ramp: this.chance.is(0.4) ? this.chance.whole(24, 120) : 0,
        mendedAt: null,
      });
      at += this.chance.whole(12 * 24, 20 * 24);
    }
    for (let at = this.chance.whole(6 * 24, 30 * 24); at < hours - 10 * 24; ) {
      this.cuts.push({
        from: at,
        hours: this.chance.whole(1, 14),
        room: this.chance.between(6, 18),
      });
      at += this.chance.whole(15 * 24, 35 * 24);
    }
    for (let at = this.chance.whole(40 * 24, 60 * 24); at < hours - 5 * 24; ) {
      this.foxes.push(at);
      at += this.chance.whole(20 * 24, 40 * 24);
    }
  }

  /** °C by which a fault moves a machine, or its gauge, in this hour. */
  faultC(fault: Fault): number {
    if (this.hour < fault.from) return 0;
    // A gauge that was found out errs as before, and is corrected on paper.
    if (fault.mendedAt !== null && this.hour >= fault.mendedAt)
      return fault.kind === 'gauge' ? fault.size : 0;
    return fault.ramp === 0
      ? fault.size
      : fault.size * Math.min(1, (this.hour - fault.from) / fault.ramp);
  }

  #faultsIn(machine: string, kind: Fault['kind']): number {
    return this.faults
      .filter((one) => one.machine === machine && one.kind === kind)
      .reduce((sum, one) => sum + this.faultC(one), 0);
  }

  cutNow(): Cut | null {
    return (
      this.cuts.find((one) => one.from <= this.hour && this.hour < one.from + one.hours) ?? null
    );
  }

  /** What the gauge of a machine shows now, to a tenth. */
  gauge(machine: Machine): number {
    const seen = machine.trueC + this.#faultsIn(machine.name, 'gauge') + this.chance.normal(0.06);
    return Math.round(seen * 10) / 10;
  }

  /** Percent, of an instrument that errs by some points. */
  hygrometer(machine: Machine): number {
    return Math.round((machine.name === 'lower' ? 77 : 58) + this.chance.normal(2));
  }

  layEggs(set: Omit<YardSet, 'eggs' | 'lost'>, ages: readonly number[]): YardSet {
    const kind = yardKinds[set.kind];
    const together = this.chance.normal(3);
    const eggs = ages.map((age): YardEgg => {
      const fertile = this.chance.is(0.9);
      const stored = Math.max(0, age - 3);
      const dies = this.chance.is(0.05)
        ? this.chance.whole(1, 4)
        : this.chance.is(0.08)
          ? this.chance.whole(5, kind.term - 1)
          : Number.POSITIVE_INFINITY;
      return {
        fertile,
        diesOn: fertile ? dies : 0,
        needs: kind.term * 24 + stored + together + this.chance.normal(kind.scatter),
        pipsBefore: this.chance.between(kind.pip.low, kind.pip.high),
        growth: 0,
        hatchedAt: null,
        isOut: false,
      };
    });
    const made = { ...set, eggs, lost: 0 };
    this.sets.push(made);
    return made;
  }

  /** An hour goes by. */
  step(): void {
    this.hour += 1;
    const cut = this.cutNow();
    for (const machine of this.machines.values()) {
      machine.wander = 0.93 * machine.wander + this.chance.normal(0.02);
      const slow = 0.06 * Math.sin(this.hour / (24 * 4) + machine.phase);
      const runs = machine.aim + machine.wander + slow + this.#faultsIn(machine.name, 'heater');
      if (cut !== null)
        machine.trueC = cut.room + (machine.trueC - cut.room) * Math.exp(-1 / this.#cooling);
      else machine.trueC = runs + (machine.trueC - runs) * Math.exp(-1 / 0.7);
    }
    for (const set of this.sets) {
      const celsius = this.machines.get(set.machine)!.trueC;
      const kind = yardKinds[set.kind];
      // The hatcher runs a little cooler, which is no cold to eggs that make heat of their own.
      const usual = this.machines.get(set.machine)!.aim;
      const pace =
        celsius >= FULL_C
          ? 1 + ((celsius - usual) * HOURS_A_DEGREE) / (kind.term * 24)
          : Math.max(0, (celsius - STILL_C) / (FULL_C - STILL_C));
      if (celsius < FULL_C) set.lost += 1 - pace;
      const day = (this.hour - set.setAt) / 24;
      for (const egg of set.eggs) {
        if (egg.hatchedAt !== null || day >= egg.diesOn) continue;
        egg.growth += pace;
        if (egg.growth >= egg.needs) egg.hatchedAt = this.hour;
      }
      // A long cold kills some, the late ones first.
      if (celsius < 24)
        for (const egg of set.eggs)
          if (egg.hatchedAt === null && this.chance.is(0.012))
            egg.diesOn = Math.min(egg.diesOn, day);
    }
  }

  isAlive(set: YardSet, egg: YardEgg): boolean {
    return egg.hatchedAt === null && (this.hour - set.setAt) / 24 < egg.diesOn;
  }

  /** Live eggs that have broken the shell, or will. */
  liveToCome(set: YardSet): number {
    return set.eggs.filter((egg) => this.isAlive(set, egg)).length;
  }

  /** Hours out of the shell that chicks of a set which nobody has taken off have been. */
  chicksIn(set: YardSet): YardEgg[] {
    return set.eggs.filter((egg) => egg.hatchedAt !== null && !egg.isOut);
  }

  /** °C that the youngest birds under a roof want at the edge of the heat; null past the fifth week. */
  wanted(roof: Roof): number | null {
    const lots = roof.lots.filter((lot) => lot.birds > 0);
    if (lots.length === 0) return null;
    const youngest = lots.reduce((a, b) => (b.from > a.from ? b : a));
    const { first, step } = yardKinds[youngest.kind].heat;
    // A chick found on the second day of a hatch is of one age with those of the first to any table.
    const weeks = Math.floor((this.hour + 36 - youngest.from) / (7 * 24));
    return weeks >= 5 ? null : Math.max(21, first - step * weeks);
  }
}
