import { broodingOf, holdingFigures } from '../../season/brooding.ts';
import type { Line } from '../../season/model.ts';
import { plural } from '../../tables/numbers.ts';
import { type Day, daysBetween } from '../../text/day.ts';
import { type Fault, fault } from '../../text/fault.ts';
import { gathered, groupedBy } from '../../text/lists.ts';
import { nightsOf, type Stay, staysOf } from '../birds/brooders.ts';
import { flockOf, type Group, kindOfLine, OUTSIDE } from '../birds/groups.ts';
import { actHoursOf, waitingChicks, waitsOf } from '../birds/holding.ts';
import { pairsOf } from '../feasible/trays.ts';
import { sharedDays } from '../spans.ts';
import type { Check, Checked } from './check.ts';

function staysOfChecked({ season, now }: Checked): Stay[] {
  return staysOf(season, flockOf(season).groups.values(), now, nightsOf(season));
}

/** What the fold of the flock could not count in: more birds than live, chicks not hatched … */
export const flockBalance = ({ season }: Checked): readonly Fault[] => flockOf(season).faults;

type Together = { a: Stay; b: Stay; from: Day };

/** Pairs of different groups that share a brooder, from the day they do. */
function together(stays: readonly Stay[]): Together[] {
  return pairsOf(stays).flatMap(([a, b]): Together[] => {
    if (a.brooder !== b.brooder || a.group === b.group) return [];
    const shared = sharedDays(a, b);
    return shared === null ? [] : [{ a, b, from: shared.from }];
  });
}

/** Pairs of lines of two kinds under one roof: of two groups, or within one. Each pair of kinds once. */
function linePairs(checked: Checked): { a: Line; b: Line; stay: Stay; words: string }[] {
  const stays = staysOfChecked(checked);
  const pairs = together(stays).flatMap(({ a, b, from }) =>
    a.group.lines.flatMap((one) =>
      b.group.lines.map((other) => ({ a: one, b: other, stay: a.from > b.from ? a : b, from })),
    ),
  );
  for (const stay of stays)
    for (const [a, b] of pairsOf(stay.group.lines)) pairs.push({ a, b, stay, from: stay.from });
  const byKinds = groupedBy(
    pairs.filter(({ a, b }) => a.speciesName !== b.speciesName),
    ({ a, b, stay }) =>
      [...[a.speciesName, b.speciesName].sort(), stay.brooder, stay.group.name].join(' '),
  );
  return [...byKinds.values()].map(([first]) => {
    const { a, b, stay, from } = first!;
    const words = `${stay.brooder}: ${a.speciesName} and ${b.speciesName} together from ${from}`;
    return { a, b, stay, words };
  });
}

/** `waterfowl-with-chicks`: ducks or geese under one roof with anything else. */
export const waterfowlWithChicks = gathered(function* (checked: Checked): Generator<Fault> {
  for (const { a, b, stay, words } of linePairs(checked))
    if ((a.species.group === 'waterfowl') !== (b.species.group === 'waterfowl'))
      yield fault('waterfowl-with-chicks', stay.group.at, words, {
        set: stay.group.parts[0]!.set,
        hint: 'waterfowl wet the litter, want less heat sooner, and unmedicated feed with more niacin: give them a brooder of their own',
      });
});

/** `kept-apart`: turkeys with chickens or on their ground; game birds with other kinds. */
export const keptApart = gathered(function* (checked: Checked): Generator<Fault> {
  for (const { a, b, stay, words } of linePairs(checked)) {
    const kinds = [a.species.group, b.species.group];
    if (kinds.includes('waterfowl')) continue;
    const turkey = kinds.includes('turkey') && kinds.includes('fowl');
    if (turkey || kinds.includes('game') || kinds.includes('turkey'))
      yield fault('kept-apart', stay.group.at, words, {
        set: stay.group.parts[0]!.set,
        severity: turkey ? 'error' : 'warning',
        hint: turkey
          ? 'chickens carry blackhead and show little: brood turkeys apart'
          : 'game birds catch and carry blackhead and pick at others: brood them apart',
      });
  }
  yield* turkeyGround(checked);
});

/** Turkeys moved to ground that chickens used before, this season. */
function* turkeyGround({ season }: Checked): Generator<Fault> {
  const groups = [...flockOf(season).groups.values()];
  const isOf = (group: Group, kind: string) =>
    group.lines.some((line) => line.species.group === kind);
  for (const group of groups.filter((one) => isOf(one, 'turkey')))
    for (const row of group.moves) {
      const { to } = row.values;
      if (season.brooders.has(to) || to === OUTSIDE) continue;
      const before = groups.find(
        (other) =>
          isOf(other, 'fowl') &&
          other.standings.some((one) => one.day <= row.on.day && one.places.has(to)),
      );
      if (before)
        yield fault(
          'kept-apart',
          row.at,
          `${to}: turkeys of ${group.name} go where chickens of ${before.name} have been`,
          { severity: 'warning', hint: 'blackhead stays in the ground for years' },
        );
    }
}

/** Age in days up to which the gap between ages must be the smaller one. */
const YOUNG_DAYS = 28;

/** `ages-apart`: older birds trample and crowd out younger ones. */
export const agesApart = gathered(function* (checked: Checked): Generator<Fault> {
  const stays = staysOfChecked(checked);
  const within = stays.map((stay) => ({ stay, oldest: stay.group.oldest, from: stay.from }));
  const pairs = together(stays).map(({ a, b, from }) => {
    const [young, old] = a.group.youngest >= b.group.youngest ? [a, b] : [b, a];
    return { stay: young, oldest: old.group.oldest, from };
  });
  for (const { stay, oldest, from } of [...within, ...pairs]) {
    const { line, youngest, parts, at } = stay.group;
    const gaps = broodingOf(kindOfLine(checked.season, line)).gap_days.value;
    const gap = daysBetween(oldest, youngest);
    const most = daysBetween(youngest, from) < YOUNG_DAYS ? gaps.early : gaps.late;
    if (gap > most)
      yield fault(
        'ages-apart',
        at,
        `${stay.brooder}: birds ${gap} days apart in age together from ${from}; ${most} at most is common practice`,
        { severity: 'warning', set: parts[0]!.set },
      );
  }
});

/** `look-alike`: two lines with the same down in one brooder, and no mark to tell them by. */
export const lookAlike = gathered(function* (checked: Checked): Generator<Fault> {
  const stays = staysOfChecked(checked);
  const within = stays.flatMap(({ brooder, group }) =>
    pairsOf(group.parts).map(([a, b]) => ({ brooder, a, b })),
  );
  const between = together(stays).flatMap(({ a, b }) => {
    const [first, second] = a.from <= b.from ? [a, b] : [b, a];
    return first.group.parts.flatMap((one) =>
      second.group.parts.map((other) => ({ brooder: second.brooder, a: one, b: other })),
    );
  });
  const seen = new Set<string>();
  for (const { brooder, a, b } of [...within, ...between]) {
    const [one, other] = [a.pen.line, b.pen.line];
    if (one === other || one.speciesName !== other.speciesName) continue;
    if ((a.mark ?? '') !== (b.mark ?? '')) continue;
    const known = one.down !== null && other.down !== null;
    if (known && one.down!.toLowerCase() !== other.down!.toLowerCase()) continue;
    const key = [brooder, a.set, a.pen.name, b.set, b.pen.name].join(' ');
    if (seen.has(key)) continue;
    seen.add(key);
    yield fault(
      'look-alike',
      b.at,
      known
        ? `${brooder}: ${one.name} and ${other.name} both hatch ${one.down}, and no mark tells them apart`
        : `${brooder}: season.yaml does not give the down of ${one.down === null ? one.name : other.name}; ${one.name} and ${other.name} have no mark that tells them apart`,
      {
        set: b.set,
        pen: b.pen.name,
        severity: known ? 'error' : 'warning',
        hint: 'mark one line (toe punch, leg band) before they mix, and write it: mark',
      },
    );
  }
});

/** `held-too-long`: chicks waiting, or that waited, beyond the hours in which they must be fed. */
export const heldTooLong = gathered(function* ({ season, now }: Checked): Generator<Fault> {
  // A book without brooders and groups does not say where chicks went: the morning asks, no more.
  const keepsBirds = season.brooders.size > 0 || season.rows.group.length > 0;
  for (const { set, at, chicks, since, low, actHours } of waitingChicks(season, now))
    if (keepsBirds && low >= actHours)
      yield fault(
        'held-too-long',
        at,
        `${set}: ${plural(chicks, 'chick')} taken off on ${since.day} and in no group; ${Math.floor(low)} hours at the least`,
        {
          set,
          hint: `put them under heat with feed and water, and write it: traybook add group NAME --set ${set} --brooder NAME --chicks ${chicks}; gone another way? traybook add tick ${set}/brood`,
          severity: 'warning',
        },
      );
  for (const { set, pen, at, chicks, low } of waitsOf(season)) {
    const most = actHoursOf(season.sets.get(set)!);
    if (low >= most)
      yield fault(
        'held-too-long',
        at,
        `${set} ${pen}: the first of ${plural(chicks, 'chick')} waited ${Math.floor(low)} hours or more; ${most} at most, and ${holdingFigures.limit_hours.value} is the limit of survival`,
        { set, pen, severity: 'warning' },
      );
  }
});

export const brooderChecks: readonly Check[] = [
  flockBalance,
  heldTooLong,
  waterfowlWithChicks,
  keptApart,
  agesApart,
  lookAlike,
];
