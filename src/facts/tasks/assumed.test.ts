// What keeps birds alive speaks without settings, and says then what it takes for granted.
import { describe, expect, test } from 'vitest';
import { hill, nowAt, seasonOf, type Written } from '../../../tests/support/season.ts';
import { alarmsAt } from '../../judge/alarms/alarms.ts';
import { tasksOf } from './tasks.ts';

const hatched = (on: string): Written[] => [
  ['set', '2027-03-06', { set: 'A1', pen: 'orchard', setter: 'cabinet', tray: 1, eggs: 30 }],
  ['transfer', '2027-03-24', { set: 'A1', hatcher: 'lower', moved: 30 }],
  ['hatch', on, { set: 'A1', hatched: 28, unpipped: 2, final: 'yes' }],
];
const inBarn: Written = [
  'group',
  '2027-03-27',
  { group: 'G1', set: 'A1', brooder: 'barn', chicks: 28 },
];
const roof = (words: string): string => `${hill}brooders: {barn: {area: 3${words}}}\n`;
const LAMPS = ', heat: {kind: lamp, count: 2}';

const whyOf = (yaml: string, rows: Written[], now: string, kind: string): string =>
  tasksOf(seasonOf(yaml, rows), nowAt(now), 1).find((one) => one.kind === kind)!.why;
const alarmOf = (yaml: string, rows: Written[], now: string, code: string): string =>
  alarmsAt(seasonOf(yaml, rows), nowAt(now)).find((one) => one.code === code)!.why;

describe('hours that chicks wait', () => {
  const HOUR = 'no hour is written: the whole day is counted';
  const ROOF = 'no brooders are written: taken to be unfed';
  test.each([
    ['with an hour and a brooder', '2027-03-27T08:00', LAMPS, []],
    ['without an hour', '2027-03-27', LAMPS, [HOUR]],
    ['without a brooder', '2027-03-27T08:00', null, [ROOF]],
    ['without either', '2027-03-27', null, [HOUR, ROOF]],
  ] as const)('%s', (_, on, heat, assumed) => {
    const yaml = heat === null ? hill : roof(heat);
    for (const text of [
      whyOf(yaml, hatched(on), '2027-03-30', 'brood'),
      alarmOf(yaml, hatched(on), '2027-03-30', 'chicks-waiting'),
    ])
      expect([HOUR, ROOF].filter((one) => text.includes(one))).toEqual(assumed);
  });
});

test.each([
  ['warmth', '2027-03-29'],
  ['heat', '2027-04-03'],
] as const)('heat where the file names none (%s)', (kind, now) => {
  const rows = [...hatched('2027-03-27'), inBarn];
  const assumed = /; no heat is written for it in season\.yaml: some is assumed$/;
  expect(whyOf(roof(''), rows, now, kind)).toMatch(assumed);
  expect(whyOf(roof(LAMPS), rows, now, kind)).not.toMatch(assumed);
});

test('moving out where no nights are known', () => {
  const rows = [...hatched('2027-03-27'), inBarn];
  const months = ['mar', 'apr', 'may', 'jun', 'jul'];
  const warm = `normals: {${months.map((one) => `${one}: {low: 16, high: 24}`).join(', ')}}\n`;
  const moved: Written[] = [...rows, ['move', '2027-04-05', { group: 'G1', to: 'out', birds: 28 }]];
  expect(whyOf(roof(LAMPS), rows, '2027-05-20', 'move-out')).toMatch(
    /^by age alone: no nights are known; .*; give normals: or weather rows$/,
  );
  expect(whyOf(roof(LAMPS) + warm, rows, '2027-05-20', 'move-out')).toMatch(
    /^nights of \d+ °C suit them/,
  );
  expect(alarmOf(roof(LAMPS), moved, '2027-04-06', 'out-too-early')).toMatch(
    /^by age alone, as no nights are known: /,
  );
  expect(alarmOf(roof(LAMPS) + warm, moved, '2027-04-06', 'out-too-early')).toMatch(
    /^not feathered yet: /,
  );
});

test('a power cut of which nobody wrote how cold the room was', () => {
  const cut = (more: Record<string, number>): Written[] => [
    ...hatched('2027-03-27').slice(0, 1),
    [
      'reading',
      '2027-03-12T03:00',
      { machine: 'cabinet', event: 'power-off', minutes: 400, ...more },
    ],
  ];
  const why = (more: Record<string, number>) => alarmOf(hill, cut(more), '2027-03-12', 'power-cut');
  expect(why({})).toMatch(/^reckoned for a room of \d+ °C, as none is written, it fell to /);
  expect(why({ room: 8 })).toMatch(/^reckoned for a room of 8 °C, it fell to /);
  expect(why({ room: 8, dry: 25 })).toMatch(/^it fell to 25 °C: /);
});
