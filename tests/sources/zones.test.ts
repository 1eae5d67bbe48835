// Wall clocks against two references: luxon, a kept library, and the platform's own Intl.
import { execFileSync } from 'node:child_process';
import { join } from 'node:path';
import fc from 'fast-check';
import { DateTime } from 'luxon';
import { expect, test } from 'vitest';
import {
  addElapsedHours,
  elapsedHours,
  instantOf,
  localMinute,
  withOffset,
} from '../../src/facts/local-time.ts';
import { hostOffsets } from '../../src/io/host-offsets.ts';
import { isZone } from '../../src/text/zone.ts';
import { root } from '../harness/console.ts';

const zones = [
  'Europe/London',
  'America/St_Johns',
  'Australia/Lord_Howe',
  'America/Santiago',
  'Asia/Kolkata',
  'Pacific/Chatham',
  'UTC',
];
const minute = fc
  .integer({ min: Date.UTC(2000, 0) / 60_000, max: Date.UTC(2040, 0) / 60_000 })
  .map((at) => new Date(at * 60_000).toISOString().slice(0, 16));

/** Minutes that come twice: luxon takes either, by the offset of the day it runs on. */
const isTwice = (local: string, zone: string): boolean =>
  DateTime.fromISO(local, { zone }).getPossibleOffsets().length > 1;

test('the wall clock runs as in luxon', () => {
  fc.assert(
    fc.property(
      fc.constantFrom(...zones),
      minute,
      minute,
      fc.nat(2000),
      (zone, from, to, hours) => {
        fc.pre(!isTwice(from, zone) && !isTwice(to, zone));
        const [start, end] = [from, to].map((local) => DateTime.fromISO(local, { zone }));
        expect(instantOf(from, zone)).toBe(start!.toMillis());
        expect(localMinute(start!.toMillis(), zone)).toBe(start!.toFormat("yyyy-MM-dd'T'HH:mm"));
        expect(elapsedHours(from, to, zone)).toBe(end!.diff(start!, 'hours').hours);
        expect(addElapsedHours(from, hours, zone)).toBe(
          start!.plus({ hours }).toFormat("yyyy-MM-dd'T'HH:mm"),
        );
        const instant = start!.toMillis() + hours;
        expect(withOffset(instant, zone)).toBe(
          DateTime.fromMillis(instant, { zone }).toISO({ suppressMilliseconds: true }),
        );
      },
    ),
    { numRuns: 400 },
  );
});

test('consistency: a minute that comes twice is the first, one that is skipped is read as if the clock ran on', () => {
  expect(instantOf('2026-10-25T01:30', 'Europe/London')).toBe(Date.parse('2026-10-25T00:30Z'));
  expect(instantOf('2026-11-01T01:30', 'America/New_York')).toBe(Date.parse('2026-11-01T05:30Z'));
  expect(instantOf('2026-03-29T01:30', 'Europe/London')).toBe(Date.parse('2026-03-29T01:30Z'));
  expect(localMinute(instantOf('2026-03-29T01:30', 'Europe/London'), 'Europe/London')).toBe(
    '2026-03-29T02:30',
  );
});

test('a zone is one that Intl knows', () => {
  expect(zones.every(isZone)).toBe(true);
  for (const name of ['', 'Europe/Londn', 'local', 'Mars/Crater']) expect(isZone(name)).toBe(false);
  expect(() => instantOf('2026-03-29T01:30', 'Mars/Crater')).toThrow(RangeError);
});

test('plain dates under a zone show the offsets of Intl, and of no zone that is not surely known', () => {
  const told = execFileSync(
    process.execPath,
    [join(root, '.ci/run-source.mjs'), 'tests/support/compare-zones.ts', '6'],
    { encoding: 'utf8', env: { ...process.env, TZ: 'America/New_York' } },
  );
  const { answered, differences, unknown, isRestored } = JSON.parse(told);
  expect(answered).toBeGreaterThan(20);
  expect(differences).toEqual([]);
  expect(unknown).toEqual([]);
  expect(isRestored).toBe(true);
});

test('consistency: where a zone cannot be set, as in this worker thread, nothing is answered', () => {
  expect(hostOffsets('Europe/London')).toBeNull();
});
