import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { keepPrivately, privateFolder, readPrivate } from './private-folder.ts';
import { WriteRefused } from './refusal.ts';

let season: string;
beforeEach(() => {
  season = mkdtempSync(join(tmpdir(), 'traybook-'));
});
afterEach(() => rmSync(season, { recursive: true, force: true }));

test('makes one folder that git leaves out, and keeps what is in it', () => {
  const folder = privateFolder(season);
  expect(keepPrivately(season, 'ledger.json', '{"kept":1}')).toBe(true);
  expect(privateFolder(season)).toBe(folder);
  expect(readdirSync(season)).toEqual(['.traybook']);
  expect(readdirSync(folder).sort()).toEqual(['.gitignore', 'ledger.json']);
  expect(readFileSync(join(folder, '.gitignore'), 'utf8')).toBe('*\n');
  expect(readPrivate(season, 'ledger.json')).toEqual({ kept: 1 });
  writeFileSync(join(folder, 'ledger.json'), '{"kept":');
  expect(readPrivate(season, 'ledger.json')).toEqual({});
});

test('refuses where a file is in the way; what is only a help goes without', () => {
  writeFileSync(join(season, '.traybook'), '');
  expect(() => privateFolder(season)).toThrow(WriteRefused);
  expect(keepPrivately(season, 'ledger.json', '{}')).toBe(false);
  expect(readPrivate(season, 'ledger.json')).toEqual({});
});
