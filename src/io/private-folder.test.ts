import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { privateFolder, privatePath } from './private-folder.ts';
import { WriteRefused } from './refusal.ts';

let season: string;
beforeEach(() => {
  season = mkdtempSync(join(tmpdir(), 'traybook-'));
});
afterEach(() => rmSync(season, { recursive: true, force: true }));

test('makes one folder that git leaves out, and keeps what is in it', () => {
  const folder = privateFolder(season);
  writeFileSync(privatePath(season, 'ledger.json'), '{}');
  expect(privateFolder(season)).toBe(folder);
  expect(readdirSync(season)).toEqual(['.traybook']);
  expect(readdirSync(folder).sort()).toEqual(['.gitignore', 'ledger.json']);
  expect(readFileSync(join(folder, '.gitignore'), 'utf8')).toBe('*\n');
});

test('refuses where a file is in the way', () => {
  writeFileSync(join(season, '.traybook'), '');
  expect(() => privateFolder(season)).toThrow(WriteRefused);
});
