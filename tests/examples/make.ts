// Makes the example seasons from a seed: invented birds of an invented place, with the mess of
// real records. Run `npm run examples` to write them anew; a test holds the folders to this script.
import { mkdirSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import binomialFactory from '@stdlib/random-base-binomial';
import { stringify } from 'csv-stringify/sync';
import gitattributes from '../../seeds/starter/gitattributes';
import { newEntry } from '../../src/records/entry.ts';
import { kindOf, type RecordName, recordNames } from '../../src/records/index.ts';
import { headerOf } from '../../src/records/record.ts';
import { addDays, type Day, daysBetween, daysIn, weekdayOf } from '../../src/text/day.ts';

type Cells = Record<string, string | number>;
type Log = { record: RecordName; cells: Cells };

type Farm = {
  folder: string;
  seed: number;
  season: number;
  /** Rows are written for what happened before this moment. */
  until: string;
  firstEggs: Day;
  sets: readonly SetPlan[];
  header: string;
  /** True rates of the invented birds. */
  rates: Record<
    string,
    { lay: number; kept: number; fertile: number; early: number; late: number; hatch: number }
  >;
  hens: Record<string, number>;
  mess: boolean;
};

type SetPlan = {
  set: string;
  on: Day;
  tray: number;
  shares: Record<string, number>;
  hatcher: string;
  duck: boolean;
};

const DUCK = { candle: [8, 17], transfer: 25, hatch: 28 };
const CHICKEN = { candle: [7], transfer: 18, hatch: 21 };

/** Every file of a farm's folder, by path below it. */
export function filesOf(farm: Farm): Map<string, string> {
  const draw = binomialFactory.factory({ seed: farm.seed });
  const some = (n: number, p: number): number => (n <= 0 ? 0 : draw(n, p));
  const byteSource = binomialFactory.factory(255, 0.5, { seed: farm.seed + 1 });
  const wide = (bytes: number): Uint8Array =>
    Uint8Array.from({ length: bytes }, () => (byteSource() * 37 + byteSource() * 11) % 256);
  const used = new Set<string>();
  const logs: Log[] = [];
  const entries = new Map<string, string>();

  const put = (record: RecordName, on: string, cells: Cells, more: Cells = {}): string | null => {
    // A day without a minute is written in the evening.
    if ((on.length > 10 ? on : `${on}T19:30`) > farm.until) return null;
    const entry = newEntry(wide, used);
    used.add(entry);
    const day = on.slice(0, 10);
    const time = on.length > 10 ? on.slice(11) : '19:30';
    const offset =
      day >= `${farm.season}-03-29` && day < `${farm.season}-10-25` ? '+01:00' : '+00:00';
    logs.push({
      record,
      cells: { entry, recorded: `${day}T${time}:00${offset}`, on, by: 'ada', ...cells, ...more },
    });
    return entry;
  };

  const stock = new Map<string, { laid: Day; left: number }[]>();
  const lastSet = farm.sets.at(-1)!.on;
  const setOf = new Map<Day, SetPlan[]>();
  for (const one of farm.sets) setOf.set(one.on, [...(setOf.get(one.on) ?? []), one]);

  for (const day of daysIn(farm.firstEggs, addDays(lastSet, 1))) {
    for (const [pen, hens] of Object.entries(farm.hens)) {
      const rate = farm.rates[pen]!;
      const warmth = Math.min(1, 0.75 + daysBetween(farm.firstEggs, day) / 160);
      const laid = some(hens, rate.lay * warmth);
      const kept = some(laid, rate.kept);
      const left = laid - kept;
      const cracked = some(left, 0.3);
      const dirty = some(left - cracked, 0.4);
      const small = some(left - cracked - dirty, 0.5);
      put('eggs', day, {
        pen,
        laid,
        kept,
        small,
        cracked,
        dirty,
        other: left - cracked - dirty - small,
      });
      stock.set(pen, [...(stock.get(pen) ?? []), { laid: day, left: kept }]);
    }
    for (const one of setOf.get(day) ?? []) {
      const facts = one.duck ? DUCK : CHICKEN;
      const evening = `${day}T18:30`;
      const at = (days: number, time: string): string => `${addDays(day, days)}T${time}`;
      for (const [pen, wanted] of Object.entries(one.shares)) {
        const lots = stock.get(pen)!.filter((lot) => daysBetween(lot.laid, day) <= 9);
        let eggs = 0;
        for (const lot of lots) {
          const taken = Math.min(lot.left, wanted - eggs);
          lot.left -= taken;
          eggs += taken;
        }
        if (eggs === 0) continue;
        const rate = farm.rates[pen]!;
        const grams = one.duck ? 78 : 58;
        put('set', evening, {
          set: one.set,
          pen,
          setter: 'cabinet',
          tray: one.tray,
          eggs,
          mass_g: eggs * grams,
        });
        const fertile = some(eggs, rate.fertile);
        const early = some(fertile, rate.early);
        const looksClear = eggs - fertile + some(early, 0.35);
        const ring = early - (looksClear - (eggs - fertile));
        const doubtful =
          farm.mess && one.set === 'D3' && pen === 'south' ? Math.min(2, looksClear) : 0;
        const cracked = farm.mess && one.set === 'D6' && pen === 'north' ? 1 : 0;
        let live = fertile - early - cracked;
        const late = some(live, rate.late);
        const isFirst = pen === Object.keys(one.shares)[0];
        const lookDay =
          facts.candle[0]! + (weekdayOf(addDays(day, facts.candle[0]!)) === 'sun' ? 1 : 0);
        const firstLook = put(
          'candling',
          at(lookDay, '10:15'),
          { set: one.set, pen, clear: looksClear - doubtful, quit: ring, cracked, doubtful },
          doubtful ? { note: 'dark shells; two not sure' } : {},
        );
        if (firstLook) entries.set(`${one.set}/${pen}`, firstLook);
        if (isFirst && eggs > 4)
          put('weighing', at(lookDay, '10:40'), {
            set: one.set,
            pen,
            eggs: live + cracked + doubtful,
            mass_g: Math.round(
              (live + cracked + doubtful) * grams * (1 - (0.12 * lookDay) / facts.transfer),
            ),
          });
        if (one.duck)
          put('candling', at(facts.candle[1]!, '10:20'), { set: one.set, pen, clear: 0, quit: 0 });
        const moved = live + 0;
        put('transfer', at(facts.transfer, '17:40'), {
          set: one.set,
          pen,
          hatcher: one.hatcher,
          moved,
          clear: doubtful,
          quit: 0,
        });
        if (isFirst) {
          put('reading', at(facts.transfer, '20:00'), {
            machine: one.hatcher,
            dry: '37.0',
            rh: 70,
          });
          // Chicks of these seasons go to a neighbour on the day of the last opening.
          put('tick', `${addDays(day, facts.hatch + 1)}`, { task: `${one.set}/brood` });
          // The last cleaning is done and not ticked: that is how it is.
          if (one.set !== 'D4')
            put('tick', `${addDays(day, facts.hatch + 2)}`, { task: `${one.set}/clean` });
        }
        live -= late;
        const hatched = some(live, rate.hatch);
        const failed = moved - hatched;
        const pipped = some(failed, 0.35);
        const dead = some(failed - pipped, 0.1);
        const missing =
          farm.mess && one.set === 'D8' && pen === 'south' && failed - pipped - dead > 0 ? 1 : 0;
        const firstTake = some(hatched, 0.8);
        put('hatch', at(facts.hatch, '16:00'), { set: one.set, pen, hatched: firstTake });
        put(
          'hatch',
          at(facts.hatch + 1, '09:30'),
          {
            set: one.set,
            pen,
            hatched: hatched - firstTake,
            weak: some(hatched - firstTake, 0.15),
            dead,
            pipped,
            unpipped: failed - pipped - dead - missing,
            final: 'yes',
          },
          missing ? { note: 'counted twice; one egg is not there' } : {},
        );
        if (isFirst && looksClear - doubtful > 0)
          put('breakout', at(lookDay, '11:00'), {
            set: one.set,
            pen,
            from: 'clear',
            infertile: Math.min(eggs - fertile, looksClear - doubtful),
            early: Math.max(0, looksClear - doubtful - (eggs - fertile)),
          });
      }
    }
  }
  const firstSet = farm.sets[0]!.on;
  for (const day of daysIn(firstSet, addDays(lastSet, 22))) {
    put('reading', `${day}T07:10`, {
      machine: 'cabinet',
      dry: (37.4 + some(4, 0.5) / 10 - 0.1).toFixed(1),
      rh: 50 + some(10, 0.5),
    });
  }
  if (farm.mess) {
    // The keeper's mess: a row entered twice and withdrawn, a candling corrected next day.
    const twice = logs.find(
      (log) =>
        log.record === 'eggs' && log.cells.pen === 'pond' && log.cells.on === addDays(firstSet, 9),
    );
    if (twice) {
      const own = { ...twice.cells, entry: '', recorded: '', by: '' };
      const again = put('eggs', String(twice.cells.on), { ...own, by: 'tom' } as Cells, {});
      restore(again, twice.cells, '20:05');
      const gone = put('eggs', String(twice.cells.on), { ...own, by: 'ada' } as Cells, {
        amends: again!,
        state: 'void',
        note: 'entered twice',
      });
      restore(gone, twice.cells, '20:30');
    }
    const wrong = logs.find(
      (log) => log.record === 'candling' && log.cells.entry === entries.get('D5/north'),
    );
    if (wrong) {
      const right = { ...wrong.cells };
      const amended = put('candling', String(right.on), {
        ...right,
        amends: String(right.entry),
        note: 'clear and quit were exchanged',
      });
      restore(amended, wrong.cells, '21:10');
      const { clear, quit } = right;
      wrong.cells.clear = quit!;
      wrong.cells.quit = clear!;
    }
  }
  function restore(entry: string | null, like: Cells, time: string): void {
    const row = logs.at(-1)!;
    row.cells.entry = entry!;
    row.cells.recorded = String(like.recorded).replace(/T..:../, `T${time}`);
  }

  const files = new Map<string, string>([
    ['season.yaml', farm.header],
    ['.gitattributes', gitattributes as string],
  ]);
  for (const name of recordNames) {
    const kind = kindOf(name);
    const header = headerOf(kind);
    const rows = logs
      .filter((log) => log.record === name)
      .sort((a, b) => String(a.cells.recorded).localeCompare(String(b.cells.recorded)))
      .map((log) => header.map((column) => String(log.cells[column] ?? '')));
    files.set(`log/${kind.file}`, stringify([[...header], ...rows]));
  }
  return files;
}

function plan(sets: readonly SetPlan[]): string {
  return sets
    .map(
      (one) =>
        `  - {set: ${one.set}, on: ${one.on}, setter: cabinet, trays: [${one.tray}], shares: {${Object.entries(
          one.shares,
        )
          .map(([pen, eggs]) => `${pen}: ${eggs}`)
          .join(', ')}}, hatcher: ${one.hatcher}}`,
    )
    .join('\n');
}

function rotation(first: Day, weeks: number, ducks: readonly number[]): SetPlan[] {
  const out: SetPlan[] = [];
  for (let week = 0; week < weeks; week += 1) {
    const on = addDays(first, week * 7);
    out.push({
      set: `D${week + 1}`,
      on,
      tray: (week % 3) + 1,
      shares: { north: 18, south: 22 },
      hatcher: 'lower',
      duck: false,
    });
    const duck = ducks.indexOf(week);
    if (duck !== -1)
      out.push({
        set: `H${duck + 1}`,
        on,
        tray: 4,
        shares: { pond: 26 },
        hatcher: 'box',
        duck: true,
      });
  }
  return out;
}

function seasonFile(
  season: number,
  joined: Day,
  previous: string,
  goals: string,
  sets: readonly SetPlan[],
  why: string,
): string {
  return `# ${why}
format: traybook/1
season: ${season}
place: {name: Hollin Bank, timezone: Europe/London, altitude_m: 140}
units: {temperature: C, mass: g, area: m2, currency: GBP}
${previous}lines:
  dorking:   {species: chicken, class: dual-purpose, down: striped, egg_g: 58}
  harlequin: {species: duck, down: yellow, egg_g: 78}
pens:
  north: {line: dorking, hens: 10, males: 1, joined: ${joined}}
  south: {line: dorking, hens: 13, males: 2, joined: ${joined}}
  pond:  {line: harlequin, hens: 9, males: 2, joined: ${joined}}
setters:
  cabinet: {trays: 4, tray_holds: {chicken: 42, duck: 30}, turns: automatic}
hatchers:
  lower: {holds: {chicken: 60, duck: 40}, clean_days: 1, one_set_at_a_time: true}   # under the trays
  box:   {holds: {chicken: 40, duck: 30}, clean_days: 2, one_set_at_a_time: true}   # for the ducks
storage: {temperature: 15, max_days: 9, turns_per_day: 2}
brooders:
  barn: {area: 3.2, heat: {kind: lamp, watts: 250, count: 2}}
  shed: {area: 1.4, heat: {kind: hover, watts: 60}}
days_off: {set: [sun]}
goals:
${goals}
plan:
${plan(sets)}
`;
}

const birds = {
  north: { lay: 0.62, kept: 0.88, fertile: 0.86, early: 0.05, late: 0.05, hatch: 0.93 },
  south: { lay: 0.6, kept: 0.86, fertile: 0.93, early: 0.05, late: 0.05, hatch: 0.93 },
  pond: { lay: 0.66, kept: 0.85, fertile: 0.84, early: 0.06, late: 0.08, hatch: 0.85 },
};
const hens = { north: 10, south: 13, pond: 9 };

/** The example seasons, by the name of their folder. */
export function exampleFarms(): Farm[] {
  const past = rotation('2026-02-28' as Day, 12, [0, 4, 8]);
  const now = rotation('2027-03-06' as Day, 12, [1, 5, 9]);
  return [
    {
      folder: 'finished',
      seed: 20260228,
      season: 2026,
      until: '2026-11-30T08:00',
      firstEggs: '2026-02-20' as Day,
      sets: past,
      header: seasonFile(
        2026,
        '2026-02-07' as Day,
        '',
        '  - {line: dorking, want: pullets, at: point-of-lay, count: 60, by: 2026-11-15, confidence: 0.9}\n  - {line: harlequin, want: chicks, count: 40, by: 2026-06-30, confidence: 0.8}',
        past,
        'A finished season: chickens every week, ducks every fourth. Invented.',
      ),
      rates: birds,
      hens,
      mess: true,
    },
    {
      folder: 'midseason',
      seed: 20270306,
      season: 2027,
      until: '2027-04-24T07:00',
      firstEggs: '2027-02-26' as Day,
      sets: now,
      header: seasonFile(
        2027,
        '2027-02-13' as Day,
        'previous: [../finished]\n',
        '  - {line: dorking, want: pullets, at: point-of-lay, count: 60, by: 2027-11-15, confidence: 0.9}\n  - {line: harlequin, want: chicks, count: 40, by: 2027-07-20, confidence: 0.8}',
        now,
        'A season in its eighth week. Invented.',
      ),
      rates: birds,
      hens,
      mess: false,
    },
  ];
}

/** Writes every example folder below a project's root anew. */
export function writeExamples(root: string): void {
  for (const farm of exampleFarms()) {
    const folder = join(root, 'examples', farm.folder);
    rmSync(folder, { recursive: true, force: true });
    for (const [name, text] of filesOf(farm)) {
      mkdirSync(dirname(join(folder, name)), { recursive: true });
      writeFileSync(join(folder, name), text);
    }
  }
}
