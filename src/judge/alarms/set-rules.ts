import { powerFigures } from '../../facts/cooling.ts';
import { hasHatched } from '../../facts/expected.ts';
import { chicksFound, milestonesOfSet } from '../../facts/hatch-time.ts';
import { addElapsedHours, elapsedHours, type LocalMinute } from '../../facts/local-time.ts';
import { alarmFigures } from '../../facts/machine-bands.ts';
import { fromTo, work } from '../../facts/tasks/work.ts';
import { type Course, courseOf } from '../../facts/water-loss.ts';
import { isHers } from '../../season/hens.ts';
import type { EggSet, Share } from '../../season/model.ts';
import { fixed } from '../../tables/numbers.ts';
import { type AlarmRule, type Farm, type Look, ruleOf } from './alarm.ts';
import { minuteOf } from './samples.ts';

const lastOf = <T>(rows: readonly T[]): T | undefined => rows.at(-1);

function placeOf(set: EggSet): string {
  const share = set.shares.find((one) => one.hatcher !== null) ?? set.shares[0]!;
  return share.hatcher ?? share.trays[0]?.setter ?? 'the machine';
}

/** Sets whose hatch is not long over: what they say is still of use. */
function recentSets(farm: Farm): EggSet[] {
  return [...farm.season.sets.values()].filter((set) => farm.isPast(set.on));
}

/** What comes early or late tells of a machine; a hen keeps her own time. */
const isInMachine = (set: EggSet): boolean => !set.shares.some(isHers);

type HatchLook = Look & {
  readonly set: EggSet;
  /** Hours before the first expected chick, or past the last; null when the set is closed. */
  readonly hours: number | null;
};

/** A first chick long before the set's own expectation says that the machine ran warm. */
const earlyHatch: AlarmRule<HatchLook> = {
  code: 'early-hatch',
  looks: (farm) =>
    recentSets(farm)
      .filter(isInMachine)
      .map((set) => {
        const [first] = chicksFound(set);
        const looks: HatchLook[] = [];
        if (first !== undefined && farm.isPast(first.on)) {
          const { expected } = milestonesOfSet(set, farm.season);
          // A row without a minute may be of any hour of its day: the latest is taken.
          const seen = elapsedHours(
            `${set.on.day}T${set.on.time ?? '00:00'}`,
            `${first.on.day}T${first.on.time ?? '23:59'}`,
            farm.season.zone,
          );
          looks.push({ at: minuteOf(first.on), set, hours: expected.first - seen });
        }
        const closed = closedAt(set);
        if (closed !== null) looks.push({ at: closed, set, hours: null });
        return { place: set.name, looks };
      }),
  holds: ({ hours }) => hours !== null && hours > alarmFigures.early_hours.value,
  clears: ({ hours }) => hours === null,
  judge: ({ set, hours }) => ({
    sets: [set.name],
    value: `first chick ${Math.round(hours!)} h early`,
    expected: `no more than ${alarmFigures.early_hours.value} h before the first expected chick`,
    title: `${set.name}: first chick ${Math.round(hours!)} h before its time`,
  }),
  means:
    'chicks that come long before their time tell of a warm machine, whatever its thermometer says',
  look: [
    'a brooder warm now: the others follow',
    'the setter with a second thermometer; the sets still in it run early too',
  ],
};

/** When the last of a set was closed, or null while any is open. */
function closedAt(set: EggSet): LocalMinute | null {
  if (set.shares.some((share) => share.finishedOn === null && share.live > 0)) return null;
  const openings = set.shares.flatMap((share) => share.openings.map((row) => minuteOf(row.on)));
  return lastOf(openings.sort()) ?? null;
}

/** No chick by the time the last of them is expected. */
const lateHatch: AlarmRule<HatchLook> = {
  code: 'late-hatch',
  looks: (farm) =>
    recentSets(farm)
      .filter(isInMachine)
      .flatMap((set) => {
        const open = set.shares.filter((share) => share.finishedOn === null && share.live > 0);
        if (open.length === 0 || set.shares.some(hasHatched)) return [];
        const dates = milestonesOfSet(set, farm.season);
        const start = `${set.on.day}T${set.on.time ?? '12:00'}`;
        const due = addElapsedHours(
          start,
          dates.expected.middle + alarmFigures.early_hours.value,
          farm.season.zone,
        );
        // Past the end of the hatch the task says what is now true.
        if (farm.minute < due || farm.minute > dates.overAt) return [];
        const hours = elapsedHours(start, farm.minute, farm.season.zone) - dates.expected.middle;
        return [{ place: set.name, looks: [{ at: due, set, hours }] }];
      }),
  holds: ({ hours }) => hours !== null,
  judge: ({ set, hours }) => ({
    sets: [set.name],
    value: 'no chick written',
    expected: 'first chicks by now',
    title: `${set.name} in ${placeOf(set)}: no chick yet, ${Math.round(hours!)} h past the middle of its hatch`,
  }),
  means: `cool, old or badly hurt eggs hatch late; after a power cut up to ${powerFigures.delay_hours.value} h`,
  look: [
    'look through the glass for pips; do not open while any pip is at work',
    'the temperature of the hatcher beside the eggs',
    'hatched already? traybook add hatch SET --hatched N',
  ],
};

type WeightLook = Look & { readonly share: Share; readonly course: Course };

/** Water lost, carried on to transfer, leaves the band of the kind. */
const offWeight: AlarmRule<WeightLook> = {
  code: 'off-weight',
  looks: (farm) =>
    recentSets(farm)
      .filter((set) => set.shares.some((share) => share.stage === 'in-setter' && share.live > 0))
      .flatMap((set) =>
        set.shares.map((share) => ({
          place: set.name,
          key: set.shares.length === 1 ? set.name : `${set.name}/${share.pen.name}`,
          looks: courseOf(farm.season, share).map((course) => ({
            at: minuteOf(course.on),
            share,
            course,
          })),
        })),
      ),
  holds: ({ course }) => Math.abs(course.beyond) > alarmFigures.weight_margin.value,
  clears: ({ course }) => course.beyond === 0,
  judge: ({ share, course }) => {
    const wet = course.beyond < 0;
    const name = `${share.set} ${share.pen.name}`;
    return {
      sets: [share.set],
      value: `${fixed(course.lost, 1)} % lost by day ${course.day}, on the way to ${fixed(course.atTransfer, 1)} %`,
      expected: `${course.target.low}–${course.target.high} % by transfer`,
      title: `${name}: on the way to ${fixed(course.atTransfer, 1)} % water lost by transfer, ${wet ? 'too little' : 'too much'} (${course.target.low}–${course.target.high} %)`,
      why: wet ? 'too damp so far' : 'too dry so far',
      next: [
        wet
          ? 'less water surface or more vent in the setter'
          : 'more water surface or less vent in the setter',
      ],
    };
  },
  means: 'weight is the best hygrometer there is',
  look: [`weigh again in ${fromTo(work.weigh_again_days)} days, the same eggs, net of the tray`],
};

type LostLook = Look & { readonly set: EggSet; readonly eggs: number; readonly isLost: boolean };

/** A set that gave no chick: none alive in the setter, or none out of the hatcher. */
const setLost: AlarmRule<LostLook> = {
  code: 'set-lost',
  looks: (farm) =>
    recentSets(farm).map((set) => {
      const eggs = set.shares.reduce((sum, share) => sum + share.eggs, 0);
      const live = set.shares.reduce((sum, share) => sum + share.live, 0);
      const hatched = set.shares.reduce((sum, share) => sum + (share.tally.hatched ?? 0), 0);
      const looked = set.shares.every(
        (share) => share.finishedOn !== null || share.candlings.length + share.transfers.length > 0,
      );
      const last = lastOf(
        set.shares
          .flatMap((share) => [...share.candlings, ...share.transfers, ...share.openings])
          .map((row) => minuteOf(row.on))
          .sort(),
      );
      if (last === undefined) return { place: set.name, looks: [] };
      const isLost = looked && live <= 0 && hatched === 0;
      const until = alarmFigures.runaway_days.value * 24;
      const isOld = elapsedHours(last, farm.minute, farm.season.zone) > until;
      return { place: set.name, looks: isOld ? [] : [{ at: last, set, eggs, isLost }] };
    }),
  holds: ({ isLost, eggs }) => isLost && eggs >= alarmFigures.lost_set_eggs.value,
  clears: ({ isLost }) => !isLost,
  judge: ({ set, eggs }) => ({
    sets: [set.name],
    value: `0 chicks of ${eggs} eggs`,
    expected: 'chicks',
    title: `${set.name}: all ${eggs} eggs lost`,
  }),
  means: 'a whole set does not die of chance: the machine, the store, or no fertile male',
  look: [
    'open the eggs (days, how far they came): traybook add breakout SET',
    'the other sets of the same machine, store and pens',
    'traybook diagnose',
  ],
  mutes: ['late-hatch'],
};

export const setRules = [ruleOf(earlyHatch), ruleOf(lateHatch), ruleOf(offWeight), ruleOf(setLost)];
