import { bookOf } from '../../src/judge/model/book.ts';
import { evidenceFor, Streams } from '../../src/judge/model/evidence.ts';
import { simulated, wellKept, type Keeping } from './simulate.ts';
export function main(words: readonly string[]): number {
  const times = Number(words[0] ?? 3);
  const seed = Number(words[1] ?? 1);
  const keep: Keeping = { ...wellKept, ...(words[2] ? JSON.parse(words[2]) : {}) };
  const only = words[3]?.split(',');
  const causes = ['low-fertility','failing-male','long-storage','egg-quality','warm','cool','damp','dry','uneven-tray','early-death','middle-death','late-death','contamination','drawn-out','weak-chicks','handling','gauge-wrong','set-lost',null] as const;
  let first = 0, two = 0, all = 0, act = 0; let time = 0;
  causes.forEach((cause, c) => {
    if (only && !only.includes(String(cause))) return;
    const line: string[] = [];
    for (let i = 0; i < times * (cause === null ? 4 : 1); i++) {
      const from = 4 + (i % 4);
      const { season, truth } = simulated(seed + 1000 * c + i, cause === null ? null : [{ cause, from }], keep);
      const t = (process.cpuUsage().user+process.cpuUsage().system)/1000;
      const { causes: found, log } = evidenceFor(new Streams(bookOf(season)));
      time += (process.cpuUsage().user+process.cpuUsage().system)/1000 - t;
      const top = found[0]!;
      if (cause !== null) {
        all++;
        if (top.cause === cause) first++;
        if (found.slice(0, 2).some((f) => f.cause === cause)) two++;
        if (log > Math.log(50)) act++;
        const own = found.find((f) => f.cause === cause)!;
        line.push(`${top.cause === cause ? 'OK' : top.cause}[${log.toFixed(1)}|${own.log.toFixed(1)} ${own.best ? `${own.best.place.name || 'farm'}@${own.best.from}` : ''} was ${truth.pen[0]}${truth.tray}${truth.machine[0]}@${from}]`);
      } else line.push(`${log.toFixed(1)} ${top.cause}`);
    }
    process.stdout.write(`${String(cause).padEnd(14)} ${line.join('  ')}\n`);
  });
  process.stdout.write(`first ${first} two ${two} act ${act} of ${all}; ms ${(time / (all + 12)).toFixed(0)}\n`);
  return 0;
}
