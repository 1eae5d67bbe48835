import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Barn } from './console.ts';

/** A month of two pens, one species, five sets, told by the commands alone; invented numbers. */
export async function smallSeason(barn: Barn): Promise<void> {
  barn.enter('none', '2027-04-20T08:00');
  const run = async (line: string) => {
    const outcome = await barn.run(line);
    if (outcome.status !== 0) throw new Error(`${line}: ${outcome.stderr}`);
  };
  await run('traybook new small --place "Small & Co <b>" --zone Europe/London --year 2027');
  await run('cd small');
  writeFileSync(
    join(barn.folder, 'season.yaml'),
    `format: traybook/1
season: 2027
place: {name: "Small & Co <b>", timezone: Europe/London, altitude_m: 140}
lines:
  grey: {species: chicken, class: dual-purpose, down: grey, egg_g: 58}
pens:
  north: {line: grey, hens: 11, males: 1, joined: 2027-02-01}
  south: {line: grey, hens: 13, males: 2, joined: 2027-02-01}
setters:
  cabinet: {trays: 4, tray_holds: {chicken: 42}, turns: automatic}
hatchers:
  lower: {holds: {chicken: 90}, clean_days: 1, one_set_at_a_time: true}
brooders:
  barn: {area: 3.2, heat: {kind: lamp, watts: 250, count: 2}}
storage: {max_days: 9, turns_per_day: 2}
goals:
  - {line: grey, want: chicks, at: hatch, count: 60, by: 2027-06-01, confidence: 0.8}
`,
  );
  let written = 0;
  const log = (name: string, header: string, rows: readonly string[]) => {
    const head = `entry,recorded,on,${header},by,note,amends,state`;
    const body = rows.map((row, index) => {
      const [on, ...cells] = row.split(',');
      written += 1;
      const entry = `s${String(written).padStart(9, '0')}`;
      return `${entry},2027-03-01T0${index % 10}:00:00Z,${on},${cells.join(',')},keeper,,,`;
    });
    writeFileSync(join(barn.folder, 'log', `${name}.csv`), `${[head, ...body].join('\n')}\n`);
  };
  const weeks = ['2027-02-27', '2027-03-06', '2027-03-13', '2027-03-20', '2027-04-17'];
  const plus = (day: string, days: number) =>
    new Date(Date.parse(`${day}T00:00:00Z`) + days * 86_400_000).toISOString().slice(0, 10);
  const pens = ['north', 'south'] as const;
  log(
    'eggs',
    'pen,laid,kept,small,large,misshapen,thin,cracked,dirty,other,hens',
    weeks.flatMap((day) =>
      [6, 5, 4, 3, 2].flatMap((back) =>
        pens.map((pen, index) => `${plus(day, -back)},${pen},${5 + index},5,0,0,0,0,0,${index},0,`),
      ),
    ),
  );
  log(
    'sets',
    'set,pen,setter,tray,eggs,laid_from,laid_to,mass_g',
    weeks.flatMap((day, week) =>
      pens.map(
        (pen, index) => `${day},A${week + 1},${pen},cabinet,${(week % 4) + 1},${20 + index},,,`,
      ),
    ),
  );
  const done = weeks.slice(0, 4);
  log(
    'candlings',
    'set,pen,clear,quit,cracked,rotten,doubtful',
    done.flatMap((day, week) =>
      pens.map(
        (pen, index) => `${plus(day, 7)},A${week + 1},${pen},${2 + index * (week + 1)},1,0,0,1`,
      ),
    ),
  );
  log(
    'weighings',
    'set,pen,eggs,mass_g',
    done
      .slice(0, 2)
      .flatMap((day, week) =>
        [0, 7, 14].map(
          (age) =>
            `${plus(day, age)},A${week + 1},north,${age > 0 ? 17 : 20},${((age > 0 ? 17 : 20) * 58 * (1 - age * 0.0068)).toFixed(1)}`,
        ),
      ),
  );
  log(
    'transfers',
    'set,pen,hatcher,basket,moved,clear,quit,cracked,rotten',
    done.flatMap((day, week) =>
      pens.map(
        (pen, index) =>
          `${plus(day, 18)},A${week + 1},${pen},lower,,${16 + index - index * (week + 1)},0,1,0,0`,
      ),
    ),
  );
  log(
    'hatches',
    'set,pen,hatched,weak,dead,pipped,unpipped,final',
    done.flatMap((day, week) =>
      pens.flatMap((pen, index) => {
        const moved = 16 + index - index * (week + 1);
        return [
          `${plus(day, 21)}T09:00,A${week + 1},${pen},${moved - 4},0,0,0,0,`,
          `${plus(day, 22)},A${week + 1},${pen},2,1,0,1,${week === 2 ? 0 : 1},yes`,
        ];
      }),
    ),
  );
  // The morning after, all sound chicks go under the lamps; some are sold, some die.
  log(
    'groups',
    'group,set,pen,brooder,chicks,mark',
    done
      .slice(0, 3)
      .flatMap((day, week) =>
        pens.map(
          (pen, index) =>
            `${plus(day, 22)},K${week + 1},A${week + 1},${pen},barn,${13 + index - index * (week + 1)},toe ${index}`,
        ),
      ),
  );
  log('losses', 'group,birds,cause', ['2027-03-24,K1,1,chilled', '2027-04-02,K2,2,']);
  log('leavings', 'group,sex,birds,way,mass_kg,money', [
    '2027-03-27,K1,unknown,9,sold,,36.00',
    '2027-04-10,K2,unknown,4,given,,',
  ]);
  log('eggs_out', 'pen,eggs,way,laid_from,laid_to,money,order', ['2027-03-26,south,1,eaten,,,,']);
  log('pen_changes', 'pen,change,birds,sex,bird,cause', [
    '2027-03-25,south,died,1,female,,found dead',
  ]);
  log('acceptances', 'code,about,why', ['2027-03-25,too-few-males,south,a spare comes in April']);
  log('money', 'category,amount,quantity,unit', ['2027-03-20,feed,24.80,40,kg']);
}
