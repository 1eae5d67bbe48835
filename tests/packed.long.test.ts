// What the package holds: the built program and what must go with it, and nothing else.
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { root } from './harness/console.ts';

const read = (name: string) => readFileSync(join(root, name), 'utf8');
const bill = JSON.parse(read('dist/bom.cdx.json'));
const licences = read('dist/THIRD-PARTY.txt');

test('the package holds the program, its figures, its licences, and nothing of the workshop', () => {
  const folder = mkdtempSync(join(tmpdir(), 'traybook-pack-'));
  const told = execFileSync(process.execPath, [join(root, '.ci/pack.mjs'), folder], {
    encoding: 'utf8',
    stdio: ['ignore', 'pipe', 'ignore'],
  });
  rmSync(folder, { recursive: true });
  const { files: paths } = JSON.parse(told) as { files: string[] };
  expect(paths).toEqual(
    expect.arrayContaining([
      ...['LICENSE', 'README.md', 'CHANGELOG.md', 'package.json', 'bin/traybook.js'],
      ...['dist/THIRD-PARTY.txt', 'dist/bom.cdx.json', 'dist/traybook.1', 'dist/highs.wasm'],
      ...['seeds/species.yaml', 'examples/finished/season.yaml', 'examples/now.json'],
    ]),
  );
  expect(paths.filter((path) => path.startsWith('bin/')).sort()).toEqual([
    'bin/package.json',
    'bin/traybook.js',
  ]);
  const elsewhere = paths.filter(
    (path) =>
      !/^(bin|dist|seeds|examples)\//.test(path) &&
      !['LICENSE', 'README.md', 'CHANGELOG.md', 'package.json'].includes(path),
  );
  expect(elsewhere).toEqual([]);
  expect(paths.filter((path) => /\.test\.|(?<!\.d)\.ts$|\.map$|node_modules/.test(path))).toEqual(
    [],
  );
});

test('every bundled package is in the bill, with its licence text beside it', () => {
  const components = bill.components as { name: string; version: string; licenses: object[] }[];
  expect(components.length).toBeGreaterThan(20);
  for (const { name, version, licenses } of components) {
    expect(licences).toContain(`${name} ${version} (`);
    expect(licenses).toHaveLength(1);
  }
  for (const name of ['highs', 'yaml', 'zod', 'commander', 'fflate'])
    expect(components.map((one) => one.name)).toContain(name);
});

test('the bill has the keys that CycloneDX 1.6 asks for (ECMA-424, 4 and 5)', () => {
  expect(bill).toMatchObject({ bomFormat: 'CycloneDX', specVersion: '1.6', version: 1 });
  expect(bill.serialNumber).toMatch(
    /^urn:uuid:[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$/,
  );
  const references = new Set<string>();
  for (const one of bill.components) {
    expect(one.type).toBe('library');
    // The form of a package URL of npm, as its specification writes it.
    expect(one.purl).toMatch(/^pkg:npm\/(%40[\w.-]+\/)?[\w.-]+@\d/);
    expect(references.has(one['bom-ref'])).toBe(false);
    references.add(one['bom-ref']);
    for (const { alg, content } of one.hashes) {
      expect(alg).toBe('SHA-512');
      expect(content).toMatch(/^[0-9a-f]{128}$/);
    }
  }
});

test("the text of Boost's licence is the one that packages carry which have it", () => {
  const carried = read('node_modules/@stdlib/math-base-special-erfinv/LICENSE').replace(
    /\s+/g,
    ' ',
  );
  expect(carried).toContain(read('.ci/licences/BSL-1.0.txt').trim().replace(/\s+/g, ' '));
});
