// Each caution shows where the work is: the records, sheets and screens named in seeds/cautions.yaml
// are tried one by one with the built program.
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type * as z from 'zod/mini';
import table from '../../seeds/cautions.yaml';
import { kindOf, type RecordName } from '../../src/records/index.ts';
import { headerOf } from '../../src/records/record.ts';
import type { cautionsFile } from '../../src/season/knowledge-schema.ts';
import { addDays, type Day } from '../../src/text/day.ts';
import { Barn } from '../harness/console.ts';

const cautions = Object.entries(table as z.infer<typeof cautionsFile>);
const barn = new Barn();
afterAll(() => barn.close());

/** What is printed, its line breaks and the breaks inside numbers made one space. */
const flat = (text: string) =>
  text
    .replace(/<[^>]*>/g, ' ')
    .replaceAll('&#39;', "'")
    .replace(/[\s\u00a0]+/g, ' ');

/** A row that calls for the caution, for each record that may. */
const rows: Readonly<Record<string, string>> = {
  treatment: 'treatment north --product "as labelled" --egg-withdrawal-days 7',
  'leaving table': 'leaving B1 --birds 1 --sex unknown --way table',
  'leaving culled': 'leaving B1 --birds 1 --sex unknown --way culled',
  'leaving sold': 'leaving B1 --birds 1 --sex unknown --way sold',
  'leaving given': 'leaving B1 --birds 1 --sex unknown --way given',
  'eggs-out sold': 'eggs-out north --eggs 2 --way sold',
  'eggs-out sent': 'eggs-out north --eggs 2 --way sent',
  'loss culled': 'loss B1 --birds 1 --cause culled',
  'pen-change added': 'pen-change north --change added --birds 1 --sex female',
  'pen-change replaced': 'pen-change north --change replaced --birds 1 --sex male',
  'reading power-off': 'reading cabinet --event power-off --minutes 30',
};

describe('after a record', () => {
  for (const [name, words] of Object.entries(rows)) {
    test(`traybook add ${words}`, async () => {
      const [record = '', word = ''] = name.split(' ');
      const keys = cautions.filter(([, { after = [] }]) =>
        after.some((one) => one.record === record && (one.is?.includes(word) ?? true)),
      );
      expect(keys.length).toBeGreaterThan(0);
      barn.enter('midseason', undefined);
      const run = await barn.run(`traybook add ${words} --anyway`);
      expect(run.stderr + run.stdout).toContain('entry');
      for (const [, { short }] of keys) expect(flat(run.stdout)).toContain(flat(short));
    });
  }
});

describe('on a sheet', () => {
  for (const [key, { sheets = [], short }] of cautions)
    for (const sheet of sheets)
      test(`${key}: sheet ${sheet}`, async () => {
        barn.enter('midseason', undefined);
        expect(flat((await barn.run(`traybook sheet ${sheet}`)).stdout)).toContain(flat(short));
      });
});

describe('on a screen', () => {
  // One season in which every rule holds: three groups, one bare lamp, chicks waiting, a treatment,
  // birds sold and killed, and more deaths than chance explains. Invented.
  const season = [
    'format: traybook/1',
    'season: 2027',
    'place: {name: Mere, timezone: Europe/London}',
    'lines:',
    '  hen: {species: chicken, class: dual-purpose}',
    '  drake: {species: duck}',
    '  bronze: {species: turkey}',
    'pens:',
    '  a: {line: hen, hens: 20, males: 2, joined: 2027-01-01}',
    '  b: {line: drake, hens: 10, males: 2, joined: 2027-01-01}',
    '  c: {line: bronze, hens: 10, males: 2, joined: 2027-01-01}',
    'setters: {cabinet: {trays: 4, tray_holds: {chicken: 40, duck: 40, turkey: 40}}}',
    'hatchers: {lower: {holds: {chicken: 90, duck: 90, turkey: 90}}}',
    'brooders: {barn: {area: 9, heat: {kind: lamp, watts: 250, count: 1}}}',
    'prices: {egg: 0.3}',
    '',
  ].join('\n');
  const told: readonly (readonly [
    RecordName,
    string,
    Readonly<Record<string, string | number>>,
  ])[] = [
    ...(['a', 'b', 'c'] as const).flatMap((pen, n) => {
      const [set, hatched] = [`S${n + 1}`, ['2027-03-22', '2027-03-29', '2027-03-29'][n]!];
      return [
        ['set', '2027-03-01', { set, pen, setter: 'cabinet', tray: n + 1, eggs: 30 }],
        ['transfer', addDays(hatched as Day, -3), { set, hatcher: 'lower', moved: 30 }],
        ['hatch', `${hatched}T08:00`, { set, hatched: 28, unpipped: 2, final: 'yes' }],
        ['group', hatched, { group: `G${n + 1}`, set, brooder: 'barn', chicks: n === 0 ? 27 : 20 }],
      ] as const;
    }),
    ['loss', '2027-04-02', { group: 'G1', birds: 9, cause: 'unknown' }],
    ['sexing', '2027-06-20', { group: 'G1', pullets: 8, cockerels: 10 }],
    [
      'treatment',
      '2027-04-01',
      { group_or_pen: 'G1', product: 'as labelled', meat_withdrawal_days: 3 },
    ],
    ['leaving', '2027-06-25', { group: 'G1', sex: 'male', birds: 2, way: 'table', mass_kg: 4 }],
    ['leaving', '2027-06-25', { group: 'G2', sex: 'unknown', birds: 2, way: 'sold', money: 6 }],
    ['money', '2027-06-25', { category: 'feed', amount: 20 }],
  ];
  const shown = new Map<string, string>();
  beforeAll(async () => {
    barn.enter('none', '2027-06-28T08:00');
    const folder = join(barn.folder, 'farm');
    mkdirSync(join(folder, 'log'), { recursive: true });
    writeFileSync(join(folder, 'season.yaml'), season);
    const logs = new Map<RecordName, string[]>();
    told.forEach(([name, on, cells], index) => {
      const header = headerOf(kindOf(name));
      const entry = `e${String(index).padStart(9, '0')}`;
      const all: Record<string, unknown> = {
        entry,
        recorded: '2027-01-01T08:00:00Z',
        on,
        ...cells,
      };
      logs.set(name, [
        ...(logs.get(name) ?? [header.join(',')]),
        header.map((column) => String(all[column] ?? '')).join(','),
      ]);
    });
    for (const [name, lines] of logs)
      writeFileSync(join(folder, 'log', kindOf(name).file), `${lines.join('\n')}\n`);
    for (const [screen, words] of [
      ['flock', 'flock'],
      ['costs', 'costs'],
      ['forecast', '--now 2027-04-20T20:00 forecast --promise 0.9 --by 2027-08-01'],
      ['brooders', '--now 2027-03-29T20:00 brooders'],
      ['today', '--now 2027-04-02T20:00 today --full'],
    ] as const) {
      const run = await barn.run(`cd ${folder} && traybook ${words}`);
      expect(run.status, run.stderr).toBe(0);
      shown.set(screen, flat(run.stdout));
    }
  });

  for (const [key, { screens = [], short }] of cautions)
    for (const screen of screens)
      test(`${key}: ${screen}`, () => {
        expect(shown.get(screen)).toContain(flat(short));
      });
});
