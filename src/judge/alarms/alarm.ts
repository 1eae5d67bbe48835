import { instantOf, type LocalMinute, localMinute } from '../../facts/local-time.ts';
import {
  bandsOn,
  type MachineBands,
  type MachineStay,
  machineStays,
} from '../../facts/machine-bands.ts';
import type { Now, Season } from '../../season/model.ts';
import { isAfter } from '../../season/moment.ts';
import type { Day, On } from '../../text/day.ts';
import { groupedBy } from '../../text/lists.ts';
import { type Sample, samplesOf } from './samples.ts';

export type AlarmCode =
  | 'chicks-waiting'
  | 'too-warm'
  | 'too-cold'
  | 'power-cut'
  | 'impossible-reading'
  | 'dry-wick'
  | 'too-damp'
  | 'too-dry'
  | 'drift'
  | 'early-hatch'
  | 'late-hatch'
  | 'off-weight'
  | 'set-lost'
  | 'out-too-early'
  | 'waterfowl-with-chicks'
  | 'losses';

/** Something that hurts eggs or birds now, until it is settled. */
export type Alarm = {
  /** `cabinet/too-warm/2027-04-20T07:10`: the same episode has the same id every morning. */
  readonly id: string;
  readonly code: AlarmCode;
  readonly place: string;
  readonly since: LocalMinute;
  readonly sets: readonly string[];
  /** What was seen, and what was to be seen, in words with units. */
  readonly value: string;
  readonly expected: string;
  readonly title: string;
  readonly why: string;
  /** What to look at, first things first. */
  readonly next: readonly string[];
};

/** A season at a moment, with what several rules ask, worked out once. */
export class Farm {
  readonly season: Season;
  readonly now: Now;
  readonly minute: LocalMinute;
  readonly unit: 'C' | 'F';
  readonly #known = new Map<(farm: Farm) => unknown, unknown>();
  readonly #samples = new Map<string, Sample[]>();
  readonly #bands = new Map<string, MachineBands | null>();

  constructor(season: Season, now: Now) {
    this.season = season;
    this.now = now;
    this.minute = `${now.day}T${now.time}`;
    this.unit = season.values.units.temperature;
  }

  /** What a function makes of this farm, made when it is first asked for: rules share their looks. */
  once<T>(make: (farm: Farm) => T): T {
    if (!this.#known.has(make)) this.#known.set(make, make(this));
    return this.#known.get(make) as T;
  }

  /** Machines with readings, in the order of season.yaml. */
  machines(): string[] {
    return this.once(machinesRead);
  }

  samples(machine: string): Sample[] {
    let known = this.#samples.get(machine);
    if (known === undefined) {
      known = samplesOf(this.season, machine).filter((one) => one.at <= this.minute);
      this.#samples.set(machine, known);
    }
    return known;
  }

  bands(machine: string, day: Day): MachineBands | null {
    const key = `${machine} ${day}`;
    let known = this.#bands.get(key);
    if (known === undefined) {
      known = bandsOn(this.season, this.#staysIn(machine), machine, day);
      this.#bands.set(key, known);
    }
    return known;
  }

  /** True if cold eggs were set in a machine on a day; those moved to a hatcher are warm. */
  isLoading(machine: string, day: Day): boolean {
    return this.#staysIn(machine).some((stay) => stay.from === day && stay.share.on.day === day);
  }

  #staysIn(machine: string): readonly MachineStay[] {
    return this.once(staysByMachine).get(machine) ?? [];
  }

  /** True if a row was written of a time up to now. */
  isPast(on: On): boolean {
    return !isAfter(on, this.now);
  }
}

function machinesRead({ season }: Farm): string[] {
  const read = new Set(season.rows.reading.map((row) => row.values.machine));
  return [...season.setters.keys(), ...season.hatchers.keys()].filter((one) => read.has(one));
}

const staysByMachine = ({ season }: Farm): ReadonlyMap<string, readonly MachineStay[]> =>
  groupedBy(machineStays(season), (stay) => stay.machine);

/** One moment at which a rule looks at a place. */
export type Look = { readonly at: LocalMinute };

/** What an alarm says of what was seen. */
export type Judgement = {
  readonly sets: readonly string[];
  readonly value: string;
  readonly expected: string;
  readonly title: string;
  /** Added to what the rule means. */
  readonly why?: string | undefined;
  /** Put before what the rule says to look at. */
  readonly next?: readonly string[] | undefined;
};

/** A place a rule watches. `key` tells alarms of one place apart where there may be several. */
export type Watched<L> = {
  readonly place: string;
  readonly key?: string;
  readonly looks: readonly L[];
};

/** What a rule is told by. */
type RuleWords = {
  readonly code: AlarmCode;
  readonly means: string;
  /** What to look at, first things first. */
  readonly look: readonly string[];
  /** Alarms of the same place that only follow from this one. */
  readonly mutes: readonly AlarmCode[];
};

/**
 * One rule: a stream of looks at each place, when an alarm begins (at any look, if not said), when it
 * ends by itself (never, if not said), and what it says. `means` and `look` are the guide's words too.
 */
export type AlarmRule<L extends Look = Look> = Omit<RuleWords, 'mutes'> & {
  readonly looks: (farm: Farm) => readonly Watched<L>[];
  readonly holds?: (look: L) => boolean;
  readonly clears?: (look: L) => boolean;
  readonly judge: (look: L, farm: Farm, place: string) => Judgement;
  readonly mutes?: readonly AlarmCode[];
};

/** What settles alarms besides the rules' own ends: ticks by id, acceptances by code and place. */
type Settlement = {
  readonly at: LocalMinute;
  readonly settles: (
    id: string,
    code: AlarmCode,
    place: string,
    sets: readonly string[],
  ) => boolean;
  /** An acceptance stands until the fault has gone; a tick until it shows again. */
  readonly isLasting: boolean;
};

/** What gives only its day is taken to be of the end of it. */
const endOf = (on: On): LocalMinute => `${on.day}T${on.time ?? '23:59'}`;

function settlementsOf(farm: Farm): Settlement[] {
  const past = <R extends { readonly on: On }>(rows: readonly R[]): R[] =>
    rows.filter((row) => farm.isPast(row.on));
  const ticks = past(farm.season.rows.tick).map(
    ({ on, values }): Settlement => ({
      at: endOf(on),
      settles: (id) => id === values.task,
      isLasting: false,
    }),
  );
  const accepted = past(farm.season.rows.acceptance).map(
    ({ on, values }): Settlement => ({
      at: endOf(on),
      settles: (id, code, place, sets) =>
        values.code === code && [id, place, ...sets].includes(values.about),
      isLasting: true,
    }),
  );
  return [...ticks, ...accepted];
}

/** An alarm that has begun and not ended. */
type Open<L> = { readonly since: LocalMinute; readonly last: L; readonly isAccepted: boolean };

/** The alarms of one rule that stand at the moment. */
export type JudgedRule = RuleWords & {
  readonly standing: (farm: Farm, settled: readonly Settlement[]) => Alarm[];
};

/**
 * A rule with its kind of look shut in: the looks of each place are gone through in order, an alarm
 * begins, changes with each later look, and ends by the rule, a tick or an acceptance.
 */
export function ruleOf<L extends Look>(rule: AlarmRule<L>): JudgedRule {
  const { code, means, look, mutes = [] } = rule;
  const { holds = () => true, clears = () => false } = rule;
  return {
    code,
    means,
    look,
    mutes,
    standing: (farm, settled) =>
      rule.looks(farm).flatMap(({ place, key, looks }) => {
        let open = null as Open<L> | null;
        const idOf = (since: LocalMinute): string => `${key ?? place}/${code}/${since}`;
        /** Settles what stands open by what was ticked or accepted from its last look up to a minute. */
        const settle = (until: LocalMinute): void => {
          if (open === null) return;
          const id = idOf(open.since);
          const { last } = open;
          const by = settled.filter(
            (one) =>
              one.at >= last.at &&
              one.at <= until &&
              one.settles(id, code, place, rule.judge(last, farm, place).sets),
          );
          if (by.some((one) => one.isLasting)) open = { ...open, isAccepted: true };
          else if (by.length > 0 && !open.isAccepted) open = null;
        };
        for (const one of looks) {
          if (one.at > farm.minute) break;
          // A tick of the same minute is of what was seen then.
          if (open !== null) settle(beforeMinute(one.at, farm));
          if (open !== null && clears(one)) open = null;
          else if (open !== null) open = { ...open, last: one };
          else if (holds(one)) open = { since: one.at, last: one, isAccepted: false };
        }
        settle('9999-12-31T23:59');
        if (open === null || open.isAccepted) return [];
        const { since, last } = open;
        const { why, next, ...said } = rule.judge(last, farm, place);
        return [
          {
            id: idOf(since),
            code,
            place,
            since,
            ...said,
            why: why === undefined ? means : `${why}; ${means}`,
            next: [...(next ?? []), ...look],
          },
        ];
      }),
  };
}

function beforeMinute(at: LocalMinute, farm: Farm): LocalMinute {
  return localMinute(instantOf(at, farm.season.zone) - 60_000, farm.season.zone);
}

/** Every alarm that stands, those that only follow from another at the same place left out. */
export function standingAlarms(rules: readonly JudgedRule[], farm: Farm): Alarm[] {
  const settled = settlementsOf(farm);
  const all = rules.flatMap((rule) => rule.standing(farm, settled));
  return all.filter(
    (one) =>
      !all.some(
        (other) =>
          other.place === one.place &&
          rules.find((rule) => rule.code === other.code)!.mutes.includes(one.code),
      ),
  );
}
