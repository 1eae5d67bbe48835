// Each caution after the records of its row in seeds/cautions.yaml, and after no other.
import { describe, expect, test } from 'vitest';
import { cautionLines, cautions, cautionsAfter, cautionsOfSheet } from './cautions.ts';

test.each<[string, Record<string, unknown>, string[]]>([
  ['treatment', {}, ['withdrawal']],
  ['leaving', { way: 'table' }, ['slaughter']],
  ['leaving', { way: 'culled' }, ['slaughter']],
  ['leaving', { way: 'sold' }, ['sale']],
  ['leaving', { way: 'given' }, ['sale']],
  ['leaving', { way: 'layer' }, []],
  ['leaving', { way: null }, []],
  ['eggs-out', { way: 'sold' }, ['sale']],
  ['eggs-out', { way: 'sent' }, ['sale']],
  ['eggs-out', { way: 'eaten' }, []],
  ['group', {}, ['hygiene']],
  ['breakout', {}, ['breakout']],
  ['pen-change', { change: 'added' }, ['quarantine']],
  ['pen-change', { change: 'replaced' }, ['quarantine']],
  ['pen-change', { change: 'died' }, []],
  ['hatch', { final: true, weak: 0 }, ['disinfectant']],
  ['hatch', { final: false, weak: 1 }, ['carbon-dioxide']],
  ['hatch', { final: true, weak: 1 }, ['disinfectant', 'carbon-dioxide']],
  ['hatch', { final: null, weak: null }, []],
  ['hatch', { weak: '' }, []],
  ['hatch', {}, []],
  ['reading', { event: 'power-off' }, ['carbon-monoxide']],
  ['reading', { event: null }, []],
  ['loss', { cause: 'culled' }, ['carbon-dioxide']],
  ['loss', { cause: 'sick' }, []],
  ['transfer', {}, ['damp-wiring']],
  ['eggs', { kept: 4 }, []],
])('after %s %j: %j', (record, values, keys) => {
  expect(cautionsAfter(record, values)).toEqual(keys);
});

test('the rows above are all that the table asks for', () => {
  const asked = Object.values(cautions).flatMap(({ after = [] }) =>
    after.flatMap(({ record, column, is }) =>
      (is ?? [column ?? '']).map((word) => `${record} ${word}`),
    ),
  );
  expect(asked).toHaveLength(16);
});

test('on the sheets that they belong to, each once, in the order asked', () => {
  expect(cautionsOfSheet('hatch')).toEqual(['hygiene', 'disinfectant']);
  expect(cautionsOfSheet('breakout')).toEqual(['breakout']);
  expect(cautionsOfSheet('lay')).toEqual([]);
  const { short } = cautions['carbon-monoxide']!;
  expect(cautionLines(['sale', 'carbon-monoxide', 'sale'])).toEqual([cautions.sale!.short, short]);
});

describe('telephone lines', () => {
  test('show in their own country, and nowhere else', () => {
    const said = (timezone?: string) => cautionLines(['disease'], timezone).join(' ');
    expect(said('America/Chicago')).toContain('1-866-536-7593');
    expect(said('Europe/London')).toContain('03000 200 301');
    expect(said('Europe/London')).not.toContain('1-866');
    for (const zone of [undefined, 'Europe/Berlin', 'Australia/Sydney'])
      expect(said(zone)).not.toMatch(/\d{3}/);
  });

  test('every telephone line has a source and a zone that exists', () => {
    for (const [key, { phones = [], short, whole }] of Object.entries(cautions)) {
      expect(`${short} ${whole}`, key).not.toMatch(/\d{3}[- ]\d{3}/);
      for (const { zones, source } of phones) {
        expect(source.length).toBeGreaterThan(5);
        for (const timeZone of zones)
          expect(() => new Intl.DateTimeFormat('en', { timeZone })).not.toThrow();
      }
    }
  });
});
