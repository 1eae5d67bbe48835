import type { Season } from '../../season/model.ts';

import { type Fault, fault } from '../../text/fault.ts';
import type { HatcherSpan } from '../occupancy.ts';
import type { Check } from './check.ts';
import { forEachPair } from './trays.ts';

function inOrder(a: HatcherSpan, b: HatcherSpan): readonly [HatcherSpan, HatcherSpan] {
  return a.from < b.from || (a.from === b.from && a.set <= b.set) ? [a, b] : [b, a];
}

/** True if both lie in one hatcher while the first still holds eggs or chicks. */
function together(first: HatcherSpan, second: HatcherSpan): boolean {
  return (
    first.set !== second.set && first.hatcher === second.hatcher && second.from < first.emptyOn
  );
}

/** `hatcher-taken`: a set moved in while another is still hatching there. */
export const hatcherTaken: Check = ({ season, occupancy }) => {
  const faults: Fault[] = [];
  forEachPair(occupancy.hatchers, (a, b) => {
    const [first, second] = inOrder(a, b);
    if (!together(first, second) || !season.hatchers.get(first.hatcher)?.one_set_at_a_time) return;
    faults.push(
      fault(
        'hatcher-taken',
        second.at,
        `${second.hatcher}: ${second.set} is moved in on ${second.from}, and ${first.set} hatches there until ${first.emptyOn}`,
        { set: second.set, hint: `set ${second.set} so that it is moved on ${first.to} or later` },
      ),
    );
  });
  return faults;
};

/** `hatcher-not-clean`: moved in after the last opening, before the days of cleaning are over. */
export const hatcherNotClean: Check = ({ occupancy }) => {
  const faults: Fault[] = [];
  forEachPair(occupancy.hatchers, (a, b) => {
    const [first, second] = inOrder(a, b);
    if (
      first.set === second.set ||
      first.hatcher !== second.hatcher ||
      second.from < first.emptyOn ||
      second.from >= first.to
    )
      return;
    faults.push(
      fault(
        'hatcher-not-clean',
        second.at,
        `${second.hatcher}: ${second.set} is moved in on ${second.from}; after ${first.set} it is empty on ${first.emptyOn} and clean on ${first.to}`,
        { set: second.set },
      ),
    );
  });
  return faults;
};

/** `mixed-stage`: eggs with different hatch days in one hatcher at one time. */
export const mixedStage: Check = ({ occupancy }) => {
  const faults: Fault[] = [];
  for (const span of occupancy.hatchers) {
    const days = [...new Set(span.hatchDays)].sort();
    if (days.length > 1)
      faults.push(
        fault(
          'mixed-stage',
          span.at,
          `${span.hatcher}: the shares of ${span.set} hatch on different days, ${days.join(' and ')}`,
          {
            set: span.set,
          },
        ),
      );
  }
  forEachPair(occupancy.hatchers, (a, b) => {
    const [first, second] = inOrder(a, b);
    if (!together(first, second) || first.hatchDays[0] === second.hatchDays[0]) return;
    faults.push(
      fault(
        'mixed-stage',
        second.at,
        `${second.hatcher}: ${first.set} hatches on ${first.hatchDays[0]} and ${second.set} on ${second.hatchDays[0]}`,
        {
          set: second.set,
          hint: 'damp and cool air for one is wrong for the other: give them different hatchers or days',
        },
      ),
    );
  });
  return faults;
};

/** `hatcher-overfull`: more live eggs than it holds, summed as shares of the room per species. */
export const hatcherOverfull: Check = ({ season, occupancy }) => {
  const faults: Fault[] = [];
  for (const span of occupancy.hatchers) {
    const holds = season.hatchers.get(span.hatcher)?.holds[span.speciesName];
    if (holds === undefined) {
      faults.push(
        fault(
          'hatcher-overfull',
          span.at,
          `${span.hatcher}: season.yaml does not say how many ${span.speciesName} eggs it holds`,
          {
            set: span.set,
            hint: `add ${span.speciesName} to holds of ${span.hatcher}`,
          },
        ),
      );
      continue;
    }
    const beside = occupancy.hatchers.filter(
      (other) =>
        other.hatcher === span.hatcher &&
        other !== span &&
        other.from <= span.from &&
        span.from < other.emptyOn,
    );
    const room = [span, ...beside].reduce((sum, one) => sum + shareOfRoom(season, one), 0);
    if (room <= 1) continue;
    faults.push(
      fault(
        'hatcher-overfull',
        span.at,
        beside.length === 0
          ? `${span.hatcher}: ${span.eggs} live ${span.speciesName} eggs of ${span.set}, and it holds ${holds}`
          : `${span.hatcher}: on ${span.from} ${[...beside, span].map((one) => `${one.set} (${one.eggs})`).join(' and ')} need ${Math.round(room * 100)} % of its room`,
        { set: span.set },
      ),
    );
  }
  return faults;
};

function shareOfRoom(season: Season, span: HatcherSpan): number {
  const holds = season.hatchers.get(span.hatcher)?.holds[span.speciesName];
  return holds === undefined ? 0 : span.eggs / holds;
}
