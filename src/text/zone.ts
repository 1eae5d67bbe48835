/**
 * How far a zone's wall clock is ahead of UTC at an instant (milliseconds since 1970), in
 * milliseconds; or null if this source cannot answer for that zone.
 */
export type ZoneOffsets = (zone: string) => ((instant: number) => number) | null;

type KnownZone = { readonly offsetAt: ((instant: number) => number) | null };

const known = new Map<string, KnownZone>();
let quick: ZoneOffsets = () => null;

/**
 * Names a cheaper source of offsets, asked before `Intl`, whose first formatter costs a third of
 * Node's own start. It must answer as `Intl` does or not at all.
 */
export function askFirst(source: ZoneOffsets): void {
  quick = source;
  known.clear();
}

/** True for the name of a time zone, `Europe/London`. */
export function isZone(name: string): boolean {
  return offsetsOf(name) !== null;
}

/**
 * Milliseconds that the wall clock of a zone is ahead of UTC at an instant.
 *
 * @throws RangeError if there is no such zone
 */
export function offsetAt(instant: number, zone: string): number {
  const offset = offsetsOf(zone);
  if (offset === null) throw new RangeError(`no time zone "${zone}"`);
  return offset(instant);
}

function offsetsOf(zone: string): KnownZone['offsetAt'] {
  let one = known.get(zone);
  if (one === undefined) {
    one = { offsetAt: quick(zone) ?? offsetsByIntl(zone) };
    known.set(zone, one);
  }
  return one.offsetAt;
}

const SECOND = 1000;

/** The offsets of a zone as the reference library of the platform gives them, or null. */
export const offsetsByIntl: ZoneOffsets = (zone) => {
  let format: Intl.DateTimeFormat;
  try {
    format = new Intl.DateTimeFormat('en-US', {
      timeZone: zone,
      calendar: 'gregory',
      numberingSystem: 'latn',
      hourCycle: 'h23',
      year: 'numeric',
      month: 'numeric',
      day: 'numeric',
      hour: 'numeric',
      minute: 'numeric',
      second: 'numeric',
    });
  } catch {
    return null;
  }
  return (instant) => {
    const part: Record<string, number> = {};
    for (const { type, value } of format.formatToParts(instant)) part[type] = Number(value);
    const shown = Date.UTC(
      part.year!,
      part.month! - 1,
      part.day!,
      part.hour!,
      part.minute!,
      part.second!,
    );
    return shown - Math.floor(instant / SECOND) * SECOND;
  };
};
