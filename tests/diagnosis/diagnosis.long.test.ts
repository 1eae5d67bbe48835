import { describe, expect, it } from 'vitest';
import * as z from 'zod';
import { diagnose } from '../../src/judge/diagnose/diagnose.ts';
import { type Cause, causes } from '../../src/judge/diagnose/finding.ts';
import { causesFile } from '../../src/judge/model/causes-schema.ts';
import { seeds } from '../../src/judge/model/priors.ts';
import { simulate, simulated, wellKept } from './simulate.ts';

describe('the table of causes', () => {
  it('has the shape it claims, an entry for every cause, and weights that sum to one', () => {
    expect(z.prettifyError(causesFile.safeParse(seeds).error ?? new z.ZodError([]))).toBe('');
    expect(Object.keys(seeds.causes).sort()).toEqual([...causes].sort());
    for (const [name, cause] of Object.entries(seeds.causes))
      expect(
        Object.values(cause.places).reduce((sum, share) => sum + share!, 0),
        name,
      ).toBeCloseTo(1, 12);
    for (const list of [seeds.evidence.sizes.value, seeds.scatter.sd.value])
      expect(list.reduce((sum, one) => sum + one.weight, 0)).toBeCloseTo(1, 12);
  });
});

describe('a season with one fault', () => {
  const found = (cause: Cause, seed: number, from: number) => {
    const { season, truth } = simulated(seed, [{ cause, from }], wellKept);
    return { first: diagnose(season)[0]!, truth, season };
  };

  it('is told what, where and since when: a machine', () => {
    const { first, season } = found('warm', 11, 6);
    expect(first).toMatchObject({ cause: 'warm', verdict: 'act', where: { setter: 'cabinet' } });
    expect(first.since).toBe(season.sets.get('S07')!.on.day);
    expect(first.estimate!).toBeLessThan(-8);
    expect(first.evidence[0]!.says).toMatch(/hatched \d+ hours early/);
    expect(first.cost.chicks).not.toBeNull();
  });

  it('and a pen whose male fails', () => {
    const { first, truth } = found('failing-male', 12, 5);
    expect(first).toMatchObject({ cause: 'failing-male', where: { pen: truth.pen } });
    expect(['act', 'watch']).toContain(first.verdict);
    expect(first.estimate!).toBeGreaterThan(first.expected!);
  });

  it('and a set that was lost, which hides neither itself nor behind its scatter', () => {
    const { first } = found('set-lost', 14, 7);
    expect(first).toMatchObject({ cause: 'set-lost', verdict: 'act', where: { set: 'S08' } });
  });

  it('a gauge that stands still does not outvote the chicks: it is a finding itself', () => {
    const { season } = simulated(15, [{ cause: 'warm', from: 5 }], { ...wellKept, stuck: true });
    const findings = diagnose(season);
    expect(findings[0]).toMatchObject({ cause: 'warm', verdict: 'act' });
    expect(findings[1]).toMatchObject({ cause: 'gauge-wrong', where: { setter: 'cabinet' } });
  });
});

describe('a season without a fault', () => {
  const findings = diagnose(simulate(13, null));

  it('asks every question once, raises none, and says what would have been seen', () => {
    expect(findings.map((f) => f.cause).sort()).toEqual([...causes].sort());
    expect(findings.filter((f) => f.verdict === 'act' || f.verdict === 'watch')).toEqual([]);
    for (const f of findings) {
      if (f.verdict === 'fine') expect(f.would_show, f.cause).not.toBeNull();
      else expect(f.next.length, f.cause).toBeGreaterThan(0);
      if (f.expected !== null) expect(f.source, f.cause).toBeTruthy();
    }
  });

  it('without weighings, readings and looks before the hatch says what it does not know', () => {
    const thin = diagnose(
      simulate(14, null, { ...wellKept, weighings: false, readings: false, candling: false }),
    );
    for (const cause of ['damp', 'dry', 'gauge-wrong', 'middle-death']) {
      const one = thin.find((f) => f.cause === cause)!;
      expect(one.verdict, cause).toBe('unknown');
      expect(one.next.length, cause).toBeGreaterThan(0);
    }
    expect(thin.filter((f) => f.verdict === 'act')).toEqual([]);
  });
});
