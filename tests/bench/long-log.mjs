// A log of very many rows, read, checked and reviewed: time as a ratio to csv-parse alone on the
// same file in the same run, and the peak of memory; beside sqlite3, if it is there, importing the
// file and grouping it.
import { execFileSync, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import { createWriteStream, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { against, met, peak, root, traybook } from './measure.mjs';

const rows = Number(process.argv[2] ?? 1_000_000);
const ROUNDS = 3;
const folder = mkdtempSync(join(tmpdir(), 'traybook-long-'));
const season = join(folder, 'season');
const log = join(season, 'log', 'readings.csv');
const node = process.execPath;

/** Readings of one machine, one every twenty seconds. */
async function write() {
  const letters = '0123456789abcdefghjkmnpqrstvwxyz';
  const file = createWriteStream(log);
  let text = 'entry,recorded,on,machine,dry,wet,rh,event,minutes,by,note,amends,state\n';
  const begin = Date.UTC(2027, 1, 1);
  for (let row = 0; row < rows; row += 1) {
    let entry = '';
    for (let rest = row, place = 0; place < 10; place += 1, rest = Math.floor(rest / 32))
      entry = letters[rest % 32] + entry;
    const at = new Date(begin + row * 20_000).toISOString();
    text += `${entry},${at.slice(0, 19)}+00:00,${at.slice(0, 16)},cabinet,${(37.4 + (row % 7) * 0.05).toFixed(2)},,${50 + (row % 9)},,,kim,,,\n`;
    if (text.length > 1e6) {
      if (!file.write(text)) await once(file, 'drain');
      text = '';
    }
  }
  file.end(text);
  await once(file, 'close');
}

try {
  execFileSync(node, [traybook, 'new', season, '--year', '2027', '--zone', 'Europe/London']);
  await write();
  const alone = [
    node,
    '-e',
    `const {parse}=require(${JSON.stringify(join(root, 'node_modules', 'csv-parse'))});
     require('fs').createReadStream(${JSON.stringify(log)}).pipe(parse()).on('data',()=>{}).on('end',()=>{});`,
  ];
  console.log(`${process.version}, a log of ${rows} rows; median of ${ROUNDS} rounds, run in turn`);
  console.log('yardstick: csv-parse alone on the same file, nothing kept');
  console.log('');
  console.log(`${'command'.padEnd(34)}yardstick s  command s  ratio  MiB  aim`);
  const line = (name, words, aims = {}) => {
    const { yardstick, seconds: time, ratio } = against(words, alone, ROUNDS);
    const memory = aims.mebibytes === undefined ? null : peak(words);
    console.log(
      name.padEnd(34) +
        yardstick.toFixed(2).padStart(11) +
        time.toFixed(2).padStart(11) +
        ratio.toFixed(2).padStart(7) +
        (memory?.toFixed(0) ?? '').padStart(5) +
        met(ratio, aims.ratio, 'times') +
        (memory === null ? '' : met(memory, aims.mebibytes, 'MiB')),
    );
  };
  for (const name of ['check', 'review'])
    line(
      `traybook ${name}`,
      [node, traybook, '--season', season, '--now', '2027-12-31T08:00', name],
      { ratio: 2, mebibytes: 400 },
    );
  if (spawnSync('sqlite3', ['--version']).status === 0) {
    const words = [
      'sqlite3',
      ':memory:',
      '.mode csv',
      `.import ${log} r`,
      'select substr("on",1,10), avg(dry), avg(rh), count(*) from r group by 1',
    ];
    line('sqlite3 .import and one grouping', words);
  }
} finally {
  rmSync(folder, { recursive: true, force: true });
}
