import type { Fault } from '../../text/fault.ts';
import { expectedFound, fault } from '../../text/fault.ts';
import { readingSlip } from '../readings.ts';
import type { Check } from './check.ts';

/** `impossible-reading`: a temperature or humidity that no machine gives; it enters no figure. */
export const impossibleReading: Check = ({ season }) =>
  season.rows.reading.flatMap((row): Fault[] => {
    const { machine } = row.values;
    const isSetter = season.setters.has(machine) && season.hatchers.size > 0;
    const slip = readingSlip(row.values, season.values.units.temperature, isSetter);
    return slip === null
      ? []
      : [
          fault(
            'impossible-reading',
            row.at,
            `${machine}: ${expectedFound(slip.column, slip.expected, String(slip.found))}`,
            { about: row.entry, hint: slip.hint ?? 'read the machine again' },
          ),
        ];
  });
