import { norms } from '../norms.ts';
import type { Outcome } from '../review/outcome.ts';
import { type Evidence, partsOf, percent, sumOf } from './evidence.ts';
import { type Candidate, type Cause, everywhere, type Sign } from './finding.ts';
import { type Clustered, combined, eggsToTell, levelTest, ofPlaces } from './tests.ts';

type Asked = {
  cause: Cause;
  rates: readonly (keyof typeof norms.rates &
    ('early' | 'middle' | 'late' | 'pipped' | 'rotten' | 'weak'))[];
  unit: string;
  says: Readonly<Record<string, string>>;
  missing: string;
  how: string;
  rivals: Cause[];
  next: string[];
};

const asked: readonly Asked[] = [
  {
    cause: 'early-death',
    rates: ['early'],
    unit: 'share of fertile eggs',
    says: { early: 'died in the first third' },
    missing: 'no eggs were candled',
    how: 'Candle at about a third of the term; write quits and clears apart.',
    rivals: ['long-storage', 'handling', 'warm'],
    next: [
      'Look at storage (heat, age, turning), at how eggs travelled, and at the first week of the machine.',
      'Break out clears and quits: traybook add breakout SET --from clear --infertile N --early N',
    ],
  },
  {
    cause: 'middle-death',
    rates: ['middle'],
    unit: 'share of fertile eggs',
    says: { middle: 'died in the middle third' },
    missing: 'no set was candled and moved',
    how: 'Candle again at transfer and write the quits.',
    rivals: ['early-death', 'late-death'],
    next: [
      "Deaths in mid-term are rare: think of the breeders' feed (vitamins), disease, inbreeding, turning and air, and ask a vet if it goes on.",
      'Break out the quits: traybook add breakout SET --from quit --early N --middle N --late N',
    ],
  },
  {
    cause: 'late-death',
    rates: ['late', 'pipped'],
    unit: 'share of fertile eggs',
    says: { late: 'died in the last third, shell whole', pipped: 'broke the shell and died' },
    missing: 'no candled set had its final opening',
    how: 'Count pipped and unpipped shells at the last opening: --pipped N --unpipped N --final yes',
    rivals: ['damp', 'dry', 'uneven-tray'],
    next: [
      "Look at weight loss to transfer, at the hatcher's humidity and air, and at its temperature in the last days.",
      'Open what did not hatch: traybook add breakout SET --from unhatched --late N --pipped N --malposed N',
    ],
  },
  {
    cause: 'contamination',
    rates: ['rotten'],
    unit: 'share of eggs set',
    says: { rotten: 'were rotten' },
    missing: 'no eggs were candled or hatched',
    how: 'Write rotten eggs at candling, transfer and breakout.',
    rivals: ['egg-quality'],
    next: [
      'Set clean, sound eggs only, keep nests dry, do not wash or sweat eggs, take a smelling egg out at once, and clean and dry the hatcher between hatches.',
    ],
  },
  {
    cause: 'weak-chicks',
    rates: ['weak'],
    unit: 'share of chicks hatched',
    says: { weak: 'were weak or culled' },
    missing: 'no hatch is written',
    how: 'Write weak chicks at each opening: --weak N',
    rivals: ['warm', 'damp', 'contamination'],
    next: [
      'Look at navels and legs: rough navels speak for heat, big soft bellies for damp or cool, spraddled legs for a slippery floor.',
    ],
  },
];

/** Hatchers whose humidity was out of the usual: where to look first when chicks die late. */
function hatcherSigns(e: Evidence): Sign[] {
  return e.readings.flatMap((m): Sign[] => {
    const air = m.kind === 'hatcher' ? m.humidity : null;
    if (air === null || (air.mean >= air.target.low && air.mean <= air.target.high)) return [];
    const side = air.mean < air.target.low ? 'dry' : 'damp';
    return [
      {
        says: `hatcher ${m.machine} was read ${side}: humidity ${air.mean.toFixed(0)} % on average over ${air.days} ${air.days === 1 ? 'day' : 'days'}, ${air.target.low} to ${air.target.high} usual`,
        test: 'on record, not counted in the test',
        p: null,
      },
    ];
  });
}

/** Do more eggs (chicks) fail at a stage than norms allow, over all or in one pen? */
function stageQuestion(e: Evidence, q: Asked): Candidate {
  const signs: Sign[] = [];
  let lead: {
    rate: (typeof q.rates)[number];
    level: NonNullable<ReturnType<typeof levelTest>>;
    pen: string | null;
    p: number;
  } | null = null;
  let thin: string | null = null;
  for (const rate of q.rates) {
    const norm = norms.rates[rate];
    const parts = partsOf(e.outcomes, rate);
    const all = levelTest(parts, norm.value.high, 'above');
    if (!all) continue;
    const pens = [...new Set(parts.map((p) => p.one.pen))];
    const each = pens.map((pen) => ({
      pen,
      level: levelTest(
        parts.filter((p) => p.one.pen === pen),
        norm.value.high,
        'above',
      )!,
    }));
    const worst = each.reduce((a, b) => (b.level.p < a.level.p ? b : a));
    const places = pens.length > 1 ? pens.length + 1 : 1;
    const bad = each.filter((one) => one.level.estimate > norm.value.high).length;
    const one = pens.length > 1 && bad * 2 <= pens.length && worst.level.p < all.p;
    const level = one ? worst.level : all;
    const p = ofPlaces(Math.min(worst.level.p, all.p), places);
    signs.push({
      says: `${Math.round(level.x)} of ${Math.round(level.n)} ${one ? `of pen ${worst.pen} ` : ''}${q.says[rate]} (${percent(level.estimate)})`,
      test: `binomial tail against ${percent(norm.value.high)}, scatter between sets ${level.scatter.toFixed(2)}, best of ${places} places`,
      p,
    });
    if (!lead || p < lead.p) lead = { rate, level, pen: one ? worst.pen : null, p };
    // Twice the width of the usual range beyond it is the fault that must not be missed.
    const reach = norm.value.high + 2 * (norm.value.high - norm.value.low);
    const enough = eggsToTell(norm.value.high, reach, norms.levels.watch.value, all.scatter);
    if (rate === q.rates[0] && all.n < enough)
      thin = `${Math.round(all.n)} are too few to say: about ${enough - Math.round(all.n)} more would settle it`;
  }
  const tested = signs.length;
  if (q.cause === 'late-death') signs.push(...hatcherSigns(e));
  const norm = norms.rates[lead?.rate ?? q.rates[0]!];
  return {
    cause: q.cause,
    where: lead?.pen ? { ...everywhere, pen: lead.pen } : everywhere,
    unit: q.unit,
    estimate: lead?.level.estimate ?? null,
    low: lead?.level.low ?? null,
    high: lead?.level.high ?? null,
    expected: norm.value.high,
    source: norm.source,
    p: lead ? ofPlaces(lead.p, tested) : null,
    fact: false,
    signs,
    unknown: lead ? thin : q.missing,
    rivals: q.rivals,
    next: lead ? q.next : [q.how],
  };
}

/** The stages at which eggs and chicks fail, one question each. */
export function stageQuestions(e: Evidence): Candidate[] {
  return asked.map((q) => stageQuestion(e, q));
}

/**
 * Chicks lying wrong, of fertile eggs, share by share. Where only some shares had their unhatched
 * eggs opened, those stand for the others: to count a share that hatched whole and leave out one
 * that nobody opened would make the season look better than it was.
 */
function malposedParts(e: Evidence): (Clustered & { one: Outcome })[] {
  const own = partsOf(e.outcomes, 'malposed');
  const of = own.reduce((s, p) => s + p.one.opened.unhatched.of, 0);
  if (of === 0) return [];
  const share = sumOf(own).x / of;
  const late = partsOf(e.outcomes, 'late').filter((p) => p.one.rates.malposed === null);
  const unopened = late.reduce((s, p) => s + p.one.opened.unhatched.of, 0);
  const opened = own.reduce((s, p) => s + p.one.opened.unhatched.opened, 0);
  const likely = (share * opened + 0.5) / (opened + 1);
  return [
    ...own,
    ...late.map((p) => {
      const shells = p.one.opened.unhatched.of;
      return {
        ...p,
        x: shells * share,
        sampled: (shells * unopened * likely * (1 - likely)) / opened,
      };
    }),
  ];
}

/** Are eggs and chicks handled well: cracks, wrong lying, turning, chicks dead in the hatcher? */
export function handling(e: Evidence): Candidate {
  const says = {
    cracked: 'eggs cracked after they were set',
    malposed: 'fertile eggs held a chick lying wrong',
    dead: 'chicks were dead in the hatcher',
  } as const;
  const signs: Sign[] = [];
  let lead: { rate: keyof typeof says; level: NonNullable<ReturnType<typeof levelTest>> } | null =
    null;
  const parts = {
    cracked: partsOf(e.outcomes, 'cracked'),
    malposed: malposedParts(e),
    dead: partsOf(e.outcomes, 'dead'),
  };
  for (const rate of ['cracked', 'malposed', 'dead'] as const) {
    const limit = norms.rates[rate].value.high;
    const level = levelTest(parts[rate], limit, 'above');
    if (!level) continue;
    signs.push({
      says: `${Math.round(level.x)} of ${Math.round(level.n)} ${says[rate]} (${percent(level.estimate)})`,
      test: `binomial tail against ${percent(limit)}, scatter between sets ${level.scatter.toFixed(2)}`,
      p: level.p,
    });
    if (!lead || level.p < lead.level.p) lead = { rate, level };
  }
  const eggs = sumOf(parts.cracked).n;
  const usual = norms.rates.cracked.value;
  const enough = eggsToTell(
    usual.high,
    usual.high + 2 * (usual.high - usual.low),
    norms.levels.watch.value,
    1,
  );
  const thin =
    eggs < enough
      ? `${Math.round(eggs)} eggs are too few: about ${enough - Math.round(eggs)} more candled eggs would settle it`
      : null;
  const stops = e.readings.flatMap((m) =>
    m.turningStopped.map((t) => ({ ...t, machine: m.machine })),
  );
  // A stop of a day or more is a day's turning missed; a short one is not worth a word.
  const long = stops.filter((s) => (s.minutes ?? 0) >= 24 * 60);
  for (const stop of long) {
    signs.push({
      says: `turning stood still in ${stop.machine} for ${Math.round(stop.minutes! / 60)} hours on ${stop.on.day}`,
      test: 'on record',
      p: null,
    });
  }
  const norm = norms.rates[lead?.rate ?? 'cracked'];
  const p = combined(signs.map((s) => s.p));
  return {
    cause: 'handling',
    where: long[0] ? { ...everywhere, setter: long[0].machine, from: long[0].on.day } : everywhere,
    unit:
      lead?.rate === 'malposed'
        ? 'share of fertile eggs'
        : lead?.rate === 'dead'
          ? 'share of chicks'
          : 'share of eggs set',
    estimate: lead?.level.estimate ?? null,
    low: lead?.level.low ?? null,
    high: lead?.level.high ?? null,
    expected: norm.value.high,
    source: norm.source,
    p,
    fact: long.length > 0,
    signs,
    unknown: p === null ? 'no set was candled or hatched' : thin,
    rivals: ['egg-quality'],
    next: [
      p === null
        ? 'Write cracked eggs at each candling, and chicks found dead at each opening.'
        : lead?.rate === 'malposed'
          ? 'Set eggs small end down, check that the trays tilt fully, and let weight loss be right.'
          : lead?.rate === 'dead'
            ? 'Take chicks off once dry, open seldom, look at heat and air in the hatcher at the end.'
            : 'Look at how eggs are carried, at the fit of trays and at the turning gear; candle for hair cracks before setting.',
    ],
  };
}
