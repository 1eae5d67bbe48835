// Offsets as plain dates show them against those of Intl, in a process of its own: where tests run,
// in worker threads, a zone cannot be set. Prints what was compared, and every difference.
import { hostOffsets } from '../../src/io/host-offsets.ts';
import { offsetsByIntl } from '../../src/text/zone.ts';

const HOUR = 3_600_000;
/** About every eleventh day at another hour, over the years in which a season may lie. */
const STEP = 269 * HOUR;

export function main([fewer = '1']: readonly string[]): number {
  const zones = Intl.supportedValuesOf('timeZone').filter((_, n) => n % Number(fewer) === 0);
  const before = process.env.TZ;
  const differences: string[] = [];
  let answered = 0;
  for (const zone of zones) {
    const quick = hostOffsets(zone);
    if (quick === null) continue;
    answered += 1;
    const whole = offsetsByIntl(zone)!;
    for (let at = Date.UTC(1990, 0, 1); at < Date.UTC(2040, 0, 1); at += STEP)
      if (quick(at) !== whole(at)) differences.push(`${zone} ${new Date(at).toISOString()}`);
    // Every hour of the days around a change.
    for (let at = Date.UTC(2026, 0, 1); at < Date.UTC(2027, 0, 1); at += HOUR * 24)
      if (whole(at) !== whole(at + 24 * HOUR))
        for (let hour = 0; hour <= 24; hour += 0.25)
          if (quick(at + hour * HOUR) !== whole(at + hour * HOUR))
            differences.push(`${zone} ${new Date(at + hour * HOUR).toISOString()}`);
  }
  const unknown = ['Europe/Londn', 'europe/london', 'Nowhere/Place', 'EST', 'UTC', 'x'];
  console.log(
    JSON.stringify({
      answered,
      differences,
      unknown: unknown.filter((zone) => hostOffsets(zone) !== null),
      isRestored: process.env.TZ === before,
    }),
  );
  return 0;
}
