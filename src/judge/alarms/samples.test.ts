// What the instruments said, in °C and percent: put right by calibrations, and nothing of what cannot be.
import { expect, test } from 'vitest';
import { hill, seasonOf, type Written } from '../../../tests/support/season.ts';
import { samplesOf } from './samples.ts';

type Cells = Readonly<Record<string, string | number>>;
const fahrenheit = `${hill}units: {temperature: F}\n`;
/** The last reading of a machine: temperature, humidity, how far the wet bulb is below the dry one. */
const last = (
  rows: readonly (readonly [on: string, cells: Cells])[],
  file = hill,
  machine = 'cabinet',
) => {
  const written = rows.map(([on, cells]): Written => ['reading', on, { machine, ...cells }]);
  const { temperature, humidity, depression } = samplesOf(seasonOf(file, written), machine).at(-1)!;
  const round = (value: number | null) => (value === null ? null : Math.round(value * 100) / 100);
  return [round(temperature), round(humidity), round(depression)];
};
const calibration = (cells: Cells, on = '2027-03-04T08:00'): readonly [string, Cells] => [
  on,
  { event: 'calibration', ...cells },
];
const now = (cells: Cells): readonly [string, Cells] => ['2027-03-05T07:00', cells];
const shown: readonly [string, Cells] = ['2027-03-04T07:00', { dry: 37, wet: 29 }];

test.each<[string, readonly (readonly [string, Cells])[], readonly (number | null)[], string?]>([
  ['as written', [now({ dry: 37.5, rh: 55 })], [37.5, 55, null]],
  ['in °F', [now({ dry: 99.5, rh: 55 })], [37.5, 55, null], fahrenheit],
  ['a temperature alone', [now({ dry: 37.5 })], [37.5, null, null]],
  ['a humidity alone', [now({ rh: 55 })], [null, 55, null]],
  // The wet bulb goes before a hygrometer. At 37.5 and 29.5 °C about 56 %: by hand, with Magnus' formula and
  // the constant 0.000662 of an aspirated psychrometer (WMO Guide No. 8, from memory), 55.6 % at sea level.
  ['by the wet bulb', [now({ dry: 37.5, wet: 29.5, rh: 20 })], [37.5, 55.87, 8]],
  [
    'a wet bulb that a calibration lifts above the dry one tells no humidity',
    [calibration({ wet: 2 }), now({ dry: 37.5, wet: 37 })],
    [37.5, null, -1.5],
  ],
  [
    'what is to be added',
    [calibration({ dry: -0.5, rh: 4 }), now({ dry: 38, rh: 55 })],
    [37.5, 59, null],
  ],
  [
    'what is to be added, in °F',
    [calibration({ dry: -0.9 }), now({ dry: 100.4 })],
    [37.5, null, null],
    fahrenheit,
  ],
  [
    'to the wet bulb alone',
    [calibration({ wet: 0.5 }), now({ dry: 37.5, wet: 29 })],
    [37.5, 55.87, 8],
  ],
  ['ten degrees are added', [calibration({ dry: 10 }), now({ dry: 30 })], [40, null, null]],
  [
    'eighteen degrees Fahrenheit are added',
    [calibration({ dry: 18 }), now({ dry: 86 })],
    [40, null, null],
    fahrenheit,
  ],
  [
    'a correction that is more is the true temperature: nothing beside it',
    [calibration({ dry: 10.1 }), now({ dry: 30 })],
    [30, null, null],
  ],
  [
    'the true temperature beside the reading of that day',
    [shown, calibration({ dry: 37.4 }), now({ dry: 37 })],
    [37.4, null, null],
  ],
  [
    'and of the wet bulb',
    [shown, calibration({ wet: 29.5 }), now({ dry: 37.5, wet: 29 })],
    [37.5, 55.87, 8],
  ],
  [
    'of a reading that has no wet bulb',
    [['2027-03-04T07:00', { dry: 37 }], calibration({ wet: 29.5 }), now({ dry: 37.5, wet: 29.5 })],
    [37.5, 55.87, 8],
  ],
  [
    'beside a reading of the day before',
    [shown, calibration({ dry: 37.4 }, '2027-03-05T06:00'), now({ dry: 37 })],
    [37, null, null],
  ],
  [
    'the later calibration alone',
    [calibration({ dry: 1 }), calibration({ dry: 0.5 }, '2027-03-04T09:00'), now({ dry: 37 })],
    [37.5, null, null],
  ],
  [
    'none from before it',
    [
      now({ dry: 37 }),
      calibration({ dry: 1 }, '2027-03-06T08:00'),
      ['2027-03-04T08:00', { dry: 37 }],
    ],
    [null, null, null],
  ],
  ['in a power cut', [now({ dry: 30, event: 'power-off' })], [null, null, null]],
  ['with the door open', [now({ dry: 30, event: 'door' })], [null, null, null]],
  ['a temperature that no machine gives', [now({ dry: 99.5, rh: 55 })], [null, null, null]],
  ['a humidity that no setter gives', [now({ dry: 37.5, rh: 86 })], [37.5, null, null]],
])('%s', (_, rows, expected, file = hill) => {
  expect(last(rows, file)).toEqual(expected);
});

test('a hatcher may be damp, and so may a setter in which eggs hatch', () => {
  expect(last([now({ dry: 37.5, rh: 86 })], hill, 'lower')).toEqual([37.5, 86, null]);
  expect(last([now({ dry: 37.5, rh: 86 })], hill.replace(/hatchers:\n.*\n/, ''))).toEqual([
    37.5,
    86,
    null,
  ]);
});

test('readings in order of time, of one machine; a calibration that was not applied says so', () => {
  const rows: Written[] = [
    ['reading', '2027-03-06', { machine: 'cabinet', event: 'calibration', dry: 37.4 }],
    ['reading', '2027-03-05T09:00', { machine: 'cabinet', dry: 37.2 }],
    ['reading', '2027-03-05T08:00', { machine: 'lower', dry: 36 }],
    ['reading', '2027-03-05T07:00', { machine: 'cabinet', event: 'power-off', minutes: 30 }],
  ];
  const samples = samplesOf(seasonOf(hill, rows), 'cabinet');
  expect(
    samples.map(({ at, event, minutes, temperature }) => [at, event, minutes, temperature]),
  ).toEqual([
    ['2027-03-05T07:00', 'power-off', 30, null],
    ['2027-03-05T09:00', null, null, 37.2],
    ['2027-03-06T00:00', 'calibration', null, null],
  ]);
  expect(samples.map(({ query }) => query)).toEqual([
    null,
    null,
    '2027-03-06: a calibration of 37.4 is no correction, and no reading of that day stands beside it; not applied',
  ]);
});
