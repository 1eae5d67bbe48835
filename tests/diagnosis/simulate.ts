import mt19937 from '@stdlib/random-base-mt19937';
import type { Cause } from '../../src/judge/diagnose/finding.ts';
import { normalQuantile } from '../../src/judge/statistics/normal.ts';
import type { Season } from '../../src/season/model.ts';
import { addDays, type Day } from '../../src/text/day.ts';
import { type Logbook, logbook } from './logbook.ts';

/** How the records of a simulated season are kept. Each may be worse than the keeper would like. */
export type Keeping = {
  /** Standard deviation, on the logit, of what all eggs of a set share: 0 is chance alone. */
  setScatter: number;
  weighings: boolean;
  breakouts: 'all' | 'some' | 'none';
  readings: boolean;
  /** Minutes are written with setting and opening. */
  minutes: boolean;
  /** Hours between openings. */
  every: number;
  /** A set lies in one tray, or each of its shares in another. */
  trays: 'one a set' | 'one a share' | 'by pen';
  candling: boolean;
  /** Early deaths are seen and never written: they are left in, and found unhatched. */
  earlyDeaths: boolean;
  sets: number;
  eggs: number;
  machines: 1 | 2;
  /** The gauges read right whatever the machine does. */
  stuck: boolean;
  /** Eggs grow older through the season, whatever the fault. */
  ageing: boolean;
  /** Standard deviation of the pens' fertility around the farm's, on the logit. */
  penSpread: number;
};

/** A fault planted: what, and from which set on (0 the first); the place is drawn. */
export type Planted = { readonly cause: Cause; readonly from: number };

export type Simulated = {
  readonly season: Season;
  /** The book as it stood on the evening of a day. */
  readonly at: Logbook['season'];
  readonly truth: Truth;
};

/** What was planted where, to hold answers against. */
export type Truth = {
  readonly pen: string;
  readonly tray: number;
  readonly machine: string;
  readonly set: string;
};

export const wellKept: Keeping = {
  setScatter: 0.25,
  weighings: true,
  breakouts: 'all',
  readings: true,
  minutes: true,
  every: 8,
  trays: 'one a set',
  candling: true,
  earlyDeaths: true,
  sets: 16,
  eggs: 40,
  machines: 1,
  stuck: false,
  ageing: false,
  penSpread: 0.25,
};

/** The chances of an egg, and how the machine runs: what a fault changes. */
type World = {
  settable: number;
  fertile: number;
  early: number;
  middle: number;
  late: number;
  pipped: number;
  rotten: number;
  cracked: number;
  malposed: number;
  weak: number;
  dead: number;
  /** Hours early (below 0) or late, and the spread of one set. */
  shift: number;
  spread: number;
  loss: number;
  dry_c: number;
  rh: number;
};

// A good small farm, inside the norms of seeds/norms.yaml.
const healthy: World = {
  settable: 0.88,
  fertile: 0.9,
  early: 0.055,
  middle: 0.018,
  late: 0.055,
  pipped: 0.022,
  rotten: 0.004,
  cracked: 0.008,
  malposed: 0.013,
  weak: 0.02,
  dead: 0.006,
  shift: 0,
  spread: 6.5,
  loss: 12,
  dry_c: 37.5,
  rh: 55,
};

// Sizes as the signs are published: MSU Extension's trouble-shooter, UF/IFAS VM101 and VM095, one
// degree Fahrenheit as half a day to a day, loss of hatch by storage as in species.yaml.
const faults: Partial<Record<Cause, Partial<World>>> = {
  'low-fertility': { fertile: 0.68 },
  'egg-quality': { settable: 0.7, cracked: 0.02 },
  warm: { shift: -18, early: 0.08, late: 0.1, weak: 0.05, dry_c: 38.1, loss: 12.8 },
  cool: { shift: 20, late: 0.11, weak: 0.04, dry_c: 36.9, loss: 11.5 },
  damp: { loss: 8.5, rh: 68, late: 0.12, pipped: 0.06 },
  dry: { loss: 15.5, rh: 42, late: 0.11, pipped: 0.06 },
  'early-death': { early: 0.16 },
  'middle-death': { middle: 0.08 },
  'late-death': { late: 0.16, pipped: 0.05 },
  contamination: { rotten: 0.05 },
  'drawn-out': { spread: 16 },
  'weak-chicks': { weak: 0.1 },
  handling: { cracked: 0.06, malposed: 0.05 },
};

const pens = [
  { name: 'ash', hens: 12, males: 1 },
  { name: 'birch', hens: 14, males: 2 },
  { name: 'cedar', hens: 12, males: 1 },
];
const TERM = 21 * 24;
/** The day of its first set on which the power fails, for so many minutes. */
const CUT_DAY = 12;
const CUT_MINUTES = 600;

const logit = (p: number): number => Math.log(p / (1 - p));
const expit = (e: number): number => 1 / (1 + Math.exp(-e));

/** Points of hatch lost after so many days in store, by the table of species.yaml for chickens. */
function storagePoints(age: number): number {
  const steps = (from: number, to: number): number => Math.max(0, Math.min(age, to) - from);
  return (0.5 * steps(4, 7) + 1 * steps(7, 14) + 3 * steps(14, 99)) / 100;
}

/** A world with the faults that are at work; where two change one rate, the worse of the two. */
function worldOf(base: World, at: readonly Cause[]): World {
  const out = { ...base };
  for (const cause of at) {
    const change = faults[cause] ?? {};
    for (const key of Object.keys(change) as (keyof World)[]) {
      const by = change[key]! - healthy[key];
      const own =
        key === 'shift' || key === 'loss' || key === 'dry_c' || key === 'rh' || key === 'spread'
          ? base[key] + by
          : expit(logit(base[key]) + logit(change[key]!) - logit(healthy[key]));
      if (Math.abs(own - base[key]) > Math.abs(out[key] - base[key])) out[key] = own;
    }
  }
  return out;
}

/** A world after a power cut on a day of the term: a late hatch, deaths of that day (Lundy 1969, copy). */
function afterCut(base: World, day: number): World {
  const more = (p: number): number => expit(logit(p) + 1);
  const out = { ...base, shift: base.shift + 11 };
  if (day < 7) out.early = more(base.early);
  else if (day < 14) out.middle = more(base.middle);
  else out.late = more(base.late);
  return out;
}

/** One season with what is planted, as the text of its logs, read back through the program. */
export function simulate(
  seed: number,
  planted: Cause | readonly Planted[] | null,
  keeping: Keeping = wellKept,
): Season {
  return simulated(seed, planted, keeping).season;
}

export function simulated(
  seed: number,
  planted: Cause | readonly Planted[] | null,
  keeping: Keeping = wellKept,
): Simulated {
  const { normalized } = mt19937.factory({ seed }) as unknown as { normalized(): number };
  const uniform = (): number => normalized();
  const normal = (): number => normalQuantile(Math.min(1 - 1e-12, Math.max(1e-12, uniform())));
  const between = (low: number, high: number): number =>
    low + Math.floor(uniform() * (high - low + 1));
  const all: readonly Planted[] =
    planted === null ? [] : typeof planted === 'string' ? [{ cause: planted, from: 0 }] : planted;
  const SETS = keeping.sets;
  const EGGS = keeping.eggs;
  // Every farm has rates of its own, inside the norms, and every pen its own fertility.
  const own = (p: number, sd: number): number => expit(logit(p) + sd * normal());
  const base: World = {
    ...healthy,
    settable: own(healthy.settable, 0.2),
    fertile: own(healthy.fertile, 0.3),
    early: own(healthy.early, 0.2),
    middle: own(healthy.middle, 0.25),
    late: own(healthy.late, 0.2),
    pipped: own(healthy.pipped, 0.25),
    weak: own(healthy.weak, 0.25),
    shift: 3 * normal(),
    loss: healthy.loss + 0.6 * normal(),
    dry_c: healthy.dry_c + 0.12 * normal(),
    rh: healthy.rh + 2 * normal(),
  };
  const ofPen = new Map(pens.map((pen) => [pen.name, keeping.penSpread * normal()]));
  const badPen = pens[between(0, pens.length - 1)]!.name;
  const badTray = between(1, 4);
  const badMachine = keeping.machines === 1 ? 'cabinet' : ['cabinet', 'second'][between(0, 1)]!;
  const atWork = (s: number, machine: string): Cause[] =>
    all
      .filter(
        (one) =>
          s >= one.from &&
          (!['warm', 'cool', 'damp', 'dry'].includes(one.cause) || machine === badMachine),
      )
      .map((one) => one.cause);
  const worldAt = (s: number, machine: string): World => worldOf(base, atWork(s, machine));
  const begins = (cause: Cause): number | null =>
    all.find((one) => one.cause === cause)?.from ?? null;
  const lostSet = begins('set-lost');
  /** The day of the term on which a long power cut hit a set; null where it did not. */
  const cut = begins('power-cut');
  const cutAt = (s: number, machine: string): number | null => {
    const day = cut === null || machine !== badMachine ? -1 : 7 * cut + CUT_DAY - 7 * s;
    return day >= 0 && day < 18 ? day : null;
  };

  const { row, season } = logbook(keeping.machines === 1 ? yaml : yamlOfTwo);
  const at = (day: Day, hour: number): string => {
    const whole = addDays(day, Math.floor(hour / 24));
    const minute = Math.round((hour % 24) * 60);
    const clock = `${String(Math.floor(minute / 60)).padStart(2, '0')}:${String(minute % 60).padStart(2, '0')}`;
    return keeping.minutes ? `${whole}T${clock}` : whole;
  };

  const start = '2027-02-01' as Day;
  // Eggs gathered every day from three weeks before the first set.
  for (let day = -21; day < SETS * 7; day++) {
    for (const pen of pens) {
      const laid = between(4, 8);
      let kept = 0;
      const why = { thin: 0, misshapen: 0, dirty: 0 };
      const fit = worldAt(Math.ceil(day / 7), badMachine).settable;
      for (let egg = 0; egg < laid; egg++) {
        if (uniform() < fit) kept += 1;
        else why[(['thin', 'misshapen', 'dirty'] as const)[between(0, 2)]!] += 1;
      }
      row('eggs', addDays(start, day), { pen: pen.name, laid, kept, ...why });
    }
    if (keeping.readings) {
      for (const machine of keeping.machines === 1 ? ['cabinet'] : ['cabinet', 'second']) {
        const drift = 0.03 * normal();
        const inside = worldAt(Math.floor(day / 7), machine);
        const wrong = begins('gauge-wrong');
        const off =
          wrong !== null && Math.floor(day / 7) >= wrong && machine === badMachine ? 0.8 : 0;
        const { dry_c, rh } = keeping.stuck ? base : inside;
        for (const hour of [7, 19]) {
          row('reading', at(addDays(start, day), hour), {
            machine,
            dry: (dry_c + off + drift + 0.1 * normal()).toFixed(1),
            rh: Math.min(99, Math.max(1, Math.round(rh + 3 * normal()))),
          });
        }
      }
    }
  }

  if (cut !== null)
    row('reading', at(addDays(start, 7 * cut + CUT_DAY), 3), {
      machine: badMachine,
      event: 'power-off',
      minutes: CUT_MINUTES,
    });

  for (let s = 0; s < SETS; s++) {
    const name = `S${String(s + 1).padStart(2, '0')}`;
    const machine = keeping.machines === 2 && s % 2 === 1 ? 'second' : 'cabinet';
    const hit = cutAt(s, machine);
    const world = hit === null ? worldAt(s, machine) : afterCut(worldAt(s, machine), hit);
    const set = addDays(start, 7 * s);
    const setHour = 10;
    const count = between(1, 3);
    const first = between(0, 2);
    const inSet = Array.from({ length: count }, (_, i) => pens[(first + i) % pens.length]!);
    const shared = (): number => keeping.setScatter * normal();
    const luck = {
      fertile: shared(),
      early: shared(),
      middle: shared(),
      late: shared(),
      pipped: shared(),
    };
    const setShift = 3 * normal();
    const setLoss = 0.6 * normal();
    // Long storage: every other set is made of eggs two weeks old and more.
    const storage = begins('long-storage');
    const old = storage !== null && s >= storage && s % 2 === 0;
    const trays = inSet.map((pen, i) =>
      keeping.trays === 'one a set'
        ? (s % 4) + 1
        : keeping.trays === 'by pen'
          ? pens.indexOf(pen) + 1
          : ((s + i) % 4) + 1,
    );
    type Chick = { pen: string; hour: number; weak: boolean; dead: boolean };
    const chicks: Chick[] = [];
    const after: {
      pen: string;
      pipped: number;
      unpipped: number;
      late: number;
      malposed: number;
      moved: number;
      rotten: number;
    }[] = [];
    inSet.forEach((pen, i) => {
      const tray = trays[i]!;
      const eggs = Math.max(6, Math.round(EGGS / count) + between(-3, 3));
      const age = old
        ? between(14, 18)
        : keeping.ageing
          ? 2 + Math.floor((s * 9) / SETS)
          : between(2, 7);
      const from = addDays(set, -Math.min(age + 2, 20));
      const to = addDays(set, -Math.max(age - 2, 0));
      const uneven = begins('uneven-tray');
      const spoiled = tray === badTray && uneven !== null && s >= uneven;
      const male = begins('failing-male');
      const fall = male !== null && pen.name === badPen ? Math.max(0, s - male + 1) : 0;
      const dead = s === lostSet;
      const points = storagePoints(age);
      const chance = {
        fertile: expit(
          logit(world.fertile) + ofPen.get(pen.name)! + luck.fertile - Math.min(2.2, 0.45 * fall),
        ),
        early: expit(logit(world.early + points * 0.8) + luck.early),
        middle: dead ? 0.9 : expit(logit(world.middle) + luck.middle),
        late: dead ? 0.7 : expit(logit((spoiled ? 0.2 : world.late) + points * 0.2) + luck.late),
        pipped: expit(logit(spoiled ? 0.06 : world.pipped) + luck.pipped),
      };
      const n = {
        clear: 0,
        infertile: 0,
        clearEarly: 0,
        quit: 0,
        quitLater: 0,
        cracked: 0,
        rotten: 0,
      };
      const end = { pipped: 0, unpipped: 0, late: 0, malposed: 0, rotten: 0 };
      let alive = 0;
      for (let egg = 0; egg < eggs; egg++) {
        if (uniform() < world.cracked) n.cracked += 1;
        else if (uniform() < world.rotten) n.rotten += 1;
        else if (uniform() >= chance.fertile) {
          n.clear += 1;
          n.infertile += 1;
        } else if (uniform() < chance.early) {
          // An embryo dead in the first two days looks clear.
          if (uniform() < 0.4) {
            n.clear += 1;
            n.clearEarly += 1;
          } else n.quit += 1;
        } else if (uniform() < chance.middle) n.quitLater += 1;
        else {
          alive += 1;
          const badly = uniform() < world.malposed;
          const u = uniform();
          if (badly || u < chance.late) {
            end.unpipped += 1;
            end.late += 1;
            if (badly) end.malposed += 1;
          } else if (u < chance.late + chance.pipped) end.pipped += 1;
          else {
            const spread = spoiled ? 12 : world.spread;
            chicks.push({
              pen: pen.name,
              hour:
                TERM +
                world.shift +
                setShift +
                Math.max(0, age - 3) +
                (spoiled ? -6 : 0) +
                spread * normal(),
              weak: uniform() < world.weak,
              dead: uniform() < world.dead,
            });
          }
        }
      }
      const mass = eggs * (58 + normal());
      row('set', at(set, setHour), {
        set: name,
        pen: pen.name,
        ...(keeping.machines === 2 ? { setter: machine } : {}),
        tray,
        eggs,
        laid_from: from,
        laid_to: to,
        ...(keeping.weighings ? { mass_g: mass.toFixed(1) } : {}),
      });
      const lost = world.loss + setLoss + 0.3 * normal();
      const left = (day: number): number => 1 - (lost * day) / 18 / 100;
      if (keeping.weighings)
        row('weighing', at(addDays(set, 7), 9), {
          set: name,
          pen: pen.name,
          eggs,
          mass_g: (mass * left(7) + 1.5 * normal()).toFixed(1),
        });
      if (keeping.candling)
        row('candling', at(addDays(set, 7), 10), {
          set: name,
          pen: pen.name,
          clear: n.clear,
          quit: n.quit,
          cracked: n.cracked,
          rotten: n.rotten,
        });
      const left0 = keeping.earlyDeaths ? 0 : n.quit;
      if (left0 > 0) {
        end.unpipped += left0;
        alive += left0;
        n.quit = 0;
      }
      const still = eggs - n.clear - n.quit - n.cracked - n.rotten;
      if (keeping.weighings && still > 0)
        row('weighing', at(addDays(set, 14), 10), {
          set: name,
          pen: pen.name,
          eggs: still,
          mass_g: ((mass * still * left(14)) / eggs + 1.5 * normal()).toFixed(1),
        });
      row('transfer', at(addDays(set, 18), 10), {
        set: name,
        pen: pen.name,
        moved: keeping.candling ? alive : eggs,
        quit: keeping.candling ? n.quitLater : 0,
      });
      const opens = keeping.breakouts === 'all' || (keeping.breakouts === 'some' && s % 3 === 0);
      if (opens && keeping.candling) {
        if (n.clear > 0)
          row('breakout', at(addDays(set, 7), 11), {
            set: name,
            pen: pen.name,
            from: 'clear',
            infertile: n.infertile,
            early: n.clearEarly,
          });
        if (n.quit + n.quitLater > 0)
          row('breakout', at(addDays(set, 18), 11), {
            set: name,
            pen: pen.name,
            from: 'quit',
            early: n.quit,
            middle: n.quitLater,
          });
      }
      after.push({
        pen: pen.name,
        moved: keeping.candling ? alive : eggs,
        ...end,
        ...(keeping.candling ? {} : { unpipped: end.unpipped + (eggs - alive) }),
      });
    });
    // The keeper looks in at fixed hours and stops when nothing more comes, or on the 23rd day.
    const latest = Math.max(...chicks.map((c) => c.hour), 0);
    const hoursOf: number[] = [];
    for (let h = 19 * 24 + 20; ; h += keeping.every) {
      hoursOf.push(h);
      if ((h >= latest && h >= 21 * 24 + 20) || h >= 23.5 * 24) break;
    }
    const last = hoursOf.at(-1)!;
    hoursOf.forEach((hour, i) => {
      for (const share of after) {
        const found = chicks.filter(
          (c) => c.pen === share.pen && c.hour <= hour && (i === 0 || c.hour > hoursOf[i - 1]!),
        );
        const final = hour === last;
        if (found.length === 0 && !final) continue;
        const live = found.filter((c) => !c.dead);
        const never = chicks.filter((c) => c.pen === share.pen && c.hour > last).length;
        row('hatch', at(set, setHour + hour), {
          set: name,
          pen: share.pen,
          hatched: live.length,
          weak: live.filter((c) => c.weak).length,
          dead: found.length - live.length,
          ...(final
            ? { pipped: share.pipped, unpipped: share.unpipped + never, final: 'yes' }
            : {}),
        });
        const opens = keeping.breakouts === 'all' || (keeping.breakouts === 'some' && s % 3 === 0);
        if (final && opens && keeping.candling && share.pipped + share.unpipped > 0)
          row('breakout', at(set, setHour + hour), {
            set: name,
            pen: share.pen,
            from: 'unhatched',
            late: share.late + never,
            pipped: share.pipped,
            malposed: share.malposed,
          });
      }
    });
  }
  return {
    season: season(),
    at: season,
    truth: {
      pen: badPen,
      tray: badTray,
      machine: badMachine,
      set: lostSet === null ? '' : `S${String(lostSet + 1).padStart(2, '0')}`,
    },
  };
}

const yaml = `format: traybook/1
season: 2027
place: {name: Simulated, timezone: UTC, altitude_m: 100}
lines:
  grey: {species: chicken, class: dual-purpose, egg_g: 58}
pens:
${pens.map((p) => `  ${p.name}: {line: grey, hens: ${p.hens}, males: ${p.males}, joined: 2026-12-01}`).join('\n')}
setters:
  cabinet: {trays: 4, tray_holds: {chicken: 60}, turns: automatic}
hatchers:
  lower: {holds: {chicken: 200}, one_set_at_a_time: false}
`;

const yamlOfTwo = yaml.replace(
  '\nhatchers:',
  '\n  second: {trays: 4, tray_holds: {chicken: 60}, turns: automatic}\nhatchers:',
);
