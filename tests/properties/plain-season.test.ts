// The short way of reading a season file against the whole one: whatever the short way takes, the
// whole one takes too, with the same value at the same places.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { readPlainSeasonFile } from '../../src/season/read-plain-file.ts';
import { readPlainYaml } from '../../src/text/plain-yaml.ts';
import { readYaml } from '../../src/text/yaml.ts';
import type { YamlPath } from '../../src/text/yaml-limits.ts';
import { isLongRun } from '../support/long.ts';
import { hill } from '../support/season.ts';

const example = (name: string) =>
  readFileSync(join(import.meta.dirname, '../../examples', name, 'season.yaml'), 'utf8');

const byLines = `# Written by lines.
format: traybook/1
season: 2027

place:
  name: "Cold Ash"
  timezone: Europe/London   # no summer time yet
previous: [../2026, '../2025']
lines:
  sussex:
    species: chicken
pens:
  orchard:
    line: sussex
    hens: 9
    males: 1
    joined: 2027-01-09
    sires:
      - Bran
      - Old Tom
goals:
- line: sussex
  want: pullets
  count: 20
  by: 2027-11-01
  confidence: 0.85
setters:
  cabinet: {
    trays: 3,
    tray_holds: {chicken: 42}   # large eggs: 40
    }
rates:
  sussex: {fertile: 0.9, hatched: {mean: 0.8, strength: 60}}
normals:
  mar: {low: -1.5, high: 8, low_10: -4}
plan:
  - set: A1
    on: 2027-03-06
    trays: [1, 2]
    shares: {orchard: 30}
`;
const files = [example('finished'), example('midseason'), hill, byLines];

function pathsOf(value: unknown): YamlPath[] {
  if (typeof value !== 'object' || value === null) return [[]];
  const steps = Array.isArray(value) ? value.keys() : Object.keys(value);
  const inner = [...steps].flatMap((step) =>
    pathsOf((value as Record<string | number, unknown>)[step]).map((path) => [step, ...path]),
  );
  return [[], ['none of it'], ...inner];
}

/** True if the short way took the text; then the whole one must agree in all. */
function isTaken(text: string): boolean {
  const source = { path: 'season.yaml', text };
  const plain = readPlainYaml(source);
  if (plain === null) return false;
  const whole = readYaml(source);
  expect(whole.faults).toEqual([]);
  expect(JSON.stringify(plain.value)).toBe(JSON.stringify(whole.value));
  for (const path of pathsOf(plain.value)) expect(plain.placeOf(path)).toEqual(whole.placeOf(path));
  return true;
}

test('season files as keepers write them are read the short way, places and all', () => {
  for (const text of files) {
    expect(isTaken(text)).toBe(true);
    const source = { path: 'season.yaml', text };
    expect(readPlainSeasonFile(source)).not.toBeNull();
  }
});

test('a season file with any few characters changed is read as the whole of YAML reads it', () => {
  const character = fc.constantFrom(
    ...'{}[]:,#-\n\n  "\'.0a1~&*!|>?@%\t=\u00e9',
    ': ',
    '\n  ',
    ' #',
  );
  const change = fc.record({
    at: fc.nat({ max: 5000 }),
    out: fc.nat({ max: 3 }),
    into: fc.oneof(character, fc.constant('')),
  });
  fc.assert(
    fc.property(
      fc.constantFrom(...files),
      fc.array(change, { minLength: 1, maxLength: 3 }),
      (file, changes) => {
        let text = file;
        for (const { at, out, into } of changes) {
          const place = at % text.length;
          text = text.slice(0, place) + into + text.slice(place + out);
        }
        isTaken(text);
      },
    ),
    { numRuns: isLongRun ? 500 : 100 },
  );
});

test('a dash that touches what follows is no part of a list', () => {
  const text = files[0]!.replace('\n  - {', '\n  -{');
  expect(text).not.toBe(files[0]);
  expect(isTaken(text)).toBe(false);
});

test('any short text of the signs of YAML is read as the whole of YAML reads it', () => {
  const piece = fc.constantFrom(
    ...['a', 'b c', 'no', 'Null', 'true', '1', '-2.50', '007', '2027-03-06', '"q"', "'q'", '../x'],
    ...[
      ': ',
      ':',
      '\n',
      '\n',
      '\n  ',
      '\n    ',
      '- ',
      '{',
      '}',
      '[',
      ']',
      ', ',
      ' # x',
      ' ',
      '0x1',
    ],
  );
  let taken = 0;
  fc.assert(
    fc.property(fc.array(piece, { maxLength: 14 }), (pieces) => {
      if (isTaken(`${pieces.join('')}\n`)) taken += 1;
    }),
    { numRuns: isLongRun ? 4000 : 1000 },
  );
  expect(taken).toBeGreaterThan(0);
});
