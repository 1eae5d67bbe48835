// A season folder with ten thousand birds of fifteen years, each with its parents and a weight.
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { draws } from './draws.mjs';

const YEARS = 15;
const A_YEAR = 667;
const COCKS = 6;
const HENS = 40;

export function tenThousandBirds(folder) {
  mkdirSync(join(folder, 'log'), { recursive: true });
  writeFileSync(
    join(folder, 'season.yaml'),
    `format: traybook/1
season: 2027
place: {name: Wide Field, timezone: Europe/London}
lines:
  dorking: {species: chicken, class: dual-purpose}
pens:
  north: {line: dorking, hens: 20, males: 3, joined: 2027-02-13}
  south: {line: dorking, hens: 20, males: 3, joined: 2027-02-13}
traits:
  mass_12w: {kind: body-weight, age_days: 84}
`,
  );
  const draw = draws();
  // Decimal digits are digits of base 32 too.
  const entry = (n) => String(n).padStart(10, '0');
  let n = 0;
  const row = (on, cells) => {
    n += 1;
    return `${entry(n)},${on}T09:00:00Z,${on},${cells},,,,\n`;
  };
  let birds = 'entry,recorded,on,bird,band,line,sex,set,pen,dam,sire,born,by,note,amends,state\n';
  let scores = 'entry,recorded,on,bird,trait,value,by,note,amends,state\n';
  for (let year = 0; year < YEARS; year += 1)
    for (let bird = 0; bird < A_YEAR; bird += 1) {
      const born = `${2012 + year}-04-${String(1 + 7 * draw(4)).padStart(2, '0')}`;
      const cock = year === 0 ? '' : `B${year - 1}-${2 * draw(COCKS)}`;
      const hen = year === 0 ? '' : `B${year - 1}-${2 * draw(HENS) + 1}`;
      const sex = bird % 2 === 0 ? 'male' : 'female';
      birds += row(born, `B${year}-${bird},,dorking,${sex},,,${hen},${cock},${born}`);
      const weighed = new Date(Date.parse(born) + 84 * 86_400_000).toISOString().slice(0, 10);
      scores += row(weighed, `B${year}-${bird},mass_12w,${1300 + draw(500)}`);
    }
  writeFileSync(join(folder, 'log', 'birds.csv'), birds);
  writeFileSync(join(folder, 'log', 'scores.csv'), scores);
  return folder;
}
