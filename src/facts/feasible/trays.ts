import { isHen, nestText } from '../../season/hens.ts';
import type { Season } from '../../season/model.ts';
import { plural } from '../../tables/numbers.ts';
import { gathered, groupedBy } from '../../text/lists.ts';
import type { TraySpan } from '../occupancy.ts';
import { meetings } from '../spans.ts';
import { total } from '../tally.ts';
import { type Reason, reason, type Setting } from './reason.ts';

/** Sets of one day and two kinds share a tray where these have one term and one size: as many eggs a tray. */
function mayShare({ setters }: Season, a: TraySpan, b: TraySpan): boolean {
  const holds = setters.get(a.setter)?.tray_holds;
  return (
    a.speciesName !== b.speciesName &&
    a.from === b.from &&
    a.to === b.to &&
    holds?.[a.speciesName] === holds?.[b.speciesName]
  );
}

/** `tray-taken`: two sets in one tray on one day, but for those that may share it. */
export const trayTaken = gathered(function* ({ season, occupancy }: Setting): Generator<Reason> {
  const nameOf = ({ setter, tray }: TraySpan) => nestText(season, setter, [tray]);
  const pairs = meetings(
    occupancy.trays,
    nameOf,
    (a, b) => Number(b.state === 'actual') - Number(a.state === 'actual'),
  );
  for (const [first, second] of pairs) {
    if (mayShare(season, first, second)) continue;
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
  const trays = groupedBy(occupancy.trays, ({ setter, tray }) => JSON.stringify([setter, tray]));
  for (const span of occupancy.trays) {
    const { set, setter, tray, speciesName, from, at } = span;
    const own = trays.get(JSON.stringify([setter, tray]))!;
    const sharing = own
      .slice(0, own.indexOf(span) + 1)
      .filter((one) => one === span || mayShare(season, one, span));
    const eggs = total(sharing, (one) => one.eggs);
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
        `${place}: ${sharing.map((one) => `${plural(one.eggs, `${one.speciesName} egg`)} of ${one.set}`).join(' and ')}, and ${isHers ? 'she covers' : 'it holds'} ${holds}`,
        where,
      );
  }
});

/** Every unordered pair, each once. */
export function pairsOf<T>(all: readonly T[]): [T, T][] {
  return all.flatMap((one, index) => all.slice(index + 1).map((other): [T, T] => [one, other]));
}
