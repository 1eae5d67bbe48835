import { mkdirSync, mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { hill, nowAt, seasonOf } from '../../tests/support/season.ts';
import { keepPrivately } from '../io/private-folder.ts';
import { SEASON_FILE } from '../io/season-folder.ts';
import { keepForecast, keptForecast } from './kept-forecast.ts';
import type { OpenedSeason } from './open.ts';

const yaml = `${hill}goals:\n  - {line: sussex, want: chicks, count: 9, by: 2027-06-01, confidence: 0.8}\n`;

test('a past morning that is looked at again leaves the forecast of a later one', () => {
  const folder = mkdtempSync(join(tmpdir(), 'traybook-'));
  const at = (day: string): OpenedSeason =>
    ({
      folder,
      season: seasonOf(yaml),
      now: nowAt(day),
      read: { sources: new Map([[SEASON_FILE, { path: SEASON_FILE, text: yaml }]]) },
    }) as unknown as OpenedSeason;
  const kept = (day: string) => keptForecast(at(day))?.on ?? null;
  const forecast = (day: string, clock: string) =>
    keepForecast({ instant: nowAt(clock).instant }, at(day), { claims: [] });
  try {
    expect(kept('2027-04-20')).toBeNull();
    forecast('2027-04-20', '2027-04-20');
    forecast('2027-04-19', '2027-04-20');
    expect(kept('2027-04-20')).toBe('2027-04-20');
    expect(kept('2027-04-19')).toBeNull();
    // A morning still to come is a question, not a forecast to wait for.
    forecast('2027-05-20', '2027-04-20');
    forecast('2027-04-19', '2027-04-20');
    expect(kept('2027-04-20')).toBe('2027-04-19');
  } finally {
    rmSync(folder, { recursive: true });
  }
});

test('what cannot be kept leaves nothing behind, and nobody is told', () => {
  const folder = mkdtempSync(join(tmpdir(), 'traybook-'));
  try {
    // A folder where the file should be: the new text is made, and cannot take its place.
    mkdirSync(join(folder, '.traybook/forecast.json/x'), { recursive: true });
    expect(keepPrivately(folder, 'forecast.json', '{}')).toBe(false);
    expect(readdirSync(join(folder, '.traybook')).sort()).toEqual(['.gitignore', 'forecast.json']);
  } finally {
    rmSync(folder, { recursive: true });
  }
});
