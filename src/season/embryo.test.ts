// The embryo by the day, the ages of death, and the air cell.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { airCellDepth, deathsAt, deathWords, embryoDays, publishedDays } from './embryo.ts';
import { speciesNames, speciesTable } from './species.ts';

test('the embryo: days in order, the last is the hatch; scaled days are marked', () => {
  for (const kind of speciesNames()) {
    const term = speciesTable()[kind]!.hatch_day.value;
    const days = embryoDays(kind, term);
    expect(days.map(({ day }) => day)).toEqual(
      [...days.map(({ day }) => day)].sort((a, b) => a - b),
    );
    expect(new Set(days.map(({ day }) => day)).size, kind).toBe(days.length);
    expect(days.at(-1)!.day).toBe(term);
    expect(days.some(({ isScaled }) => isScaled)).toBe(kind !== 'chicken');
    expect(days.every(({ opened }) => opened.length > 2)).toBe(true);
    const pips = days.filter(({ opened }) => opened.startsWith('pipped inside'));
    expect(pips.every(({ day }) => day > 0.8 * term)).toBe(true);
  }
  // Araújo and others 2019 (abstract): heart on day 3, yolk in on day 24, hatched on day 28.
  const guinea = embryoDays('guinea', 28);
  expect(guinea.find(({ day }) => day === 3)).toMatchObject({
    opened: expect.stringContaining('heart'),
    isScaled: false,
  });
  expect(guinea.find(({ day }) => day === 24)).toMatchObject({ isScaled: false });
  expect(publishedDays('guinea')!.source).toContain('Araújo');
  expect(publishedDays('swan')).toBeNull();
  // Nothing of the chicken’s from the first printed day of the end on, which is the 24th.
  expect(guinea.filter(({ day }) => day > 22).map(({ day }) => day)).toEqual([23, 24, 26, 27, 28]);
  // Two days of the chicken that fall on one are told together: 21 days are 17 in this quail.
  const quail = embryoDays('coturnix', 17);
  expect(quail.find(({ day }) => day === 2)!.opened.split('; ').length).toBeGreaterThan(1);
  expect(quail.filter(({ day }) => day === 4)).toHaveLength(1);
  expect(embryoDays('chicken', 21)).toHaveLength(20);
  // A kind with another term than the printed one is scaled, and pips as the rule says.
  expect(
    embryoDays('swan', 35)
      .slice(-3)
      .map(({ day }) => day),
  ).toEqual([33, 34, 35]);
});

test('ages of death cover the term in thirds, as the record counts them', () => {
  for (const term of [17, 21, 28, 35]) {
    const of = (stage: string) => deathsAt(term).filter((death) => death.stage === stage);
    expect(of('early')[0]!.firstDay).toBe(0);
    expect(of('middle')[0]!.firstDay).toBe(of('early').at(-1)!.lastDay + 1);
    expect(of('late')[0]!.firstDay).toBe(of('middle')[0]!.lastDay + 1);
    expect(of('late')[0]!.lastDay).toBe(term);
    expect(deathWords(of('infertile')[0]!)).toMatch(/^infertile: a small .*\. Usual causes: /);
    expect(deathWords(of('late')[0]!)).toContain(`to ${term}): `);
    expect(Math.abs(of('middle')[0]!.lastDay - (2 / 3) * term)).toBeLessThanOrEqual(1);
  }
});

test('the air cell, own arithmetic: none lost no cell, half lost half the egg, and it only grows', () => {
  expect(airCellDepth(0)).toBeCloseTo(0, 9);
  // Half the volume of an ellipsoid lies above its middle.
  expect(airCellDepth(0.5 / 1.08)).toBeCloseTo(0.5, 9);
  fc.assert(
    fc.property(
      fc.double({ min: 0, max: 0.4, noNaN: true }),
      fc.double({ min: 0.001, max: 0.05, noNaN: true }),
      (lost, more) => {
        expect(airCellDepth(lost + more)).toBeGreaterThan(airCellDepth(lost));
      },
    ),
  );
});
