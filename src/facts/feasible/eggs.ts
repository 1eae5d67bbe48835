import type { Pen, Season, Share } from '../../season/model.ts';
import { plural } from '../../tables/numbers.ts';
import type { Day } from '../../text/day.ts';
import { gathered, largest } from '../../text/lists.ts';
import type { Place } from '../../text/source.ts';
import { plannedDraws } from '../egg-store.ts';
import { openPlan } from '../hatch-time.ts';
import { endOfLay, isPosted, laidOn, layEnds, restedOn } from '../laying.ts';
import { total } from '../tally.ts';
import { type Reason, reason, type Setting } from './reason.ts';

/** `eggs-too-old`: eggs set after more days in storage than the season allows. */
export const eggsTooOld = gathered(function* ({ season }: Setting): Generator<Reason> {
  for (const { set, pen, on, at, drawn } of sharesIn(season)) {
    const most = season.storageMaxDays(pen.line.species);
    const old = drawn.filter((one) => one.age > most);
    if (old.length === 0) continue;
    const eggs = total(old, (one) => one.eggs);
    const oldest = largest(old.map((one) => one.age));
    yield reason(
      'eggs-too-old',
      at,
      `${set}: ${plural(eggs, 'egg')} of ${pen.name} stored ${plural(oldest, 'day')}; ${most} allowed`,
      {
        set,
        pen: pen.name,
        day: on.day,
        held: oldest,
        room: most,
        hint: 'expect fewer and later chicks of these',
      },
    );
  }
});

const sharesIn = (season: Season): Share[] =>
  [...season.sets.values()].flatMap((set) => set.shares);

/** `eggs-not-rested`: eggs set as they came off the road; a loose air cell settles if they stand first. */
export const eggsNotRested = gathered(function* ({ season }: Setting): Generator<Reason> {
  const tooSoon = (set: string, pen: Pen, day: Day, at: Place): Reason =>
    reason(
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
  for (const { set, pen, on, at, drawn } of sharesIn(season))
    if (drawn.some((one) => on.day < restedOn(pen, one.laid))) yield tooSoon(set, pen, on.day, at);
  for (const { name, on, at, shares } of openPlan(season))
    for (const { pen } of shares)
      if (isPosted(pen) && on < restedOn(pen, laidOn(pen, pen.bought!.on)))
        yield tooSoon(name, pen, on, at);
});

const notWritten = (pen: string): string =>
  `a day of eggs not written down? traybook add eggs ${pen} --on DAY --kept N`;

/**
 * `eggs-not-there`: more eggs set than were kept; or planned than are in store and expected to be
 * laid by then, in order of the plan. Without expectations only today's sets are asked about.
 */
export const eggsNotThere = gathered(function* ({
  season,
  now,
  expected,
}: Setting): Generator<Reason> {
  for (const { set, pen, on, at, eggs, notKept } of sharesIn(season))
    if (notKept > 0)
      yield reason(
        'eggs-not-there',
        at,
        `${set}: ${plural(eggs, 'egg')} of ${pen.name} set, ${notKept} of them never written down as kept`,
        {
          set,
          pen: pen.name,
          day: on.day,
          held: eggs,
          room: eggs - notKept,
          hint: notWritten(pen.name),
        },
      );
  const lines = new Map(openPlan(season).map((one) => [one.name, one]));
  for (const draw of plannedDraws(season, now.day, expected?.eggsADay ?? (() => 0))) {
    const { set, pen, missing } = draw;
    const { on, at, shares } = lines.get(set)!;
    if (missing <= 0 || (expected === null && on !== now.day)) continue;
    const { eggs } = shares.find((share) => share.pen.name === pen)!;
    const have = eggs - missing;
    const end = layEnds(season, season.pens.get(pen)!);
    yield reason(
      'eggs-not-there',
      at,
      on === now.day
        ? `${set}: ${plural(eggs, 'egg')} of ${pen} planned for today, and ${have} in store`
        : `${set}: ${plural(eggs, 'egg')} of ${pen} planned for ${on}, and ${have} expected to be there, not too old`,
      {
        set,
        pen,
        day: on,
        held: eggs,
        room: have,
        severity: 'warning',
        hint: end !== null && end <= on ? endOfLay(pen, end) : null,
      },
    );
  }
});

/** More eggs sold, eaten, thrown away or sent off than were in store. */
export const eggsOutNotThere = gathered(function* ({ season }: Setting): Generator<Reason> {
  for (const { row, notKept } of season.eggsOut) {
    const { pen, eggs, way } = row.values;
    const room = eggs - notKept;
    if (notKept > 0)
      yield reason(
        'eggs-not-there',
        row.at,
        `${pen}: ${plural(eggs, 'egg')} ${way}, and ${room} in store`,
        {
          pen,
          about: row.entry,
          day: row.on.day,
          held: eggs,
          room,
          hint: notWritten(pen),
        },
      );
  }
});
