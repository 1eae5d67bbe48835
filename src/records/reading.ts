import { DEGREES, decimalOrUnknown, later, name, oneOfOrNone, wholeOrUnknown } from './column.ts';
import { record, type Slip } from './record.ts';

export const reading = record({
  name: 'reading',
  file: 'readings.csv',
  summary: 'temperature and humidity of a machine, or something that happened to it',
  timed: true,
  naming: 'machine',
  columns: {
    machine: name('setter or hatcher; `all` for each with eggs in it', 'machine'),
    dry: decimalOrUnknown('dry-bulb temperature, in the unit of season.yaml', {
      least: -40,
      most: 130,
      unit: DEGREES,
    }),
    wet: decimalOrUnknown('wet-bulb temperature, in the unit of season.yaml', {
      least: -40,
      most: 130,
      unit: DEGREES,
    }),
    // Below zero only as the correction of a calibration.
    rh: decimalOrUnknown('relative humidity', { least: -100, most: 100, unit: '%' }),
    event: oneOfOrNone('what happened', [
      'power-off',
      'door',
      'turning-stopped',
      'calibration',
    ] as const),
    minutes: wholeOrUnknown('how long it lasted', 0, { unit: 'min' }),
    room: later(
      decimalOrUnknown('room temperature while the power was off, in the unit of season.yaml', {
        least: -40,
        most: 130,
        unit: DEGREES,
      }),
    ),
  },
  example: 'reading cabinet --dry 37.6 --rh 54',
  together: (v) => {
    const slips: Slip[] = [];
    if (v.event === 'calibration') {
      // What is to be added to the readings from then on: any of the three by itself, up or down.
      if (v.dry === null && v.wet === null && v.rh === null)
        slips.push({
          column: 'dry',
          message: 'expected what to add to the readings of dry, wet or rh, found none',
          hint: 'a thermometer that shows half a degree too much: --event calibration --dry -0.5',
        });
      return slips;
    }
    if (v.room !== null && v.event !== 'power-off')
      slips.push({
        column: 'room',
        message: 'the temperature of the room is asked of a power cut alone',
        hint: 'for example: --event power-off --minutes 300 --room 12',
      });
    if (v.rh !== null && v.rh < 0)
      slips.push({
        column: 'rh',
        message: `expected a humidity from 0 to 100, found ${v.rh}`,
        hint: 'only a calibration may be below zero: --event calibration --rh CORRECTION',
      });
    if (v.wet !== null && v.dry === null)
      slips.push({ column: 'wet', message: 'a wet bulb means nothing without its dry bulb' });
    else if (v.wet !== null && v.dry !== null && v.wet > v.dry)
      slips.push({
        column: 'wet',
        message: `a wet bulb of ${v.wet} cannot be above the dry bulb of ${v.dry}`,
        hint: 'were the two exchanged?',
      });
    if (v.dry === null && v.rh === null && v.event === null)
      slips.push({
        column: 'dry',
        message: 'expected a temperature, a humidity or an event, found none',
      });
    return slips;
  },
});
