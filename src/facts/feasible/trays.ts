import { meetings } from '../spans.ts';
import { type FeasibleLimit, reason } from './reason.ts';

/** `tray-taken`: two sets in one tray on one day. */
export const trayTaken: FeasibleLimit = ({ occupancy }) =>
  meetings(
    occupancy.trays,
    trayName,
    (a, b) => Number(b.state === 'actual') - Number(a.state === 'actual'),
  ).map(([first, second]) =>
    reason(
      'tray-taken',
      second.at,
      `${second.setter} tray ${second.tray}: ${second.set} goes in on ${second.from}, and ${first.set} lies there until ${first.to}`,
      {
        set: second.set,
        place: trayName(second),
        day: second.from,
        hint: `put ${second.set} into another tray, or on ${first.to} or later`,
      },
    ),
  );

/** `tray-overfull`: more eggs in a tray than it holds of that species. */
export const trayOverfull: FeasibleLimit = ({ season, occupancy }) =>
  occupancy.trays.flatMap((span) => {
    const { set, setter, speciesName, eggs } = span;
    const holds = season.setters.get(setter)?.tray_holds[speciesName];
    const where = { set, place: trayName(span), day: span.from, held: eggs, room: holds ?? null };
    if (holds === undefined)
      return [
        reason(
          'tray-overfull',
          span.at,
          `${setter}: season.yaml does not say how many ${speciesName} eggs a tray holds`,
          { ...where, hint: `add ${speciesName} to tray_holds of ${setter}` },
        ),
      ];
    if (eggs <= holds) return [];
    return [
      reason(
        'tray-overfull',
        span.at,
        `${trayName(span)}: ${eggs} ${speciesName} eggs of ${set}, and it holds ${holds}`,
        where,
      ),
    ];
  });

function trayName(span: { readonly setter: string; readonly tray: number }): string {
  return `${span.setter} tray ${span.tray}`;
}

/** Every unordered pair, each once. */
export function pairsOf<T>(all: readonly T[]): [T, T][] {
  return all.flatMap((one, index) => all.slice(index + 1).map((other): [T, T] => [one, other]));
}
