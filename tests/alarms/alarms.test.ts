// Alarms as data: rows, moments, and exactly which alarms stand then, none included. One file a story.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import { instantOf } from '../../src/facts/local-time.ts';
import type { Alarm } from '../../src/judge/alarms/alarm.ts';
import { alarmRules, alarmsAt } from '../../src/judge/alarms/alarms.ts';
import { alarmsPage } from '../../src/tables/guide-alarms.ts';
import { day, hill, seasonOf, type Written } from '../support/season.ts';

type Story = {
  about: string;
  /** Laid over the common season file: `lines:` and so on as text; absent: the common one. */
  season?: string;
  rows: Written[];
  moments: { at: string; rows?: Written[]; alarms: Partial<Alarm>[] }[];
};

const stories = readdirSync(import.meta.dirname)
  .filter((name) => name.endsWith('.yaml'))
  .map((name) => ({
    name,
    story: parse(readFileSync(join(import.meta.dirname, name), 'utf8')) as Story,
  }));

describe.each(stories)('$name', ({ story }) => {
  const text = story.season ?? hill;
  test.each(story.moments.map((moment, index) => ({ ...moment, index })))(
    `${story.about}: $at`,
    ({ at, index, alarms }) => {
      const added = story.moments.slice(0, index + 1).flatMap((one) => one.rows ?? []);
      const rows = [...story.rows, ...added].filter(
        ([, on]) => on.slice(0, 10) < at.slice(0, 10) || on <= at,
      );
      const season = seasonOf(text, rows);
      const now = {
        instant: instantOf(at, season.zone),
        day: day(at.slice(0, 10)),
        time: at.slice(11),
      };
      const found = alarmsAt(season, now);
      expect(
        found.map((one) => `${one.code} ${one.place}`),
        JSON.stringify(found, null, 1),
      ).toEqual(alarms.map((one) => `${one.code} ${one.place}`));
      for (const [which, one] of alarms.entries()) expect(found[which]).toMatchObject(one);
      for (const one of found) {
        expect(one.title.length).toBeLessThanOrEqual(120);
        expect(`${one.title} ${one.why} ${one.value}`).not.toMatch(/undefined|NaN|null/);
      }
    },
  );
});

test('every code has a story, and a story in which it does not stand', () => {
  const told = new Set(
    stories.flatMap(({ story }) => story.moments.flatMap((one) => one.alarms.map((a) => a.code))),
  );
  expect([...told].sort()).toEqual([...new Set(alarmRules.map((rule) => rule.code))].sort());
  expect(
    stories.filter(({ story }) => story.moments.some((one) => one.alarms.length === 0)).length,
  ).toBeGreaterThan(5);
});

test('every code has its place in the guide: what to do stands first, then what it means and settles it', () => {
  const parts = alarmsPage().split(/^## /m).slice(1);
  expect(parts.map((part) => part.split('\n', 1)[0])).toEqual(alarmRules.map((rule) => rule.code));
  for (const part of parts) {
    const [name, , first] = part.split('\n');
    // Losses tell of each cause by itself.
    if (name !== 'losses') expect(first, name).toMatch(/^- /);
    expect(part).toMatch(/Told when .+\. It means: .+\. Settled by: .+\.\n/);
    expect(part).not.toMatch(/undefined|\[object/);
  }
});
