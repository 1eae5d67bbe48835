import { expectedFound, type Fault, fault } from '../../text/fault.ts';
import { gathered } from '../../text/lists.ts';
import { readingSlip } from '../readings.ts';
import type { Checked } from './check.ts';

/** `impossible-reading`: a temperature or humidity that no machine gives; it enters no figure. */
export const impossibleReading = gathered(function* ({ season }: Checked): Generator<Fault> {
  for (const row of season.rows.reading) {
    const { machine } = row.values;
    const isSetter = season.setters.has(machine) && season.hatchers.size > 0;
    const slip = readingSlip(row.values, season.values.units.temperature, isSetter);
    if (slip === null) continue;
    const words = expectedFound(slip.column, slip.expected, String(slip.found));
    yield fault('impossible-reading', row.at, `${machine}: ${words}`, {
      about: row.entry,
      hint: slip.hint ?? 'read the machine again',
    });
  }
});
