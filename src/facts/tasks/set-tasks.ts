import type { EggSet, Now, PlannedSet, Season, Share } from '../../season/model.ts';
import { addDays, type Day, daysBetween, later, numberOfDay } from '../../text/day.ts';
import { addAll } from '../../text/lists.ts';
import { workingDay } from '../days-off.ts';
import { hasHatched } from '../expected.ts';
import { type Milestones, milestonesOfPlanned, milestonesOfSet, openPlan } from '../hatch-time.ts';
import { type Occupancy, occupancyOf } from '../occupancy.ts';
import type { TaskDraft } from './task.ts';
import { work } from './work.ts';

/** What there is to do for each set: set, candle, transfer, damp up, watch, hatch, clean. */
export function setTasks(season: Season, now: Now): TaskDraft[] {
  const occupancy = occupancyOf(season, now);
  const hatcherOf = hatchersBySet(occupancy);
  const out: TaskDraft[] = [];
  for (const set of season.sets.values()) addAll(out, tasksOfSet(set, season, hatcherOf(set.name)));
  for (const one of openPlan(season)) {
    out.push(settingTask(one));
    // What was to be set and was not has nothing to candle or move.
    if (one.on >= now.day) addAll(out, tasksOfPlanned(one, season, hatcherOf(one.name)));
  }
  // A transfer into a hatcher means that it was made ready: earlier cleaning is moot.
  const moved = new Map<string, Day>();
  for (const span of occupancy.hatchers)
    if (span.state === 'actual')
      moved.set(span.hatcher, later(moved.get(span.hatcher) ?? span.from, span.from));
  return out.filter((task) => {
    if (task.kind !== 'clean' || task.place === null) return true;
    const next = moved.get(task.place);
    return next === undefined || next < task.due;
  });
}

/**
 * Every date of every set, done or not, for a calendar: it must not change when a record settles
 * a task. Ids are those of the tasks.
 */
export function setDates(season: Season, now: Now): TaskDraft[] {
  const hatcherOf = hatchersBySet(occupancyOf(season, now));
  const out: TaskDraft[] = [];
  for (const set of season.sets.values()) {
    const eggs = set.shares.reduce((sum, share) => sum + share.eggs, 0);
    const pens = set.shares.map((share) => share.pen.name);
    const dates = milestonesOfSet(set, season);
    const tray = trayText(set);
    out.push({
      id: `${set.name}/set`,
      kind: 'set',
      due: dates.set,
      until: dates.set,
      set: set.name,
      pen: null,
      place: tray,
      count: eggs,
      title: `${set.name}: ${eggs} ${set.speciesName} eggs set`,
      why: set.shares.map((share) => `${share.pen.name} ${share.eggs}`).join(', '),
      settle: '',
    });
    const all = { count: eggs, pens };
    const hatcher =
      hatcherOf(set.name) ?? set.shares.find((share) => share.hatcher)?.hatcher ?? null;
    addAll(
      out,
      datedTasks({
        set: set.name,
        season,
        dates,
        hatcher,
        tray,
        candle: () => all,
        transfer: all,
        hatch: all,
        skip: new Set(),
        emptyOn: dates.lastOpening,
      }),
    );
  }
  for (const one of openPlan(season))
    out.push(settingTask(one), ...tasksOfPlanned(one, season, hatcherOf(one.name)));
  return out.sort((a, b) => (a.due < b.due ? -1 : a.due > b.due ? 1 : 0));
}

function hatchersBySet(occupancy: Occupancy): (set: string) => string | null {
  const hatchers = new Map<string, string>();
  for (const span of occupancy.hatchers)
    if (!hatchers.has(span.set)) hatchers.set(span.set, span.hatcher);
  return (set) => hatchers.get(set) ?? null;
}

function settingTask(one: PlannedSet): TaskDraft {
  const eggs = one.shares.reduce((sum, share) => sum + share.eggs, 0);
  return {
    id: `${one.name}/set`,
    kind: 'set',
    due: one.on,
    until: one.on,
    set: one.name,
    pen: null,
    place: `${one.setter} tray ${one.trays.join(', ')}`,
    count: eggs,
    title: `Set ${eggs} ${one.speciesName} eggs as ${one.name} in ${one.setter} tray ${one.trays.join(', ')}: ${one.shares.map((s) => `${s.pen.name} ${s.eggs}`).join(', ')}`,
    why: 'planned in season.yaml',
    settle: `add set ${one.name} --as-planned`,
  };
}

function tasksOfPlanned(one: PlannedSet, season: Season, hatcher: string | null): TaskDraft[] {
  const eggs = one.shares.reduce((sum, share) => sum + share.eggs, 0);
  const dates = milestonesOfPlanned(one, season);
  return datedTasks({
    set: one.name,
    season,
    dates,
    hatcher,
    tray: `${one.setter} tray ${one.trays.join(', ')}`,
    candle: () => ({ count: eggs, pens: [] }),
    transfer: { count: eggs, pens: [] },
    hatch: { count: eggs, pens: [] },
    skip: new Set(),
    emptyOn: dates.lastOpening,
  });
}

/** Where a set lies: `cabinet tray 1, 2`. */
function trayText(set: EggSet): string | null {
  const trays = set.shares.flatMap((share) => share.trays);
  const numbers = [...new Set(trays.map((one) => one.tray))].filter((one) => one !== null);
  if (numbers.length === 0) return null;
  return `${trays[0]!.setter} tray ${numbers.sort((a, b) => a - b).join(', ')}`;
}

type TaskPart = { readonly count: number; readonly pens: readonly string[] };
type Dated = {
  set: string;
  season: Season;
  dates: Milestones;
  hatcher: string | null;
  tray: string | null;
  candle: (index: number) => TaskPart;
  transfer: TaskPart;
  hatch: TaskPart;
  /** Task kinds, and `candle-1` and so on, that a record has settled. */
  skip: ReadonlySet<string>;
  emptyOn: Day;
};

function tasksOfSet(set: EggSet, season: Season, hatcher: string | null): TaskDraft[] {
  const open = set.shares.filter((share) => share.stage !== 'finished');
  const inSetter = open.filter((share) => share.stage === 'in-setter' && share.live > 0);
  const inHatcher = open.filter((share) => share.stage === 'in-hatcher');
  const dates = milestonesOfSet(set, season);
  const skip = new Set<string>();
  const sum = (shares: readonly Share[]): TaskPart => ({
    count: shares.reduce((total, share) => total + share.live, 0),
    pens: shares.map((share) => share.pen.name),
  });
  const uncandled = (index: number): Share[] =>
    inSetter.filter((share) => !isCandled(share, index));
  for (let index = 0; index < dates.candle.length; index += 1)
    if (uncandled(index).length === 0) skip.add(`candle-${index + 1}`);
  const stays = season.hatchers.size === 0;
  if (inSetter.length === 0) skip.add('transfer');
  const waiting = stays ? open.filter((share) => share.live > 0) : [...inHatcher, ...inSetter];
  if (waiting.length === 0)
    for (const kind of ['damp-up', 'watch', 'hatch', 'last-opening']) skip.add(kind);
  if (set.shares.some(hasHatched)) for (const kind of ['damp-up', 'watch']) skip.add(kind);
  if (waiting.every(hasHatched)) skip.add('hatch');
  const isRead = (): boolean =>
    season.rows.reading.some(
      (row) =>
        row.values.machine === hatcher && row.on.day >= dates.transfer && row.values.event === null,
    );
  if (!skip.has('damp-up') && isRead()) skip.add('damp-up');
  const finished = set.shares.every((share) => share.stage === 'finished' || share.live <= 0);
  const emptyOn = finished
    ? set.shares.reduce((last, share) => later(last, share.finishedOn ?? last), set.on.day)
    : dates.lastOpening;
  return datedTasks({
    set: set.name,
    season,
    dates,
    hatcher,
    tray: trayText(set),
    candle: (index) => sum(uncandled(index)),
    transfer: sum(inSetter),
    hatch: sum(waiting),
    skip,
    emptyOn,
  });
}

/** A look counts for every candling due by then, or up to some days later. */
function isCandled(share: Share, index: number): boolean {
  const dueDay = share.pen.line.species.candle_days.value[index]!;
  return share.candlings.some(
    (row) => daysBetween(share.on.day, row.on.day) >= dueDay - work.candle_early_days.value,
  );
}

function datedTasks(one: Dated): TaskDraft[] {
  const { set, season, dates, hatcher, skip } = one;
  const out: TaskDraft[] = [];
  const named = (part: TaskPart): string =>
    part.pens.length > 1 ? ` (${part.pens.join(', ')})` : '';
  const onePen = (part: TaskPart): string | null => (part.pens.length === 1 ? part.pens[0]! : null);
  const penFlag = (part: TaskPart): string =>
    part.pens.length > 1 ? ` --pen ${part.pens[0]}` : '';
  const dayNumber = (day: Day): number => numberOfDay(day) - numberOfDay(dates.set);
  dates.candle.forEach((day, index) => {
    const name = `candle-${index + 1}`;
    if (skip.has(name)) return;
    const part = one.candle(index);
    const next = dates.candle[index + 1] ?? dates.transfer;
    const end = addDays(
      day,
      Math.min(work.candle_window_days.value, dayNumber(next) - dayNumber(day) - 1),
    );
    out.push({
      id: `${set}/${name}`,
      kind: 'candle',
      due: workingDay(season, 'candle', day, end),
      until: end,
      set,
      pen: onePen(part),
      place: one.tray,
      count: part.count,
      title: `Candle ${part.count} eggs of ${set}${named(part)}`,
      why: `day ${dayNumber(day)} of incubation; take out clear, quit and cracked eggs`,
      settle: `add candling ${set}${penFlag(part)} --clear N --quit N`,
    });
  });
  const stays = season.hatchers.size === 0;
  if (!skip.has('transfer')) {
    const part = one.transfer;
    out.push({
      id: `${set}/transfer`,
      kind: 'transfer',
      due: dates.transfer,
      until: dates.transfer,
      set,
      pen: onePen(part),
      place: hatcher ?? one.tray,
      count: part.count,
      title: stays
        ? `Last look at ${part.count} eggs of ${set}${named(part)}; stop turning`
        : `Last look, then move ${part.count} eggs of ${set}${named(part)} to ${hatcher}; turning stops`,
      why: `day ${dayNumber(dates.transfer)} of incubation`,
      settle: `add transfer ${set}${penFlag(part)} --moved N`,
    });
  }
  const put = (
    kind: string,
    due: Day,
    until: Day,
    title: string,
    why: string,
    settle: string,
  ): void => {
    out.push({
      id: `${set}/${kind}`,
      kind,
      due,
      until,
      set,
      pen: onePen(one.hatch),
      place: hatcher ?? one.tray,
      count: one.hatch.count,
      title,
      why,
      settle,
    });
  };
  const place = hatcher ?? one.tray ?? 'the machine';
  if (!skip.has('damp-up'))
    put(
      'damp-up',
      dates.transfer,
      addDays(dates.transfer, work.damp_window_days.value),
      `Make ${place} damp for ${set}`,
      'dry membranes hold chicks fast; a reading settles this',
      hatcher === null ? `add tick ${set}/damp-up` : `add reading ${hatcher} --dry N --rh N`,
    );
  if (!skip.has('watch'))
    put(
      'watch',
      dates.watch,
      dates.lastOpening,
      `Look for first pips of ${set} in ${place}; keep it shut`,
      `from day ${dayNumber(dates.watch)}`,
      `add tick ${set}/watch`,
    );
  if (!skip.has('hatch'))
    put(
      'hatch',
      dates.hatch,
      dates.lastOpening,
      `Hatch of ${set}: up to ${one.hatch.count} chicks; take off what is dry and count`,
      dates.hatchAt === null
        ? `day ${dayNumber(dates.hatch)}, ${Math.round(dates.hatchHours)} hours from setting`
        : `expected about ${dates.hatchAt.replace('T', ' ')}`,
      `add hatch ${set}${penFlag(one.hatch)} --hatched N`,
    );
  if (!skip.has('last-opening'))
    put(
      'last-opening',
      dates.lastOpening,
      dates.lastOpening,
      `Last opening of ${set}: count dead, pipped and unpipped`,
      'the counts close the set; open what did not hatch, if you will, for a breakout',
      `add hatch ${set}${penFlag(one.hatch)} --hatched N --pipped N --unpipped N --final yes`,
    );
  if (!skip.has('clean')) {
    const days = hatcher === null ? 0 : (season.hatchers.get(hatcher)?.clean_days ?? 0);
    out.push({
      id: `${set}/clean`,
      kind: 'clean',
      due: one.emptyOn,
      until: addDays(one.emptyOn, Math.max(0, days - 1)),
      set,
      pen: null,
      place,
      count: null,
      title: `Clean and dry ${place} after ${set}`,
      why: 'shells and down out, wash, rinse, disinfect by the label, dry, warm up',
      settle: `add tick ${set}/clean`,
    });
  }
  return out;
}
