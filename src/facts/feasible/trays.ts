import { isHen, nestText } from '../../season/hens.ts';
import type { Season } from '../../season/model.ts';
import { meetings } from '../spans.ts';
import { type FeasibleLimit, reason } from './reason.ts';

/** `tray-taken`: two sets in one tray on one day. */
export const trayTaken: FeasibleLimit = ({ season, occupancy }) =>
  meetings(
    occupancy.trays,
    (span) => trayName(season, span),
    (a, b) => Number(b.state === 'actual') - Number(a.state === 'actual'),
  ).map(([first, second]) =>
    reason(
      'tray-taken',
      second.at,
      `${trayName(season, second)}: ${second.set} goes in on ${second.from}, and ${first.set} lies there until ${first.to}`,
      {
        set: second.set,
        place: trayName(season, second),
        day: second.from,
        hint: `put ${second.set} ${isHen(season, second.setter) ? 'under another hen' : 'into another tray'}, or on ${first.to} or later`,
      },
    ),
  );

/** `tray-overfull`: more eggs in a tray than it holds of that species. */
export const trayOverfull: FeasibleLimit = ({ season, occupancy }) =>
  occupancy.trays.flatMap((span) => {
    const { set, setter, speciesName, eggs } = span;
    const holds = season.setters.get(setter)?.tray_holds[speciesName];
    const where = {
      set,
      place: trayName(season, span),
      day: span.from,
      held: eggs,
      room: holds ?? null,
    };
    if (holds === undefined)
      return [
        reason(
          'tray-overfull',
          span.at,
          `${setter}: season.yaml does not say how many ${speciesName} eggs ${isHen(season, setter) ? 'she covers' : 'a tray holds'}`,
          { ...where, hint: `add ${speciesName} to tray_holds of ${setter}` },
        ),
      ];
    if (eggs <= holds) return [];
    return [
      reason(
        'tray-overfull',
        span.at,
        `${trayName(season, span)}: ${eggs} ${speciesName} eggs of ${set}, and ${isHen(season, setter) ? 'she covers' : 'it holds'} ${holds}`,
        where,
      ),
    ];
  });

function trayName(
  season: Season,
  span: { readonly setter: string; readonly tray: number },
): string {
  return nestText(season, span.setter, [span.tray]);
}

/** Every unordered pair, each once. */
export function pairsOf<T>(all: readonly T[]): [T, T][] {
  return all.flatMap((one, index) => all.slice(index + 1).map((other): [T, T] => [one, other]));
}
