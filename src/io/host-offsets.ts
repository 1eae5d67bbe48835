import type { ZoneOffsets } from '../text/zone.ts';

const MINUTE = 60_000;
/** A name such as `Europe/London`, written as the time zone database writes it. */
const AREA_AND_PLACE = /^[A-Z][A-Za-z]+(\/[A-Z][A-Za-z_-]+)+$/;
/** Midwinter and midsummer of a year whose clock changes every Node knows. */
const PROBES = [Date.UTC(2020, 0, 1, 12), Date.UTC(2020, 6, 1, 12)] as const;

/** What `look` sees with the zone of this process set to `zone`; the zone is set back after it. */
function within<T>(zone: string, look: () => T): T {
  const before = process.env.TZ;
  process.env.TZ = zone;
  try {
    return look();
  } finally {
    if (before === undefined) delete process.env.TZ;
    else process.env.TZ = before;
  }
}

const offsetHere = (instant: number): number => 0 - new Date(instant).getTimezoneOffset() * MINUTE;

type OffsetChange = { readonly at: number; readonly offset: number };

/** No zone has changed its clock and back again within so short a time. */
const STEP = 10 * 86_400_000;

/** The offset at the start of a UTC year, and every change in it, in order of time. */
function changesOf(year: number): readonly OffsetChange[] {
  const end = Date.UTC(year + 1, 0, 1);
  let at = Date.UTC(year, 0, 1);
  let offset = offsetHere(at);
  const out: OffsetChange[] = [{ at, offset }];
  while (at < end) {
    const next = Math.min(at + STEP, end);
    const there = offsetHere(next);
    if (there !== offset) {
      let [before, after] = [at, next];
      // Clocks change at a whole minute.
      while (after - before > MINUTE) {
        const middle = before + Math.floor((after - before) / MINUTE / 2) * MINUTE;
        if (offsetHere(middle) === offset) before = middle;
        else after = middle;
      }
      out.push({ at: after, offset: there });
      offset = there;
    }
    at = next;
  }
  return out;
}

/**
 * Offsets as the plain dates of this process show them under `TZ=zone`: they come from the same
 * database as those of `Intl`, and cost a hundredth of its first formatter. Answers only for a zone
 * that is surely known: one that changes its clock. (An unknown name is taken for a zone without
 * changes; and where `TZ` has no effect, in a worker thread, the look at UTC tells.)
 */
export const hostOffsets: ZoneOffsets = (zone) => {
  if (!AREA_AND_PLACE.test(zone)) return null;
  const takesEffect = within('UTC', () => PROBES.every((instant) => offsetHere(instant) === 0));
  if (!takesEffect) return null;
  const [winter, summer] = within(zone, () => PROBES.map(offsetHere));
  if (winter === summer) return null;
  const years = new Map<number, readonly OffsetChange[]>();
  return (instant) => {
    const year = new Date(instant).getUTCFullYear();
    let changes = years.get(year);
    if (changes === undefined) {
      changes = within(zone, () => changesOf(year));
      years.set(year, changes);
    }
    let { offset } = changes[0]!;
    for (const change of changes) if (change.at <= instant) offset = change.offset;
    return offset;
  };
};
