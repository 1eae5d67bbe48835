import { hatchesInPlace } from '../../season/hens.ts';
import type { Now, Season } from '../../season/model.ts';
import { plural } from '../../tables/numbers.ts';
import { addDays, type Day } from '../../text/day.ts';
import { storedEggs } from '../egg-store.ts';
import { total } from '../tally.ts';
import { type Put, type TaskDraft, taskOf } from './task.ts';
import { work } from './work.ts';

/** What comes back every day while there are eggs: collect, turn in store, read machines, water. */
export function dailyTasks(season: Season, { day }: Now): TaskDraft[] {
  return [
    ...gathering(season, day),
    ...turning(season, day),
    ...machinesInUse(season).flatMap((machine) => ofMachine(season, machine, day)),
    ...hensSitting(season).map((hen) =>
      daily(day, {
        id: `${hen}/${day}/off`,
        kind: 'hen',
        place: hen,
        title: `Let ${hen} off to feed, drink and drop`,
        why: `${work.broody_off_minutes.value} minutes a day; see that she goes back`,
      }),
    ),
  ];
}

const daily = (day: Day, one: Omit<Put, 'due' | 'daily'>): TaskDraft =>
  taskOf({ ...one, due: day, daily: true });

function gathering(season: Season, day: Day): TaskDraft[] {
  if (!isSetting(season, day)) return [];
  const today = season.rows.eggs.filter((row) => row.on.day === day);
  return [...season.pens.values()]
    .filter((pen) => pen.joined <= day && (pen.parted === null || day < pen.parted))
    .filter(({ name, hens }) => hens > 0 && !today.some((row) => row.values.pen === name))
    .map(({ name }) =>
      daily(day, {
        id: `eggs/${day}/${name}`,
        kind: 'collect',
        place: name,
        title: `Collect eggs from ${name}`,
        why: 'cool them the same day; write down laid, kept and why not',
        settle: `add eggs ${name} --laid N --kept N`,
      }),
    );
}

function turning(season: Season, day: Day): TaskDraft[] {
  const stored = storedEggs(season, day).settable;
  const oldest = stored.reduce((most, lot) => Math.max(most, lot.age), 0);
  if (oldest < work.storage_turning_from_days.value) return [];
  return turnNames(season.values.storage.turns_per_day).map((turn) =>
    daily(day, {
      id: `storage/${day}/turn-${turn}`,
      kind: 'turn',
      place: 'storage',
      title: `Turn ${plural(
        total(stored, (lot) => lot.left),
        'stored egg',
      )} (${turn})`,
      why: `the oldest is ${plural(oldest, 'day')} old`,
    }),
  );
}

function ofMachine(season: Season, machine: string, day: Day): TaskDraft[] {
  const read = season.rows.reading.filter(
    (row) => row.values.machine === machine && row.on.day === day && row.values.event === null,
  );
  const reading = daily(day, {
    id: `${machine}/${day}/read`,
    kind: 'read',
    place: machine,
    title: `Read ${machine}`,
    why: 'temperature and humidity',
    settle: `add reading ${machine} --dry N --rh N`,
  });
  const water = daily(day, {
    id: `${machine}/${day}/water`,
    kind: 'water',
    place: machine,
    title: `Water in ${machine}`,
    why: 'fill with warm water',
  });
  const turn = daily(day, {
    id: `${machine}/${day}/turn`,
    kind: 'turn',
    place: machine,
    title: `Turn the eggs in ${machine}`,
    why: 'an odd number of times, three or more',
  });
  return [
    ...(read.length < work.read_machine_per_day.value ? [reading] : []),
    water,
    ...(season.setters.get(machine)?.turns === 'hand' && settersTurning(season).has(machine)
      ? [turn]
      : []),
  ];
}

function turnNames(turns: number): string[] {
  if (turns === 1) return ['once'];
  if (turns === 2) return ['am', 'pm'];
  return Array.from({ length: turns }, (_, index) => String(index + 1));
}

/** Eggs are wanted while a planned set is still to come, or when nothing is planned at all. */
function isSetting(season: Season, day: Day): boolean {
  if (season.planned.length === 0) {
    const last = [...season.sets.values()].at(-1);
    return last === undefined || day <= addDays(last.on.day, work.setting_pause_days.value);
  }
  return season.planned.some((one) => one.on >= day && !season.sets.has(one.name));
}

/** Hens with eggs under them: nobody reads, waters or turns, but they must eat. */
function hensSitting(season: Season): string[] {
  const shares = [...season.sets.values()].flatMap((set) => set.shares);
  const sat = shares.filter((one) => one.underHen && one.stage === 'in-setter' && one.live > 0);
  return [...new Set(sat.flatMap((share) => share.trays.map((one) => one.setter)))].sort();
}

/** Setters in which eggs are still turned. A hen is no machine. */
function settersTurning(season: Season): Set<string> {
  const shares = [...season.sets.values()].flatMap((set) => set.shares);
  const lying = shares.filter((one) => !one.underHen && one.stage === 'in-setter' && one.live > 0);
  return new Set(lying.flatMap((share) => share.trays.map((one) => one.setter)));
}

/** Setters and hatchers with eggs in them, by name. Without a hatcher eggs hatch where they lay. */
export function machinesInUse(season: Season): string[] {
  const used = settersTurning(season);
  for (const set of season.sets.values())
    for (const share of set.shares) {
      if (share.stage !== 'in-hatcher') continue;
      if (share.hatcher !== null) used.add(share.hatcher);
      else if (hatchesInPlace(season, share) && !share.underHen)
        for (const one of share.trays) used.add(one.setter);
    }
  return [...used].sort();
}
