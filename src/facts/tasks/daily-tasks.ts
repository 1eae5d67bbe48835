import type { Now, Season } from '../../season/model.ts';
import { addDays, type Day } from '../../text/day.ts';
import { storedEggs } from '../egg-store.ts';
import type { TaskDraft } from './task.ts';
import { work } from './work.ts';

/** What comes back every day while there are eggs: collect, turn in store, read machines, water. */
export function dailyTasks(season: Season, now: Now): TaskDraft[] {
  const out: TaskDraft[] = [];
  const { day } = now;
  const put = (
    id: string,
    kind: string,
    place: string | null,
    title: string,
    why: string,
    settle: string,
  ): void => {
    out.push({
      id,
      kind,
      due: day,
      until: day,
      set: null,
      pen: null,
      place,
      count: null,
      title,
      why,
      settle,
      daily: true,
    });
  };
  const laying = [...season.pens.values()].filter(
    (pen) => pen.joined <= day && (pen.parted === null || day < pen.parted) && pen.hens > 0,
  );
  if (isSetting(season, day)) {
    const gathered = new Set(
      season.rows.eggs.filter((row) => row.on.day === day).map((row) => row.values.pen),
    );
    for (const pen of laying) {
      if (gathered.has(pen.name)) continue;
      put(
        `eggs/${day}/${pen.name}`,
        'collect',
        pen.name,
        `Collect eggs from ${pen.name}`,
        'cool them the same day; write down laid, kept and why not',
        `add eggs ${pen.name} --laid N --kept N`,
      );
    }
  }
  const stored = storedEggs(season, day).settable;
  const oldest = stored.reduce((most, lot) => Math.max(most, lot.age), 0);
  const turns = season.values.storage.turns_per_day;
  if (turns > 0 && oldest >= work.storage_turning_from_days.value) {
    const eggs = stored.reduce((sum, lot) => sum + lot.left, 0);
    for (const turn of turnNames(turns))
      put(
        `storage/${day}/turn-${turn}`,
        'turn',
        'storage',
        `Turn ${eggs} stored eggs (${turn})`,
        `the oldest is ${oldest} days old`,
        `add tick storage/${day}/turn-${turn}`,
      );
  }
  for (const machine of machinesInUse(season)) {
    const read = season.rows.reading.filter(
      (row) => row.values.machine === machine && row.on.day === day && row.values.event === null,
    );
    if (read.length < work.read_machine_per_day.value)
      put(
        `${machine}/${day}/read`,
        'read',
        machine,
        `Read ${machine}`,
        'temperature and humidity',
        `add reading ${machine} --dry N --rh N`,
      );
    put(
      `${machine}/${day}/water`,
      'water',
      machine,
      `Water in ${machine}`,
      'fill with warm water',
      `add tick ${machine}/${day}/water`,
    );
    const setter = season.setters.get(machine);
    if (setter?.turns === 'hand')
      put(
        `${machine}/${day}/turn`,
        'turn',
        machine,
        `Turn the eggs in ${machine}`,
        'an odd number of times, three or more',
        `add tick ${machine}/${day}/turn`,
      );
  }
  for (const hen of hensSitting(season))
    put(
      `${hen}/${day}/off`,
      'hen',
      hen,
      `Let ${hen} off to feed, drink and drop`,
      `${work.broody_off_minutes.value} minutes a day; see that she goes back`,
      `add tick ${hen}/${day}/off`,
    );
  return out;
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

/** Setters and hatchers with eggs in them, by name. A hen is no machine. */
export function machinesInUse(season: Season): string[] {
  const used = new Set<string>();
  for (const set of season.sets.values())
    for (const share of set.shares) {
      if (share.stage === 'in-setter' && share.live > 0)
        for (const one of share.trays) if (!share.underHen) used.add(one.setter);
      if (share.stage === 'in-hatcher' && share.hatcher !== null) used.add(share.hatcher);
    }
  return [...used].sort();
}
