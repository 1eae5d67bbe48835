import { isHen, isHers, nestText } from '../../season/hens.ts';
import type { EggSet, Line, Now, PlannedSet, Season, Share } from '../../season/model.ts';
import type { Species } from '../../season/species.ts';
import { addDays, type Day, daysBetween, later } from '../../text/day.ts';
import { addAll } from '../../text/lists.ts';
import { takersOf } from '../claims.ts';
import { powerFigures } from '../cooling.ts';
import { workingDay } from '../days-off.ts';
import { hasHatched } from '../expected.ts';
import { type Milestones, milestonesOfPlanned, milestonesOfSet, openPlan } from '../hatch-time.ts';
import { type Occupancy, occupancyOf } from '../occupancy.ts';
import { cutsOf } from '../power.ts';
import { type TaskDraft, taskOf } from './task.ts';
import { fromTo, work } from './work.ts';

/** What there is to do for each set: set, candle, transfer, damp up, watch, hatch, close, clean. */
export function setTasks(season: Season, now: Now): TaskDraft[] {
  const occupancy = occupancyOf(season, now);
  const hatcherOf = hatchersBySet(occupancy);
  const out: TaskDraft[] = [];
  for (const set of season.sets.values()) {
    addAll(out, tasksOfSet(set, season, now, hatcherOf(set.name)));
    addAll(out, powerLooks(set, season));
  }
  const missed: PlannedSet[] = [];
  for (const one of openPlan(season)) {
    if (addDays(one.on, work.set_late_days.value) < now.day) {
      missed.push(one);
      continue;
    }
    out.push(settingTask(one, season, now));
    // What was to be set and was not has nothing to candle or move.
    if (one.on >= now.day) addAll(out, tasksOfPlanned(one, season, now, hatcherOf(one.name)));
  }
  if (missed.length > 0) out.push(missedTask(missed, now));
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

/** Planned sets whose day has long gone are told once, and nag no more. */
function missedTask(missed: readonly PlannedSet[], now: Now): TaskDraft {
  const names = missed.map((one) => one.name);
  return taskOf({
    id: `plan/${now.day}/missed`,
    kind: 'missed',
    due: now.day,
    daily: true,
    count: names.length,
    title: `${names.slice(0, MOST_NAMES).join(', ')}${names.length > MOST_NAMES ? ` and ${names.length - MOST_NAMES} more` : ''} not set as planned`,
    why: 'traybook plan --mend makes the plan anew from what was set',
  });
}

const MOST_NAMES = 4;

/** A look some days after a long power cut: what died in it shows by then. */
function powerLooks(set: EggSet, season: Season): TaskDraft[] {
  const live = set.shares.filter((share) => share.stage === 'in-setter' && share.live > 0);
  if (live.length === 0) return [];
  return cutsOf(season).flatMap((cut) => {
    const own = cut.isShort ? undefined : cut.sets.find((one) => one.set === set.name);
    if (own === undefined || own.candle === null) return [];
    const { from, to } = own.candle;
    if (live.some((share) => share.candlings.some((row) => row.on.day >= from))) return [];
    return [
      taskOf({
        id: `${set.name}/candle-power-${cut.on.day}`,
        kind: 'candle',
        due: from,
        until: addDays(to, -1),
        set: set.name,
        place: trayText(set, season),
        count: live.reduce((sum, share) => sum + share.live, 0),
        title: `Candle ${set.name} again after the power cut of ${cut.on.day}`,
        why: `what died in it shows ${fromTo(powerFigures.candle_after_days)} days later; throw nothing out before`,
        settle: `add candling ${set.name}${live.length > 1 ? ` --pen ${live[0]!.pen.name}` : ''} --clear N --quit N`,
      }),
    ];
  });
}

function hatchersBySet(occupancy: Occupancy): (set: string) => string | null {
  const hatchers = new Map<string, string>();
  for (const span of occupancy.hatchers)
    if (!hatchers.has(span.set)) hatchers.set(span.set, span.hatcher);
  return (set) => hatchers.get(set) ?? null;
}

function settingTask(one: PlannedSet, season: Season, now: Now): TaskDraft {
  const eggs = one.shares.reduce((sum, share) => sum + share.eggs, 0);
  const place = nestText(season, one.setter, one.trays);
  const pens = one.shares.map((s) => `${s.pen.name} ${s.eggs}`).join(', ');
  return taskOf({
    id: `${one.name}/set`,
    kind: 'set',
    due: one.on,
    set: one.name,
    place,
    count: eggs,
    title:
      one.on < now.day
        ? `${one.name} was not set on ${one.on}: ${eggs} eggs (${pens})`
        : `Set ${eggs} ${isHen(season, one.setter) ? 'under' : 'in'} ${place} as ${one.name}: ${pens}`,
    why:
      one.on < now.day
        ? 'every day of waiting ages the eggs; or let it go: traybook plan --mend'
        : 'planned in season.yaml',
    settle: `add set ${one.name} --as-planned`,
  });
}

function tasksOfPlanned(
  one: PlannedSet,
  season: Season,
  now: Now,
  hatcher: string | null,
): TaskDraft[] {
  const eggs = one.shares.reduce((sum, share) => sum + share.eggs, 0);
  const dates = milestonesOfPlanned(one, season);
  return datedTasks({
    set: one.name,
    lines: new Set(one.shares.map(({ pen }) => pen.line)),
    species: one.species,
    season,
    now,
    dates,
    hatcher,
    tray: nestText(season, one.setter, one.trays),
    underHen: isHen(season, one.setter),
    candle: () => ({ count: eggs, pens: [] }),
    transfer: { count: eggs, pens: [] },
    hatch: { count: eggs, pens: [] },
    skip: new Set(),
    emptyOn: dates.lastOpening,
  });
}

/** Where a set lies: `cabinet tray 1, 2`. */
function trayText(set: EggSet, season: Season): string | null {
  const trays = set.shares.flatMap((share) => share.trays);
  const numbers = [...new Set(trays.map((one) => one.tray))].filter((one) => one !== null);
  if (numbers.length === 0) return null;
  if (set.shares[0]!.underHen) return [...new Set(trays.map((one) => one.setter))].join(', ');
  return nestText(
    season,
    trays[0]!.setter,
    numbers.sort((a, b) => a - b),
  );
}

type TaskPart = { readonly count: number; readonly pens: readonly string[] };
type Dated = {
  set: string;
  lines: ReadonlySet<Line>;
  species: Species;
  season: Season;
  now: Now;
  dates: Milestones;
  hatcher: string | null;
  tray: string | null;
  /** Nobody moves, damps or cleans: she does it, and the chicks are hers. */
  underHen: boolean;
  candle: (index: number) => TaskPart;
  transfer: TaskPart;
  hatch: TaskPart;
  /** Task kinds, and `candle-1` and so on, that a record has settled. */
  skip: ReadonlySet<string>;
  emptyOn: Day;
};

function tasksOfSet(set: EggSet, season: Season, now: Now, hatcher: string | null): TaskDraft[] {
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
    // From the day of transfer on, the last look there stands for every one before it.
    if (uncandled(index).length === 0 || dates.transfer <= now.day) skip.add(`candle-${index + 1}`);
  const underHen = set.shares.some(isHers);
  const stays = season.hatchers.size === 0 || underHen;
  const isOver = dates.overAt < `${now.day}T00:00`;
  // Once chicks are out, or the hatch is over, it is too late to move eggs.
  if (inSetter.length === 0 || isOver || set.shares.some(hasHatched)) skip.add('transfer');
  const waiting = stays ? open.filter((share) => share.live > 0) : [...inHatcher, ...inSetter];
  if (waiting.length === 0)
    for (const kind of ['damp-up', 'watch', 'hatch', 'last-opening']) skip.add(kind);
  if (set.shares.some(hasHatched)) for (const kind of ['damp-up', 'watch']) skip.add(kind);
  if (waiting.every(hasHatched) || isOver) skip.add('hatch');
  if (isOver) for (const kind of ['damp-up', 'watch']) skip.add(kind);
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
  // A set nobody closed is closed first; its hatcher may have been cleaned long ago.
  if (!finished && isOver) skip.add('clean');
  return datedTasks({
    set: set.name,
    lines: new Set(open.map(({ pen }) => pen.line)),
    species: set.species,
    season,
    now,
    dates,
    hatcher,
    tray: trayText(set, season),
    underHen,
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
  const { set, season, dates, hatcher, now, underHen } = one;
  const skip = new Set([
    ...one.skip,
    ...(underHen ? ['transfer', 'damp-up', 'watch', 'clean'] : []),
  ]);
  const { day: today } = now;
  const out: TaskDraft[] = [];
  const named = (part: TaskPart): string =>
    part.pens.length > 1 ? ` (${part.pens.join(', ')})` : '';
  const onePen = (part: TaskPart): string | null => (part.pens.length === 1 ? part.pens[0]! : null);
  const penFlag = (part: TaskPart): string =>
    part.pens.length > 1 ? ` --pen ${part.pens[0]}` : '';
  const dayNumber = (day: Day): number => daysBetween(dates.set, day);
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
      title:
        end < today
          ? `${set} was not candled at day ${dayNumber(day)}: ${part.count} eggs${named(part)}`
          : `Candle ${part.count} eggs of ${set}${named(part)}`,
      why: `day ${dayNumber(day)} of incubation; take out clear, quit and cracked eggs`,
      settle: `add candling ${set}${penFlag(part)} --clear N --quit N`,
    });
  });
  const stays = season.hatchers.size === 0;
  const place = hatcher ?? one.tray ?? 'the machine';
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
        : dates.transfer < today
          ? `${set} is still in the setter by the book: move ${part.count} to ${place} now`
          : `Move ${part.count} of ${set}${named(part)} to ${place}; last look, turning stops`,
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
  if (!skip.has('damp-up')) {
    const { low, high } = one.species.hatcher_rh.value;
    put(
      'damp-up',
      dates.transfer,
      addDays(dates.transfer, work.damp_window_days.value),
      `Damp ${place} to ${low}–${high} % for ${set}`,
      'dry membranes hold chicks fast; a reading settles this',
      hatcher === null ? `add tick ${set}/damp-up` : `add reading ${hatcher} --dry N --rh N`,
    );
  }
  if (!skip.has('watch'))
    put(
      'watch',
      dates.watch,
      dates.lastOpening,
      `${set} in ${place}: pips may show; keep it shut`,
      `from day ${dayNumber(dates.watch)}`,
      `add tick ${set}/watch`,
    );
  if (!skip.has('hatch')) {
    const at =
      dates.hatchAt === null
        ? ''
        : dates.hatchAt.slice(0, DAY_LENGTH) === dates.hatch
          ? `, about ${dates.hatchAt.slice(DAY_LENGTH + 1)}`
          : `, about ${dates.hatchAt.replace('T', ' ')}`;
    put(
      'hatch',
      dates.hatch,
      dates.lastOpening,
      `Hatch of ${set} ${underHen ? 'under' : 'in'} ${place}: up to ${one.hatch.count} chicks${at}`,
      underHen
        ? `leave her alone: she leaves the nest with them in ${fromTo(work.broody_leaves_days)} days; then count, with feed and water where chicks reach them`
        : `take off what is dry, count, shut it again; open once or twice, not for each chick${whoGets(one)}`,
      `add hatch ${set}${penFlag(one.hatch)} --hatched N`,
    );
  }
  if (!skip.has('last-opening')) {
    const over = dates.overAt.slice(DAY_LENGTH + 1);
    const isPast = dates.lastOpening < today;
    const from = dates.lastOpening === today && now.time < over ? ` from ${over}` : '';
    put(
      'last-opening',
      dates.lastOpening,
      dates.lastOpening,
      isPast
        ? `${set} was never closed: write what hatched, pipped and did not`
        : `Close ${set} ${underHen ? 'under' : 'in'} ${place}${from}: up to ${one.hatch.count} left; make sure they are dead`,
      isPast
        ? `its hatch was over on ${dates.lastOpening}; the counts close the set`
        : makeSure(one.species),
      `add hatch ${set}${penFlag(one.hatch)} --hatched N --pipped N --unpipped N --final yes`,
    );
  }
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

const DAY_LENGTH = 10;

/** Who has the chicks, in their turn; nothing where all are kept. */
function whoGets({ season, lines, dates }: Dated): string {
  const all = takersOf(season, lines, dates.hatch).map(
    ({ claim, birds }) =>
      `${birds} ${claim.for === null ? claim.fate : `for ${claim.for}`} by ${claim.by}`,
  );
  return all.length === 0
    ? ''
    : `; of the ${[...lines].map(({ name }) => name).join(' and ')} chicks first ${all.join(', then ')}`;
}

/** Said before anything unhatched is opened. Common practice, no source; AVMA 2020 on embryos. */
const makeSure = ({ pip_hours: { value, range } }: Species): string =>
  `alive if it moves against the light, taps or cheeps, or has pipped: leave a live pip alone, it takes ${fromTo({ value: range ?? value })} hours; late embryos are handled as chicks. Then open for a breakout, if you will`;
