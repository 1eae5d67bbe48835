import { describe, expect, it } from 'vitest';
import { diagnose } from '../../src/judge/diagnose/diagnose.ts';
import { causes } from '../../src/judge/diagnose/finding.ts';
import { confusionOf, confusionText } from './confusion.ts';
import { farms, opinionOf, opinionText } from './second-opinion.ts';
import { simulate, wellKept } from './simulate.ts';

describe('farms of another simulator', () => {
  // Few seasons of each kind; `npm run diagnose-bench:farms` runs as many as one likes.
  it('are left alone when healthy, and their faults are found where the records can show them', () => {
    const all = farms
      .filter((farm) => farm.sets * farm.eggs < 1000)
      .map((farm) => opinionOf(farm, 1, 0, 31, 1));
    expect(
      all.reduce((s, o) => s + o.cleanActs, 0),
      all.map(opinionText).join(''),
    ).toBeLessThanOrEqual(1);
    const usual = opinionOf(farms[0]!, 0, 1, 57, 1);
    expect(usual.firstTwo / usual.faulty, opinionText(usual)).toBeGreaterThanOrEqual(0.85);
  });
});

describe('seeded seasons with one fault each', () => {
  it('puts the planted cause first, and leaves healthy seasons alone', () => {
    const found = confusionOf(2, 12, wellKept, 7);
    const text = confusionText(found);
    expect(found.first / found.faulty, text).toBeGreaterThanOrEqual(0.85);
    expect(found.firstTwo / found.faulty, text).toBeGreaterThanOrEqual(0.95);
    expect(found.cleanActs, text).toBeLessThanOrEqual(1);
  });

  it('names the tray and the pen', () => {
    const tray = diagnose(simulate(11, 'uneven-tray'))[0]!;
    expect(tray).toMatchObject({ cause: 'uneven-tray', verdict: 'act' });
    expect(tray.where.tray).toBeGreaterThan(0);
    expect(tray.where.setter).toBe('cabinet');
    const male = diagnose(simulate(12, 'failing-male'))[0]!;
    expect(male.cause).toBe('failing-male');
    expect(['act', 'watch']).toContain(male.verdict);
    expect(male.where.pen).toBeTruthy();
    expect(male.estimate!).toBeLessThan(male.expected!);
  });

  it('asks every question once, and cites what it compares with', () => {
    const findings = diagnose(simulate(13, null));
    expect(findings.map((f) => f.cause).sort()).toEqual([...causes].sort());
    for (const f of findings) if (f.expected !== null) expect(f.source, f.cause).toBeTruthy();
  });

  it('without weighings, readings and candling says what it does not know', () => {
    const findings = diagnose(
      simulate(14, null, { ...wellKept, weighings: false, readings: false, candling: false }),
    );
    const of = (cause: string) => findings.find((f) => f.cause === cause)!;
    for (const cause of ['damp', 'dry', 'low-fertility', 'failing-male', 'early-death']) {
      expect(of(cause), cause).toMatchObject({ verdict: 'unknown', estimate: null });
      expect(of(cause).next.length, cause).toBeGreaterThan(0);
    }
  });
});
