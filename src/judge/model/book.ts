/** The season's records as rows that evidence is drawn from: counts of looks, and measured tables. */

import { carriesOf, fathersOf, isPosted, layIsGood } from '../../facts/laying.ts';
import { cutsOf } from '../../facts/power.ts';
import { courseOf, LOSS_ERROR } from '../../facts/water-loss.ts';
import { isHers, machineSetters } from '../../season/hens.ts';
import type { Pen, Season, Share } from '../../season/model.ts';
import type { Units } from '../../tables/numbers.ts';
import { addDays, type Day, numberOfDay } from '../../text/day.ts';
import { addAll } from '../../text/lists.ts';
import { cellsOf, type TimedCell } from '../hatch-times.ts';
import type { storagePoints } from '../rates/storage.ts';
import { laidSaid } from '../review/outcome.ts';
import { type SeasonSeen, seenOf } from '../seen.ts';
import type { GridTable } from './grid.ts';
import { besideCounts, breakoutsOf, keepingOf, lookCounts } from './likelihood.ts';
import { type MeasureName, spreadTable, valueTable } from './measures.ts';
import type { Parts } from './stages.ts';

/** Where and when a row belongs; `set` counts sets in the order they were set, from 0. */
export type BookPlace = {
  readonly set: number;
  readonly name: string | null;
  readonly species: string;
  /** The kind of the tables in `seeds/` that its figures are like. */
  readonly like: string;
  readonly line: string | null;
  readonly pen: string | null;
  /** The males its eggs are of, by their key in `males` of the book; null where they may be of several. */
  readonly males: string | null;
  readonly setter: string | null;
  readonly hatcher: string | null;
  readonly tray: string | null;
  /** Weeks that its eggs were stored beyond the days free of loss, mean over eggs. */
  readonly stored: number;
};

export type CountRow = BookPlace & {
  readonly stream: string;
  readonly x: number;
  readonly n: number;
  /** Cells of a look, for the streams of an egg's way; null for rates of their own. */
  readonly cell: Parts | null;
  readonly rest: Parts | null;
  /** What a cause already found adds, on the log-odds. */
  readonly offset: number;
};

export type MeasureRow = BookPlace & {
  readonly stream: MeasureName;
  readonly table: GridTable;
  readonly value: number | null;
  /** The hour of setting was not written: the habit of the keeper's clock is unknown too. */
  readonly hourless?: boolean;
};

export type SetOf = { readonly name: string; readonly on: Day; readonly eggs: number };

/** Males that breed together. Known by name, they are the same in all pens and years. */
export type BookMales = {
  readonly key: string;
  /** All their names; none where one of them is not known by name. */
  readonly names: readonly string[];
};

export type BookCut = {
  readonly machine: string;
  readonly on: Day;
  readonly sets: readonly number[];
};

export type Book = {
  readonly sets: readonly SetOf[];
  readonly counts: readonly CountRow[];
  readonly measures: readonly MeasureRow[];
  readonly pens: readonly string[];
  readonly males: readonly BookMales[];
  readonly setters: readonly string[];
  readonly hatchers: readonly string[];
  readonly trays: readonly string[];
  readonly powerCuts: readonly BookCut[];
  /** The units the keeper reads: what is said of a gauge is said in them. */
  readonly shownIn: Units;
  /** Earlier seasons, the last three: what is expected of this one rests on them. */
  readonly earlier: readonly Pick<Book, 'counts' | 'measures'>[];
};

const EARLIER_SEASONS = 3;

const WEEK = 7;

/** Mean days of storage beyond those free of loss, in weeks. */
function storedWeeks(
  penalty: Parameters<typeof storagePoints>[0],
  drawn: readonly { age: number; eggs: number }[],
  age: { mean: number; oldest: number } | null,
): number {
  const beyond = (days: number): number => {
    const free = (penalty[0]?.from_day ?? WEEK + 1) - 1;
    return Math.max(0, days - Math.max(free, WEEK)) / WEEK;
  };
  const eggs = drawn.reduce((sum, one) => sum + one.eggs, 0);
  if (eggs > 0) return drawn.reduce((sum, one) => sum + one.eggs * beyond(one.age), 0) / eggs;
  return age === null ? 0 : beyond(age.mean);
}

/**
 * True for eggs that speak of this farm's machines and handling. A journey loosens air cells and halves
 * a hatch, and a hen keeps her own heat: what becomes of such eggs is no sign of either.
 */
const isOfFarm = (share: Share): boolean => !isPosted(share.pen) && !isHers(share);

/** The males that eggs of a pen laid on some days are of; null where they may be of several. */
export function malesOn(season: Season, pen: Pen, days: readonly Day[]): BookMales | null {
  let one: BookMales | null = null;
  for (const day of new Set(days)) {
    const fathers = fathersOf(pen, day);
    if (fathers === null) return null;
    const { males, names, since } = fathers;
    const known = names.length === males ? [...names].sort() : [];
    const key =
      known.length > 0
        ? `${pen.line.name} ${known.join(' ')}`
        : `${season.values.season} ${pen.name} ${since}`;
    if (one !== null && one.key !== key) return null;
    one = { key, names: known };
  }
  return one;
}

/** The males that the eggs of a share are of. */
function malesOf(season: Season, share: Share): BookMales | null {
  const { pen, drawn } = share;
  const { day } = share.on;
  const known = [
    ...drawn.map((one) => one.laid),
    ...(drawn.length > 0 ? [] : laidSaid(share).flatMap(({ from, to }) => [from, to])),
  ];
  // Where nothing is written the oldest are as old as may be stored.
  const usual = [addDays(day, -season.storageMaxDays(pen.line.species)), day];
  return malesOn(season, pen, known.length > 0 ? known : usual);
}

/** The pen whose eggs were of these males last. */
export function lastPenOf(males: string, book: Pick<Book, 'counts'>): string {
  let last: CountRow | null = null;
  for (const row of book.counts)
    if (row.males === males && (last === null || row.set > last.set)) last = row;
  return last?.pen ?? '';
}

/** All males of a season's pens, whether or not eggs of theirs were set yet. */
function malesIn(season: Season): BookMales[] {
  const out = new Map<string, BookMales>();
  for (const pen of season.pens.values()) {
    const gone = pen.changes.filter((one) => one.sex === 'male').map((one) => one.day);
    const days = pen.line.species.carry_over_days.value.safe;
    const begins = [
      pen.joined,
      ...carriesOf(pen).map((one) => one.pureFrom),
      ...gone.map((day) => addDays(day, days)),
    ];
    for (const day of begins.sort()) {
      const one = malesOn(season, pen, [day]);
      if (one !== null) out.set(one.key, one);
    }
  }
  return [...out.values()];
}

/** The trays of a share that are written down. */
const traysOf = ({ trays }: Share): ReadonlySet<string> =>
  new Set(trays.flatMap(({ setter, tray }) => (tray === null ? [] : [`${setter} ${tray}`])));

/** Where the eggs of a share lie: `set` is the number of its set, `stored` the weeks stored beyond the days free of loss. */
export function placeOf(season: Season, share: Share, set: number, stored: number): BookPlace {
  const { line, name } = share.pen;
  const setters = new Set(share.trays.map((one) => one.setter));
  const trays = traysOf(share);
  return {
    set,
    name: share.set,
    species: line.speciesName,
    like: line.likeSpecies,
    line: line.name,
    pen: name,
    males: malesOf(season, share)?.key ?? null,
    setter: setters.size === 1 ? [...setters][0]! : null,
    hatcher: share.hatcher,
    tray: trays.size === 1 ? [...trays][0]! : null,
    stored,
  };
}

/** All that a season's records say, row by row. Shares whose counts contradict each other say nothing. */
export function bookOf(
  season: Season,
  previous: readonly Season[] = [],
  seen: SeasonSeen = seenOf(season),
): Book {
  const order = new Map([...season.sets.keys()].map((name, i) => [name, i]));
  const sets = [...season.sets.values()].map((set) => ({
    name: set.name,
    on: set.on.day,
    eggs: set.shares.reduce((sum, share) => sum + share.eggs, 0),
  }));
  const opened = breakoutsOf(season);
  const keeping = keepingOf(season, opened);
  const outcomes = seen.outcomes().filter(({ share }) => isOfFarm(share));
  const counts: CountRow[] = [];
  const measures: MeasureRow[] = [];
  const whereOf = new Map<string, BookPlace>();
  const trayNames = new Set<string>();
  for (const one of outcomes) {
    const { share } = one;
    for (const tray of traysOf(share)) trayNames.add(tray);
    const where = placeOf(
      season,
      share,
      order.get(one.set)!,
      storedWeeks(share.pen.line.species.storage_penalty.value, share.drawn, one.age),
    );
    const key = `${one.set}\n${one.pen}`;
    whereOf.set(key, where);
    if (one.contradiction !== null) continue;
    for (const row of lookCounts(share, opened.get(key), keeping))
      counts.push({ ...where, ...row, offset: 0 });
    for (const row of besideCounts(share, opened.get(key)))
      counts.push({ ...where, ...row, cell: null, rest: null, offset: 0 });
  }
  /** The first set set on or after a day: what is laid or read then belongs to it. */
  const nextSet = (day: Day): number => {
    const at = sets.findIndex((set) => set.on >= day);
    return at < 0 ? sets.length : at;
  };
  const lastSet = (day: Day): number => {
    let at = -1;
    sets.forEach((set, i) => {
      if (set.on <= day) at = i;
    });
    return at;
  };
  const weeks = new Map<string, { pen: string; day: Day; kept: number; laid: number }>();
  for (const row of season.rows.eggs) {
    const pen = season.pens.get(row.values.pen);
    if (!pen || row.values.laid === null || !layIsGood(pen, row.on.day)) continue;
    const key = `${pen.name} ${Math.floor(numberOfDay(row.on.day) / WEEK)}`;
    const week = weeks.get(key) ?? { pen: pen.name, day: row.on.day, kept: 0, laid: 0 };
    weeks.set(key, week);
    week.kept += row.values.kept;
    week.laid += row.values.laid;
  }
  for (const week of weeks.values()) {
    const pen = season.pens.get(week.pen)!;
    if (week.laid <= 0 || week.kept > week.laid) continue;
    counts.push({
      ...nowhere,
      set: nextSet(week.day),
      species: pen.line.speciesName,
      like: pen.line.likeSpecies,
      line: pen.line.name,
      pen: pen.name,
      stream: 'unfit',
      x: week.laid - week.kept,
      n: week.laid,
      cell: null,
      rest: null,
      offset: 0,
    });
  }

  type Times = {
    wheres: BookPlace[];
    cells: TimedCell[];
    hourless: boolean;
  };
  const times = new Map<string, Times>();
  for (const timed of seen.times().shares) {
    const { share, hourless } = timed;
    // A hatch that goes on would look early: those to come are not counted yet.
    if (season.sets.get(share.set)!.shares.some((one) => one.stage !== 'finished')) continue;
    const where = whereOf.get(`${share.set}\n${share.pen.name}`);
    if (where === undefined) continue;
    const key = `${share.set} ${where.setter}`;
    const one = times.get(key) ?? { wheres: [], cells: [], hourless: false };
    times.set(key, one);
    one.wheres.push(where);
    one.hourless ||= hourless.set;
    addAll(one.cells, cellsOf(timed));
  }
  for (const { wheres, cells, hourless } of times.values()) {
    // Chicks of several trays hatch into one basket: their hours are no tray's.
    const tray = wheres.every((one) => one.tray === wheres[0]!.tray) ? wheres[0]!.tray : null;
    const where = { ...wheres[0]!, pen: null, males: null, line: null, tray };
    const chicks = cells.reduce((sum, cell) => sum + cell.count, 0);
    const mean =
      cells.reduce((sum, cell) => sum + cell.count * (cell.from + cell.to), 0) / (2 * chicks);
    measures.push({ ...where, stream: 'hours', table: seen.hours(cells), value: mean, hourless });
    // With fewer than three intervals the spread of one set cannot be seen.
    if (new Set(cells.filter((cell) => cell.count > 0).map((cell) => cell.to)).size > 2)
      measures.push({ ...where, stream: 'spread', table: spreadTable(cells), value: null });
  }
  const losses = new Map<string, { where: BookPlace; sum: number; weight: number }>();
  for (const set of season.sets.values())
    for (const share of set.shares) {
      const course = courseOf(season, share).at(-1);
      const where = whereOf.get(`${set.name}\n${share.pen.name}`);
      if (course === undefined || where === undefined) continue;
      const key = `${set.name} ${where.setter}`;
      const one = losses.get(key) ?? { where, sum: 0, weight: 0 };
      losses.set(key, one);
      const weight = Math.min(1, course.elapsed / share.pen.line.species.transfer_day.value) ** 2;
      one.sum += weight * (course.atTransfer - (course.target.low + course.target.high) / 2);
      one.weight += weight;
    }
  for (const { where, sum, weight } of losses.values())
    measures.push({
      ...where,
      pen: null,
      males: null,
      line: null,
      tray: null,
      stream: 'loss',
      table: valueTable('loss', sum / weight, LOSS_ERROR / Math.sqrt(weight)),
      value: sum / weight,
    });
  const powerCuts: BookCut[] = cutsOf(season)
    .filter((cut) => !cut.isShort && cut.sets.length > 0)
    .map(({ machine, on, sets: hit }) => ({
      machine,
      on: on.day,
      sets: hit.map((one) => order.get(one.set)!),
    }));
  for (const machine of seen.gauges()) {
    for (const stream of ['temperature', 'humidity'] as const) {
      const gauge = machine[stream];
      if (gauge === null) continue;
      const byWeek = new Map<number, { day: Day; sum: number; days: number }>();
      for (const { day, number, value, aim } of gauge.daily) {
        const week = Math.floor(number / WEEK);
        const one = byWeek.get(week) ?? { day, sum: 0, days: 0 };
        byWeek.set(week, one);
        one.sum += value - aim;
        one.days += 1;
      }
      for (const { day, sum, days } of byWeek.values()) {
        const value = sum / days;
        const place =
          machine.kind === 'setter' ? { setter: machine.machine } : { hatcher: machine.machine };
        measures.push({
          ...nowhere,
          ...place,
          set: Math.max(0, lastSet(day)),
          stream,
          table: valueTable(stream, value, GAUGE_ERROR[stream] / Math.sqrt(days)),
          value,
        });
      }
    }
  }
  return {
    sets,
    counts,
    measures,
    pens: [...season.pens.keys()],
    males: malesIn(season),
    setters: machineSetters(season).map((one) => one.name),
    hatchers: [...season.hatchers.keys()],
    trays: [...trayNames].sort(),
    powerCuts,
    shownIn: season.values.units,
    earlier: previous.slice(-EARLIER_SEASONS).map((one) => bookOf(one)),
  };
}

/** Standard error of a day's mean reading, °C and points. */
const GAUGE_ERROR = { temperature: 0.15, humidity: 3 } as const;

/** The place of what belongs to no set, pen or machine. */
export const nowhere: BookPlace = {
  set: 0,
  name: null,
  species: '',
  like: 'chicken',
  line: null,
  pen: null,
  males: null,
  setter: null,
  hatcher: null,
  tray: null,
  stored: 0,
};
