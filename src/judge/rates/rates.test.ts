import { describe, expect, test } from 'vitest';
import { day, hill, seasonOf, type Written } from '../../../tests/support/season.ts';
import { betaQuantile } from '../../../tests/vectors/textbook/distributions.ts';
import { stages } from '../../facts/stages.ts';
import { addDays } from '../../text/day.ts';
import { farmRates } from './rates.ts';

const today = day('2027-12-01');
const yaml = `${hill}brooders: {barn: {area: 5}}\n`;
const ratesOf = (text: string, written: readonly Written[] = [], earlier: typeof written = []) => {
  const season = seasonOf(text, written);
  const before = seasonOf(text.replace('season: 2027', 'season: 2026'), earlier);
  const rates = farmRates(season, earlier.length > 0 ? [before] : [], today);
  const pen = (name: string) => season.pens.get(name)!;
  return { rates, pen, season };
};

/** A set of a pen that all came off, with chicks sexed. */
function raised(
  set: string,
  pen: string,
  cells: { pullets: number; cockerels: number },
): Written[] {
  const { pullets, cockerels } = cells;
  const eggs = pullets + cockerels;
  return [
    ['set', '2027-03-06', { set, pen, eggs }],
    ['candling', '2027-03-13', { set }],
    ['transfer', '2027-03-24', { set, moved: eggs }],
    ['hatch', '2027-03-27', { set, hatched: eggs, final: 'yes' }],
    ['group', '2027-03-27', { group: `G-${set}`, set, brooder: 'barn', chicks: eggs }],
    ['sexing', '2027-07-01', { group: `G-${set}`, pullets, cockerels, unsure: 0 }],
  ];
}
const candled = (set: string, pen: string, eggs: number, clear: number): Written[] => [
  ['set', '2027-03-06', { set, pen, eggs }],
  ['candling', '2027-03-13', { set, clear }],
];

describe('before any counts', () => {
  const { rates, pen } = ratesOf(hill);

  test('every stage has the mean of the table, and is less sure than the table alone', () => {
    for (const stage of stages)
      for (const name of ['orchard', 'pond']) {
        const rate = rates.rate(stage, pen(name));
        const { mean, strength } = rate.prior;
        expect(rate.mean).toBeCloseTo(mean, 1.6);
        expect(rate.own).toEqual({ x: 0, n: 0, sets: 0 });
        const alone = [0.025, 0.975].map((p) =>
          betaQuantile(p, mean * strength, (1 - mean) * strength),
        );
        expect(rate.low).toBeLessThan(alone[0]! + 0.01);
        expect(rate.high).toBeGreaterThan(alone[1]! - 0.01);
      }
  });

  test('pens of a line are alike, lines of two species are not', () => {
    const of = (name: string) => rates.rate('fertile', pen(name));
    expect(of('yard').mean).toBe(of('orchard').mean);
    expect(of('yard').unit).not.toBe(of('orchard').unit);
    // Chickens 88 % in seeds/rates.yaml, ducks 85.
    expect(of('pond').prior.mean).toBe(0.85);
    expect(of('orchard').prior.mean).toBe(0.88);
  });

  test('storage costs about what the table says', () => {
    const { mean, eggs } = rates.storage('chicken');
    expect(Math.abs(mean - 1)).toBeLessThan(0.2);
    expect(eggs.sets).toBe(0);
    expect(rates.storage('chicken')).toBe(rates.storage('chicken'));
  });
});

describe('a stage without scatter', () => {
  // No pen or line is known to differ in the sexes, so the posterior is the conjugate beta:
  // 200 and 200 of the table (Hays 1945, in seeds/rates.yaml), and the counts.
  test('is the beta of prior and counts', () => {
    const { rates, pen } = ratesOf(yaml, raised('A1', 'orchard', { pullets: 30, cockerels: 10 }));
    const found = rates.rate('female', pen('orchard'));
    expect(found.mean).toBeCloseTo(230 / 440, 3);
    expect(found.low).toBeCloseTo(betaQuantile(0.025, 230, 210), 2);
    expect(found.high).toBeCloseTo(betaQuantile(0.975, 230, 210), 2);
    expect(found.sd).toBeCloseTo(Math.sqrt((230 * 210) / (440 ** 2 * 441)), 3);
    expect(found.own).toEqual({ x: 30, n: 40, sets: 1 });
  });

  test('takes the counts of earlier seasons as its own', () => {
    const { rates, pen } = ratesOf(
      yaml,
      raised('A1', 'orchard', { pullets: 30, cockerels: 10 }),
      raised('B1', 'yard', { pullets: 5, cockerels: 25 }),
    );
    const found = rates.rate('female', pen('orchard'));
    expect(found.mean).toBeCloseTo(235 / 470, 3);
    expect(found.earlier).toEqual({ x: 5, n: 30, sets: 1 });
    expect(found.own).toEqual({ x: 30, n: 40, sets: 1 });
  });

  test('of another species is not touched', () => {
    const counted = ratesOf(yaml, raised('A1', 'orchard', { pullets: 40, cockerels: 0 }));
    expect(counted.rates.rate('female', counted.pen('pond'))).toMatchObject({
      own: { n: 0 },
      others: { n: 0 },
    });
    expect(counted.rates.rate('female', counted.pen('pond')).mean).toBeCloseTo(0.5, 3);
  });
});

describe('counts of several pens', () => {
  const written = [...candled('A1', 'orchard', 40, 20), ...candled('A2', 'yard', 40, 4)];
  const { rates, pen } = ratesOf(yaml, written);

  test('are told apart: of the pen, of others this season, of earlier ones', () => {
    const of = (name: string) => {
      const { own, others, earlier } = rates.rate('fertile', pen(name));
      return { own, others, earlier };
    };
    expect(of('orchard')).toEqual({
      own: { x: 20, n: 40, sets: 1 },
      others: { x: 36, n: 40, sets: 1 },
      earlier: { x: 0, n: 0, sets: 0 },
    });
    expect(of('yard').own).toEqual({ x: 36, n: 40, sets: 1 });
  });

  test('keep a pen of its own, drawn towards the rest', () => {
    const [bad, good] = ['orchard', 'yard'].map((name) => rates.rate('fertile', pen(name)).mean);
    expect(bad!).toBeGreaterThan(0.5);
    expect(bad!).toBeLessThan(0.75);
    expect(good!).toBeGreaterThan(bad! + 0.1);
    expect(good!).toBeLessThan(0.9);
    // One pen alone, with the same counts, is drawn less far down.
    const alone = ratesOf(yaml, candled('A2', 'yard', 40, 4));
    expect(alone.rates.rate('fertile', alone.pen('yard')).mean).toBeGreaterThan(good!);
  });

  test('of a pen of that name in an earlier season are of other birds', () => {
    const now = ratesOf(yaml, [], candled('B1', 'orchard', 200, 100));
    const found = now.rates.rate('fertile', now.pen('orchard'));
    expect(found.own.n).toBe(0);
    expect(found.earlier).toEqual({ x: 100, n: 200, sets: 1 });
    expect(found.mean).toBe(now.rates.rate('fertile', now.pen('yard')).mean);
    expect(found.mean).toBeLessThan(0.8);
  });
});

test('chicks sold at a day old do not stand for chicks that were reared', () => {
  // Of 40 chicks 30 are sold the day after the hatch; of the ten kept five die.
  const rows = (chicks: number, sold: number): Written[] => [
    ...raised('A1', 'orchard', { pullets: 20, cockerels: 20 }).filter(
      ([kind]) => kind !== 'group' && kind !== 'sexing',
    ),
    ['group', '2027-03-27', { group: 'G', set: 'A1', brooder: 'barn', chicks }],
    ...(sold > 0
      ? [
          [
            'leaving',
            '2027-03-28',
            { group: 'G', sex: 'unknown', birds: sold, way: 'sold' },
          ] as const,
        ]
      : []),
    ['loss', '2027-04-20', { group: 'G', birds: 5 }],
  ];
  const reared = (chicks: number, sold: number) => {
    const { rates, pen } = ratesOf(yaml, rows(chicks, sold));
    return rates.rate('reared', pen('orchard'));
  };
  // They tell as much as if only the ten had been put into the group, but for their first day.
  expect(reared(40, 30).mean).toBeCloseTo(reared(10, 0).mean, 1.5);
  expect(reared(40, 30).mean).toBeLessThan(reared(40, 0).mean - 0.01);
  expect(reared(40, 30).own).toEqual({ x: 35, n: 40, sets: 1 });
});

describe('rates: of season.yaml', () => {
  const own = (value: string) => `${yaml}rates: {sussex: {fertile: ${value}}}\n`;
  const counts = candled('A1', 'orchard', 100, 60);

  test('a number alone stands as it is, whatever is counted', () => {
    for (const written of [[], counts]) {
      const { rates, pen } = ratesOf(own('0.6'), written);
      const found = rates.rate('fertile', pen('orchard'));
      expect(found.mean).toBeCloseTo(0.6, 2);
      expect(found.high - found.low).toBeLessThan(0.05);
      expect(found.prior).toMatchObject({ mean: 0.6, seen: 'keeper' });
    }
  });

  test('one with a strength is where counts start from', () => {
    const of = (value: string) => {
      const { rates, pen } = ratesOf(own(value), counts);
      return rates.rate('fertile', pen('orchard')).mean;
    };
    const [weak, strong] = [of('{mean: 0.9, strength: 2}'), of('{mean: 0.9, strength: 400}')];
    expect(weak).toBeLessThan(0.6);
    expect(strong).toBeGreaterThan(weak + 0.05);
    expect(strong).toBeLessThan(0.9);
  });

  test('are of their line: counts of others of the species are not used, nor theirs moved', () => {
    const two = `${own('{mean: 0.9, strength: 10}').replace(
      '  harlequin',
      '  marans: {species: chicken}\n  harlequin',
    )}`.replace('pens:\n', 'pens:\n  hut: {line: marans, hens: 8, males: 1, joined: 2027-01-30}\n');
    const { rates, pen } = ratesOf(two, candled('A1', 'hut', 100, 60));
    expect(rates.pool('fertile', pen('orchard'))).toBe('line sussex');
    expect(rates.pool('fertile', pen('hut'))).toBe('chicken');
    expect(rates.pool('hatched', pen('orchard'))).toBe('chicken');
    expect(rates.rate('fertile', pen('orchard')).mean).toBeCloseTo(0.9, 1.6);
    expect(rates.rate('fertile', pen('orchard')).others.n).toBe(0);
    expect(rates.rate('fertile', pen('hut')).mean).toBeLessThan(0.7);
    expect(rates.rate('fertile', pen('hut')).prior.mean).toBe(0.88);
  });
});

describe('eggs kept long', () => {
  /** Half the hatch of eggs that lay a fortnight. */
  const stored: Written[] = [
    ...Array.from(
      { length: 10 },
      (_, i): Written => [
        'eggs',
        addDays(day('2027-02-20'), i % 4),
        { pen: i < 5 ? 'orchard' : 'yard', laid: 8, kept: 8 },
      ],
    ),
    ['set', '2027-03-06', { set: 'A1', pen: 'orchard', eggs: 30 }],
    ['candling', '2027-03-13', { set: 'A1' }],
    ['transfer', '2027-03-24', { set: 'A1', moved: 30 }],
    ['hatch', '2027-03-28', { set: 'A1', hatched: 15, unpipped: 15, final: 'yes' }],
  ];

  test('are not held against the hatch of fresh ones, the more so the more storage is blamed', () => {
    const { rates, pen } = ratesOf(yaml, stored);
    const mean = (times: number) => {
      const known = rates.posterior('hatched', pen('orchard'), times);
      return known.unit(rates.unit('hatched', pen('orchard'))).mean;
    };
    expect(mean(2)).toBeGreaterThan(mean(0.5) + 0.02);
    // Fertility has nothing to do with it: one posterior for all.
    expect(rates.posterior('fertile', pen('orchard'), 2)).toBe(
      rates.posterior('fertile', pen('orchard'), 0.5),
    );
    expect(rates.posterior('hatched', pen('orchard'), 2)).toBe(
      rates.posterior('hatched', pen('orchard'), 2),
    );
  });

  test('a bad hatch of old eggs makes the farm lose more than the table', () => {
    const { rates } = ratesOf(yaml, stored);
    expect(rates.storage('chicken').eggs).toMatchObject({ sets: 1, stored: 30 });
    expect(rates.storage('chicken').mean).toBeGreaterThan(
      ratesOf(hill).rates.storage('chicken').mean,
    );
    expect(rates.storage('duck').eggs.sets).toBe(0);
  });
});

test('a species without a table is a fault of the program, told as such', () => {
  const { rates, pen } = ratesOf(hill);
  const orchard = pen('orchard');
  const dodo = { ...orchard, line: { ...orchard.line, likeSpecies: 'dodo' } };
  expect(() => rates.rate('fertile', dodo)).toThrow(/no rates for "dodo"/);
});

describe('a male who was here before', () => {
  const named = (pen: string, male: string, text = yaml) =>
    text.replace(new RegExp(`(  ${pen}: \\{[^}]*males: )\\d+`), `$11, sires: [${male}]`);
  // His pen of last year, the other's, and this year's, in which nothing has been looked at yet.
  const before = [...candled('A', 'orchard', 60, 30), ...candled('B', 'yard', 60, 4)];
  const of = (now: string) => {
    const season = seasonOf(now);
    const last = named('orchard', 'rufus').replace('season: 2027', 'season: 2026');
    const earlier = seasonOf(
      last.replaceAll('2027-', '2026-'),
      before.map(([record, on, cells]) => [record, on.replace('2027', '2026'), cells]),
    );
    const rates = farmRates(season, [earlier], today);
    return (pen: string) => rates.rate('fertile', season.pens.get(pen)!);
  };

  test('brings his record to the pen he stands in now, and to no other', () => {
    const unknown = of(yaml);
    const known = of(named('yard', 'rufus'));
    expect(unknown('yard').mean).toBeCloseTo(unknown('orchard').mean, 10);
    expect(known('yard').mean).toBeLessThan(known('orchard').mean - 0.05);
    // His eggs count as an earlier season's, once.
    expect(known('yard').earlier).toEqual(unknown('yard').earlier);
  });

  test('says nothing under another name', () => {
    const other = of(named('yard', 'fergus'));
    expect(other('yard').mean).toBeCloseTo(other('orchard').mean, 10);
  });
});
