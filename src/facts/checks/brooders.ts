import { broodingOf, holdingFigures } from '../../season/brooding.ts';
import type { Line } from '../../season/model.ts';
import { type Day, daysBetween } from '../../text/day.ts';
import { type Fault, fault } from '../../text/fault.ts';
import { nightsOf, type Stay, staysOf } from '../birds/brooders.ts';
import { flockOf, type Group, type GroupPart, kindOfLine } from '../birds/groups.ts';
import { actHoursOf, waitingChicks, waitsOf } from '../birds/holding.ts';
import { pairsOf } from '../feasible/trays.ts';
import { sharedDays } from '../spans.ts';
import type { Check, Checked } from './check.ts';

function staysOfChecked({ season, now }: Checked): Stay[] {
  return staysOf(season, flockOf(season).groups.values(), now, nightsOf(season));
}

/** What the fold of the flock could not count in: more birds than live, chicks not hatched … */
export const flockBalance: Check = ({ season }) => [...flockOf(season).faults];

type Together = { a: Stay; b: Stay; from: Day };

/** Pairs of different groups that share a brooder, from the day they do. */
function together(stays: readonly Stay[]): Together[] {
  return pairsOf(stays).flatMap(([a, b]): Together[] => {
    if (a.brooder !== b.brooder || a.group === b.group) return [];
    const shared = sharedDays(a, b);
    return shared === null ? [] : [{ a, b, from: shared.from }];
  });
}

/** Pairs of lines under one roof: of two groups, or within one. */
function linePairs(stays: readonly Stay[]): { a: Line; b: Line; stay: Stay; from: Day }[] {
  const pairs = together(stays).flatMap(({ a, b, from }) =>
    a.group.lines.flatMap((one) =>
      b.group.lines.map((other) => ({ a: one, b: other, stay: a.from > b.from ? a : b, from })),
    ),
  );
  for (const stay of stays)
    for (const [a, b] of pairsOf(stay.group.lines)) pairs.push({ a, b, stay, from: stay.from });
  const seen = new Set<string>();
  return pairs.filter(({ a, b, stay }) => {
    const key = [[a.speciesName, b.speciesName].sort().join(' '), stay.brooder, stay.group.name];
    if (a.speciesName === b.speciesName || seen.has(key.join(' '))) return false;
    seen.add(key.join(' '));
    return true;
  });
}

/** `waterfowl-with-chicks`: ducks or geese under one roof with anything else. */
export const waterfowlWithChicks: Check = (checked) =>
  linePairs(staysOfChecked(checked))
    .filter(({ a, b }) => (a.species.group === 'waterfowl') !== (b.species.group === 'waterfowl'))
    .map(({ a, b, stay, from }) =>
      fault(
        'waterfowl-with-chicks',
        stay.group.at,
        `${stay.brooder}: ${a.speciesName} and ${b.speciesName} together from ${from}`,
        {
          set: stay.group.parts[0]!.set,
          hint: 'waterfowl wet the litter, want less heat sooner, and unmedicated feed with more niacin: give them a brooder of their own',
        },
      ),
    );

/** `kept-apart`: turkeys with chickens or on their ground; game birds with other kinds. */
export const keptApart: Check = (checked) => {
  const faults = linePairs(staysOfChecked(checked)).flatMap(({ a, b, stay, from }) => {
    const kinds = [a.species.group, b.species.group];
    if (kinds.includes('waterfowl')) return [];
    const turkey = kinds.includes('turkey') && kinds.includes('fowl');
    if (!turkey && !kinds.includes('game') && !kinds.includes('turkey')) return [];
    return [
      fault(
        'kept-apart',
        stay.group.at,
        `${stay.brooder}: ${a.speciesName} and ${b.speciesName} together from ${from}`,
        {
          set: stay.group.parts[0]!.set,
          severity: turkey ? 'error' : 'warning',
          hint: turkey
            ? 'chickens carry blackhead and show little: brood turkeys apart'
            : 'game birds catch and carry blackhead and pick at others: brood them apart',
        },
      ),
    ];
  });
  return [...faults, ...turkeyGround(checked)];
};

/** Turkeys moved to ground that chickens used before, this season. */
function turkeyGround({ season }: Checked): Fault[] {
  const groups = [...flockOf(season).groups.values()];
  return groups
    .filter((group) => group.lines.some((line) => line.species.group === 'turkey'))
    .flatMap((group) =>
      group.moves.flatMap((row) => {
        const { to } = row.values;
        if (season.brooders.has(to) || to === 'out') return [];
        const before = groups.find(
          (other) =>
            other.lines.some((line) => line.species.group === 'fowl') &&
            other.standings.some((one) => one.day <= row.on.day && one.places.has(to)),
        );
        return before
          ? [
              fault(
                'kept-apart',
                row.at,
                `${to}: turkeys of ${group.name} go where chickens of ${before.name} have been`,
                { severity: 'warning', hint: 'blackhead stays in the ground for years' },
              ),
            ]
          : [];
      }),
    );
}

/** Age in days up to which the gap between ages must be the smaller one. */
const YOUNG_DAYS = 28;

/** `ages-apart`: older birds trample and crowd out younger ones. */
export const agesApart: Check = (checked) => {
  const { season } = checked;
  const stays = staysOfChecked(checked);
  const tell = (stay: Stay, young: Group, old: Day, from: Day): Fault[] => {
    const gaps = broodingOf(kindOfLine(season, young.line)).gap_days.value;
    const gap = daysBetween(old, young.youngest);
    const most = daysBetween(young.youngest, from) < YOUNG_DAYS ? gaps.early : gaps.late;
    return gap > most
      ? [
          fault(
            'ages-apart',
            stay.group.at,
            `${stay.brooder}: birds ${gap} days apart in age together from ${from}; ${most} at most is common practice`,
            { severity: 'warning', set: young.parts[0]!.set },
          ),
        ]
      : [];
  };
  const pairs = together(stays).flatMap(({ a, b, from }) => {
    const [young, old] = a.group.youngest >= b.group.youngest ? [a, b] : [b, a];
    return tell(young, young.group, old.group.oldest, from);
  });
  const within = stays.flatMap((stay) => tell(stay, stay.group, stay.group.oldest, stay.from));
  return [...within, ...pairs];
};

/** `look-alike`: two lines with the same down in one brooder, and no mark to tell them by. */
export const lookAlike: Check = (checked) => {
  const faults: Fault[] = [];
  const stays = staysOfChecked(checked);
  const seen = new Set<string>();
  const tell = (a: GroupPart, b: GroupPart, stay: Stay): void => {
    const [one, other] = [a.pen.line, b.pen.line];
    if (one === other || one.speciesName !== other.speciesName) return;
    if ((a.mark ?? '') !== (b.mark ?? '')) return;
    const known = one.down !== null && other.down !== null;
    if (known && one.down!.toLowerCase() !== other.down!.toLowerCase()) return;
    const key = `${stay.brooder} ${[a.set, a.pen.name, b.set, b.pen.name].join(' ')}`;
    if (seen.has(key)) return;
    seen.add(key);
    faults.push(
      fault(
        'look-alike',
        b.at,
        known
          ? `${stay.brooder}: ${one.name} and ${other.name} both hatch ${one.down}, and no mark tells them apart`
          : `${stay.brooder}: season.yaml does not give the down of ${one.down === null ? one.name : other.name}; ${one.name} and ${other.name} have no mark that tells them apart`,
        {
          set: b.set,
          pen: b.pen.name,
          severity: known ? 'error' : 'warning',
          hint: 'mark one line (toe punch, leg band) before they mix, and write it: mark',
        },
      ),
    );
  };
  for (const stay of stays) for (const [a, b] of pairsOf(stay.group.parts)) tell(a, b, stay);
  for (const { a, b } of together(stays)) {
    const [first, second] = a.from <= b.from ? [a, b] : [b, a];
    for (const one of first.group.parts)
      for (const other of second.group.parts) tell(one, other, second);
  }
  return faults;
};

/** `held-too-long`: chicks waiting, or that waited, beyond the hours in which they must be fed. */
export const heldTooLong: Check = ({ season, now }) => {
  // A book without brooders and groups does not say where chicks went: the morning asks, no more.
  const keepsBirds = season.brooders.size > 0 || season.rows.group.length > 0;
  const waiting = (keepsBirds ? waitingChicks(season, now) : [])
    .filter((one) => one.low >= one.actHours)
    .map((one) =>
      fault(
        'held-too-long',
        one.at,
        `${one.set}: ${one.chicks} chicks taken off on ${one.since.day} are in no group; ${Math.floor(one.low)} hours at the least`,
        {
          set: one.set,
          hint: `put them under heat with feed and water, and write it: traybook add group NAME --set ${one.set} --brooder NAME --chicks ${one.chicks}; gone another way? traybook add tick ${one.set}/brood`,
          severity: 'warning',
        },
      ),
    )
    .filter((one) => !season.rows.tick.some((row) => row.values.task === `${one.set}/brood`));
  const waited = waitsOf(season)
    .filter((one) => one.low >= actHoursOf(season.sets.get(one.set)!))
    .map((one) =>
      fault(
        'held-too-long',
        one.at,
        `${one.set} ${one.pen}: the first of ${one.chicks} chicks waited ${Math.floor(one.low)} hours or more; ${actHoursOf(season.sets.get(one.set)!)} at most, and ${holdingFigures.limit_hours.value} is the limit of survival`,
        { set: one.set, pen: one.pen, severity: 'warning' },
      ),
    );
  return [...waiting, ...waited];
};
