// A season folder with a hundred thousand eggs: fifty weekly sets of four pens, five hundred eggs a share.
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { draws } from './draws.mjs';

const SETS = 50;
const EGGS = 500;
const PENS = ['north', 'south', 'east', 'west'];
const DAY = 86_400_000;

export function hundredThousandEggs(folder) {
  mkdirSync(join(folder, 'log'), { recursive: true });
  const pens = PENS.map(
    (pen) => `  ${pen}: {line: dorking, hens: 900, males: 90, joined: 2026-12-01}`,
  );
  writeFileSync(
    join(folder, 'season.yaml'),
    `format: traybook/1
season: 2027
place: {name: Wide Field, timezone: Europe/London}
lines:
  dorking: {species: chicken, class: dual-purpose}
pens:
${pens.join('\n')}
setters:
  hall: {trays: 40, tray_holds: {chicken: 500}, turns: automatic}
hatchers:
  lower: {holds: {chicken: 9000}}
`,
  );
  const draw = draws();
  const heads = {
    sets: 'set,pen,setter,tray,eggs,laid_from,laid_to,mass_g',
    candlings: 'set,pen,clear,quit,cracked,rotten,doubtful',
    transfers: 'set,pen,hatcher,basket,moved,clear,quit,cracked,rotten',
    hatches: 'set,pen,hatched,weak,dead,pipped,unpipped,final',
  };
  const logs = Object.fromEntries(
    Object.entries(heads).map(([log, head]) => [
      log,
      `entry,recorded,on,${head},by,note,amends,state\n`,
    ]),
  );
  let n = 0;
  const row = (log, begin, day, cells) => {
    n += 1;
    const on = new Date(begin + day * DAY).toISOString().slice(0, 10);
    // Decimal digits are digits of base 32 too.
    logs[log] += `${String(n).padStart(10, '0')},${on}T18:00:00Z,${on}T18:00,${cells},,,,\n`;
  };
  for (let set = 0; set < SETS; set += 1) {
    const begin = Date.UTC(2027, 0, 4 + 7 * set);
    PENS.forEach((pen, at) => {
      const share = `S${set},${pen}`;
      const [clear, quit, late] = [45 + draw(30), 15 + draw(12), 20 + draw(20)];
      const moved = EGGS - clear - quit;
      row('sets', begin, 0, `${share},hall,${1 + ((set * PENS.length + at) % 40)},${EGGS},,,`);
      row('candlings', begin, 7, `${share},${clear},${quit},0,0,0`);
      row('transfers', begin, 18, `${share},lower,,${moved},0,0,0,0`);
      const first = Math.round((moved - late) / 2);
      row('hatches', begin, 21, `${share},${first},2,,,,`);
      row('hatches', begin, 22, `${share},${moved - late - first},2,2,6,${late - 8},yes`);
    });
  }
  for (const [log, text] of Object.entries(logs))
    writeFileSync(join(folder, 'log', `${log}.csv`), text);
  return folder;
}
