// Random damage to any file of a season: faults of the catalogue, never a crash or a made-up figure.
import { mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import * as fc from 'fast-check';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { conflictsOf } from '../../src/compute/checks/index.ts';
import { readSeasonFolder } from '../../src/io/season-folder.ts';
import { parseDay } from '../../src/text/day.ts';
import { faultCodes, stopsReading } from '../../src/text/fault.ts';
import { type Folder, newFolder } from '../support/season-folder.ts';

const FILES = ['season.yaml', 'log/eggs.csv', 'log/sets.csv', 'log/candlings.csv'] as const;
const NOW = {
  instant: Date.parse('2027-03-20T09:00:00Z'),
  day: parseDay('2027-03-20')!,
  time: '09:00',
};

let one: Folder;
let whole: Record<string, Buffer>;
beforeAll(() => {
  one = newFolder();
  for (const words of [
    ['eggs', 'north', '--kept', '9', '--note', 'fine, "cold"'],
    ['eggs', 'south', '--kept', '11'],
    ['set', 'A1', '--pen', 'north', '--eggs', '8', '--tray', '1'],
  ])
    expect(one.at('2027-03-01T09:00', 'add', ...words).code).toBe(0);
  expect(one.at('2027-03-08T09:00', 'add', 'candling', 'A1', '--clear', '2').code).toBe(0);
  whole = Object.fromEntries(FILES.map((name) => [name, readFileSync(join(one.path, name))]));
});
afterAll(() => one.remove());

const hostile = fc.constantFrom(
  '\u001b[2J',
  '\u202e',
  '\0',
  '=cmd()',
  '<b>',
  '__proto__',
  '../',
  '"',
  ',',
  '\n',
  '\r',
  ':',
  '{',
  '[',
  '&a',
  '*a',
  '- ',
  '\t',
  '\ufeff',
  '9'.repeat(400),
  'x'.repeat(70_000),
);
const damage = fc.record({
  file: fc.constantFrom(...FILES),
  at: fc.double({ min: 0, max: 1, noNaN: true }),
  cut: fc.nat({ max: 60 }),
  put: fc.oneof(
    hostile,
    fc.uint8Array({ maxLength: 4 }).map((bytes) => Buffer.from(bytes)),
    fc.constant(''),
  ),
});

test('damage is told in faults of the catalogue, and nothing is counted from what cannot be read', () => {
  const path = join(one.path, 'damaged');
  fc.assert(
    fc.property(fc.array(damage, { minLength: 1, maxLength: 3 }), (hits) => {
      rmSync(path, { recursive: true, force: true });
      mkdirSync(join(path, 'log'), { recursive: true });
      const files = { ...whole };
      for (const { file, at, cut, put } of hits) {
        const old = files[file]!;
        const start = Math.floor(at * old.length);
        files[file] = Buffer.concat([
          old.subarray(0, start),
          Buffer.from(put),
          old.subarray(start + cut),
        ]);
      }
      for (const name of FILES) writeFileSync(join(path, name), files[name]!);
      const read = readSeasonFolder(path);
      const all = [...read.faults, ...(read.season ? conflictsOf(read.season, NOW) : [])];
      for (const one of all) {
        expect(Object.hasOwn(faultCodes, one.code)).toBe(true);
        expect(one.at.line).toBeGreaterThan(0);
        expect(one.at.column).toBeGreaterThan(0);
        expect(one.message).not.toMatch(/undefined|NaN|\[object|[\u0000-\u0008\u001b\u202e]/);
      }
      if (all.some(stopsReading)) expect(read.season).toBeNull();
    }),
    { numRuns: Number(process.env.TRAYBOOK_RUNS ?? 200) },
  );
});
