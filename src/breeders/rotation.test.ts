import { describe, expect, it } from 'vitest';
import { orderPedigree, type PedigreeEntry } from '../facts/birds/pedigree.ts';
import { inbreedingOf, relationships } from './inbreeding.ts';
import { rotation, type Scheme, shiftIn } from './rotation.ts';

describe('rotation of males', () => {
  it.each<[Scheme, number]>([
    ['spiral', 4],
    ['spiral', 3],
    ['widening', 5],
    ['none', 2],
  ])('with one pair a clan is the pedigree itself (%s, %i clans)', (scheme, clans) => {
    const years = 7;
    const entries: PedigreeEntry[] = [];
    for (let clan = 0; clan < clans; clan += 1)
      for (const sex of ['m', 'f']) entries.push({ id: `0${sex}${clan}`, sire: [], dam: [] });
    const course = rotation({ scheme, clans, males: 1, hens: 1, years });
    course.forEach(({ malesFrom }, year) => {
      malesFrom.forEach((from, clan) => {
        for (const sex of ['m', 'f'])
          entries.push({
            id: `${year + 1}${sex}${clan}`,
            sire: [{ id: `${year}m${from}`, share: 1 }],
            dam: [{ id: `${year}f${clan}`, share: 1 }],
          });
      });
    });
    const known = relationships(orderPedigree(entries));
    course.forEach(({ inbreeding }, year) => {
      const f = Array.from({ length: clans }, (_, clan) =>
        inbreedingOf(known, `${year + 1}m${clan}`),
      );
      expect(inbreeding).toBeCloseTo(f.reduce((a, b) => a + b, 0) / clans, 12);
    });
  });

  it('settles at the rate of circular pair mating', () => {
    // Kimura & Crow, Genetical Research 4:399 (1963): variability is lost at about
    // (π ÷ (N + 12))² a generation in circular pair mating of N birds. From memory.
    const clans = 20;
    const course = rotation({ scheme: 'spiral', clans, males: 1, hens: 1, years: 400 });
    const left = (year: number) => 1 - course[year]!.inbreeding;
    const rate = 1 - (left(399) / left(299)) ** (1 / 100);
    const printed = (Math.PI / (2 * clans + 12)) ** 2;
    expect(Math.abs(rate - printed) / printed).toBeLessThan(0.15);
  });

  it('never sends a male back to his own clan', () => {
    for (const scheme of ['spiral', 'widening'] as const)
      for (let clans = 2; clans < 8; clans += 1)
        for (let year = 0; year < 20; year += 1)
          expect(shiftIn(scheme, clans, year) % clans).toBeGreaterThan(0);
  });

  it('without rotation each clan narrows alone', () => {
    const [alone] = [rotation({ scheme: 'none', clans: 4, males: 2, hens: 10, years: 10 })];
    const single = rotation({ scheme: 'none', clans: 1, males: 2, hens: 10, years: 10 });
    expect(alone.at(-1)!.inbreeding).toBeCloseTo(single.at(-1)!.inbreeding, 12);
    const turned = rotation({ scheme: 'spiral', clans: 4, males: 2, hens: 10, years: 10 });
    expect(turned.at(-1)!.inbreeding).toBeLessThan(alone.at(-1)!.inbreeding);
  });
});
