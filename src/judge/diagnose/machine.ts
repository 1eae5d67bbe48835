import { norms } from '../norms.ts';
import { trayName } from '../review/groups.ts';
import type { Outcome } from '../review/outcome.ts';
import type { Measured } from '../review/readings.ts';
import { expectedRange } from '../review/timing.ts';
import type { ShareLoss } from '../review/weights.ts';
import { pooledTimes, type TimedUnit } from '../statistics/censored-times.ts';
import { normalUpper, studentQuantile, studentUpper } from '../statistics/distributions.ts';
import { wilson } from '../statistics/proportion.ts';
import { ageColumn, type Evidence, hours, partsOf, penColumns, sumOf } from './evidence.ts';
import { type Candidate, everywhere, question, type Sign } from './finding.ts';
import { asNormal, combined, ofPlaces, slopeTest, weighed, welch } from './tests.ts';

/** How far beyond a limit a mean lies, in standard errors; null without a measure of scatter. */
function beyond(mean: number, se: number | null, df: number, limit: number): number | null {
  return se === null || se <= 0 || df < 1 ? null : asNormal((mean - limit) / se, df);
}

function setterMeasures(e: Evidence, of: 'temperature_c' | 'humidity'): Measured[] {
  return e.readings.flatMap((m) => (m.kind === 'setter' && m[of] !== null ? [m[of]] : []));
}

/** Is the machine warm or cool? By when chicks hatched, and by its thermometer. */
export function warmAndCool(e: Evidence): Candidate[] {
  const { pooled, interval, clockUnknown } = e.timing;
  // Without minutes, or with so few openings that not even the spread can be seen, half a day more
  // may lie in how the hours were taken than in the machine.
  const coarse = clockUnknown || (pooled !== null && !pooled.sdKnown);
  const fine =
    norms.timing.fine_hours.value + (coarse ? norms.timing.clock_unknown_hours.value : 0);
  const measures = setterMeasures(e, 'temperature_c');
  return (['warm', 'cool'] as const).map((cause): Candidate => {
    const sign = cause === 'warm' ? -1 : 1;
    const signs: Sign[] = [];
    const zTime =
      pooled?.seShift == null
        ? null
        : beyond(sign * pooled.shift, pooled.seShift, pooled.groups - 1, fine);
    if (pooled !== null && zTime !== null) {
      signs.push({
        says: `chicks hatched ${hours(pooled.shift)} ${pooled.shift < 0 ? 'before' : 'after'} the time expected for their storage, over ${pooled.groups} sets`,
        test: `mean of sets against ${fine} hours ${cause === 'warm' ? 'early' : 'late'}, Student`,
        p: normalUpper(zTime),
      });
    }
    let zHeat: number | null = null;
    for (const m of measures) {
      const limit = cause === 'warm' ? m.target.high : m.target.low;
      const z = beyond(-sign * m.mean, m.se, m.days - 1, -sign * limit);
      if (z === null) continue;
      if (zHeat === null || z > zHeat) zHeat = z;
      signs.push({
        says: `the setter's thermometer showed ${m.mean.toFixed(2)} °C on average over ${m.days} days`,
        test: `mean of days against ${limit.toFixed(2)} °C, Student`,
        p: normalUpper(z),
      });
    }
    const z = weighed([
      { z: zTime, weight: 1 },
      { z: zHeat, weight: 1 },
    ]);
    const disagree = zTime !== null && zHeat !== null && zHeat > 2 && zTime < 0;
    const one = measures[0];
    return {
      cause,
      where: everywhere,
      unit: zTime === null && one ? '°C in the setter' : 'hours from the time expected',
      estimate: zTime === null ? (one?.mean ?? null) : (pooled?.shift ?? null),
      low: zTime === null ? (one?.low ?? null) : (interval?.[0] ?? null),
      high: zTime === null ? (one?.high ?? null) : (interval?.[1] ?? null),
      expected:
        zTime === null && one ? (cause === 'warm' ? one.target.high : one.target.low) : sign * fine,
      source: zTime === null && one ? one.target.source : norms.timing.fine_hours.source,
      p: z === null ? null : normalUpper(z),
      fact: disagree,
      signs,
      unknown:
        z !== null
          ? null
          : pooled !== null && pooled.groups === 1
            ? 'one set alone tells nothing of the machine: a second one would'
            : 'neither the hours of openings nor readings of the machine are written',
      rivals: cause === 'cool' ? ['long-storage', 'drawn-out'] : ['dry'],
      next: disagree
        ? [
            'Chicks came on time though the thermometer is out: check the thermometer against a second one and write it: traybook add reading MACHINE --event calibration --dry CORRECTION',
          ]
        : z === null
          ? ['Write the minute of setting and of each opening, and read the machine daily.']
          : [
              'Check the thermometer against a second one at the height of the eggs, then move the setting by a quarter of a degree and see the next hatch.',
              'Write the minute of setting and of each opening.',
            ],
    };
  });
}

// Standard error of the loss of one set, points: common practice for kitchen scales, no source.
const SCALE_ERROR = 0.5;

/** Do eggs lose too little or too much water? Weight decides; humidity speaks second. */
export function dampAndDry(e: Evidence): Candidate[] {
  const losses = e.losses;
  const source = losses[0]?.target.source ?? null;
  const bySet = new Map<string, ShareLoss[]>();
  for (const l of losses) bySet.set(l.set, [...(bySet.get(l.set) ?? []), l]);
  const k = bySet.size;
  /** Mean and standard error over sets of something about a share's loss. */
  const over = (of: (l: ShareLoss) => number): { mean: number; se: number | null } => {
    const means = [...bySet.values()].map((v) => v.reduce((s, l) => s + of(l), 0) / v.length);
    const mean = means.reduce((s, v) => s + v, 0) / Math.max(1, k);
    return {
      mean,
      se: k > 1 ? Math.sqrt(means.reduce((s, v) => s + (v - mean) ** 2, 0) / (k - 1) / k) : null,
    };
  };
  const lost = over((l) => l.loss.forecast);
  const measures = setterMeasures(e, 'humidity');
  // The balance is the better witness: humidity only stands for what it shows.
  const WEIGHT_OF_HUMIDITY = 0.5;
  return (['damp', 'dry'] as const).map((cause): Candidate => {
    const sign = cause === 'damp' ? -1 : 1;
    const signs: Sign[] = [];
    let zLoss: number | null = null;
    let limit = 0;
    if (k > 0) {
      // Each kind against its own limit, so that kinds can be pooled.
      const edge = (l: ShareLoss): number => (cause === 'damp' ? l.target.low : l.target.high);
      const past = over((l) => sign * (l.loss.forecast - edge(l)));
      limit = over(edge).mean;
      // Sets weighed with one slip of the scale in common scatter too little: half a point of loss
      // is what a careful scale is good for.
      const se = past.se === null ? null : Math.max(past.se, SCALE_ERROR / Math.sqrt(k));
      zLoss = beyond(past.mean, se, k - 1, 0);
      signs.push({
        says: `eggs were on the way to lose ${lost.mean.toFixed(1)} % by transfer, over ${k} ${k === 1 ? 'set' : 'sets'} weighed`,
        test: `mean of sets against ${limit.toFixed(1)} %, Student`,
        p: zLoss === null ? null : normalUpper(zLoss),
      });
    }
    let zAir: number | null = null;
    for (const m of measures) {
      const edge = cause === 'damp' ? m.target.high : m.target.low;
      const z = beyond(-sign * m.mean, m.se, m.days - 1, -sign * edge);
      if (z === null) continue;
      if (zAir === null || z > zAir) zAir = z;
      signs.push({
        says: `humidity in the setter was ${m.mean.toFixed(0)} % on average over ${m.days} days`,
        test: `mean of days against ${edge.toFixed(0)} %, Student`,
        p: normalUpper(z),
      });
    }
    const z = weighed([
      { z: zLoss, weight: 1 },
      { z: zAir, weight: WEIGHT_OF_HUMIDITY },
    ]);
    const m = measures[0];
    const half = lost.se === null ? null : studentQuantile(0.975, k - 1) * lost.se;
    const weighedEggs = k > 0;
    return {
      cause,
      where: everywhere,
      unit: weighedEggs ? 'percent of set mass, to transfer' : 'percent relative humidity',
      estimate: weighedEggs ? lost.mean : (m?.mean ?? null),
      low: weighedEggs ? (half === null ? null : lost.mean - half) : (m?.low ?? null),
      high: weighedEggs ? (half === null ? null : lost.mean + half) : (m?.high ?? null),
      expected: weighedEggs ? limit : m ? (cause === 'damp' ? m.target.high : m.target.low) : null,
      source: weighedEggs ? source : (m?.target.source ?? null),
      p: z === null ? null : normalUpper(z),
      fact: false,
      signs,
      unknown:
        z !== null
          ? null
          : k === 1
            ? 'one set weighed tells little: weigh a second'
            : 'eggs were not weighed and humidity was not read',
      rivals: cause === 'damp' ? ['late-death'] : ['late-death', 'warm'],
      next:
        z === null
          ? [
              'Weigh a tray at setting and at each candling, net of the tray: traybook add weighing SET --eggs N --mass-g N',
            ]
          : [
              `Move the humidity ${cause === 'damp' ? 'down' : 'up'} in steps of at most ${norms.loss.step_rh_points.value} points, weigh again in 2 to 3 days, and let weight decide.`,
              'Weigh the same trays at setting and at each candling.',
            ],
    };
  });
}

/** Does one tray fail whatever the pen: late deaths, spread, hours? */
export function unevenTray(e: Evidence): Candidate {
  const base = question({
    cause: 'uneven-tray',
    unit: 'share of fertile eggs dying late, in the tray',
    expected: null,
    source: 'the other trays of this season',
    next: [
      'Put a second thermometer into that tray and into another for a day; look at fan, seals and how trays sit; move trays about at each candling.',
    ],
  });
  const trays = new Map<string, { setter: string; tray: number }>();
  for (const o of e.outcomes)
    for (const t of o.trays) trays.set(trayName(e.season, t), { setter: t.setter, tray: t.tray });
  const partIn = (o: Outcome, name: string): number =>
    o.trays.reduce((s, t) => (trayName(e.season, t) === name ? s + t.part : s), 0);
  const names = [...trays.keys()].filter((name) =>
    e.outcomes.some((o) => o.finished && partIn(o, name) > 0),
  );
  if (names.length < 2) {
    return {
      ...base,
      unknown:
        names.length === 0
          ? 'no finished set says in which tray it lay'
          : 'all finished eggs lay in one tray: there is nothing to compare it with',
      next: [
        'Write the tray with each set, and spread pens over trays: traybook add set NAME --pen PEN --tray N',
      ],
    };
  }
  const late = partsOf(e.outcomes, 'late').map((p) => ({
    ...p,
    x: Math.min(p.n, p.x + (p.one.rates.pipped?.x ?? 0)),
  }));
  const timed = e.timing.shares.map((s) => ({
    unit: s as TimedUnit,
    one: e.outcomes.find((o) => o.share === s.share),
  }));
  type Found = { name: string; p: number; signs: Sign[]; alike: boolean };
  const found: Found[] = [];
  for (const name of names) {
    const signs: Sign[] = [];
    let alike = false;
    const outcomes = late.map((p) => p.one);
    if (late.length >= 4) {
      const columns = {
        ...penColumns(outcomes),
        ...ageColumn(outcomes),
        tray: outcomes.map((o) => partIn(o, name)),
      };
      const slope = slopeTest(late, columns, 'tray', 'above');
      alike = slope === null && sumOf(late).x > 0;
      if (slope) {
        const own = sumOf(late.filter((p) => partIn(p.one, name) > 0.5));
        const rest = sumOf(late.filter((p) => partIn(p.one, name) <= 0.5));
        signs.push({
          says: `in tray ${name} ${Math.round(own.x)} of ${Math.round(own.n)} fertile eggs died late, elsewhere ${Math.round(rest.x)} of ${Math.round(rest.n)}`,
          test: `logistic model with pen and storage, scatter ${slope.scatter.toFixed(2)}`,
          p: slope.p,
        });
      }
    }
    const inside = pooledTimes(
      timed.filter((t) => t.one && partIn(t.one, name) > 0.99).map((t) => t.unit),
    );
    const outside = pooledTimes(
      timed.filter((t) => t.one && partIn(t.one, name) === 0).map((t) => t.unit),
    );
    if (inside && outside) {
      if (inside.seLogSd !== null && outside.seLogSd !== null) {
        const { t, df } = welch(
          Math.log(inside.sd / outside.sd),
          { se: inside.seLogSd, groups: inside.groups },
          { se: outside.seLogSd, groups: outside.groups },
        );
        signs.push({
          says: `chicks of tray ${name} hatched over ${Math.round(2 * 1.2816 * inside.sd)} hours (the middle eight tenths), those of other trays over ${Math.round(2 * 1.2816 * outside.sd)}`,
          test: "difference of log standard deviations, each by its scatter over sets, Welch's t",
          p: studentUpper(t, df),
        });
      }
      if (inside.seShift !== null && outside.seShift !== null) {
        const difference = inside.shift - outside.shift;
        // Hours taken coarsely put a set half a day off by where the looks happened to fall.
        const coarse = e.timing.clockUnknown || !inside.sdKnown || !outside.sdKnown;
        const blur = coarse ? norms.timing.clock_unknown_hours.value : 0;
        const { t, df } = welch(
          Math.max(0, Math.abs(difference) - blur),
          { se: inside.seShift, groups: inside.groups },
          { se: outside.seShift, groups: outside.groups },
        );
        signs.push({
          says: `chicks of tray ${name} hatched ${hours(difference)} ${difference < 0 ? 'before' : 'after'} those of other trays`,
          test: `difference of means over sets${coarse ? ` beyond ${blur} hours` : ''}, Welch's t, either way`,
          p: Math.min(1, 2 * studentUpper(t, df)),
        });
      }
    }
    const p = combined(signs.map((s) => s.p));
    if (p !== null) found.push({ name, p, signs, alike });
    else if (alike) found.push({ name, p: 1, signs, alike });
  }
  if (found.length === 0) {
    return { ...base, unknown: 'too few finished sets to compare trays', next: base.next };
  }
  const worst = found.reduce((a, b) => (b.p < a.p ? b : a));
  const own = sumOf(late.filter((p) => partIn(p.one, worst.name) > 0.5));
  const rest = sumOf(late.filter((p) => partIn(p.one, worst.name) <= 0.5));
  const interval = own.n > 0 ? wilson(own.x, own.n) : null;
  return {
    ...base,
    where: { ...everywhere, ...trays.get(worst.name)! },
    estimate: own.n > 0 ? own.x / own.n : null,
    low: interval?.[0] ?? null,
    high: interval?.[1] ?? null,
    expected: rest.n > 0 ? rest.x / rest.n : null,
    p: ofPlaces(worst.p, found.length),
    signs: worst.signs,
    rivals: worst.alike ? ['late-death', 'low-fertility'] : ['late-death', 'drawn-out'],
    next: worst.alike
      ? [
          'This tray always held the same pen, so tray and pen cannot be told apart: change them about in the next sets.',
          ...base.next,
        ]
      : base.next,
  };
}

/** Do chicks of a set hatch together? Spread within sets, what storage explains taken off. */
export function drawnOut(e: Evidence): Candidate {
  const norm = norms.timing.window_hours;
  const base = question({
    cause: 'drawn-out',
    unit: 'hours from first to last chick of a set',
    expected: norm.value.high,
    source: norm.source,
    rivals: ['uneven-tray', 'long-storage'],
    next: [
      'Set eggs of like age and size together, look for warm and cool corners, and do not open while they pip.',
      'Write each opening with its hour and the chicks taken off.',
    ],
  });
  // One unit a set: what its shares share and where they differ both count.
  const merged = new Map<string, { from: number; to: number; count: number }[]>();
  for (const s of e.timing.shares)
    merged.set(s.group, [...(merged.get(s.group) ?? []), ...s.cells]);
  const pooled = pooledTimes([...merged].map(([group, cells]) => ({ group, cells })));
  if (!pooled || pooled.seLogSd === null) {
    return {
      ...base,
      unknown:
        'too few openings with their hours to see how long a hatch takes: two or more openings a set, over several sets',
    };
  }
  const chicks = pooled.units.reduce((s, u) => s + u.count, 0) / pooled.units.length;
  const range = expectedRange(chicks);
  if (!(range > 0)) return { ...base, unknown: 'too few chicks a set to speak of a spread' };
  const estimate = pooled.sd * range;
  const df = Math.max(1, pooled.groups - 1);
  const t = Math.log(estimate / norm.value.high) / pooled.seLogSd;
  const half = studentQuantile(0.975, df) * pooled.seLogSd;
  const p = studentUpper(t, df);
  return {
    ...base,
    estimate,
    low: estimate * Math.exp(-half),
    high: estimate * Math.exp(half),
    p,
    signs: [
      {
        says: `a set of ${Math.round(chicks)} chicks took about ${Math.round(estimate)} hours from first to last, storage allowed for`,
        test: `log spread over ${pooled.groups} sets against ${norm.value.high} hours, Student`,
        p,
      },
    ],
  };
}
