import { diagnose } from '../../src/compute/diagnose/diagnose.ts';
import { causes } from '../../src/compute/diagnose/finding.ts';
import { simulate, wellKept } from './simulate.ts';
export function main(words: readonly string[]): number {
  const cause = words[0] as any;
  for (let i = 0; i < 5; i++) {
    const f = diagnose(simulate(15 + 1000 * causes.indexOf(cause) + i, cause, { ...wellKept, breakouts: 'none', every: 12 }));
    const h = f.find((x) => x.cause === cause)!;
    console.log(f.filter(x=>x.verdict==='act'||x.verdict==='watch').map(x=>x.cause+':'+x.p?.toPrecision(2)), h.verdict, h.p, h.p_adjusted, h.unknown, h.evidence);
  }
  return 0;
}
