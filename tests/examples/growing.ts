// The birds of an invented season from the hatcher to the autumn. Every hatch becomes a group:
// of three chicken hatches two are reared as a pair, the third is sold within days from the crate;
// ducklings have a shed of their own. Pairs go to the tunnel, then out, then part by sex.
import { addDays, type Day, daysBetween } from '../../src/text/day.ts';
import type { Book, Scribe } from './book.ts';
import type { Farm, Hatched } from './farm.ts';

/** How a group stands at the end of the season, as the keeper could count it. */
export type Reared = {
  group: string;
  line: 'dorking' | 'harlequin';
  set: string;
  /** Shares its chicks came from. */
  pens: string[];
  /** Day of age 0. */
  hatched: Day;
  pullets: number;
  cockerels: number;
};

/** Days of age on which things happen to a pair's first and second group. */
const TO_TUNNEL = [40, 33];
const OUT = [55, 54];
/** Chicks of a reared group that are not sold as day-olds. */
const REARED = 18;
const MARKS: Record<string, string> = {
  north: 'toe punch, left outer',
  south: 'toe punch, right outer',
};

/** A cause of loss, and what the keeper noted of it. */
type Cause = readonly [string, string?];

/** Writes groups, moves, losses, sexings, leavings, treatments and the ticks of birds. */
export function growing(book: Book, farm: Farm, hatched: readonly Hatched[]): Reared[] {
  const scribe = book.scribe(farm.seed + 135);
  const bySet = new Map<string, Hatched[]>();
  for (const one of hatched) bySet.set(one.set, [...(bySet.get(one.set) ?? []), one]);
  const out: Reared[] = [];
  for (const parts of bySet.values()) {
    const number = Number(parts[0]!.set.slice(1));
    const flock = new Brood(scribe, farm, parts, number);
    if (parts[0]!.duck) rearDucks(flock);
    else if (number % 3 === 0) sellYoung(flock);
    else rearChickens(flock);
    // Counted once more by sex before winter, so that spring's pens can be planned.
    if (flock.living > 0) flock.sex(daysBetween(flock.hatched, `${farm.season}-11-24` as Day), 0);
    out.push(flock.standing());
  }
  treatPens(scribe, farm);
  return out;
}

/** A group with its true sexes, which the keeper learns only by sexing. */
class Brood {
  readonly name: string;
  readonly number: number;
  readonly hatched: Day;
  readonly isDuck: boolean;
  readonly mess: boolean;
  females: number;
  males: number;
  readonly #scribe: Scribe;
  readonly #parts: readonly Hatched[];

  constructor(scribe: Scribe, farm: Farm, parts: readonly Hatched[], number: number) {
    this.#scribe = scribe;
    this.#parts = parts;
    this.number = number;
    this.isDuck = parts[0]!.duck;
    this.name = `${this.isDuck ? 'K' : 'B'}${number}`;
    this.hatched = parts[0]!.hatched;
    this.mess = farm.mess;
    const sound = parts.reduce((sum, part) => sum + part.sound, 0);
    this.females = scribe.some(sound, 0.5);
    this.males = sound - this.females;
  }

  get living(): number {
    return this.females + this.males;
  }

  some(n: number, p: number): number {
    return this.#scribe.some(n, p);
  }

  at(age: number, time: string): string {
    return `${addDays(this.hatched, age)}T${time}`;
  }

  /** The morning after the hatch day everything dry goes under the heat. */
  place(brooder: string): void {
    for (const part of this.#parts) {
      if (part.sound === 0) continue;
      const cells = {
        group: this.name,
        set: part.set,
        pen: part.pen,
        brooder,
        chicks: part.sound,
        mark: this.isDuck ? '' : MARKS[part.pen]!,
      };
      const on = this.at(1, '10:30');
      // The keeper's mess: ducklings written into the chicks' barn, and put right the same evening.
      if (this.isDuck && this.mess && this.number === 2) {
        const wrong = this.#scribe.put('group', on, { ...cells, brooder: 'barn' });
        const note = 'wrote barn; they are in the shed, never with chicks';
        this.#scribe.put('group', on, cells, {
          recorded: recordedAt(on, '20:15'),
          amends: wrong!,
          note,
        });
      } else this.#scribe.put('group', on, cells);
    }
  }

  move(age: number, to: string, birds = this.living): void {
    if (birds > 0) this.#scribe.put('move', this.at(age, '09:00'), { group: this.name, to, birds });
  }

  lose(age: number, birds: number, [cause, note]: Cause): void {
    const gone = Math.min(birds, this.living);
    if (gone === 0) return;
    const females = Math.min(
      this.females,
      Math.max(gone - this.males, this.some(gone, this.females / this.living)),
    );
    this.females -= females;
    this.males -= gone - females;
    this.#scribe.put('loss', this.at(age, '07:40'), {
      group: this.name,
      birds: gone,
      cause,
      ...(note === undefined ? {} : { note }),
    });
  }

  /** Losses of a stage, each on a day of its own. */
  loseSome(from: number, to: number, rate: number, causes: readonly Cause[]): void {
    const dead = this.some(this.living, rate);
    for (let n = 0; n < dead; n += 1) {
      const age = from + Math.floor(((to - from) * (n + 0.5)) / dead);
      this.lose(age, 1, causes[(this.number + n) % causes.length]!);
    }
  }

  sex(age: number, unsure: number): void {
    const [f, m] = [this.some(this.females, unsure), this.some(this.males, unsure)];
    this.#scribe.put('sexing', this.at(age, '17:30'), {
      group: this.name,
      pullets: this.females - f,
      cockerels: this.males - m,
      unsure: f + m,
    });
  }

  leave(
    age: number,
    sex: 'female' | 'male' | 'unknown',
    birds: number,
    way: string,
    more: { mass_kg?: string; money?: string; note?: string } = {},
  ): void {
    const have = sex === 'female' ? this.females : sex === 'male' ? this.males : this.living;
    const gone = Math.min(birds, have);
    if (gone <= 0) return;
    const females =
      sex === 'female'
        ? gone
        : sex === 'male'
          ? 0
          : Math.min(this.females, Math.max(gone - this.males, this.some(gone, 0.5)));
    this.females -= females;
    this.males -= gone - females;
    const { note, ...cells } = more;
    this.#scribe.put(
      'leaving',
      this.at(age, '16:00'),
      { group: this.name, sex, birds: gone, way, ...cells },
      note ? { note } : {},
    );
  }

  /** Table birds are weighed dressed and cold, together. */
  table(age: number, sex: 'female' | 'male', birds: number, each: number): void {
    const have = Math.min(birds, sex === 'female' ? this.females : this.males);
    const mass = have * (each + (this.some(10, 0.5) - 5) / 50);
    this.leave(age, sex, have, 'table', { mass_kg: mass.toFixed(2) });
  }

  treat(age: number, product: string, meatDays: number): void {
    this.#scribe.put(
      'treatment',
      this.at(age, '08:15'),
      { group_or_pen: this.name, product, meat_withdrawal_days: meatDays },
      { note: 'days as read on the label' },
    );
  }

  tick(age: number, task: string): void {
    this.#scribe.put('tick', addDays(this.hatched, age), { task: `${this.name}/${task}` });
  }

  standing(): Reared {
    return {
      group: this.name,
      line: this.isDuck ? 'harlequin' : 'dorking',
      set: this.#parts[0]!.set,
      pens: this.#parts.map((part) => part.pen),
      hatched: this.hatched,
      pullets: this.females,
      cockerels: this.males,
    };
  }
}

/** `recorded` of a row written later on the same day. */
function recordedAt(on: string, time: string): string {
  const isSummer = on.slice(5) >= '03-29' && on.slice(5) < '10-25';
  return `${on.slice(0, 10)}T${time}:00${isSummer ? '+01:00' : '+00:00'}`;
}

const YOUNG: readonly Cause[] = [['chilled'], ['unknown'], ['sick', 'pasted vent'], ['smothered']];
const GROWN: readonly Cause[] = [
  ['unknown'],
  ['predator', 'hawk'],
  ['found-dead'],
  ['sick', 'crop bound'],
];

function rearChickens(flock: Brood): void {
  const pair = Math.floor(flock.number / 3);
  const second = flock.number % 3 === 2 ? 1 : 0;
  flock.place(pair % 2 === 0 ? 'barn' : 'loft');
  flock.loseSome(2, 7, 0.025, YOUNG);
  const spare = flock.living - REARED;
  flock.leave(9, 'unknown', spare, 'sold', { money: (spare * 4.5).toFixed(2) });
  flock.tick(15, 'mark');
  flock.loseSome(10, TO_TUNNEL[second]! - 1, 0.025, YOUNG);
  if (flock.number === 4) flock.treat(30, 'coccidiosis treatment, as labelled', 12);
  flock.move(TO_TUNNEL[second]!, 'tunnel');
  flock.tick(42, 'feed-2');
  if (flock.number <= 2) flock.sex(44, 0.2);
  flock.tick(OUT[second]! - 6, 'harden');
  flock.move(OUT[second]!, 'orchard');
  flock.loseSome(OUT[second]! + 3, 69, 0.015, GROWN);
  if (flock.number === 7) flock.lose(66, 6, ['predator', 'fox, the night the gate stood open']);
  flock.sex(71, 0);
  flock.move(72, 'paddock', flock.males);
  flock.loseSome(73, 110, 0.02, GROWN);
  if (flock.number === 5) flock.leave(84, 'male', 2, 'given', { note: 'to the school' });
  flock.table(113, 'male', flock.males - 3, 1.62);
  flock.tick(114, 'table');
  flock.leave(115, 'female', flock.number % 2, 'culled', { note: 'crooked beak' });
  flock.loseSome(116, 146, 0.01, GROWN);
  flock.tick(147, 'point-of-lay');
  const good = Math.ceil(flock.females * 0.6);
  if (second === 0) flock.leave(150, 'female', 2, 'sold', { money: '44.00' });
  flock.leave(152, 'female', flock.females - good, 'layer');
  if (flock.number === 1) {
    flock.leave(170, 'female', 2, 'breeder', { note: 'to the new pen' });
    flock.leave(170, 'male', 1, 'breeder', { note: 'to the new pen' });
  }
  flock.table(171, 'male', flock.males - 2, 2.05);
}

/** Every third hatch goes to neighbours within days. */
function sellYoung(flock: Brood): void {
  flock.place('crate');
  const most = Math.ceil(flock.living * 0.8);
  flock.leave(2, 'unknown', most, 'sold', { money: (most * 4).toFixed(2) });
  flock.leave(3, 'unknown', flock.living, 'given', { note: 'to a neighbour' });
}

function rearDucks(flock: Brood): void {
  flock.place('shed');
  flock.loseSome(2, 7, 0.03, [['chilled'], ['unknown']]);
  const spare = flock.living - 12;
  flock.leave(8, 'unknown', spare, 'sold', { money: (spare * 6).toFixed(2) });
  flock.tick(14, 'feed-2');
  flock.move(28, 'ark');
  flock.tick(43, 'harden');
  flock.move(49, 'pond');
  flock.loseSome(50, 56, 0.03, [['predator', 'crow'], ['unknown']]);
  flock.sex(58, 0);
  flock.table(60, 'male', flock.males - 2, 1.75);
  flock.tick(61, 'table');
  flock.loseSome(62, 139, 0.03, [['predator', 'fox'], ['unknown']]);
  flock.tick(141, 'point-of-lay');
  flock.leave(142, 'female', Math.max(0, flock.females - 4), 'layer');
}

function treatPens(scribe: Scribe, farm: Farm): void {
  // After the last set, so that no egg of these days was wanted for hatching or eating.
  scribe.put(
    'treatment',
    `${farm.season}-07-04T09:00`,
    {
      group_or_pen: 'south',
      product: 'worming treatment, as labelled',
      egg_withdrawal_days: 7,
      meat_withdrawal_days: 7,
    },
    { note: 'days as read on the label; eggs thrown away' },
  );
}
