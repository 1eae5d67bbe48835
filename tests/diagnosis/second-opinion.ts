import mt19937 from '@stdlib/random-base-mt19937';
import { type Cause, causes } from '../../src/judge/diagnose/finding.ts';
import { addDays, type Day } from '../../src/text/day.ts';
import { logbook } from './logbook.ts';
import type { Planted, Simulated } from './simulate.ts';

/**
 * A second simulator, made apart from the first: farms of other sizes and kinds, whose healthy
 * rates are drawn anywhere inside the norms, whose shares scatter by a beta law, whose chicks hatch
 * by a skewed one, whose keepers overlook eggs at candling, open only some, forget rows and hours.
 */
export type Farm = {
  name: string;
  species: 'chicken' | 'duck';
  pens: number;
  sets: number;
  /** Eggs of a set. */
  eggs: number;
  /** Pens in a set. */
  mixed: 'one' | 'some' | 'all';
  /** Days between sets. */
  apart: number;
  /** Oldest eggs set, days. */
  stored: number;
  trays: 'rotating' | 'by pen' | 'two a set' | 'not written';
  /** Chance that a look, weighing or reading is written at all. */
  diligence: number;
  /** Share of clears, quits and unhatched eggs opened. */
  opened: number;
  clock: 'minutes' | 'days' | 'either';
  /** Hours between looks into the hatcher. */
  every: number;
  weighs: boolean;
  reads: boolean;
  /** Intraclass correlation of the eggs of a share. */
  alike: number;
};

const usual: Farm = {
  name: 'three pens, sixteen mixed sets',
  species: 'chicken',
  pens: 3,
  sets: 16,
  eggs: 40,
  mixed: 'some',
  apart: 7,
  stored: 8,
  trays: 'rotating',
  diligence: 1,
  opened: 1,
  clock: 'minutes',
  every: 8,
  weighs: true,
  reads: true,
  alike: 0.01,
};

export const farms: readonly Farm[] = [
  usual,
  { ...usual, name: 'four sets of twelve from one pen', pens: 1, sets: 4, eggs: 12, mixed: 'one' },
  {
    ...usual,
    name: 'thirty sets of a hundred from five pens',
    pens: 5,
    sets: 30,
    eggs: 100,
    mixed: 'all',
    apart: 4,
  },
  {
    ...usual,
    name: 'ducks, two pens',
    species: 'duck',
    pens: 2,
    sets: 10,
    eggs: 30,
    every: 12,
  },
  {
    ...usual,
    name: 'ragged records',
    diligence: 0.6,
    opened: 0.3,
    clock: 'either',
    every: 12,
    alike: 0.02,
  },
  {
    ...usual,
    name: 'days without hours, one look a day',
    clock: 'days',
    every: 24,
    opened: 0,
    weighs: false,
  },
  { ...usual, name: 'eggs kept up to twelve days', stored: 12, trays: 'two a set' },
  { ...usual, name: 'every pen in a tray of its own', mixed: 'all', trays: 'by pen', opened: 0.5 },
  {
    ...usual,
    name: 'counts alone',
    trays: 'not written',
    opened: 0,
    weighs: false,
    reads: false,
    clock: 'days',
    every: 24,
    sets: 12,
  },
  { ...usual, name: 'sets that scatter', alike: 0.04, sets: 20 },
];

type Rates = {
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
  settable: number;
};

export function secondSeason(
  seed: number,
  farm: Farm,
  planted: Planted | null,
  size = 1,
): Simulated {
  const fault = planted?.cause ?? null;
  const from = planted?.from ?? 0;
  const { normalized: u } = mt19937.factory({ seed: seed + 77_000 }) as unknown as {
    normalized(): number;
  };
  const within = (a: number, b: number): number => a + (b - a) * u();
  const pick = (a: number, b: number): number => Math.floor(within(a, b + 1));
  // Marsaglia and Tsang would be quicker; a sum of exponentials is plainer.
  const gamma = (k: number): number => {
    let sum = 0;
    for (let i = 0; i < Math.floor(k); i++) sum -= Math.log(1 - u());
    const rest = k - Math.floor(k);
    if (rest > 0) {
      // Johnk's law for the part below one.
      for (;;) {
        const a = u() ** (1 / rest);
        const b = u() ** (1 / (1 - rest));
        if (a + b <= 1) return sum - (a / (a + b)) * Math.log(1 - u());
      }
    }
    return sum;
  };
  const scattered = (mean: number): number => {
    if (mean <= 0) return 0;
    const m = 1 / farm.alike - 1;
    const a = gamma(Math.min(200, mean * m));
    const b = gamma(Math.min(400, (1 - mean) * m));
    return a / (a + b);
  };
  const wobble = (sd: number): number => sd * 1.732 * (u() + u() + u() + u() - 2);
  const more = (usualValue: number, faulty: number): number =>
    usualValue + size * (faulty - usualValue);

  const term = farm.species === 'duck' ? 28 : 21;
  const transfer = farm.species === 'duck' ? 25 : 18;
  const target = farm.species === 'duck' ? [12.3, 13.7] : [10.7, 13.3];
  const healthy: Rates = {
    fertile: within(0.84, 0.94),
    early: within(0.035, 0.07),
    middle: within(0.008, 0.024),
    late: within(0.035, 0.07),
    pipped: within(0.008, 0.03),
    rotten: within(0, 0.007),
    cracked: within(0, 0.014),
    malposed: within(0.011, 0.016),
    weak: within(0.008, 0.024),
    dead: within(0, 0.02),
    settable: within(0.85, 0.91),
  };
  const rates: Rates = { ...healthy };
  const usualRun = {
    shift: within(-4, 4),
    loss: within(target[0]!, target[1]!),
    heat: within(37.35, 37.65),
    damp: farm.species === 'duck' ? within(55, 60) : within(52, 60),
    spread: within(5, 7),
  };
  let { shift, loss, heat, damp, spread } = usualRun;
  switch (fault) {
    case 'low-fertility':
      rates.fertile = more(0.88, 0.66);
      break;
    case 'egg-quality':
      rates.settable = more(0.87, 0.68);
      break;
    case 'early-death':
      rates.early = more(0.05, 0.17);
      break;
    case 'middle-death':
      rates.middle = more(0.015, 0.09);
      break;
    case 'late-death':
      rates.late = more(0.05, 0.17);
      break;
    case 'contamination':
      rates.rotten = more(0.004, 0.055);
      break;
    case 'weak-chicks':
      rates.weak = more(0.015, 0.11);
      break;
    case 'handling':
      rates.cracked = more(0.008, 0.07);
      break;
    case 'drawn-out':
      spread = more(6, 17);
      break;
    case 'warm':
      shift = more(0, -20);
      heat = more(37.5, 38.15);
      rates.weak *= 1.5;
      rates.late *= 1.5;
      break;
    case 'cool':
      shift = more(0, 20);
      heat = more(37.5, 36.85);
      rates.late *= 1.5;
      break;
    case 'damp':
      loss = more(12, 8);
      damp = more(56, 70);
      rates.late *= 1.6;
      break;
    case 'dry':
      loss = more(12.5, 16.5);
      damp = more(54, 40);
      rates.late *= 1.6;
      break;
    default:
  }
  const faulty = { rates, shift, loss, heat, damp, spread };
  const sound = { rates: healthy, ...usualRun };
  /** How the farm runs for one set: as planted from its beginning on. */
  const runOf = (set: number): typeof faulty => (set >= from ? faulty : sound);
  const names = ['oak', 'elm', 'yew', 'fir', 'may'].slice(0, farm.pens);
  // Pens differ by some points, as they do.
  const penStep = names.map(() => within(-0.03, 0.03));
  const badPen = pick(0, farm.pens - 1);
  const trayCount = 4;
  const badTray = pick(1, trayCount);
  const hoursADay = within(0.5, 1.7);

  const { row, season: read } = logbook(yamlOf(farm, names));
  const start = '2027-03-01' as Day;
  const on = (day: Day, hour: number, forget = false): string => {
    const at = addDays(day, Math.floor(hour / 24));
    const silent = farm.clock === 'days' || (farm.clock === 'either' && forget);
    if (silent) return at;
    const minute = Math.floor((hour % 24) * 60);
    return `${at}T${String(Math.floor(minute / 60)).padStart(2, '0')}:${String(minute % 60).padStart(2, '0')}`;
  };
  const does = (): boolean => u() < farm.diligence;

  const lastDay = farm.sets * farm.apart;
  for (let d = -14; d < lastDay; d++)
    names.forEach((pen) => {
      if (!does()) return;
      // Fewer are fit at either end, as with any flock.
      const fit = runOf(Math.ceil(d / farm.apart)).rates.settable - (d < 0 ? 0.03 : 0);
      const laid = pick(3, 9);
      const good = Array.from({ length: laid }, () => u()).filter((v) => v < fit).length;
      row('eggs', addDays(start, d), { pen, laid, kept: good, dirty: laid - good });
    });
  if (farm.reads)
    for (let d = 0; d < lastDay + term; d++)
      if (does())
        row('reading', on(addDays(start, d), within(6, 9)), {
          machine: 'cabinet',
          dry: (runOf(Math.floor(d / farm.apart)).heat + wobble(0.1)).toFixed(1),
          rh: Math.round(runOf(Math.floor(d / farm.apart)).damp + wobble(3)),
        });

  for (let s = 0; s < farm.sets; s++) {
    const name = `W${s + 1}`;
    const { rates, shift, loss, spread } = runOf(s);
    const isHit = s >= from;
    const day = addDays(start, s * farm.apart);
    const hour = within(7, 19);
    const many =
      farm.mixed === 'one' ? 1 : farm.mixed === 'all' ? farm.pens : pick(1, Math.min(3, farm.pens));
    const first = pick(0, farm.pens - 1);
    const members = Array.from({ length: many }, (_, i) => (first + i) % farm.pens);
    const forgets = u() < 0.4;
    const candles = does();
    const looksAgain = does();
    const weighs = farm.weighs && does();
    const opens = farm.opened > 0 && does();
    const setShift = wobble(3.5);
    const setLoss = loss + wobble(0.5);
    type Chick = { at: number; weak: boolean; dead: boolean; share: number };
    const chicks: Chick[] = [];
    const shares = members.map((p, i) => {
      const eggs = Math.max(4, Math.round((farm.eggs / many) * within(0.85, 1.15)));
      const aged = fault === 'long-storage' && isHit && s % 3 !== 0;
      const oldest = aged ? pick(16, 20) : pick(2, farm.stored);
      const newest = aged ? oldest - 4 : Math.max(0, oldest - pick(1, 6));
      const age = (oldest + newest) / 2;
      const tray =
        farm.trays === 'by pen'
          ? (p % trayCount) + 1
          : farm.trays === 'two a set'
            ? ((2 * s + i) % trayCount) + 1
            : (s % trayCount) + 1;
      const bad = fault === 'uneven-tray' && isHit && tray === badTray;
      const gone = size * (points(age) / 100);
      const fails = fault === 'failing-male' && isHit && p === badPen;
      const course = fails ? 1 / (1 + Math.exp(((s - from) / 4 - 1) * 1.5 * size)) : 1;
      const chance = {
        fertile: scattered(Math.min(0.985, rates.fertile + penStep[p]!) * course),
        early: scattered(rates.early + gone * 0.7),
        middle: scattered(rates.middle),
        late: scattered(bad ? more(rates.late, 0.22) : rates.late + gone * 0.3),
        pipped: scattered(bad ? more(rates.pipped, 0.07) : rates.pipped),
      };
      const n = {
        clear1: 0,
        clear2: 0,
        infertile: 0,
        clearDead: 0,
        quit1: 0,
        quit2: 0,
        quitMiddle: 0,
        cracked: 0,
        rotten: 0,
        pipped: 0,
        late: 0,
        malposed: 0,
        leftEarly: 0,
        leftInfertile: 0,
        alive: 0,
      };
      for (let egg = 0; egg < eggs; egg++) {
        if (u() < rates.cracked) n.cracked += 1;
        else if (u() < rates.rotten) n.rotten += 1;
        else if (u() >= chance.fertile) {
          // One clear in twelve is overlooked at the first look.
          if (candles && u() < 11 / 12) n.clear1 += 1;
          else if (looksAgain) n.clear2 += 1;
          else n.leftInfertile += 1;
        } else if (u() < chance.early) {
          const sees = candles && u() < 0.9;
          if (u() < 0.3 && sees) {
            n.clear1 += 1;
            n.clearDead += 1;
          } else if (sees) n.quit1 += 1;
          else if (looksAgain) n.quit2 += 1;
          else n.leftEarly += 1;
        } else if (u() < chance.middle) {
          if (looksAgain) {
            n.quit2 += 1;
            n.quitMiddle += 1;
          } else {
            n.late += 1;
          }
        } else {
          n.alive += 1;
          if (u() < rates.malposed) {
            n.malposed += 1;
            n.late += 1;
          } else if (u() < chance.late) n.late += 1;
          else if (u() < chance.pipped) n.pipped += 1;
          else {
            const wide = bad ? more(spread, 13) : spread;
            // Skewed to the right, mean nought, the given standard deviation.
            const own = (gamma(4) - 4) / 2;
            chicks.push({
              at:
                term * 24 +
                shift +
                setShift +
                hoursADay * Math.max(0, age - 3) +
                (bad ? -7 * size : 0) +
                wide * own,
              weak: u() < rates.weak,
              dead: u() < rates.dead,
              share: i,
            });
          }
        }
      }
      n.infertile = n.clear1 - n.clearDead;
      return { pen: names[p]!, eggs, tray, oldest, newest, n };
    });
    const hatchDay = (h: number): number => hour + h;
    for (const share of shares) {
      const { n, pen, eggs } = share;
      const mass = eggs * (farm.species === 'duck' ? 78 : 57) * within(0.97, 1.03);
      row('set', on(day, hour, forgets), {
        set: name,
        pen,
        eggs,
        ...(farm.trays === 'not written' ? {} : { tray: share.tray }),
        laid_from: addDays(day, -share.oldest),
        laid_to: addDays(day, -share.newest),
        ...(weighs ? { mass_g: mass.toFixed(0) } : {}),
      });
      if (weighs)
        row('weighing', on(addDays(day, 7), 8), {
          set: name,
          pen,
          eggs,
          mass_g: (mass * (1 - ((setLoss + wobble(0.3)) * 7) / transfer / 100)).toFixed(0),
        });
      if (candles)
        row('candling', on(addDays(day, 7), 9), {
          set: name,
          pen,
          clear: n.clear1,
          quit: n.quit1,
          cracked: n.cracked,
          rotten: n.rotten,
        });
      const lateCracks = candles ? 0 : n.cracked;
      const lateRot = candles ? 0 : n.rotten;
      const out = n.clear1 + n.quit1 + n.cracked + n.rotten + (looksAgain ? n.clear2 + n.quit2 : 0);
      row('transfer', on(addDays(day, transfer), 9), {
        set: name,
        pen,
        moved: eggs - out,
        clear: looksAgain ? n.clear2 : 0,
        quit: looksAgain ? n.quit2 : 0,
        cracked: lateCracks,
        rotten: lateRot,
      });
      const some = (count: number): number => Math.round(count * farm.opened);
      const draw = (from: number, marked: number, take: number): number => {
        let left = from;
        let good = marked;
        let got = 0;
        for (let i = 0; i < take; i++) {
          if (u() < good / left) {
            got += 1;
            good -= 1;
          }
          left -= 1;
        }
        return got;
      };
      if (opens) {
        const clears = n.clear1 + (looksAgain ? n.clear2 : 0);
        const take = some(clears);
        if (take > 0) {
          const early = draw(clears, n.clearDead, take);
          row('breakout', addDays(day, transfer), {
            set: name,
            pen,
            from: 'clear',
            infertile: take - early,
            early,
          });
        }
        const quits = n.quit1 + (looksAgain ? n.quit2 : 0);
        const takeQuits = some(quits);
        if (takeQuits > 0) {
          const middle = draw(quits, looksAgain ? n.quitMiddle : 0, takeQuits);
          row('breakout', addDays(day, transfer), {
            set: name,
            pen,
            from: 'quit',
            early: takeQuits - middle,
            middle,
          });
        }
      }
    }
    const latest = Math.max(0, ...chicks.map((c) => c.at));
    const begin = (transfer + 1) * 24 + within(0, farm.every);
    let before = 0;
    for (let h = begin; ; h += farm.every) {
      const final = (h > latest && h > term * 24 + 12) || h > (term + 3) * 24;
      shares.forEach((share, i) => {
        const mine = chicks.filter((c) => c.share === i && c.at > before && c.at <= h);
        if (mine.length === 0 && !final) return;
        const never = chicks.filter((c) => c.share === i && c.at > h).length;
        const { n } = share;
        const whole = n.late + n.leftEarly + n.leftInfertile + never;
        row('hatch', on(day, hatchDay(h), forgets), {
          set: name,
          pen: share.pen,
          hatched: mine.filter((c) => !c.dead).length,
          weak: mine.filter((c) => c.weak && !c.dead).length,
          dead: mine.filter((c) => c.dead).length,
          ...(final ? { pipped: n.pipped, unpipped: whole, final: 'yes' } : {}),
        });
        if (final && opens && farm.opened === 1 && whole + n.pipped > 0)
          row('breakout', on(day, hatchDay(h), forgets), {
            set: name,
            pen: share.pen,
            from: 'unhatched',
            infertile: n.leftInfertile,
            early: n.leftEarly,
            late: n.late + never,
            pipped: n.pipped,
            malposed: n.malposed,
          });
      });
      before = h;
      if (final) break;
    }
  }
  return {
    season: read(),
    at: read,
    truth: { pen: names[badPen]!, tray: badTray, machine: 'cabinet', set: '' },
  };
}

/** Points of hatch lost to days in store: 0.93 a day after the third (van Roovert-Reijrink, copy). */
function points(age: number): number {
  return age <= 9 ? 0.25 * Math.max(0, age - 4) : 1.25 + 0.93 * 2 * (age - 9);
}

function yamlOf(farm: Farm, pens: readonly string[]): string {
  return `format: traybook/1
season: 2027
place: {name: Elsewhere, timezone: UTC, altitude_m: 300}
lines: {kind: {species: ${farm.species}, class: dual-purpose}}
pens:
${pens.map((p) => `  ${p}: {line: kind, hens: 10, males: 1, joined: 2026-12-01}`).join('\n')}
setters: {cabinet: {trays: 4, tray_holds: {chicken: 200, duck: 120}, turns: automatic}}
hatchers: {lower: {holds: {chicken: 600, duck: 400}, one_set_at_a_time: false}}
`;
}

/** Causes that a farm's records could show at all. */
export function seen(farm: Farm): readonly Cause[] {
  return causes.filter(
    (cause) =>
      !['gauge-wrong', 'set-lost', 'power-cut'].includes(cause) &&
      !(cause === 'uneven-tray' && farm.trays !== 'rotating' && farm.trays !== 'two a set') &&
      !((cause === 'damp' || cause === 'dry') && !farm.weighs && !farm.reads) &&
      !((cause === 'warm' || cause === 'cool') && !farm.reads && farm.clock === 'days') &&
      !(cause === 'drawn-out' && farm.every > 12) &&
      !(cause === 'failing-male' && farm.sets < 8),
  );
}
