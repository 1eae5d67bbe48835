import { DEGREES, decimalOrUnknown } from './column.ts';
import { record } from './record.ts';

export const weather = record({
  name: 'weather',
  file: 'weather.csv',
  summary: 'the lowest and highest outdoor temperature of a day',
  naming: null,
  columns: {
    low: decimalOrUnknown('lowest, in the unit of season.yaml', {
      least: -60,
      most: 130,
      unit: DEGREES,
    }),
    high: decimalOrUnknown('highest, in the unit of season.yaml', {
      least: -60,
      most: 130,
      unit: DEGREES,
    }),
  },
  example: 'weather --low 3.5 --high 12',
  together: (v) =>
    v.low !== null && v.high !== null && v.high < v.low
      ? [{ column: 'high', message: `a high of ${v.high} is below the low of ${v.low}` }]
      : v.low === null && v.high === null
        ? [{ column: 'low', message: 'expected a low or a high, found neither' }]
        : [],
});
