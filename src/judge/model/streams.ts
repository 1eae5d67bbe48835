/** Rows of one kind that share a level: what a shift of some of them would make of their likelihood. */

import { total } from '../../facts/tally.ts';
import { metric, type Units } from '../../tables/numbers.ts';
import { groupedBy } from '../../text/lists.ts';
import { type Book, type BookPlace, type CountRow, nowhere } from './book.ts';
import {
  type Axis,
  addTo,
  countTable,
  type GridTable,
  highest,
  logistic,
  logit,
  logSum,
  moved,
  normalised,
  normalWeights,
  oddsAxis,
  saidOfParent,
  spreadOut,
  type WeightedPoint,
} from './grid.ts';
import { carryOf } from './levels.ts';
import { axes, type MeasureName } from './measures.ts';
import {
  beside,
  type Counted,
  fertilityYear,
  type Level,
  levelOf,
  scatterAt,
  seeds,
} from './priors.ts';
import { conditional, type Failing, failing, type Parts, type StageOdds } from './stages.ts';

/** Parts of a cell in which shifts are told apart. */
const FINE = 20;
/** Steps of a dose that are told apart. */
const DOSES = 20;

/** No dose has so many steps. */
const MOST_DOSES = 1024;

/** A sum of weights below this has lost its digits. */
const LEAST_WEIGHT = 1e-250;

/** Where units of earlier seasons stand among the sets of this one. */
export const BEFORE = -1;

/** What rows are added up over before they are judged. */
export type Grain = 'set' | 'pen' | 'tray';

export type StreamUnit = BookPlace & {
  readonly table: GridTable;
  readonly x: number;
  readonly n: number;
  readonly value: number | null;
};

/** How strongly a change hits a unit: 0 not at all, 1 in full. */
export type Dose = (unit: BookPlace) => number;

export class Stream {
  /** The units in which a measured stream is told. */
  shownIn: Units = metric;
  readonly #base: GridTable;
  readonly #null: number;
  readonly #known = new Map<string, Map<number, number>>();
  readonly #named = new Map<string, string>();
  /** Short names of the doses met, so that keys are quick to compare. */
  readonly #ids = new Map<number, string>();
  /** Of a key, the units hit, in their order, and their doses. */
  readonly #hits = new Map<string, { readonly units: number[]; readonly doses: number[] }>();
  /** Of a key, the tables of its units by their dose as weights, those not hit first. */
  readonly #weights = new Map<string, { dose: number; top: number; weights: GridTable }[]>();
  /** Of a table of one unit, the same as weights: in a ramp each of the first units has a dose of its own. */
  readonly #alone = new Map<GridTable, { top: number; weights: GridTable }>();
  readonly #places = new Map<string, readonly number[]>();
  readonly #everywhere: readonly number[];
  /** Where the look stands with nothing changed, on the log-odds. */
  #place: number | null = null;

  constructor(
    readonly name: string,
    readonly species: string,
    readonly axis: Axis,
    readonly scatter: readonly WeightedPoint[],
    /** Log weights over scatter and level; they sum to one. */
    readonly prior: GridTable,
    readonly units: readonly StreamUnit[],
    /** The kind's level before any counts. */
    readonly level: Level,
    /** Parts of a look's cell, where the stream is of an egg's way. */
    readonly look: { readonly odds: StageOdds; readonly cell: Parts; readonly rest: Parts } | null,
  ) {
    this.#everywhere = units.map((_, i) => i);
    this.#base = new Float64Array(prior.length);
    for (const unit of units) addTo(this.#base, unit.table);
    this.#null = this.#evidence([{ dose: 0, sum: this.#base }], 0);
  }

  /** What a shift of the stages (on their log-odds) makes of this stream's level; 0 if nothing. */
  shiftBy(stages: Partial<Record<Failing, number>>): number {
    if (this.look === null) return 0;
    const { odds, cell, rest } = this.look;
    this.#place ??= logit(conditional(odds, cell, rest));
    return logit(conditional(odds, cell, rest, stages)) - this.#place;
  }

  /**
   * The key of a dose that is known by a name of its own, worked out once. Units of a place, which has a
   * name too, are the only ones that it hits.
   */
  keyNamed(name: string, dose: Dose, place: string, isIn: (unit: StreamUnit) => boolean): string {
    const known = this.#named.get(name);
    if (known !== undefined) return known;
    let among = this.#places.get(place);
    if (!among) {
      among = this.#everywhere.filter((i) => isIn(this.units[i]!));
      this.#places.set(place, among);
    }
    const made = this.keyOf(dose, among);
    this.#named.set(name, made);
    return made;
  }

  /** Which units a change hits and how hard, as a key; empty if none. It hits none but those given. */
  keyOf(dose: Dose, among = this.#everywhere): string {
    // Two sums of units and doses, 53 bits together, know a pattern: text would take longer to make.
    let low = 0;
    let high = 0;
    let any = false;
    for (const i of among) {
      const d = Math.round(dose(this.units[i]!) * DOSES);
      if (d === 0) continue;
      any = true;
      const hit = i * MOST_DOSES + d;
      low = Math.imul(low, 0x9e3779b1) + hit;
      high = Math.imul(high, 0x85ebca77) + hit;
    }
    if (!any) return '';
    const key = (low >>> 0) * 0x200000 + ((high >>> 0) & 0x1fffff);
    const known = this.#ids.get(key);
    if (known !== undefined) return known;
    const id = String.fromCharCode(33 + this.#ids.size);
    this.#ids.set(key, id);
    const hits = { units: [] as number[], doses: [] as number[] };
    for (const i of among) {
      const d = Math.round(dose(this.units[i]!) * DOSES);
      if (d === 0) continue;
      hits.units.push(i);
      hits.doses.push(d / DOSES);
    }
    this.#hits.set(id, hits);
    return id;
  }

  /** The tables of the units of a key added up by their dose, those not hit first. */
  #groupsOf(key: string): { dose: number; sum: GridTable; units: number }[] {
    const groups = new Map<number, { dose: number; sum: GridTable; units: number }>();
    const { units, doses } = this.#hits.get(key) ?? { units: [], doses: [] };
    for (let i = 0; i < units.length; i++) {
      const dose = doses[i]!;
      const { table } = this.units[units[i]!]!;
      const known = groups.get(dose);
      if (!known) groups.set(dose, { dose, sum: table, units: 1 });
      else {
        if (known.units === 1) known.sum = known.sum.slice();
        addTo(known.sum, table);
        known.units += 1;
      }
    }
    const rest = this.#base.slice();
    for (const { sum } of groups.values()) addTo(rest, sum, -1);
    return [{ dose: 0, sum: rest, units: 0 }, ...groups.values()];
  }

  /** A table as weights, the largest one; in its place where nobody else reads it. */
  #weighed(sum: GridTable, isShared: boolean): { top: number; weights: GridTable } {
    const known = isShared ? this.#alone.get(sum) : undefined;
    if (known) return known;
    const weights = isShared ? sum.slice() : sum;
    const top = highest(weights);
    for (let i = 0; i < weights.length; i++) weights[i] = Math.exp(weights[i]! - top);
    const made = { top, weights };
    if (isShared) this.#alone.set(sum, made);
    return made;
  }

  /** Log Bayes factor of a shift of the units of a key against none; level and scatter integrated out. */
  logFactor(key: string, shift: number): number {
    if (key === '') return 0;
    const cells = Math.round((FINE * shift) / this.axis.step);
    if (cells === 0) return 0;
    const own = this.#known.get(key) ?? new Map<number, number>();
    this.#known.set(key, own);
    const known = own.get(cells);
    if (known !== undefined) return known;
    const made = this.#shifted(key, shift) - this.#null;
    own.set(cells, made);
    return made;
  }

  /**
   * Log Bayes factor to expect had the units of a dose been shifted: from counts as they would then
   * have been, at the level given; of measured streams from their tables, moved the other way.
   */
  wouldShow(dose: Dose, shift: number, level: number): number {
    if (this.units[0]?.value !== null || this.axis !== oddsAxis)
      return -this.logFactor(this.keyOf(dose), -shift);
    const changed = this.units.map((unit) => {
      const d = Math.round(dose(unit) * DOSES) / DOSES;
      const rate = logistic(level + d * shift);
      return {
        dose: d,
        sum: d === 0 ? unit.table : countTable(unit.n * rate, unit.n, this.scatter),
      };
    });
    return this.#evidence(changed, shift) - this.#evidence(changed, 0);
  }

  /** The tables of the units of a key, added up; of the others with `out`. */
  sumOf(key: string, out = false): GridTable {
    const sum = new Float64Array(this.prior.length);
    for (const group of this.#groupsOf(key)) if ((group.dose === 0) === out) addTo(sum, group.sum);
    return sum;
  }

  /** Log of the evidence of a key at a shift, by its tables as weights: no power is worked out again. */
  #shifted(key: string, shift: number): number {
    let ready = this.#weights.get(key);
    if (!ready) {
      ready = this.#groupsOf(key).map(({ dose, sum, units }) => {
        if (dose === 0) addTo(sum, this.prior);
        return { dose, ...this.#weighed(sum, units === 1) };
      });
      this.#weights.set(key, ready);
    }
    const { length, step } = this.axis;
    const cellsOf = (dose: number): number => Math.round((dose * shift) / step);
    const last = ready.length - 1;
    const rest = last > 1 ? workspace(ready[0]!.weights) : ready[0]!.weights;
    for (let g = 1; g < last; g++)
      timesMoved(rest, ready[g]!.weights, cellsOf(ready[g]!.dose), length);
    const sum = sumOfProduct(rest, ready[last]!.weights, cellsOf(ready[last]!.dose), length);
    if (!(sum > LEAST_WEIGHT))
      // Tables that lie so far apart that only their logs can be added.
      return this.#evidence(this.#groupsOf(key), shift);
    let top = 0;
    for (const one of ready) top += one.top;
    return Math.log(sum) + top;
  }

  #evidence(groups: readonly { dose: number; sum: GridTable }[], shift: number): number {
    const { length, step } = this.axis;
    const logs = workspace(this.prior);
    for (const { dose, sum } of groups) {
      const cells = Math.round((dose * shift) / step);
      for (let k = 0; k < logs.length; k += length)
        for (let i = 0; i < length; i++) {
          const at = i + cells;
          logs[k + i]! += sum[k + (at < 0 ? 0 : at >= length ? length - 1 : at)]!;
        }
    }
    return logSum(logs);
  }
}

/** The sum of a table times another that is moved by some cells; the ends are held. */
function sumOfProduct(one: GridTable, other: GridTable, cells: number, length: number): number {
  const from = Math.min(length, Math.max(0, -cells));
  const to = Math.max(from, Math.min(length, length - cells));
  let sum = 0;
  for (let k = 0; k < one.length; k += length) {
    const low = other[k]!;
    const high = other[k + length - 1]!;
    for (let i = k; i < k + from; i++) sum += one[i]! * low;
    for (let i = k + from; i < k + to; i++) sum += one[i]! * other[i + cells]!;
    for (let i = k + to; i < k + length; i++) sum += one[i]! * high;
  }
  return sum;
}

/** A table times another that is moved by some cells, in its place. */
function timesMoved(into: GridTable, other: GridTable, cells: number, length: number): void {
  const from = Math.min(length, Math.max(0, -cells));
  const to = Math.max(from, Math.min(length, length - cells));
  for (let k = 0; k < into.length; k += length) {
    const low = other[k]!;
    const high = other[k + length - 1]!;
    for (let i = k; i < k + from; i++) into[i]! *= low;
    for (let i = k + from; i < k + to; i++) into[i]! *= other[i + cells]!;
    for (let i = k + to; i < k + length; i++) into[i]! *= high;
  }
}

/** A copy to work on, in one place for all: it is read before the next is made. */
const spaces = new Map<number, Float64Array>();
function workspace(from: Float64Array): Float64Array {
  let own = spaces.get(from.length);
  if (!own) {
    own = new Float64Array(from.length);
    spaces.set(from.length, own);
  }
  own.set(from);
  return own;
}

/** Log weights over scatter and level from a normal level. */
function priorOf(
  axis: Axis,
  scatter: readonly WeightedPoint[],
  centre: number,
  sd: number,
): GridTable {
  const own = normalWeights(axis, centre, sd);
  const out = new Float64Array(scatter.length * axis.length);
  scatter.forEach(({ weight }, k) => {
    for (let i = 0; i < axis.length; i++) out[k * axis.length + i] = Math.log(weight) + own[i]!;
  });
  return out;
}

function stageOdds(species: string): StageOdds {
  return Object.fromEntries(
    failing.map((stage) => [stage, levelOf(species, stage).centre]),
  ) as StageOdds;
}

const isBeside = (name: string): name is Counted => (beside as readonly string[]).includes(name);

/** Centre and spread of a look's level: by the delta method from its stages. */
function lookLevel(
  species: string,
  odds: StageOdds,
  cell: Parts,
  rest: Parts,
): { centre: number; sd: number } {
  const here = logit(conditional(odds, cell, rest));
  let variance = 0;
  for (const stage of failing) {
    const step = logit(conditional(odds, cell, rest, { [stage]: 0.1 }));
    variance += (((step - here) / 0.1) * levelOf(species, stage).sd) ** 2;
  }
  return { centre: here, sd: Math.sqrt(variance) };
}

/** Smaller offsets than this are no offset: a twentieth of a cell of the odds. */
const NO_OFFSET = 0.03;

/** What the rows of one look or count of a kind have in common, at whatever grain they are judged. */
export type CountBase = {
  readonly name: string;
  readonly species: string;
  readonly level: Level;
  readonly look: Stream['look'];
  readonly scatter: readonly WeightedPoint[];
  /** How far years stand apart, on the log-odds, and pens or males within one. */
  readonly steps: { readonly year: number; readonly pen: number };
  /** Log weights over scatter and level, earlier seasons taken in but for what these males left there. */
  readonly priorWithout: (males: ReadonlySet<string>) => GridTable;
  /** The rows, with what each stands off the level by. */
  readonly rows: readonly CountRow[];
};

/** The looks and counts of a book, kind by kind. */
export function countBases(book: Book): CountBase[] {
  const byStream = groupedBy(book.counts, (row) => `${row.stream}\n${row.species}`);
  return [...byStream.values()].map((rows): CountBase => {
    const { stream: name, species, like } = rows[0]!;
    const odds = stageOdds(like);
    let level: Level = isBeside(name) ? levelOf(like, name) : { centre: -3, sd: 1 };
    let look: Stream['look'] = null;
    if (rows[0]!.cell !== null) {
      const all = total(rows, (row) => row.n);
      const mean = (of: (row: CountRow) => Parts | null): number[] =>
        rows.reduce<number[]>(
          (sum, row) => sum.map((part, i) => part + (of(row)![i]! * row.n) / all),
          rows[0]!.cell!.map(() => 0),
        );
      look = { odds, cell: mean((row) => row.cell), rest: mean((row) => row.rest) };
      level = lookLevel(like, odds, look.cell, look.rest);
    }
    const scatter = scatterAt(level.centre);
    const steps = stepsOf(like, look);
    const base = { name, species, level, look, scatter, steps };
    const own = priorOf(oddsAxis, scatter, level.centre, level.sd);
    const seen = new Set(book.earlier.flatMap((season) => season.counts.map((row) => row.males)));
    const known = new Map<string, GridTable>();
    return {
      ...base,
      priorWithout: (males) => {
        const left = [...males].filter((one) => seen.has(one));
        const key = left.join('\n');
        const ready = known.get(key);
        if (ready) return ready;
        const units = earlierUnits(book, base, (row) => !left.includes(row.males ?? ''));
        const made = fromOthers(
          own,
          units.map(({ table }) => saidBy(table, oddsAxis, steps.year)),
          oddsAxis,
          steps.year,
        );
        known.set(key, made);
        return made;
      },
      rows: rows.map((row) => {
        // A row whose looks held other parts than usual stands off by what those make.
        const own =
          row.cell === null ? 0 : logit(conditional(odds, row.cell, row.rest!)) - level.centre;
        return Math.abs(own) < NO_OFFSET ? row : { ...row, offset: row.offset + own };
      }),
    };
  });
}

/** The rows of a base added up by set and place, as units in the order of the sets. */
function unitsOf({ rows, scatter }: CountBase, grain: Grain): StreamUnit[] {
  const merged = new Map<string, CountRow>();
  for (const row of rows) {
    const { offset } = row;
    const place =
      grain === 'pen' ? row.pen : grain === 'tray' ? row.tray : `${row.setter} ${row.hatcher}`;
    const at = `${row.set} ${place} ${Math.round(10 * offset)}`;
    const known = merged.get(at);
    if (!known) merged.set(at, row);
    else
      merged.set(at, {
        ...known,
        x: known.x + row.x,
        n: known.n + row.n,
        offset: (known.offset * known.n + offset * row.n) / (known.n + row.n),
        stored: (known.stored * known.n + row.stored * row.n) / (known.n + row.n),
        pen: known.pen === row.pen ? known.pen : null,
        males: known.males === row.males ? known.males : null,
        line: known.line === row.line ? known.line : null,
        tray: known.tray === row.tray ? known.tray : null,
      });
  }
  return [...merged.values()]
    .sort((a, b) => a.set - b.set)
    .map((row) => {
      const table = countTable(row.x, row.n, scatter);
      return {
        ...row,
        table: Math.abs(row.offset) < NO_OFFSET ? table : moved(table, oddsAxis, row.offset),
        value: null,
      };
    });
}

/**
 * The count streams at one grain. At the grain of pens a stream is one pen's, or one of its males' where
 * it tells of fertility, and its level is expected where the others of the kind stand, a pen's spread
 * away; else it is the kind's. Males bring what they showed in earlier seasons, each as one unit more
 * that lies two years' steps from theirs: see `Unit` of `levels.ts`.
 */
export function countStreams(book: Book, bases: readonly CountBase[], grain: Grain): Stream[] {
  return bases.flatMap((base) => {
    const { name, species, level, look, scatter, steps } = base;
    const units = unitsOf(base, grain);
    const streamOf = (own: readonly StreamUnit[], expected: GridTable) =>
      new Stream(name, species, oddsAxis, scatter, expected, own, level, look);
    if (grain !== 'pen') return [streamOf(units, base.priorWithout(new Set()))];
    const fertility = tellsOfMales(look);
    const here = new Set<string>();
    if (fertility) for (const { males } of units) if (males !== null) here.add(males);
    const groups = groupedBy(units, (unit) =>
      fertility && unit.males !== null ? `of ${unit.males}` : `in ${unit.pen}`,
    );
    const all = [...groups.values()].map((now) => {
      const { males } = now[0]!;
      const before =
        fertility && males !== null
          ? earlierUnits(book, base, (row) => row.males === males).map((unit) => ({
              ...unit,
              table: saidBy(unit.table, oddsAxis, carryOf(steps.year)),
            }))
          : [];
      const own = [...before, ...now];
      return { own, says: saidBy(tableOf(own), oddsAxis, steps.pen) };
    });
    const prior = base.priorWithout(here);
    return all.map((one) => {
      const others = all.filter((other) => other !== one).map((other) => other.says);
      return streamOf(one.own, fromOthers(prior, others, oddsAxis, steps.pen));
    });
  });
}

/** A look that infertile eggs are found at: it tells pens apart by their males. */
const tellsOfMales = (look: Stream['look']): boolean => look !== null && look.cell[0]! > 0;

/** How far years, and pens within one, stand apart: by the males where the look is of fertility. */
function stepsOf(species: string, look: Stream['look']): CountBase['steps'] {
  const { pen_sd, year_sd } = seeds.levels;
  const { infertile, other } = pen_sd;
  return tellsOfMales(look)
    ? { year: fertilityYear(species), pen: infertile!.value }
    : { year: year_sd.value, pen: other!.value };
}

function tableOf(units: readonly { table: GridTable }[]): GridTable {
  const sum = new Float64Array(units[0]!.table.length);
  for (const unit of units) addTo(sum, unit.table);
  return sum;
}

/** Some counts of one stream in each earlier season, as a unit a season. */
function earlierUnits(
  book: Book,
  {
    name,
    species,
    level,
    look,
    scatter,
  }: Pick<CountBase, 'name' | 'species' | 'level' | 'look' | 'scatter'>,
  isMeant: (row: CountRow) => boolean,
): StreamUnit[] {
  return book.earlier.flatMap((season) => {
    const sets = new Map<number, CountRow>();
    for (const row of season.counts) {
      if (row.stream !== name || row.species !== species || !isMeant(row)) continue;
      const one = sets.get(row.set);
      sets.set(row.set, one ? { ...one, x: one.x + row.x, n: one.n + row.n } : row);
    }
    const [first] = sets.values();
    if (first === undefined) return [];
    const offsetOf = ({ cell, rest, offset }: CountRow): number =>
      cell === null || look === null
        ? offset
        : offset + logit(conditional(look.odds, cell, rest!)) - level.centre;
    const table = tableOf(
      [...sets.values()].map((row) => {
        const offset = offsetOf(row);
        const own = countTable(row.x, row.n, scatter);
        return { table: Math.abs(offset) < NO_OFFSET ? own : moved(own, oddsAxis, offset) };
      }),
    );
    const { species: kind, like, line, males } = first;
    return [
      {
        ...nowhere,
        set: BEFORE,
        species: kind,
        like,
        line,
        males,
        table,
        x: total([...sets.values()], (row) => row.x),
        n: total([...sets.values()], (row) => row.n),
        value: null,
      },
    ];
  });
}

/** What the table of one of its kind says of the level they share, a normal step of `sd` away. */
function saidBy(table: GridTable, axis: Axis, sd: number): GridTable {
  const out = new Float64Array(table.length);
  for (let k = 0; k < table.length; k += axis.length)
    saidOfParent(table.subarray(k, k + axis.length), axis, sd, out.subarray(k, k + axis.length));
  return out;
}

/**
 * Where a level is expected, given what others of its kind say (pens of the farm, earlier years): each a
 * normal step of `sd` from what they share. Log weights over scatter and level.
 */
function fromOthers(
  prior: GridTable,
  others: readonly GridTable[],
  axis: Axis,
  sd: number,
): GridTable {
  if (others.length === 0) return prior;
  const { length } = axis;
  const out = Float64Array.from(prior);
  for (const said of others) addTo(out, said);
  for (let k = 0; k < out.length; k += length) {
    const shared = out.subarray(k, k + length);
    const total = logSum(shared);
    for (let i = 0; i < length; i++) shared[i] = Math.exp(shared[i]! - total);
    const weights = spreadOut(shared, axis, sd);
    for (let i = 0; i < length; i++) shared[i] = Math.log(Math.max(1e-300, weights[i]!)) + total;
  }
  return normalised(out);
}

/** Hours that a setting somewhere in the day lies from noon: twelve hours of daylight, their spread. */
const SETTING_HOUR = 12 / Math.sqrt(12);

/** Part of a machine's own spread that changes from one year to the next. */
const YEAR_PART = 0.5;

/** The measured streams: of hatches and water by kind, of gauges by machine. */
export function measureStreams(book: Book): Stream[] {
  const byStream = groupedBy(book.measures, (row) => {
    const gauge = row.stream === 'temperature' || row.stream === 'humidity';
    return `${row.stream}\n${row.species}\n${gauge ? `${row.setter} ${row.hatcher}` : ''}`;
  });
  return [...byStream.values()].map((rows) => {
    const name = rows[0]!.stream as MeasureName;
    const { scatter } = seeds.measures[name];
    const levelSd = rows.some((row) => row.hourless === true)
      ? Math.hypot(seeds.measures[name].level_sd, SETTING_HOUR)
      : seeds.measures[name].level_sd;
    const { species, setter, hatcher } = rows[0]!;
    const gauge = name === 'temperature' || name === 'humidity';
    const earlier = book.earlier.flatMap((season) => {
      const own = season.measures.filter(
        (row) =>
          row.stream === name &&
          row.species === species &&
          (!gauge || (row.setter === setter && row.hatcher === hatcher)),
      );
      return own.length === 0 ? [] : [tableOf(own)];
    });
    const stream = new Stream(
      name,
      species,
      axes[name],
      scatter,
      fromOthers(
        priorOf(axes[name], scatter, 0, levelSd),
        earlier.map((table) => saidBy(table, axes[name], levelSd * YEAR_PART)),
        axes[name],
        levelSd * YEAR_PART,
      ),
      rows.map((row) => ({ ...row, x: 0, n: 0 })),
      { centre: 0, sd: levelSd },
      null,
    );
    stream.shownIn = book.shownIn;
    return stream;
  });
}
