import { diagnose } from '../../src/judge/diagnose/diagnose.ts';
import { type Keeping, simulated, wellKept } from './simulate.ts';
export function main(words: readonly string[]): number {
  const times = Number(words[0] ?? 3);
  const seed = Number(words[1] ?? 1);
  const keep: Keeping = { ...wellKept, ...(words[2] ? JSON.parse(words[2]) : {}) };
  const only = words[3]?.split(',');
  const causes = [
    'low-fertility',
    'failing-male',
    'long-storage',
    'egg-quality',
    'warm',
    'cool',
    'damp',
    'dry',
    'uneven-tray',
    'early-death',
    'middle-death',
    'late-death',
    'contamination',
    'drawn-out',
    'weak-chicks',
    'handling',
    'gauge-wrong',
    'set-lost',
    null,
  ] as const;
  let first = 0,
    two = 0,
    all = 0,
    act = 0;
  let time = 0;
  causes.forEach((cause, c) => {
    if (only && !only.includes(String(cause))) return;
    const line: string[] = [];
    for (let i = 0; i < times * (cause === null ? 4 : 1); i++) {
      const from = 4 + (i % 4);
      const { season, truth } = simulated(
        seed + 1000 * c + i,
        cause === null ? null : [{ cause, from }],
        keep,
      );
      const t = (process.cpuUsage().user + process.cpuUsage().system) / 1000;
      const found = diagnose(season);
      time += (process.cpuUsage().user + process.cpuUsage().system) / 1000 - t;
      const up = found.filter((f) => f.verdict === 'act' || f.verdict === 'watch');
      const text = up
        .map(
          (f) =>
            `${f.cause}:${f.verdict[0]}${(100 * f.probability).toFixed(0)}@${f.where.pen?.[0] ?? ''}${f.where.tray ?? ''}${f.where.setter?.[0] ?? ''}/${f.since?.slice(5)}`,
        )
        .join(' ');
      if (cause !== null) {
        all++;
        if (up[0]?.cause === cause) first++;
        if (up.slice(0, 2).some((f) => f.cause === cause)) two++;
        if (up[0]?.verdict === 'act') act++;
        line.push(
          `${up[0]?.cause === cause ? 'OK' : 'XX'}[${text}|${truth.pen[0]}${truth.tray}${truth.machine[0]}@${from}]`,
        );
      } else line.push(`[${text}]`);
    }
    process.stdout.write(`${String(cause).padEnd(14)} ${line.join('  ')}\n`);
  });
  process.stdout.write(
    `first ${first} two ${two} act ${act} of ${all}; ms ${(time / (all + 12)).toFixed(0)}\n`,
  );
  return 0;
}
