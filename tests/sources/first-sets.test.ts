/**
 * A first set of every kind, from egg to moving out, told row by row, against published days and
 * temperatures. Each figure names its source; `practice` marks those for which none was found.
 */
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { flockOf } from '../../src/facts/birds/groups.ts';
import { conflictsOf } from '../../src/facts/checks/index.ts';
import { heatNeed } from '../../src/facts/heat.ts';
import { tasksOf } from '../../src/facts/tasks/tasks.ts';
import { readSeasonFolder } from '../../src/io/season-folder.ts';
import { kindOf, type RecordName } from '../../src/records/index.ts';
import { headerOf } from '../../src/records/record.ts';
import { broodingOf } from '../../src/season/brooding.ts';
import type { Season } from '../../src/season/model.ts';
import { speciesNames } from '../../src/season/species.ts';
import { addDays, type Day, daysBetween } from '../../src/text/day.ts';

type Printed = readonly [low: number, high: number, source: string];
type First = {
  /** Day of hatching. */
  readonly hatch: Printed;
  /** Day from which eggs are not turned. */
  readonly still: Printed;
  /** °C at the edge of the heat in the first week. */
  readonly heat: Printed;
  /** Age in days at which the heat ends. */
  readonly off: Printed;
};

// Read in copies: a state extension's list as posted in 2006 (phoenixfriends.proboards.com/thread/4817);
// a chart for cabinet incubators, transcribed in 2008 (backyardchickens.com/threads/48301).
const LIST = 'extension list of 2006 (copy)';
const CHART = 'cabinet-incubator chart of 2008 (copy)';
const PRACTICE = 'common practice, no source';
const CLAUER =
  'Clauer, Space should increase as birds grow (read): 92 to 95 °F, room air by week 8';

const firsts: Readonly<Record<string, First>> = {
  chicken: {
    hatch: [21, 21, LIST],
    still: [18, 18, 'Illinois Extension, incubation checklist (read)'],
    heat: [33.3, 35, CLAUER],
    off: [35, 56, CLAUER],
  },
  bantam: {
    hatch: [21, 21, `${LIST}, as chickens`],
    still: [18, 18, 'Illinois Extension, incubation checklist (read), as chickens'],
    heat: [33.3, 35, `${CLAUER}, as chickens`],
    off: [35, 56, `${CLAUER}, as chickens`],
  },
  duck: {
    hatch: [28, 28, LIST],
    still: [25, 25, CHART],
    heat: [30, 30, 'farmingfriends.com (copy): 86 °F on the first day'],
    off: [21, 35, 'Scott & Heuser (read): end of week 3; Lamon & Slocum 1922 (read): 5 weeks'],
  },
  muscovy: {
    hatch: [35, 37, 'Bay of Plenty Beacon, 27 September 1939 (read)'],
    still: [31, 33, CHART],
    heat: [29.4, 32.2, `${PRACTICE}: as ducks`],
    off: [28, 42, PRACTICE],
  },
  goose: {
    hatch: [30, 30, 'Pécsi and others 2010, photographic guide (read): about 30'],
    still: [27, 27, 'Breeding methods in geese (abstract): moved on day 27, hatched on day 30'],
    heat: [29.4, 32.2, 'extension text on geese (copy): 85 to 90 °F'],
    off: [10, 28, 'Lamon & Slocum 1922 (read): 10 days to 4 weeks'],
  },
  turkey: {
    hatch: [28, 28, LIST],
    still: [25, 25, CHART],
    heat: [32, 35, 'Hybrid Turkeys, temperature guidelines (read)'],
    off: [42, 56, 'birdshippers.org (read): steps for 6 weeks; the end is practice'],
  },
  guinea: {
    hatch: [26, 28, `${LIST}; 28 in Araújo and others 2019 (abstract)`],
    still: [25, 25, CHART],
    heat: [35, 35, 'Guinea fowl and extreme weather (read): 95 °F'],
    off: [42, 42, 'Poultry Hub Australia (read): up to 6 weeks'],
  },
  coturnix: {
    hatch: [17, 18, LIST],
    still: [14, 15, `${CHART}: 15; backyardfarmer.co.nz (copy): 14`],
    heat: [35, 35, 'Primefact 602 (copy): about 35 °C'],
    off: [21, 28, 'Primefact 602 (copy): 3 to 4 weeks'],
  },
  bobwhite: {
    hatch: [23, 23, LIST],
    still: [20, 21, `${CHART}: 21; three days before the hatch`],
    heat: [32.2, 35, 'J. Appl. Poult. Res. 22:329, 2013 (abstract)'],
    off: [35, 35, 'Mississippi State Univ. Extension, Quail brooding temperatures (read)'],
  },
  pheasant: {
    hatch: [24, 24, 'Christensen, Incubation of pheasant eggs (read)'],
    still: [21, 21, CHART],
    heat: [33.9, 33.9, 'MacFarlane Pheasants (read): at the edge'],
    off: [42, 56, 'MacFarlane Pheasants (read): out of doors at 6 to 8 weeks'],
  },
  chukar: {
    hatch: [23, 23.5, 'red-legged partridge (abstracts): 23.2 and 23.45 days'],
    still: [20, 20, 'Comparison of three temperatures (abstract): hatching phase from day 20'],
    heat: [32.2, 35, `${PRACTICE}: as game birds`],
    off: [35, 49, PRACTICE],
  },
  peafowl: {
    hatch: [28, 28, LIST],
    still: [25, 26, CHART],
    heat: [32, 35, `${PRACTICE}: as turkeys`],
    off: [42, 56, `${PRACTICE}: as turkeys`],
  },
};

const SET_ON = '2027-03-01' as Day;
const EGGS = 20;
const CLEAR = 3;
const HATCHED = 15;

const root = mkdtempSync(join(tmpdir(), 'first-sets-'));
afterAll(() => rmSync(root, { recursive: true, force: true }));

const file = (kind: string) => `format: traybook/1
season: 2027
place: {name: Quern Side, timezone: Europe/London}
lines: {own: {species: ${kind}}}
pens: {main: {line: own, hens: 8, males: 4, joined: 2027-01-01}}
setters: {cabinet: {trays: 1, tray_holds: {${kind}: 40}}}
hatchers: {lower: {holds: {${kind}: 40}}}
brooders: {barn: {area: 12, heat: {kind: lamp, watts: 250, count: 2}}, grass: {area: 200, heat: {kind: none}}}
`;

type Told = readonly [RecordName, string, Readonly<Record<string, string | number>>];
let folders = 0;
async function bookOf(kind: string, told: readonly Told[]): Promise<Season> {
  folders += 1;
  const folder = join(root, String(folders));
  mkdirSync(join(folder, 'log'), { recursive: true });
  writeFileSync(join(folder, 'season.yaml'), file(kind));
  const logs = new Map<RecordName, string[]>();
  told.forEach(([name, on, cells], index) => {
    const header = headerOf(kindOf(name));
    const entry = `e${String(index).padStart(9, '0')}`;
    const all: Record<string, unknown> = { entry, recorded: '2027-01-01T08:00:00Z', on, ...cells };
    const line = header.map((column) => String(all[column] ?? '')).join(',');
    logs.set(name, [...(logs.get(name) ?? [header.join(',')]), line]);
  });
  for (const [name, lines] of logs)
    writeFileSync(join(folder, 'log', kindOf(name).file), `${lines.join('\n')}\n`);
  const read = await readSeasonFolder(folder);
  if (read.season === null) throw new Error(JSON.stringify(read.faults, null, 1));
  return read.season;
}

const at = (day: Day) => ({ day, time: '09:00' as const, instant: `${day}T09:00:00Z` });
const within = (value: number, [low, high]: Printed) => {
  expect(value).toBeGreaterThanOrEqual(low);
  expect(value).toBeLessThanOrEqual(high);
};

test('consistency: twelve kinds have a first set here, which are all there are', () => {
  expect(Object.keys(firsts).sort()).toEqual(speciesNames().sort());
  expect(Object.keys(firsts)).toHaveLength(12);
});

test.each(Object.entries(firsts))(
  '%s: a first set from egg to grass, against the sources named beside each',
  async (kind, printed) => {
    const rows: Told[] = [
      ['eggs', '2027-02-27', { pen: 'main', laid: EGGS, kept: EGGS }],
      ['set', SET_ON, { set: 'A1', pen: 'main', setter: 'cabinet', tray: 1, eggs: EGGS }],
    ];
    const begun = await bookOf(kind, rows);
    const due = (season: Season, day: Day, of: string, ahead = 60): Day | undefined =>
      tasksOf(season, at(day) as never, ahead).find((task) => task.kind === of)?.due;

    const still = due(begun, SET_ON, 'transfer')!;
    within(daysBetween(SET_ON, still), printed.still);
    const candled = due(begun, SET_ON, 'candle')!;
    expect(daysBetween(SET_ON, candled)).toBeLessThan(daysBetween(SET_ON, still));
    rows.push(
      ['candling', candled, { set: 'A1', clear: CLEAR, quit: 0 }],
      ['transfer', still, { set: 'A1', hatcher: 'lower', moved: EGGS - CLEAR }],
    );

    const hatch = begun.sets.get('A1')!.shares[0]!.pen.line.species.hatch_day.value;
    within(hatch, printed.hatch);
    const hatched = addDays(SET_ON, hatch);
    rows.push(
      [
        'hatch',
        hatched,
        { set: 'A1', hatched: HATCHED, unpipped: EGGS - CLEAR - HATCHED, final: 'yes' },
      ],
      ['group', hatched, { group: 'G1', set: 'A1', brooder: 'barn', chicks: HATCHED }],
    );
    const brooded = await bookOf(kind, rows);

    const heat = heatNeed({ species: kind }, 0)!;
    // Bands of two printings meet.
    expect(heat.low).toBeLessThanOrEqual(printed.heat[1]);
    expect(heat.high).toBeGreaterThanOrEqual(printed.heat[0]);
    within(broodingOf({ species: kind }).heat_until_day.value, printed.off);

    const out = due(brooded, hatched, 'move-out', 120)!;
    rows.push(['move', out, { group: 'G1', to: 'grass', birds: HATCHED }]);
    const whole = await bookOf(kind, rows);
    const group = flockOf(whole).groups.get('G1')!;
    expect(group).toMatchObject({ placed: HATCHED, living: HATCHED, lost: 0, left: 0 });
    expect([...group.standings.at(-1)!.places]).toEqual([['grass', HATCHED]]);
    expect(
      conflictsOf(whole, at(out) as never).filter(({ severity }) => severity === 'error'),
    ).toEqual([]);
  },
);
