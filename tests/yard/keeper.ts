// A keeper who does what the tool says, no more, and writes down what an eye, a gauge and a lamp show.
// What he finds out that the tool did not tell, or told wrongly, is kept for the test.
import { localMinute } from '../../src/facts/local-time.ts';
import type { Task } from '../../src/facts/tasks/task.ts';
import { tasksOf } from '../../src/facts/tasks/tasks.ts';
import type { Alarm } from '../../src/judge/alarms/alarm.ts';
import { alarmsAt } from '../../src/judge/alarms/alarms.ts';
import type { Now, Season } from '../../src/season/model.ts';
import { day, seasonOf, type Written } from '../support/season.ts';
import { type Fault, type KindName, type Lot, Yard, type YardSet, yardKinds } from './yard.ts';

const ZONE = 'Europe/London';
const START = Date.parse('2027-02-20T00:00:00Z');
const HOUR = 3_600_000;
const VISITS = [7, 13, 18, 22];

const yamlOf = (second: KindName): string => `format: traybook/1
season: 2027
place: {name: Cold Ash, timezone: ${ZONE}}
lines:
  sussex: {species: chicken, class: dual-purpose}
  other: {species: ${second}}
pens:
  orchard: {line: sussex, hens: 14, males: 2, joined: 2027-01-10}
  pond: {line: other, hens: 9, males: 3, joined: 2027-01-10}
setters:
  cabinet: {trays: 9, tray_holds: {chicken: 60, ${second}: 60}}
hatchers:
  lower: {holds: {chicken: 120, ${second}: 120}, clean_days: 0, one_set_at_a_time: false}
brooders:
  barn: {area: 30, heat: {kind: lamp, watts: 250, count: 4}}
  shed: {area: 20, heat: {kind: lamp, watts: 250, count: 2}}
storage: {max_days: 14}
normals:
  feb: {low: 2, high: 8}
  mar: {low: 4, high: 11}
  apr: {low: 6, high: 14}
  may: {low: 9, high: 17}
  jun: {low: 12, high: 20}
  jul: {low: 13, high: 22}
`;

/** A fault of a machine: how many readings have shown it, and after how many the tool told of it. */
export type Shown = { readonly fault: Fault; readings: number; toldAfter: number | null };

export type Told = {
  readonly at: string;
  readonly what: string;
};

type Brood = { readonly name: string; readonly roof: 'barn' | 'shed'; readonly lot: Lot };

export class Keeper {
  readonly yard: Yard;
  readonly rows: Written[] = [];
  readonly shown: Shown[] = [];
  /** What the tool said or left unsaid that hurts. */
  readonly wrong: Told[] = [];
  readonly falseAlarms: Told[] = [];
  readonly alarms: Told[] = [];
  /** Mornings, and those on which nothing but routine was to be done. */
  mornings = 0;
  quiet = 0;
  readonly #second: KindName;
  readonly #yaml: string;
  readonly #known = new Set<string>();
  readonly #broods: Brood[] = [];
  readonly #closed = new Set<string>();
  readonly #warmed = new Set<string>();
  readonly #readings = new Map<string, number>();
  readonly #usual = new Map<Fault, boolean>();
  #store: Record<'orchard' | 'pond', { on: number; eggs: number }[]> = { orchard: [], pond: [] };
  #cutWritten = 0;
  #fox = 0;

  constructor(seed: number, second: KindName, days: number) {
    this.#second = second;
    this.#yaml = yamlOf(second);
    this.yard = new Yard(seed, yardKinds[second].aim, days * 24);
    for (const roof of ['barn', 'shed']) this.yard.roofs.set(roof, { heat: null, lots: [] });
  }

  get #instant(): number {
    return START + this.yard.hour * HOUR;
  }

  get #at(): string {
    return localMinute(this.#instant, ZONE);
  }

  #write(record: Written[0], cells: Written[2], on = this.#at): void {
    this.rows.push([record, on, cells]);
  }

  #season(): Season {
    return seasonOf(this.#yaml, this.rows);
  }

  #now(): Now {
    const at = this.#at;
    return { instant: this.#instant, day: day(at.slice(0, 10)), time: at.slice(11) };
  }

  get closed(): number {
    return this.#closed.size;
  }

  season(days: number, lastSetting: number): void {
    while (this.yard.hour < days * 24) {
      this.yard.step();
      const hour = Number(this.#at.slice(11, 13));
      if (VISITS.includes(hour)) this.#visit(hour, lastSetting);
      this.#feelHeat();
      this.#die();
    }
  }

  #tell(list: Told[], what: string): void {
    list.push({ at: this.#at, what });
  }

  #visit(hour: number, lastSetting: number): void {
    const { yard } = this;
    if (hour === 18) this.#gather(lastSetting);
    this.#power();
    if (hour === 7 || hour === 18) this.#fetch();
    if (yard.cutNow() === null) this.#read(hour);
    const season = this.#season();
    this.#heed(alarmsAt(season, this.#now()));
    const tasks = tasksOf(season, this.#now(), 1);
    if (hour === 7) {
      this.mornings += 1;
      const pressing = tasks.some((one) => one.class !== 'routine' && one.class !== 'coming');
      if (!pressing && alarmsAt(season, this.#now()).length === 0) this.quiet += 1;
    }
    for (const task of tasks) this.#obey(task, hour);
    this.#setHeat();
  }

  /** Every roof to what the tool says of it now. */
  #setHeat(): void {
    const warm = tasksOf(this.#season(), this.#now(), 1).filter((one) => one.kind === 'warmth');
    for (const [name, roof] of this.yard.roofs) {
      const said = warm.find((one) => one.place === name)?.title;
      const degrees = said === undefined ? null : /(\d+)(?:–(\d+))?\s°C/.exec(said)!;
      roof.heat =
        degrees === null ? null : (Number(degrees[1]) + Number(degrees[2] ?? degrees[1])) / 2;
    }
  }

  #feelHeat(): void {
    for (const [name, roof] of this.yard.roofs) {
      const wanted = this.yard.wanted(roof);
      if (wanted === null) continue;
      // A week's step is 2.8 °C: what the tables of the trade differ by among themselves.
      const off = roof.heat === null ? Number.NEGATIVE_INFINITY : roof.heat - wanted;
      if (Math.abs(off) > 3.5 && this.yard.hour % 24 === 12)
        this.#tell(this.wrong, `${name} at ${roof.heat} °C, its youngest want ${wanted}`);
    }
  }

  /** Eggs of the day; every week hens' eggs are set, every second week the others. */
  #gather(lastSetting: number): void {
    const { yard } = this;
    const on = Math.floor(yard.hour / 24);
    if (on > lastSetting) return;
    for (const [pen, hens, rate] of [
      ['orchard', 14, 0.55],
      ['pond', 9, 0.5],
    ] as const) {
      let kept = 0;
      for (let hen = 0; hen < hens; hen += 1) if (yard.chance.is(rate)) kept += 1;
      this.#write('eggs', { pen, laid: kept, kept }, this.#at.slice(0, 10));
      this.#store[pen].push({ on, eggs: kept });
      const every = pen === 'orchard' ? 7 : 14;
      if (on < every || on % every !== 3) continue;
      const kind = pen === 'orchard' ? 'chicken' : this.#second;
      const ages = this.#store[pen].flatMap((lot) =>
        Array.from({ length: lot.eggs }, () => on - lot.on),
      );
      this.#store[pen] = [];
      if (ages.length === 0) continue;
      const name = `${pen === 'orchard' ? 'D' : 'W'}${yard.sets.length + 1}`;
      yard.layEggs({ name, kind, setAt: yard.hour, machine: 'cabinet' }, ages);
      const mass = Math.round(ages.length * yardKinds[kind].massG);
      this.#write('set', {
        set: name,
        pen,
        setter: 'cabinet',
        tray: (yard.sets.length % 9) + 1,
        eggs: ages.length,
        mass_g: mass,
      });
    }
  }

  /** Power that is back: the keeper looks at the clock that stopped. */
  #power(): void {
    const cut = this.yard.cuts[this.#cutWritten];
    if (cut === undefined || this.yard.hour < cut.from + cut.hours) return;
    this.#cutWritten += 1;
    for (const machine of this.yard.machines.keys())
      this.#write('reading', {
        machine,
        event: 'power-off',
        minutes: cut.hours * 60,
        room: Math.round(cut.room),
      });
  }

  #inUse(machine: string): YardSet[] {
    return this.yard.sets.filter((set) => set.machine === machine && !this.#closed.has(set.name));
  }

  #read(hour: number): void {
    if (hour === 13 && this.yard.chance.is(0.3)) return;
    for (const machine of this.yard.machines.values()) {
      if (this.#inUse(machine.name).length === 0) continue;
      const dry = this.yard.gauge(machine);
      this.#write('reading', { machine: machine.name, dry, rh: this.yard.hygrometer(machine) });
      const off = Math.round((dry + machine.corrected - machine.aim) * 10) / 10;
      const before = (this.#readings.get(machine.name) ?? 0) + 1;
      this.#readings.set(machine.name, before);
      for (const fault of this.yard.faults) {
        if (fault.machine !== machine.name || fault.mendedAt !== null) continue;
        // Wrong from its first days a machine is another one: many hatch at what it shows.
        if (!this.#usual.has(fault) && this.yard.faultC(fault) !== 0)
          this.#usual.set(fault, before > FEWEST_READINGS);
        if (this.#usual.get(fault) !== true) continue;
        if (Math.abs(this.yard.faultC(fault)) < 0.5) continue;
        if (off * Math.sign(fault.size) < 0.5) continue;
        let one = this.shown.find((other) => other.fault === fault);
        if (one === undefined) {
          one = { fault, readings: 0, toldAfter: null };
          this.shown.push(one);
        }
        one.readings += 1;
      }
    }
  }

  /** Does something about every alarm, and asks whether it was true. */
  #heed(alarms: readonly Alarm[]): void {
    const { yard } = this;
    for (const alarm of alarms) {
      const isNew = !this.#known.has(alarm.id);
      this.#known.add(alarm.id);
      if (isNew) this.#tell(this.alarms, `${alarm.code} ${alarm.place}: ${alarm.title}`);
      if (isNew && !this.#isTrue(alarm))
        this.#tell(this.falseAlarms, `${alarm.code} ${alarm.place}: ${alarm.title}`);
      if (!MACHINE.has(alarm.code)) continue;
      for (const fault of yard.faults) {
        if (fault.machine !== alarm.place || fault.mendedAt !== null) continue;
        if (yard.faultC(fault) === 0) continue;
        const one = this.shown.find((other) => other.fault === fault);
        if (one !== undefined) one.toldAfter ??= one.readings;
        if (fault.kind === 'heater') {
          // Mended within the hour: what a drift has come to by now is all of it.
          fault.mendedAt = yard.hour + 1;
          continue;
        }
        // A gauge that drifts is let drift to its end, and corrected by what a second one shows.
        if (Math.abs(yard.faultC(fault)) < Math.abs(fault.size)) continue;
        const machine = yard.machines.get(fault.machine)!;
        const dry = -Math.round(fault.size * 10) / 10;
        machine.corrected = Math.round((machine.corrected + dry) * 10) / 10;
        this.#write('reading', {
          machine: machine.name,
          event: 'calibration',
          dry: machine.corrected,
        });
        fault.mendedAt = yard.hour;
      }
    }
  }

  #isTrue({ code, place, since }: Alarm): boolean {
    const { yard } = this;
    const set = yard.sets.find((one) => one.name === place);
    if (MACHINE.has(code)) {
      const recent = yard.faults.some(
        (one) =>
          one.machine === place &&
          one.from <= yard.hour &&
          (one.mendedAt === null ||
            !Number.isFinite(one.mendedAt) ||
            yard.hour < one.mendedAt + 12),
      );
      const cold = yard.cuts.some(
        (one) => one.from <= yard.hour && yard.hour < one.from + one.hours + 6,
      );
      return recent || cold;
    }
    if (code === 'power-cut')
      return yard.cuts.some((one) => one.hours > 3 && one.from <= yard.hour) && since !== '';
    if (code === 'losses') return yard.foxes.some((at) => at <= yard.hour && yard.hour < at + 48);
    // Nobody out of the shell, though they were due.
    if (code === 'late-hatch') return !set!.eggs.some((egg) => egg.hatchedAt !== null);
    if (code === 'early-hatch') {
      const first = Math.min(...set!.eggs.map((egg) => egg.hatchedAt ?? Number.POSITIVE_INFINITY));
      return first - set!.setAt < (yardKinds[set!.kind].term - 1) * 24 - 8;
    }
    return false;
  }

  /** Chicks that are dry are taken off and put under the heat at once. */
  #fetch(): void {
    for (const set of this.yard.sets) {
      if (this.#closed.has(set.name)) continue;
      const out = this.yard.chicksIn(set);
      if (out.length === 0) continue;
      if (set.machine !== 'lower') {
        this.#tell(this.wrong, `${set.name} hatches in the setter`);
        set.machine = 'lower';
      }
      for (const egg of out) egg.isOut = true;
      const pen = set.kind === 'chicken' ? 'orchard' : 'pond';
      const roof = set.kind === 'chicken' ? 'barn' : 'shed';
      this.#write('hatch', { set: set.name, pen, hatched: out.length });
      if (!this.#warmed.has(set.name))
        this.#tell(this.wrong, `chicks of ${set.name} are there and nobody said to warm a brooder`);
      this.#warmed.add(set.name);
      const group = `${set.name}-${this.#broods.filter((one) => one.name.startsWith(`${set.name}-`)).length + 1}`;
      this.#write('group', { group, set: set.name, pen, brooder: roof, chicks: out.length });
      const from = Math.min(...out.map((egg) => egg.hatchedAt!));
      const lot = { kind: set.kind, from, birds: out.length };
      this.#broods.push({ name: group, roof, lot });
      this.yard.roofs.get(roof)!.lots.push(lot);
      this.#setHeat();
    }
  }

  #obey(task: Task, hour: number): void {
    const set = this.yard.sets.find((one) => one.name === task.set);
    const pen = set?.kind === 'chicken' ? 'orchard' : 'pond';
    if (task.kind === 'heat' && task.set !== null) {
      this.#warmed.add(task.set!);
      this.#write('tick', { task: task.id });
      return;
    }
    if (task.state === 'coming' || task.class === 'routine' || hour === 22) return;
    switch (task.kind) {
      case 'candle':
        this.#candle(set!, pen);
        return;
      case 'transfer': {
        set!.machine = 'lower';
        const quit = set!.eggs.filter((egg) => !this.yard.isAlive(set!, egg)).length;
        set!.eggs = set!.eggs.filter((egg) => this.yard.isAlive(set!, egg));
        this.#write('transfer', {
          set: set!.name,
          pen,
          hatcher: 'lower',
          moved: set!.eggs.length,
          quit,
        });
        return;
      }
      case 'last-opening':
        this.#close(task, set!, pen);
        return;
      case 'move-out': {
        const group = task.id.split('/')[0]!;
        const brood = this.#broods.find((one) => one.name === group)!;
        const age = (this.yard.hour - brood.lot.from) / 24;
        if (age < (brood.roof === 'barn' ? 28 : 14))
          this.#tell(this.wrong, `${group} sent out at ${Math.floor(age)} days`);
        this.#write('move', { group, to: 'out', birds: task.count! });
        brood.lot.birds = 0;
        return;
      }
      default:
        // Heat is set on every visit; a tick says that it was.
        if (task.settle.startsWith('add tick')) this.#write('tick', { task: task.id });
    }
  }

  #candle(set: YardSet, pen: string): void {
    const dead = set.eggs.filter((egg) => !this.yard.isAlive(set, egg));
    set.eggs = set.eggs.filter((egg) => this.yard.isAlive(set, egg));
    const clear = dead.filter((egg) => egg.diesOn < 4).length;
    this.#write('candling', { set: set.name, pen, clear, quit: dead.length - clear });
    const { massG, lossPercent, transfer } = yardKinds[set.kind];
    const days = (this.yard.hour - set.setAt) / 24;
    if (set.eggs.length === 0) return;
    const each = massG * (1 - (lossPercent / 100) * (days / transfer));
    this.#write('weighing', {
      set: set.name,
      pen,
      eggs: set.eggs.length,
      mass_g: Math.round(each * set.eggs.length),
    });
  }

  #close(task: Task, set: YardSet, pen: string): void {
    const from = / from (\d\d:\d\d):/.exec(task.title)?.[1];
    if (from !== undefined && this.#at.slice(11) < from) return;
    const live = this.yard.liveToCome(set);
    const late = this.yard.chicksIn(set).length;
    if (live > 0) this.#tell(this.wrong, `${set.name} ended with ${live} alive in the shell`);
    const unpipped = set.eggs.filter((egg) => !egg.isOut).length;
    this.#write('hatch', { set: set.name, pen, hatched: late, unpipped, final: 'yes' });
    this.#closed.add(set.name);
  }

  /** Foxes, and the few that die of nothing in particular. */
  #die(): void {
    const { yard } = this;
    if (yard.foxes[this.#fox] !== undefined && yard.hour >= yard.foxes[this.#fox]!) {
      const living = this.#broods.filter((one) => one.lot.birds > 4);
      if (living.length > 0) {
        const brood = living[yard.chance.whole(0, living.length - 1)]!;
        const birds = yard.chance.whole(1, 4);
        brood.lot.birds -= birds;
        this.#write('loss', { group: brood.name, birds, cause: 'predator' });
        this.#fox += 1;
      }
    }
    for (const brood of this.#broods) {
      const age = (yard.hour - brood.lot.from) / 24;
      const rate = (age < 7 ? 0.002 : 0.0003) / 24;
      if (brood.lot.birds <= 2 || !yard.chance.is(rate * brood.lot.birds)) continue;
      brood.lot.birds -= 1;
      this.#write('loss', {
        group: brood.name,
        birds: 1,
        cause: yard.chance.is(0.5) ? 'unknown' : 'found-dead',
      });
    }
  }
}

/** Readings of a machine that tell its keeper how it runs: two days of them. */
const FEWEST_READINGS = 8;

const MACHINE: ReadonlySet<string> = new Set(['too-warm', 'too-cold', 'drift']);
