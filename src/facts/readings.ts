import { celsius } from '../season/weather.ts';
import { alarmFigures } from './machine-bands.ts';

/** A cell of a reading that no machine gives, and what it may have been meant for. */
export type ReadingSlip = {
  readonly column: 'dry' | 'wet' | 'rh';
  readonly found: number;
  readonly expected: string;
  readonly hint: string | null;
};

type Cells = {
  readonly dry: number | null;
  readonly wet: number | null;
  readonly rh: number | null;
  readonly event: string | null;
};

const fahrenheit = (c: number): number => (c * 9) / 5 + 32;
const tenths = (value: number): number => Math.round(value * 10) / 10;

/** Temperatures at which eggs are hatched, widely taken: where a slip of the unit must land. */
const HATCHING_C = { low: 30, high: 42 };
const isHatching = (c: number): boolean => c >= HATCHING_C.low && c <= HATCHING_C.high;

/**
 * What a row of readings says that no machine gives: a temperature beyond reason, the other unit, a
 * wet bulb in °F written as humidity in a setter. Null if nothing. Figures: `seeds/alarms.yaml`.
 */
export function readingSlip(cells: Cells, unit: 'C' | 'F', isSetter: boolean): ReadingSlip | null {
  if (cells.event !== null) return null;
  const { low, high } = alarmFigures.possible_c.value;
  const other = unit === 'C' ? 'F' : 'C';
  const inUnit = (c: number): number => tenths(unit === 'F' ? fahrenheit(c) : c);
  for (const column of ['dry', 'wet'] as const) {
    const found = cells[column];
    if (found === null) continue;
    const c = celsius(found, unit);
    if (c >= low && c <= high) continue;
    const meant = celsius(found, other);
    return {
      column,
      found,
      expected: `a temperature from ${inUnit(low)} to ${inUnit(high)} °${unit}`,
      hint: isHatching(meant)
        ? `${found} °${other} is ${inUnit(meant)} °${unit}: write --${column} ${inUnit(meant)}`
        : null,
    };
  }
  if (isSetter && cells.rh !== null && cells.rh > alarmFigures.setter_rh_asked.value)
    return {
      column: 'rh',
      found: cells.rh,
      expected: `a humidity of at most ${alarmFigures.setter_rh_asked.value} % in a setter`,
      hint: `a wet bulb in °F? write it beside its dry bulb: --wet ${unit === 'F' ? cells.rh : tenths(celsius(cells.rh, 'F'))}`,
    };
  return null;
}
