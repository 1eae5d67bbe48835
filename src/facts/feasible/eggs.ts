import type { Pen } from '../../season/model.ts';
import type { Day } from '../../text/day.ts';
import { largest } from '../../text/lists.ts';
import type { Place } from '../../text/source.ts';
import { plannedDraws } from '../egg-store.ts';
import { openPlan } from '../hatch-time.ts';
import { endOfLay, isPosted, laidOn, layEnds, restedOn } from '../laying.ts';
import { total } from '../tally.ts';
import { type FeasibleLimit, type Reason, reason } from './reason.ts';

/** `eggs-too-old`: eggs set after more days in storage than the season allows. */
export const eggsTooOld: FeasibleLimit = ({ season }) =>
  [...season.sets.values()].flatMap((set) =>
    set.shares.flatMap((share): Reason[] => {
      const most = season.storageMaxDays(share.pen.line.species);
      const old = share.drawn.filter((one) => one.age > most);
      if (old.length === 0) return [];
      const eggs = total(old, (one) => one.eggs);
      const oldest = largest(old.map((one) => one.age));
      return [
        reason(
          'eggs-too-old',
          share.at,
          `${set.name}: ${eggs} eggs of ${share.pen.name} were stored ${oldest} days, and ${most} are allowed`,
          {
            set: set.name,
            pen: share.pen.name,
            day: share.on.day,
            held: oldest,
            room: most,
            hint: 'expect fewer and later chicks of these',
          },
        ),
      ];
    }),
  );

/** `eggs-not-rested`: eggs set as they came off the road; a loose air cell settles if they stand first. */
export const eggsNotRested: FeasibleLimit = ({ season }) => [
  ...[...season.sets.values()].flatMap((set) =>
    set.shares.flatMap((share) =>
      share.drawn.some((one) => share.on.day < restedOn(share.pen, one.laid))
        ? [tooSoon(set.name, share.pen, share.on.day, share.at)]
        : [],
    ),
  ),
  ...openPlan(season).flatMap((line) =>
    line.shares.flatMap(({ pen }) =>
      isPosted(pen) && line.on < restedOn(pen, laidOn(pen, pen.bought!.on))
        ? [tooSoon(line.name, pen, line.on, line.at)]
        : [],
    ),
  ),
];

function tooSoon(set: string, pen: Pen, day: Day, at: Place): Reason {
  return reason(
    'eggs-not-rested',
    at,
    `${set}: eggs of ${pen.name} go in on ${day}, straight off the road`,
    {
      set,
      pen: pen.name,
      day,
      severity: 'warning',
      hint: 'let them stand first, at room temperature, point down: traybook guide posted-eggs',
    },
  );
}

/**
 * `eggs-not-there`: more eggs set than were kept; or planned than are in store and expected to be
 * laid by then, in order of the plan. Without expectations only today's sets are asked about.
 */
export const eggsNotThere: FeasibleLimit = ({ season, now, expected }) => {
  const recorded = [...season.sets.values()].flatMap((set) =>
    set.shares
      .filter((share) => share.notKept > 0)
      .map((share) =>
        reason(
          'eggs-not-there',
          share.at,
          `${set.name}: ${share.eggs} eggs of ${share.pen.name} were set, and ${share.notKept} of them were never recorded as kept`,
          {
            set: set.name,
            pen: share.pen.name,
            day: share.on.day,
            held: share.eggs,
            room: share.eggs - share.notKept,
            hint: `a day of eggs not written down? traybook add eggs ${share.pen.name} --on DAY --kept N`,
          },
        ),
      ),
  );
  const lines = new Map(openPlan(season).map((one) => [one.name, one]));
  const planned = plannedDraws(season, now.day, expected?.eggsADay ?? (() => 0))
    .filter(({ set, missing }) => {
      const isToday = lines.get(set)!.on === now.day;
      return missing > 0 && (expected !== null || isToday);
    })
    .map(({ set, pen, missing }) => {
      const line = lines.get(set)!;
      const { eggs } = line.shares.find((share) => share.pen.name === pen)!;
      const have = eggs - missing;
      const end = layEnds(season, season.pens.get(pen)!);
      const ended = end !== null && end <= line.on ? { hint: endOfLay(pen, end) } : {};
      return reason(
        'eggs-not-there',
        line.at,
        line.on === now.day
          ? `${set}: ${eggs} eggs of ${pen} are planned for today, and ${have} are in store`
          : `${set}: ${eggs} eggs of ${pen} are planned for ${line.on}, and ${have} are expected to be there, not too old`,
        { set, pen, day: line.on, held: eggs, room: have, severity: 'warning', ...ended },
      );
    });
  return [...recorded, ...planned];
};

/** More eggs sold, eaten, thrown away or sent off than were in store. */
export const eggsOutNotThere: FeasibleLimit = ({ season }) =>
  season.eggsOut
    .filter((one) => one.notKept > 0)
    .map(({ row: { at, entry, on, values }, notKept }) =>
      reason(
        'eggs-not-there',
        at,
        `${values.pen}: ${values.eggs} eggs ${values.way}, and ${values.eggs - notKept} were in store`,
        {
          pen: values.pen,
          about: entry,
          day: on.day,
          held: values.eggs,
          room: values.eggs - notKept,
          hint: `a day of eggs not written down? traybook add eggs ${values.pen} --on DAY --kept N`,
        },
      ),
    );
