// Any sequence of commands, checked against a model: what was accepted is in the folder, whole and
// in the form it was said; what was refused has changed nothing; `check` reads the folder after all.
import { cpSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import * as fc from 'fast-check';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { kindOf, type RecordName, recordNames } from '../../src/records/index.ts';
import { faultCodes } from '../../src/text/fault.ts';
import { type Answer, answer } from '../support/in-process.ts';

const SEASON = `format: traybook/1
season: 2027
place: {name: Low Croft, timezone: Europe/London}
units: {temperature: C, mass: g, area: m2, currency: GBP}
lines:
  sussex: {species: chicken, down: buff}
  pekin: {species: duck, down: yellow}
pens:
  north: {line: sussex, hens: 11, males: 2, joined: 2027-01-02}
  south: {line: sussex, hens: 12, males: 2, joined: 2027-01-02}
  pond: {line: pekin, hens: 5, males: 1, joined: 2027-01-02}
setters:
  cabinet: {trays: 3, tray_holds: {chicken: 40, duck: 30}}
hatchers:
  lower: {holds: {chicken: 80, duck: 60}}
brooders:
  barn: {area: 3}
  shed: {area: 1}
traits:
  mass_12w: {kind: body-weight, unit: g}
plan: []
`;

// What a keeper may say of each record: mostly sense, some of it not.
const one = <T>(...values: readonly T[]) => fc.constantFrom(...values);
const count = fc.integer({ min: 0, max: 6 }).map(String);
const some = fc.integer({ min: 1, max: 9 }).map(String);
const maybe = <T>(value: fc.Arbitrary<T>) => fc.option(value, { nil: undefined });
const pen = one('north', 'north', 'north', 'north', 'south', 'pond', 'nroth');
const set = one('A1', 'A1', 'A1', 'A2', 'A3');
const group = one('G1', 'G1', 'G1', 'G2');
const bird = one('B1', 'B2', 'B3');
const day = fc.integer({ min: 1, max: 31 }).map((n) => `2027-03-${String(n).padStart(2, '0')}`);
const text = one('plain', 'a "b", c', "it's; so", '=1+1', '@x', 'é 🐣', '<b>', '__proto__', '0');
const decimal = one('0.5', '37.6', '12', '21.25', '37.125', '37,6');

type Flags = Readonly<Record<string, string | undefined>>;
const says: Readonly<Record<RecordName, fc.Arbitrary<Flags>>> = {
  eggs: fc.record({
    pen,
    kept: count,
    laid: maybe(one('14', '3')),
    cracked: maybe(count),
    hens: maybe(some),
  }),
  set: fc.record({
    set,
    pen,
    setter: one('cabinet'),
    tray: one('1', '2', '3', '4'),
    eggs: some,
    mass_g: maybe(decimal),
  }),
  candling: fc.record({
    set,
    pen,
    clear: maybe(count),
    quit: maybe(count),
    doubtful: maybe(count),
  }),
  weighing: fc.record({ set, pen, eggs: some, mass_g: decimal }),
  reading: fc.record({
    machine: one('cabinet', 'lower'),
    dry: maybe(decimal),
    wet: maybe(decimal),
    rh: maybe(decimal),
    event: maybe(one('door', 'power-off')),
    minutes: maybe(count),
  }),
  transfer: fc.record({
    set,
    pen,
    hatcher: one('lower'),
    basket: maybe(one('left', 'back 2')),
    moved: count,
    clear: maybe(count),
    quit: maybe(count),
  }),
  hatch: fc.record({
    set,
    pen,
    hatched: count,
    weak: maybe(count),
    dead: maybe(count),
    unpipped: maybe(count),
    final: maybe(one('yes', 'no')),
  }),
  breakout: fc.record({
    set,
    pen,
    from: one('clear', 'quit', 'unhatched'),
    infertile: maybe(count),
    early: maybe(count),
    malposed: maybe(count),
  }),
  group: fc.record({
    group,
    set,
    pen,
    brooder: one('barn', 'shed'),
    chicks: some,
    mark: maybe(text),
  }),
  move: fc.record({ group, to: one('barn', 'shed', 'orchard'), birds: some }),
  loss: fc.record({
    group,
    birds: some,
    cause: maybe(one('chilled', 'predator', 'fox')),
    place: maybe(one('barn', 'orchard')),
  }),
  'eggs-out': fc.record({ pen, eggs: some, way: one('sold', 'eaten'), money: maybe(decimal) }),
  'pen-change': fc.record({
    pen,
    change: one('died', 'removed', 'added', 'replaced', 'parted'),
    birds: maybe(one('1', '2')),
    sex: maybe(one('female', 'male')),
    bird: maybe(bird),
    cause: maybe(text),
  }),
  acceptance: fc.record({ code: one('too-few-males', 'day-off'), about: pen, why: text }),
  sexing: fc.record({
    group,
    pullets: maybe(count),
    cockerels: maybe(count),
    unsure: maybe(count),
  }),
  leaving: fc.record({
    group,
    sex: one('female', 'male', 'unknown'),
    birds: some,
    way: one('table', 'sold', 'culled'),
    mass_kg: maybe(decimal),
    money: maybe(decimal),
  }),
  bird: fc.record({
    bird,
    band: maybe(text),
    line: one('sussex', 'pekin'),
    sex: one('female', 'male'),
    dam: maybe(bird),
    sire: maybe(bird),
    born: maybe(day),
  }),
  score: fc.record({ bird, trait: one('mass_12w', 'mass_8w'), value: decimal }),
  treatment: fc.record({
    group_or_pen: one('north', 'G1'),
    product: text,
    egg_withdrawal_days: maybe(count),
    meat_withdrawal_days: maybe(count),
  }),
  weather: fc.record({ low: maybe(decimal), high: maybe(decimal) }),
  money: fc.record({
    category: text,
    amount: decimal,
    quantity: maybe(decimal),
    unit: maybe(one('kg', 'bag')),
  }),
  tick: fc.record({ task: one('A1/candle-1', 'storage/2027-03-04/turn-pm', 'x') }),
};

type Said =
  | {
      readonly what: 'add';
      readonly record: RecordName;
      readonly cells: Flags;
      readonly anyway: boolean;
    }
  | {
      readonly what: 'amend';
      readonly pick: number;
      readonly version: number;
      readonly field: number;
      readonly value: string;
      readonly anyway: boolean;
    }
  | {
      readonly what: 'void';
      readonly pick: number;
      readonly version: number;
      readonly anyway: boolean;
    };

const anyway = fc.boolean();
const common = fc.record({ on: day, note: fc.oneof(one(''), text), by: one('Ane', 'Bo, jr', '') });
const said: fc.Arbitrary<Said> = fc.oneof(
  {
    weight: 6,
    arbitrary: one(...recordNames).chain((record) =>
      fc.record({
        what: fc.constant('add' as const),
        record: fc.constant(record),
        cells: fc.tuple(says[record], common).map(([own, shared]) => ({ ...own, ...shared })),
        anyway,
      }),
    ),
  },
  {
    weight: 3,
    arbitrary: fc.record({
      what: fc.constant('amend' as const),
      pick: fc.nat(),
      version: fc.nat(),
      field: fc.nat(),
      value: fc.oneof(count, text, pen, day, decimal, one('')),
      anyway,
    }),
  },
  {
    weight: 1,
    arbitrary: fc.record({
      what: fc.constant('void' as const),
      pick: fc.nat(),
      version: fc.nat(),
      anyway,
    }),
  },
);

/** A row as the model holds it: the cells as they were said, and the entries of its versions. */
type Row = {
  record: RecordName;
  entries: string[];
  cells: Record<string, string>;
  isVoid: boolean;
};

const base: Said[] = [
  ...['north', 'south', 'pond'].flatMap((name) =>
    ['2027-02-27', '2027-02-28', '2027-03-01'].map(
      (on): Said => ({
        what: 'add',
        record: 'eggs',
        anyway: false,
        cells: { pen: name, kept: name === 'pond' ? '5' : '12', on },
      }),
    ),
  ),
  {
    what: 'add',
    record: 'set',
    anyway: false,
    cells: { set: 'A1', pen: 'north', setter: 'cabinet', tray: '1', eggs: '20', on: '2027-03-02' },
  },
  {
    what: 'add',
    record: 'set',
    anyway: false,
    cells: { set: 'A2', pen: 'south', setter: 'cabinet', tray: '2', eggs: '18', on: '2027-03-03' },
  },
  {
    what: 'add',
    record: 'candling',
    anyway: false,
    cells: { set: 'A1', pen: 'north', clear: '2', on: '2027-03-09' },
  },
  {
    what: 'add',
    record: 'transfer',
    anyway: false,
    cells: { set: 'A1', pen: 'north', hatcher: 'lower', moved: '18', on: '2027-03-20' },
  },
  {
    what: 'add',
    record: 'hatch',
    anyway: false,
    cells: { set: 'A1', pen: 'north', hatched: '15', on: '2027-03-23' },
  },
  {
    what: 'add',
    record: 'group',
    anyway: false,
    cells: {
      group: 'G1',
      set: 'A1',
      pen: 'north',
      brooder: 'barn',
      chicks: '14',
      on: '2027-03-23',
    },
  },
  {
    what: 'add',
    record: 'bird',
    anyway: false,
    cells: { bird: 'B1', line: 'sussex', sex: 'male', born: '2026-03-01', on: '2027-03-01' },
  },
];

let home: string;
let started: Row[];
beforeAll(async () => {
  home = mkdtempSync(join(tmpdir(), 'traybook-'));
  writeFileSync(join(home, 'season.yaml'), SEASON);
  started = [];
  for (const [index, one] of base.entries()) {
    const told = await say(home, started, one, index);
    if (told.code !== 0) throw new Error(told.stderr);
  }
});
afterAll(() => rmSync(home, { recursive: true, force: true }));

const logs = (folder: string): Record<string, string> =>
  Object.fromEntries(
    readdirSync(join(folder, 'log')).map((name) => [
      name,
      readFileSync(join(folder, 'log', name), 'latin1'),
    ]),
  );

/** Says one thing to the program; the model follows if it was accepted. */
async function say(folder: string, rows: Row[], one: Said, step: number): Promise<Answer> {
  const minute = String(step % 60).padStart(2, '0');
  const now = `2027-03-24T${String(8 + Math.floor(step / 60)).padStart(2, '0')}:${minute}`;
  const force = one.anyway ? ['--anyway'] : [];
  if (one.what === 'add') {
    const { naming } = kindOf(one.record);
    const flags = Object.entries(one.cells).flatMap(([name, value]) =>
      value === undefined || name === naming ? [] : [`--${name.replaceAll('_', '-')}=${value}`],
    );
    const name = naming === null ? [] : [one.cells[naming]!];
    const told = await answer(folder, ['add', one.record, ...name, ...flags, ...force, '--json'], {
      now,
    });
    if (told.code === 0) {
      const cells = Object.entries(one.cells).filter(([, value]) => value !== undefined) as [
        string,
        string,
      ][];
      const { entries } = JSON.parse(told.stdout) as { entries: string[] };
      rows.push({
        record: one.record,
        entries,
        cells: { by: 'Ane', ...Object.fromEntries(cells) },
        isVoid: false,
      });
    }
    return told;
  }
  const row = rows[one.pick % rows.length]!;
  const entry = row.entries[one.version % row.entries.length]!;
  const fields = ['on', 'note', ...Object.keys(kindOf(row.record).columns)];
  const changed = one.what === 'amend' ? fields[one.field % fields.length]! : null;
  const words =
    one.what === 'amend' ? ['amend', entry, `${changed}=${one.value}`] : ['void', entry];
  const told = await answer(folder, [...words, ...force, '--json'], { now });
  if (told.code === 0) {
    row.entries.push((JSON.parse(told.stdout) as { entry: string }).entry);
    row.isVoid = one.what === 'void';
    if (one.what === 'amend') row.cells = { ...row.cells, [changed!]: one.value, by: 'Ane' };
  }
  return told;
}

/** A cell as `list --json` gives it, in the words it was said with; nothing, nought and no are one. */
function asSaid(value: unknown): string {
  if (
    value === null ||
    value === false ||
    value === 0 ||
    value === '' ||
    value === '0' ||
    value === 'no'
  )
    return '';
  if (value === true) return 'yes';
  return /^[-+]?\d+(\.\d+)?$/.test(String(value)) ? String(Number(value)) : String(value);
}

test('accepted commands are in the folder as they were said, refused ones changed nothing, and check reads it', async () => {
  await fc.assert(
    fc.asyncProperty(fc.array(said, { minLength: 8, maxLength: 30 }), async (sequence) => {
      const folder = mkdtempSync(join(tmpdir(), 'traybook-'));
      try {
        cpSync(home, folder, { recursive: true });
        const rows: Row[] = structuredClone(started);
        for (const [index, one] of sequence.entries()) {
          const before = logs(folder);
          const told = await say(folder, rows, one, base.length + index);
          const after = logs(folder);
          const grown = Object.keys(after).filter((name) => after[name] !== before[name]);
          if (told.code === 0) {
            // One log has grown by one whole line, and what was there is there still.
            expect(grown).toHaveLength(1);
            const [was = '', is = ''] = [before[grown[0]!], after[grown[0]!]];
            expect(is.startsWith(was)).toBe(true);
            expect(is.slice(was.length).trimEnd().split('\n')).toHaveLength(was === '' ? 2 : 1);
            expect(is.endsWith('\n')).toBe(true);
          } else {
            expect([told.code, told.stdout, grown]).toEqual([2, '', []]);
            expect(told.stderr).not.toMatch(/fault of the program|undefined|NaN|\[object/);
            expect(told.stderr).not.toBe('');
          }
        }
        const checked = await answer(folder, ['check', '--json'], { now: '2027-03-24T20:00' });
        expect([0, 1]).toContain(checked.code);
        for (const { code } of (JSON.parse(checked.stdout) as { problems: { code: string }[] })
          .problems)
          expect(Object.hasOwn(faultCodes, code)).toBe(true);
        for (const record of recordNames) {
          const own = rows.filter((row) => row.record === record);
          if (own.length === 0) continue;
          const read = async (...more: string[]) =>
            (
              JSON.parse(
                (
                  await answer(folder, ['list', record, '--json', ...more], {
                    now: '2028-06-01T20:00',
                  })
                ).stdout,
              ) as {
                rows: Record<string, unknown>[];
              }
            ).rows;
          const columns = ['on', 'by', 'note', ...Object.keys(kindOf(record).columns)];
          const fold = (await read()).map((row) => [
            row.entry,
            ...columns.map((name) => asSaid(row[name])),
          ]);
          const model = own
            .filter((row) => !row.isVoid)
            .map((row) => [
              row.entries.at(-1),
              ...columns.map((name) => asSaid(row.cells[name] ?? '')),
            ]);
          const byEntry = (a: unknown[], b: unknown[]) => (String(a[0]) < String(b[0]) ? -1 : 1);
          expect(fold.sort(byEntry)).toEqual(model.sort(byEntry));
          expect((await read('--history')).map((row) => row.entry).sort()).toEqual(
            own.flatMap((row) => row.entries).sort(),
          );
        }
      } finally {
        rmSync(folder, { recursive: true, force: true });
      }
    }),
    { numRuns: Number(process.env.TRAYBOOK_RUNS ?? 20) },
  );
}, 600_000);
