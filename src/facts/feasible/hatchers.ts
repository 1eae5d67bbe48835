import { plural } from '../../tables/numbers.ts';
import { gathered } from '../../text/lists.ts';
import type { HatcherSpan } from '../occupancy.ts';
import { meetings, overlaps } from '../spans.ts';
import { total } from '../tally.ts';
import { type Reason, reason, type Setting } from './reason.ts';

/** Pairs of sets that are moved into one hatcher, the one moved first before the other. */
function pairsIn({ occupancy }: Setting): [HatcherSpan, HatcherSpan][] {
  return meetings(
    occupancy.hatchers,
    (span) => span.hatcher,
    (a, b) => (a.set < b.set ? -1 : 1),
  );
}

/** `hatcher-taken`: a set moved in while another is still hatching there. */
export const hatcherTaken = gathered(function* (setting: Setting): Generator<Reason> {
  for (const [first, { set, hatcher, from, at }] of pairsIn(setting))
    if (from < first.emptyOn && setting.season.hatchers.get(hatcher)?.one_set_at_a_time)
      yield reason(
        'hatcher-taken',
        at,
        `${hatcher}: ${set} is moved in on ${from}, and ${first.set} hatches there until ${first.emptyOn}`,
        {
          set,
          place: hatcher,
          day: from,
          hint: `set ${set} so that it is moved on ${first.to} or later`,
        },
      );
});

/** `hatcher-not-clean`: moved in after the last opening, before the days of cleaning are over. */
export const hatcherNotClean = gathered(function* (setting: Setting): Generator<Reason> {
  for (const [first, { set, hatcher, from, at }] of pairsIn(setting))
    if (from >= first.emptyOn && from < first.to)
      yield reason(
        'hatcher-not-clean',
        at,
        `${hatcher}: ${set} is moved in on ${from}; after ${first.set} it is empty on ${first.emptyOn} and clean on ${first.to}`,
        { set, place: hatcher, day: from },
      );
});

/** `mixed-stage`: eggs with different hatch days in one hatcher at one time. */
export const mixedStage = gathered(function* (setting: Setting): Generator<Reason> {
  for (const [first, { set, hatcher, hatch, from, at }] of pairsIn(setting))
    if (from < first.emptyOn && first.hatch !== hatch)
      yield reason(
        'mixed-stage',
        at,
        `${hatcher}: ${first.set} hatches on ${first.hatch} and ${set} on ${hatch}`,
        {
          set,
          place: hatcher,
          day: from,
          hint: 'damp and cool air for one is wrong for the other: give them different hatchers or days',
        },
      );
});

/** One chance in twenty is what a plan may take of more live eggs than there is room for. */
const ONE_IN_TWENTY_SD = 1.6449;

/** Live eggs for one hatcher: how many are expected, their variance, how many there are at the most, its room. */
export type LiveEggs = {
  readonly mean: number;
  readonly variance: number;
  readonly most: number;
  readonly holds: number;
};

/** The live eggs of several sets as parts of the room of one hatcher: middle, and one in twenty. */
export function partOfRoom(eggs: readonly LiveEggs[]): {
  readonly mean: number;
  readonly high: number;
} {
  const mean = total(eggs, (one) => one.mean / one.holds);
  const variance = total(eggs, (one) => one.variance / one.holds ** 2);
  const most = total(eggs, (one) => one.most / one.holds);
  return { mean, high: Math.min(most, mean + ONE_IN_TWENTY_SD * Math.sqrt(variance)) };
}

/**
 * `hatcher-overfull`: more live eggs than it holds, summed as parts of the room each kind has. Of
 * eggs not moved yet the live ones expected count: an error if those are too many, a warning if more
 * than one chance in twenty is that they will be.
 */
export const hatcherOverfull = gathered(function* ({
  season,
  occupancy,
}: Setting): Generator<Reason> {
  const holdsOf = (span: HatcherSpan) => season.hatchers.get(span.hatcher)?.holds[span.speciesName];
  for (const span of occupancy.hatchers) {
    const { set, hatcher, speciesName, from, at } = span;
    const holds = holdsOf(span);
    const where = { set, place: hatcher, day: from };
    if (holds === undefined) {
      yield reason(
        'hatcher-overfull',
        at,
        `${hatcher}: season.yaml does not say how many ${speciesName} eggs it holds`,
        { ...where, hint: `add ${speciesName} to holds of ${hatcher}` },
      );
      continue;
    }
    const there = { from, to: span.emptyOn };
    const together = occupancy.hatchers.filter(
      (other) =>
        other === span ||
        (other.hatcher === hatcher &&
          other.from <= from &&
          overlaps(there, { from: other.from, to: other.emptyOn })),
    );
    const known = together.flatMap((one) => {
      const room = holdsOf(one);
      return room === undefined ? [] : [{ ...one, mean: one.eggs, holds: room }];
    });
    const { mean, high } = partOfRoom(known);
    if (high <= 1) continue;
    const isLikely = mean > 1;
    const alone = together.length === 1;
    const eggs = `${plural(Math.round(span.eggs), `live ${speciesName} egg`)} of ${set}`;
    const words = !alone
      ? `on ${from} ${namesOf(together)} need ${Math.round((isLikely ? mean : high) * 100)} % of its room${isLikely ? '' : ' one time in twenty'}`
      : isLikely
        ? `${eggs}, and it holds ${holds}`
        : `${eggs} are expected; one time in twenty ${Math.round(high * holds)} or more, and it holds ${holds}`;
    yield reason('hatcher-overfull', at, `${hatcher}: ${words}`, {
      ...where,
      held: alone ? span.eggs : mean,
      room: alone ? holds : 1,
      severity: isLikely ? 'error' : 'warning',
    });
  }
});

/** The most sets that one sentence names. */
const MOST_NAMED = 6;

function namesOf(spans: readonly HatcherSpan[]): string {
  const named = spans.slice(0, MOST_NAMED).map((one) => `${one.set} (${Math.round(one.eggs)})`);
  const rest = spans.length - named.length;
  return `${named.join(' and ')}${rest > 0 ? ` and ${rest} more sets` : ''}`;
}
