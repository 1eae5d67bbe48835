import { candidatesOf } from '../../src/compute/diagnose/diagnose.ts';
import { evidenceOf } from '../../src/compute/diagnose/evidence.ts';
import { keepings } from './bench.ts';
import { farms, season } from './second-opinion.ts';
import { simulate } from './simulate.ts';
export function main(words: readonly string[]): number {
  const n = Number(words[0]);
  const only = words[1];
  const run = (name: string, make: (i: number) => any) => {
    const low = new Map<string, number>(),
      vlow = new Map<string, number>();
    for (let i = 0; i < n; i++) {
      const e = evidenceOf(make(i));
      for (const c of candidatesOf(e)) {
        if (only && c.cause !== only) continue;
        if (c.p !== null && c.p < 0.05) low.set(c.cause, (low.get(c.cause) ?? 0) + 1);
        if (c.p !== null && c.p < 0.05 / 16) {
          vlow.set(c.cause, (vlow.get(c.cause) ?? 0) + 1);
          if (words[2])
            console.log(
              c.cause,
              c.p,
              c.signs.map((s) => [s.test, s.says, s.p]),
            );
        }
      }
    }
    console.log(
      name,
      'p<.05:',
      [...low].map(([k, v]) => `${k} ${v}`).join(', '),
      '| p<.003:',
      [...vlow].map(([k, v]) => `${k} ${v}`).join(', '),
    );
  };
  for (const [name, k] of keepings) if (!words[3] || name.includes(words[3])) run(name, (i) => simulate(50000 + i, null, k));
  for (const f of farms) if (!words[3] || f.name.includes(words[3])) run(f.name, (i) => season(50000 + i, f, null));
  return 0;
}
