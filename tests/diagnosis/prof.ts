import { bookOf } from '../../src/judge/model/book.ts';
import { evidenceFor, Streams } from '../../src/judge/model/evidence.ts';
import { simulated, wellKept } from './simulate.ts';
export function main(): number {
  for (let i = 0; i < 4; i++) {
    const { season } = simulated(50 + i, [{ cause: 'warm', from: 5 }], { ...wellKept });
    const t0 = (process.cpuUsage().user + process.cpuUsage().system) / 1000;
    const book = bookOf(season);
    const t1 = (process.cpuUsage().user + process.cpuUsage().system) / 1000;
    const st = new Streams(book);
    const t2 = (process.cpuUsage().user + process.cpuUsage().system) / 1000;
    st.at({ kind: 'farm', name: '' });
    st.at({ kind: 'pen', name: 'ash' });
    st.at({ kind: 'tray', name: '' });
    const t3 = (process.cpuUsage().user + process.cpuUsage().system) / 1000;
    evidenceFor(st);
    const t4 = (process.cpuUsage().user + process.cpuUsage().system) / 1000;
    process.stdout.write(
      `book ${(t1 - t0).toFixed(0)} measures ${(t2 - t1).toFixed(0)} streams ${(t3 - t2).toFixed(0)} evidence ${(t4 - t3).toFixed(0)} rows ${book.counts.length}\n`,
    );
  }
  return 0;
}
