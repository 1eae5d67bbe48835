import { isHen, nestText } from '../../season/hens.ts';
import { gathered } from '../../text/lists.ts';
import type { TraySpan } from '../occupancy.ts';
import { meetings } from '../spans.ts';
import { type Reason, reason, type Setting } from './reason.ts';

/** `tray-taken`: two sets in one tray on one day. */
export const trayTaken = gathered(function* ({ season, occupancy }: Setting): Generator<Reason> {
  const nameOf = ({ setter, tray }: TraySpan) => nestText(season, setter, [tray]);
  const pairs = meetings(
    occupancy.trays,
    nameOf,
    (a, b) => Number(b.state === 'actual') - Number(a.state === 'actual'),
  );
  for (const [first, second] of pairs) {
    const { set, setter, from } = second;
    const place = nameOf(second);
    yield reason(
      'tray-taken',
      second.at,
      `${place}: ${set} goes in on ${from}, and ${first.set} lies there until ${first.to}`,
      {
        set,
        place,
        day: from,
        hint: `put ${set} ${isHen(season, setter) ? 'under another hen' : 'into another tray'}, or on ${first.to} or later`,
      },
    );
  }
});

/** `tray-overfull`: more eggs in a tray than it holds of that species. */
export const trayOverfull = gathered(function* ({ season, occupancy }: Setting): Generator<Reason> {
  for (const { set, setter, tray, speciesName, eggs, from, at } of occupancy.trays) {
    const holds = season.setters.get(setter)?.tray_holds[speciesName] ?? null;
    const place = nestText(season, setter, [tray]);
    const where = { set, place, day: from, held: eggs, room: holds };
    const isHers = isHen(season, setter);
    if (holds === null)
      yield reason(
        'tray-overfull',
        at,
        `${setter}: season.yaml does not say how many ${speciesName} eggs ${isHers ? 'she covers' : 'a tray holds'}`,
        { ...where, hint: `add ${speciesName} to tray_holds of ${setter}` },
      );
    else if (eggs > holds)
      yield reason(
        'tray-overfull',
        at,
        `${place}: ${eggs} ${speciesName} eggs of ${set}, and ${isHers ? 'she covers' : 'it holds'} ${holds}`,
        where,
      );
  }
});

/** Every unordered pair, each once. */
export function pairsOf<T>(all: readonly T[]): [T, T][] {
  return all.flatMap((one, index) => all.slice(index + 1).map((other): [T, T] => [one, other]));
}
