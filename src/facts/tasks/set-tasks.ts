import { isHen, isHers, nestText } from '../../season/hens.ts';
import type { EggSet, Line, Now, PlannedSet, Season, Share } from '../../season/model.ts';
import type { Species } from '../../season/species.ts';
import { plural } from '../../tables/numbers.ts';
import { addDays, type Day, daysBetween, later } from '../../text/day.ts';
import { addAll } from '../../text/lists.ts';
import { takersOf } from '../claims.ts';
import { powerFigures } from '../cooling.ts';
import { workingDay } from '../days-off.ts';
import { hasHatched } from '../expected.ts';
import { type Milestones, milestonesOfPlanned, milestonesOfSet, openPlan } from '../hatch-time.ts';
import { type Occupancy, occupancyOf } from '../occupancy.ts';
import { cutsOf } from '../power.ts';
import { type Put, type TaskDraft, taskOf } from './task.ts';
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
  // A hatcher is cleaned once it is empty, after the last set in it; one that eggs were moved into
  // later was made ready for them.
  return out.filter(
    ({ kind, place, set, due }) =>
      kind !== 'clean' ||
      !occupancy.hatchers.some(
        (span) =>
          span.state === 'actual' &&
          span.hatcher === place &&
          span.set !== set &&
          (span.from >= due || span.emptyOn > due || (span.emptyOn === due && span.set > set!)),
      ),
  );
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
  // One look a day of cuts, be it in two machines that the set lies in or one after the other.
  const days = new Set<Day>();
  return cutsOf(season).flatMap((cut) => {
    if (cut.isShort || days.has(cut.on.day)) return [];
    const own = cut.sets.find((one) => one.set === set.name);
    if (own === undefined || own.candle === null) return [];
    days.add(cut.on.day);
    const { from, to } = own.candle;
    if (live.some((share) => share.candlings.some((row) => row.on.day >= from))) return [];
    return [
      taskOf({
        // Short enough to stand beside its line: a set sees no two days of one name.
        id: `${set.name}/candle-power-${cut.on.day.slice(5)}`,
        kind: 'candle',
        due: from,
        until: addDays(to, -1),
        set: set.name,
        place: trayText(set, season),
        count: live.reduce((sum, share) => sum + share.live, 0),
        title: `Candle ${set.name} again after the power cut of ${cut.on.day}`,
        why: `what died in it shows ${fromTo(powerFigures.candle_after_days)} days later; throw nothing out before`,
        settle: `add candling ${set.name}${set.shares.length > 1 ? ` --pen ${live[0]!.pen.name}` : ''} --clear N --quit N`,
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
        ? `${one.name} was not set on ${one.on}: ${plural(eggs, 'egg')} (${pens})`
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
    isMixed: false,
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
  /** The set is of several pens: what is left of it is named by them, however few. */
  isMixed: boolean;
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
    isMixed: set.shares.length > 1,
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
  const { set, season, dates, hatcher, now, underHen, tray, hatch } = one;
  const hers = underHen ? ['transfer', 'damp-up', 'watch', 'clean'] : [];
  const skip = new Set([...one.skip, ...hers]);
  const { day: today } = now;
  const out: TaskDraft[] = [];
  const named = ({ pens }: TaskPart): string => (one.isMixed ? ` (${pens.join(', ')})` : '');
  const penFlag = ({ pens }: TaskPart): string => (one.isMixed ? ` --pen ${pens[0]}` : '');
  const dayNumber = (day: Day): number => daysBetween(dates.set, day);
  const where = hatcher ?? tray;
  const place = where ?? 'the machine';
  const put = (
    name: string,
    { count, pens }: TaskPart,
    task: () => Omit<Put, 'id' | 'kind'> & { readonly kind?: string },
  ): void => {
    if (skip.has(name)) return;
    const pen = pens.length === 1 ? pens[0]! : null;
    out.push(
      taskOf({ id: `${set}/${name}`, kind: name, set, pen, place: where, count, ...task() }),
    );
  };
  dates.candle.forEach((day, index) => {
    const part = one.candle(index);
    const next = dates.candle[index + 1] ?? dates.transfer;
    const days = Math.min(work.candle_window_days.value, daysBetween(day, next) - 1);
    const end = addDays(day, days);
    put(`candle-${index + 1}`, part, () => ({
      kind: 'candle',
      due: workingDay(season, 'candle', day, end),
      until: end,
      place: tray,
      title:
        end < today
          ? `${set} was not candled at day ${dayNumber(day)}: ${plural(part.count, 'egg')}${named(part)}`
          : `Candle ${plural(part.count, 'egg')} of ${set}${named(part)}`,
      why: `day ${dayNumber(day)} of incubation; take out clear, quit and cracked eggs`,
      settle: `add candling ${set}${penFlag(part)} --clear N --quit N`,
    }));
  });
  const { transfer } = one;
  put('transfer', transfer, () => ({
    due: dates.transfer,
    title:
      season.hatchers.size === 0
        ? `Last look at ${plural(transfer.count, 'egg')} of ${set}${named(transfer)}; stop turning`
        : dates.transfer < today
          ? `${set} is still in the setter by the book: move ${transfer.count} to ${place} now`
          : `Move ${transfer.count} of ${set}${named(transfer)} to ${place}; last look, turning stops`,
    why: `day ${dayNumber(dates.transfer)} of incubation`,
    settle: `add transfer ${set}${penFlag(transfer)} --moved N`,
  }));
  const { low, high } = one.species.hatcher_rh.value;
  put('damp-up', hatch, () => ({
    due: dates.transfer,
    until: addDays(dates.transfer, work.damp_window_days.value),
    title: `Damp ${place} to ${low}–${high} % for ${set}`,
    why: 'dry membranes hold chicks fast; a reading settles this',
    settle: hatcher === null ? `add tick ${set}/damp-up` : `add reading ${hatcher} --dry N --rh N`,
  }));
  // On the day of the hatch its own line says more.
  const watchEnds = addDays(dates.hatch, -1);
  if (dates.watch > watchEnds || today > watchEnds) skip.add('watch');
  put('watch', hatch, () => ({
    due: dates.watch,
    until: watchEnds,
    title: `${set} in ${place}: pips may show; keep it shut`,
    why: `from day ${dayNumber(dates.watch)}`,
  }));
  put('hatch', hatch, () => ({
    due: dates.hatch,
    until: dates.lastOpening,
    title: `Hatch of ${set} ${underHen ? 'under' : 'in'} ${place}: up to ${plural(hatch.count, 'chick')}${about(dates)}`,
    why: underHen
      ? `leave her alone: she leaves the nest with them in ${fromTo(work.broody_leaves_days)} days; then count, with feed and water where chicks reach them`
      : `take off what is dry, count, shut it again; open once or twice, not for each chick${whoGets(one)}`,
    settle: `add hatch ${set}${penFlag(hatch)} --hatched N`,
  }));
  put('last-opening', hatch, () => {
    const over = dates.overAt.split('T')[1]!;
    const isPast = dates.lastOpening < today;
    const from = dates.lastOpening === today && now.time < over ? ` from ${over}` : '';
    return {
      due: dates.lastOpening,
      title: isPast
        ? `${set} was never closed: write what hatched, pipped and did not`
        : `Close ${set} ${underHen ? 'under' : 'in'} ${place}${from}: up to ${hatch.count} left; make sure they are dead`,
      why: isPast
        ? `its hatch was over on ${dates.lastOpening}; the counts close the set`
        : makeSure(one.species),
      settle: `add hatch ${set}${penFlag(hatch)} --hatched N --pipped N --unpipped N --final yes`,
    };
  });
  const days = season.hatchers.get(hatcher ?? '')?.clean_days ?? 0;
  put('clean', NOBODY, () => ({
    due: one.emptyOn,
    until: addDays(one.emptyOn, Math.max(0, days - 1)),
    place,
    count: null,
    title: `Clean and dry ${place} after ${set}`,
    why: 'shells and down out, wash, rinse, disinfect by the label, dry, warm up',
  }));
  return out;
}

/** A task that is about no eggs. */
const NOBODY: TaskPart = { count: 0, pens: [] };

/** When the middle of a hatch is expected, as far as it is known. */
function about({ hatch, hatchAt }: Milestones): string {
  const [day, time] = hatchAt?.split('T') ?? [];
  return day === undefined ? '' : `, about ${day === hatch ? '' : `${day} `}${time}`;
}

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
