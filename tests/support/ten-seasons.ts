// Ten seasons of one invented farm, as season folders, for tests that read many exports together.
// No two are alike: kinds and pens come and go, some eggs are opened and some not, rows are amended
// and withdrawn, eggs go missing, and one share a season contradicts itself.
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import mt19937 from '@stdlib/random-base-mt19937';
import { stringify } from 'csv-stringify/sync';
import { kindOf, type RecordName } from '../../src/records/index.ts';
import { headerOf } from '../../src/records/record.ts';
import { addDays, type Day } from '../../src/text/day.ts';

export const seasonNames = Array.from({ length: 10 }, (_, index) => String(2018 + index));

type Cells = Readonly<Record<string, string | number>>;
const CROCKFORD = '0123456789abcdefghjkmnpqrstvwxyz';
const pensOf = {
  sussex: ['north', 'south', 'orchard', 'lane'],
  pekin: ['pond', 'brook'],
} as const;

/** Writes one season folder; the last names all earlier ones as `previous`. */
function writeSeason(folder: string, index: number): void {
  const { normalized } = mt19937.factory({ seed: 4100 + index }) as unknown as {
    normalized(): number;
  };
  const between = (low: number, high: number): number =>
    low + Math.floor(normalized() * (high - low + 1));
  const some = (n: number, p: number): number => {
    let out = 0;
    for (let one = 0; one < n; one++) if (normalized() < p) out += 1;
    return out;
  };
  const year = seasonNames[index]!;
  const hasDucks = index % 3 !== 1;
  const chickens = pensOf.sussex.slice(0, 2 + (index % 3));
  const ducks = hasDucks ? pensOf.pekin.slice(0, 1 + (index % 2)) : [];
  const previous = index === 9 ? seasonNames.slice(0, 9).map((one) => `../${one}`) : [];
  mkdirSync(join(folder, 'log'), { recursive: true });
  writeFileSync(
    join(folder, 'season.yaml'),
    `format: traybook/1
season: ${year}
place: {name: Low Croft, timezone: Europe/London}
previous: [${previous.join(', ')}]
lines:
  sussex: {species: chicken, class: dual-purpose}
${hasDucks ? '  pekin: {species: duck}\n' : ''}pens:
${[...chickens, ...ducks]
  .map((pen) => {
    const line = (ducks as readonly string[]).includes(pen) ? 'pekin' : 'sussex';
    return `  ${pen}: {line: ${line}, hens: 11, males: 2, joined: ${year}-01-05}`;
  })
  .join('\n')}
setters:
  cabinet: {trays: 4, tray_holds: {chicken: 60, duck: 40}, turns: automatic}
hatchers:
  lower: {holds: {chicken: 120, duck: 60}}
${index % 4 === 0 ? '' : '  box: {holds: {chicken: 60, duck: 40}}\n'}`,
  );

  const logs = new Map<RecordName, Record<string, string | number>[]>();
  let written = 0;
  const put = (record: RecordName, on: string, cells: Cells, more: Cells = {}): string => {
    let entry = '';
    for (let i = 0, left = written; i < 10; i++, left = Math.floor(left / 32))
      entry = CROCKFORD[left % 32]! + entry;
    written += 1;
    // Written one after the other, so that an amendment is always the later row.
    const minute = `${String(Math.floor(written / 60) % 24).padStart(2, '0')}:${String(written % 60).padStart(2, '0')}`;
    const recorded = `${addDays(`${year}-08-01` as Day, Math.floor(written / 1440))}T${minute}:00+01:00`;
    const rows = logs.get(record) ?? [];
    rows.push({ entry, recorded, on, ...cells, ...more });
    logs.set(record, rows);
    return entry;
  };
  /** A row, now and then first written wrong and put right, or written twice and withdrawn. */
  const say = (record: RecordName, on: string, cells: Cells, slip: string): void => {
    const right = Number(cells[slip] ?? 0);
    const chance = normalized();
    if (chance < 0.08) {
      const wrong = put(record, on, { ...cells, [slip]: right + 1 });
      const still = put(record, on, { ...cells, [slip]: right + 2 }, { amends: wrong });
      put(record, on, cells, { amends: chance < 0.04 ? wrong : still });
    } else {
      put(record, on, cells);
      if (chance > 0.94) {
        const twice = put(record, on, cells);
        put(record, on, cells, { amends: twice, state: 'void', note: 'entered twice, "=1+1"' });
      }
    }
  };

  const start = addDays(`${year}-02-01` as Day, index);
  const weeks = 5 + (index % 4);
  for (let day = -9; day < weeks * 7; day += 2)
    for (const pen of [...chickens, ...ducks]) {
      const laid = between(3, 9);
      const kept = some(laid, 0.85);
      // What is not written down is not known: such a day says nothing of the share fit to set.
      const known: Cells = normalized() < 0.9 ? { laid } : {};
      say('eggs', addDays(start, day), { pen, ...known, kept }, 'laid' in known ? 'laid' : 'kept');
    }

  const takeOut = (eggs: number, chances: readonly number[]): number[] => {
    let left = eggs;
    return chances.map((chance) => {
      const out = some(left, chance);
      left -= out;
      return out;
    });
  };
  const breakOut = (set: string, pen: Cells, on: Day, from: string, eggs: number): void => {
    const part = (index + set.length) % 3 === 0 ? 1 : normalized();
    const opened = part === 1 ? eggs : some(eggs, part);
    if (opened === 0) return;
    const [infertile, early, middle, pipped, rotten] = takeOut(
      opened,
      from === 'clear' ? [0.7, 0.8, 0.5, 0, 0.5] : [0.03, 0.3, 0.4, from === 'quit' ? 0 : 0.3, 0.2],
    ) as [number, number, number, number, number];
    const late = opened - infertile - early - middle - pipped - rotten;
    say(
      'breakout',
      on,
      { set, ...pen, from, infertile, early, middle, late, pipped, rotten },
      'early',
    );
  };

  const life = (set: string, on: Day, inSet: readonly string[], duck: boolean): void => {
    // The first look comes a day or more later in some seasons.
    const look = (duck ? 8 : 7) + (index % 4);
    const [second, move, hatch] = duck ? [17, 25, 28] : [14, 18, 21];
    const hatcher: Cells = index % 4 === 0 ? {} : { hatcher: duck ? 'box' : 'lower' };
    for (const pen of inSet) {
      const named: Cells = inSet.length > 1 || normalized() < 0.5 ? { pen } : {};
      const parts = normalized() < 0.2 ? [between(5, 12), between(5, 12)] : [between(12, 26)];
      parts.forEach((eggs, at) => {
        put('set', on, { set, pen, setter: 'cabinet', tray: ((set.length + at) % 4) + 1, eggs });
      });
      const eggs = parts.reduce((sum, one) => sum + one, 0);
      let live = eggs;
      let clears = 0;
      let quits = 0;
      const isLooked = normalized() < 0.9;
      for (const day of isLooked ? [look, second!] : []) {
        const [clear, quit, cracked, rotten] = takeOut(live, [
          day === look ? 0.14 : 0.01,
          0.05,
          0.02,
          0.01,
        ]) as [number, number, number, number];
        live -= clear + quit + cracked + rotten;
        clears += clear;
        quits += quit;
        say(
          'candling',
          addDays(on, day),
          { set, ...named, clear, quit, cracked, rotten, doubtful: some(3, 0.2) },
          'clear',
        );
      }
      const lost = some(1, 0.15);
      const [clear, quit] = takeOut(live - lost, [0.02, 0.03]) as [number, number];
      const moved = live - lost - clear - quit;
      clears += clear;
      quits += quit;
      // The last sets of a season stand as they are when the keeper stops writing.
      if (set.endsWith('9')) return;
      const moving = { set, ...named, ...hatcher, moved, clear, quit };
      say('transfer', addDays(on, move!), moving, 'moved');
      const contradicts = set.endsWith('3') && pen === inSet[0];
      const [hatched, dead, pipped] = takeOut(moved, [0.85, 0.05, 0.3]) as [number, number, number];
      const gone = some(1, 0.15);
      const unpipped = Math.max(0, moved - hatched - dead - pipped - gone);
      const first = some(hatched, 0.6);
      const weak = some(hatched - first, 0.2);
      put('hatch', `${addDays(on, hatch!)}T09:00`, { set, ...named, hatched: first });
      put('hatch', `${addDays(on, hatch! + 1)}T09:00`, {
        set,
        ...named,
        hatched: hatched - first + (contradicts ? 90 : 0),
        weak,
        dead,
        pipped,
        unpipped,
        ...(set.endsWith('7') ? {} : { final: 'yes' }),
      });
      const isOpened = (index + pen.length) % 4 !== 0 && normalized() < 0.8;
      if (!isOpened) continue;
      breakOut(set, named, addDays(on, look), 'clear', clears);
      breakOut(set, named, addDays(on, second!), 'quit', quits);
      breakOut(set, named, addDays(on, hatch! + 1), 'unhatched', pipped + unpipped);
    }
  };
  for (let week = 0; week < weeks; week++) {
    const from = week % chickens.length;
    const count = Math.min(chickens.length, 1 + (week % 3));
    const inSet = Array.from({ length: count }, (_, i) => chickens[(from + i) % chickens.length]!);
    life(`D${week + 1}`, addDays(start, week * 7), inSet, false);
    if (ducks.length > 0 && week % 3 === 0)
      life(`W${week + 1}`, addDays(start, week * 7 + 1), ducks, true);
  }
  life('D9', addDays(start, weeks * 7), chickens, false);

  for (const [name, rows] of logs) {
    const kind = kindOf(name);
    // A column of the keeper's own, which the program leaves alone.
    const header = [...headerOf(kind), ...(index % 2 === 0 ? ['moon'] : [])];
    const cells = rows.map((row) => header.map((column) => row[column] ?? ''));
    writeFileSync(join(folder, 'log', kind.file), stringify([header, ...cells]));
  }
}

/** Writes the ten season folders below a folder, each by its name. */
export function writeTenSeasons(folder: string): void {
  seasonNames.forEach((name, index) => {
    writeSeason(join(folder, name), index);
  });
}
