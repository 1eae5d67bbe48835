import type { Refers } from '../records/column.ts';
import { kindOf, type RecordName, type Rows, recordNames } from '../records/index.ts';
import { byTime } from '../records/read.ts';
import type { Row, RowOf } from '../records/record.ts';
import type { set as setKind } from '../records/set.ts';
import { hensOf, isHen, machineSetters, usualSetter } from '../season/hens.ts';
import { likeSpeciesOf, speciesOfLine } from '../season/kinds.ts';
import type {
  Brooder,
  EggSet,
  Hatcher,
  Line,
  Pen,
  PlannedSet,
  Season,
  Setter,
  Share,
  ShareStage,
} from '../season/model.ts';
import { changedPen } from '../season/pens.ts';
import type { SeasonFile } from '../season/read-file.ts';
import type { Species } from '../season/species.ts';
import { compareOn, type Day, later } from '../text/day.ts';
import { expectedFound, type Fault, fault, quoted } from '../text/fault.ts';
import { didYouMean } from '../text/nearest.ts';
import { drawnStore, type EggDraw } from './egg-store.ts';
import { laidOn } from './laying.ts';
import { tallyOf } from './tally.ts';

export type Built = { readonly season: Season; readonly faults: readonly Fault[] };

/**
 * Joins the season file and the effective rows into the season as it stands. Rows that name
 * something unknown are told and left out of the sums.
 */
export function buildSeason(file: SeasonFile, rows: Rows): Built {
  const { values } = file;
  const faults: Fault[] = [];
  const lines = new Map<string, Line>();
  for (const [name, one] of Object.entries(values.lines)) {
    lines.set(name, {
      name,
      speciesName: one.species,
      likeSpecies: likeSpeciesOf(one.species, values.kinds),
      species: speciesOfLine(one, values),
      class: one.class ?? null,
      down: one.down ?? null,
      egg_g: one.egg_g ?? null,
    });
  }
  const pens = new Map<string, Pen>();
  for (const [name, one] of Object.entries(values.pens)) {
    const began = {
      hens: one.hens,
      males: one.males,
      sires: one.sires ?? [],
      dams: one.dams ?? [],
    };
    const pen: Pen = {
      name,
      line: lines.get(one.line)!,
      ...began,
      began,
      changes: [],
      joined: one.joined,
      parted: one.parted ?? null,
      malesChanged: one.males_changed ?? [],
      otherMalesUntil: one.other_males_until ?? null,
      age: one.age ?? 'young',
      bought: one.bought ?? null,
      at: file.placeOf(['pens', name]),
    };
    pens.set(
      name,
      changedPen(
        pen,
        rows['pen-change'].filter((row) => row.values.pen === name),
      ),
    );
  }
  const named = <V extends object>(
    key: 'setters' | 'hatchers' | 'brooders',
    table: Record<string, V>,
  ) =>
    new Map(
      Object.entries(table).map(([name, one]) => [
        name,
        { ...one, name, at: file.placeOf([key, name]) },
      ]),
    );
  const setters: Map<string, Setter> = named('setters', values.setters);
  const hatchers: Map<string, Hatcher> = named('hatchers', values.hatchers);
  const brooders: Map<string, Brooder> = named('brooders', values.brooders);

  const planned = values.plan
    .map((one, index): PlannedSet => {
      const shares = Object.entries(one.shares).map(([pen, eggs]) => ({
        pen: pens.get(pen)!,
        eggs,
      }));
      return {
        name: one.set,
        on: one.on,
        setter: one.setter ?? usualSetter(setters)!,
        trays: one.trays,
        shares,
        hatcher: one.hatcher ?? null,
        species: shares[0]!.pen.line.species,
        speciesName: shares[0]!.pen.line.speciesName,
        at: file.placeOf(['plan', index, 'set']),
      };
    })
    .sort((a, b) => (a.on === b.on ? (a.name < b.name ? -1 : 1) : a.on < b.on ? -1 : 1));

  const storageMaxDays = (species: Species): number => species.storage_max_days.value;

  const known: Record<Refers, Iterable<string>> = {
    pen: pens.keys(),
    line: lines.keys(),
    setter: setters.keys(),
    hatcher: hatchers.keys(),
    machine: [...machineSetters({ setters }).map((one) => one.name), ...hatchers.keys()],
    brooder: [...brooders.keys(), ...hensOf({ setters })],
    set: rows.set.map((row) => row.values.set),
    group: rows.group.map((row) => row.values.group),
    'group-or-pen': [...rows.group.map((row) => row.values.group), ...pens.keys()],
    bird: rows.bird.map((row) => row.values.bird),
    trait: [],
  };
  // A bird of an earlier season has its row there: `breeders` reads those too.
  const elsewhere: readonly Refers[] = values.previous.length > 0 ? ['trait', 'bird'] : ['trait'];
  const sound = checkNames(rows, known, planned, elsewhere, faults);
  const built = buildSets(sound, { pens, setters, hatchers, planned }, faults);
  const season: Season = {
    file,
    values,
    zone: values.place.timezone,
    lines,
    pens,
    setters,
    hatchers,
    brooders,
    storageMaxDays,
    rows: sound,
    sets: built.sets,
    planned,
    lots: built.lots,
    eggsOut: built.eggsOut,
    earlierWeather: [],
  };
  return { season, faults };
}

const noun: Record<Refers, string> = {
  set: 'set',
  pen: 'pen',
  line: 'line',
  setter: 'setter',
  hatcher: 'hatcher',
  machine: 'setter or hatcher',
  brooder: 'brooder',
  group: 'group',
  'group-or-pen': 'group or pen',
  bird: 'bird',
  trait: 'trait',
};

/** Leaves out rows that name something unknown, and tells each. */
function checkNames(
  rows: Rows,
  known: Record<Refers, Iterable<string>>,
  planned: readonly PlannedSet[],
  elsewhere: readonly Refers[],
  faults: Fault[],
): Rows {
  const sets = new Map<Refers, Set<string>>();
  const knows = (refers: Refers): Set<string> => {
    const have = sets.get(refers) ?? new Set(known[refers]);
    sets.set(refers, have);
    return have;
  };
  const tell = (
    row: Row,
    column: string,
    refers: Refers,
    value: string,
    names: ReadonlySet<string>,
  ): void => {
    const isPlanned = refers === 'set' && planned.some((one) => one.name === value);
    faults.push(
      fault(
        'unknown-name',
        row.at,
        expectedFound(column, `the name of a ${noun[refers]}`, quoted(value)),
        {
          hint: isPlanned
            ? `${value} is planned but not yet recorded: traybook add set ${value} …`
            : didYouMean(value, names),
        },
      ),
    );
  };
  const out: Partial<Record<RecordName, readonly Row[]>> = {};
  for (const name of recordNames) {
    const all = rows[name] as readonly Row[];
    const pointing = Object.entries(kindOf(name).columns).flatMap(([column, { refers }]) =>
      refers === null || elsewhere.includes(refers) || all.length === 0
        ? []
        : [{ column, refers, names: knows(refers) }],
    );
    if (pointing.length === 0) {
      out[name] = all;
      continue;
    }
    out[name] = all.filter((row) => {
      let sound = true;
      const { values } = row;
      for (let index = 0; index < pointing.length; index += 1) {
        const { column, refers, names } = pointing[index]!;
        const value = values[column] as string | null;
        if (value === null || names.has(value)) continue;
        sound = false;
        tell(row, column, refers, value, names);
      }
      return sound;
    });
  }
  return out as unknown as Rows;
}

type Stock = Pick<Season, 'pens' | 'setters' | 'hatchers' | 'planned'>;
type SetLogRow = RowOf<typeof setKind>;

function buildSets(
  rows: Rows,
  stock: Stock,
  faults: Fault[],
): Pick<Season, 'lots' | 'eggsOut'> & { sets: Map<string, EggSet> } {
  const kept = rows.eggs.map((row) => ({
    pen: row.values.pen,
    laid: laidOn(stock.pens.get(row.values.pen)!, row.on.day),
    kept: row.values.kept,
  }));
  const firsts = firstRows(rows.set);
  const sound = rows.set.filter((row) =>
    isSoundSetRow(row, firsts.get(row.values.set)!, rows.set, stock, faults),
  );
  const leaving = [...sound, ...rows['eggs-out']].sort(byTime);
  const drawn = drawnStore(
    kept,
    leaving.map(
      (row): EggDraw => ({
        pen: row.values.pen,
        on: row.on.day,
        eggs: row.values.eggs,
        from: row.values.laid_from,
        to: row.values.laid_to,
        oldestFirst: !('set' in row.values),
      }),
    ),
  );
  const drawOf = new Map<Row, (typeof drawn.draws)[number]>(
    leaving.map((row, index) => [row, drawn.draws[index]!]),
  );

  const bySet = new Map<string, SetLogRow[]>();
  for (const row of sound) {
    const same = bySet.get(row.values.set);
    if (same) same.push(row);
    else bySet.set(row.values.set, [row]);
  }
  const about = {
    candling: groupBySet(rows.candling),
    transfer: groupBySet(rows.transfer),
    hatch: groupBySet(rows.hatch),
    weighing: groupBySet(rows.weighing),
    breakout: groupBySet(rows.breakout),
    group: groupBySet(rows.group),
  };
  const sets = new Map<string, EggSet>();
  for (const [name, own] of bySet) {
    const order = [...stock.pens.keys()];
    const pens = [...new Set(own.map((row) => row.values.pen))].sort(
      (a, b) => order.indexOf(a) - order.indexOf(b),
    );
    const pick = <R extends Row<{ readonly pen: string | null }>>(
      all: readonly R[],
      pen: string,
    ): R[] => all.filter((row) => (row.values.pen ?? (pens.length === 1 ? pens[0] : null)) === pen);
    for (const ofKind of Object.values(about))
      tellPenless(ofKind.get(name) ?? [], name, pens, faults);
    const planLine = stock.planned.find((one) => one.name === name) ?? null;
    const shares = pens.map((penName) => {
      const pen = stock.pens.get(penName)!;
      const put = own.filter((row) => row.values.pen === penName);
      return shareOf({
        set: name,
        pen,
        put,
        drawn: put.flatMap((row) => drawOf.get(row)!.drawn),
        notKept: put.reduce((sum, row) => sum + drawOf.get(row)!.missing, 0),
        candlings: pick(about.candling.get(name) ?? [], penName),
        transfers: pick(about.transfer.get(name) ?? [], penName),
        openings: pick(about.hatch.get(name) ?? [], penName),
        stock,
        planLine,
      });
    });
    const first = shares[0]!;
    sets.set(name, {
      name,
      on: own.map((row) => row.on).sort(compareOn)[0]!,
      species: first.pen.line.species,
      speciesName: first.pen.line.speciesName,
      shares,
      plan: planLine,
      at: own[0]!.at,
    });
  }
  for (const row of rows.transfer) {
    if (
      row.values.hatcher === null &&
      stock.hatchers.size > 1 &&
      !sets.get(row.values.set)?.plan?.hatcher
    )
      faults.push(
        fault(
          'unknown-name',
          row.at,
          expectedFound('hatcher', 'the name of a hatcher', 'nothing'),
          {
            hint: `there are several: ${[...stock.hatchers.keys()].join(', ')}`,
            set: row.values.set,
          },
        ),
      );
  }
  const eggsOut = rows['eggs-out'].map((row) => ({ row, notKept: drawOf.get(row)!.missing }));
  return { sets, lots: drawn.lots, eggsOut };
}

function groupBySet<R extends Row<{ readonly set: string }>>(rows: readonly R[]): Map<string, R[]> {
  const out = new Map<string, R[]>();
  for (const row of rows) {
    const same = out.get(row.values.set);
    if (same) same.push(row);
    else out.set(row.values.set, [row]);
  }
  return out;
}

/** A row without a pen is clear only where the set has one share; one of another pen never is. */
function tellPenless(
  rows: readonly Row<{ readonly pen: string | null }>[],
  set: string,
  pens: readonly string[],
  faults: Fault[],
): void {
  for (const row of rows) {
    const { pen } = row.values;
    if (pen === null && pens.length > 1)
      faults.push(
        fault(
          'pen-needed',
          row.at,
          `pen: ${set} has shares of ${pens.join(' and ')}; expected one of them, found nothing`,
          {
            set,
            hint: `say which: --pen ${pens[0]}`,
          },
        ),
      );
    else if (pen !== null && !pens.includes(pen))
      faults.push(
        fault(
          'unknown-name',
          row.at,
          expectedFound('pen', `a pen with a share in ${set} (${pens.join(', ')})`, quoted(pen)),
          {
            set,
            pen,
          },
        ),
      );
  }
}

function isWrittenBefore(a: SetLogRow, b: SetLogRow): boolean {
  return a.recordedAt < b.recordedAt || (a.recordedAt === b.recordedAt && a.at.line < b.at.line);
}

/** Of each set the row written first: it names the set, whatever minute of the day later ones give. */
function firstRows(rows: readonly SetLogRow[]): Map<string, SetLogRow> {
  const out = new Map<string, SetLogRow>();
  for (const row of rows) {
    const first = out.get(row.values.set);
    if (first === undefined || isWrittenBefore(row, first)) out.set(row.values.set, row);
  }
  return out;
}

/** The setter of a row: as written, as planned, or the usual one. */
function setterOf(row: SetLogRow, stock: Stock): string | null {
  const planLine = stock.planned.find((one) => one.name === row.values.set);
  return row.values.setter ?? planLine?.setter ?? usualSetter(stock.setters);
}

/** A set is of one day, one species, under hens or in machines; a pen stands once in each tray. */
function isSoundSetRow(
  row: SetLogRow,
  first: SetLogRow,
  all: readonly SetLogRow[],
  stock: Stock,
  faults: Fault[],
): boolean {
  const { set, pen } = row.values;
  const extras = { set, pen };
  const named = row.values.setter ?? usualSetter(stock.setters);
  if (named === null) {
    faults.push(
      fault('unknown-name', row.at, expectedFound('setter', 'the name of a setter', 'nothing'), {
        ...extras,
        hint:
          stock.setters.size === 0
            ? 'name one in season.yaml'
            : `there are several: ${[...stock.setters.keys()].join(', ')}`,
      }),
    );
    return false;
  }
  const setter = stock.setters.get(named);
  if (setter && row.values.tray !== null && row.values.tray > setter.trays) {
    faults.push(
      fault(
        'unknown-name',
        row.at,
        expectedFound(
          'tray',
          `a tray of ${setter.name} from 1 to ${setter.trays}`,
          String(row.values.tray),
        ),
        extras,
      ),
    );
    return false;
  }
  if (first === row) return true;
  if (first.on.day !== row.on.day) {
    faults.push(
      fault(
        'name-taken',
        row.at,
        `set: ${quoted(set)} was set on ${first.on.day} already (${first.at.file}:${first.at.line})`,
        {
          ...extras,
          hint: 'give this set a name of its own',
        },
      ),
    );
    return false;
  }
  if (isHen(stock, setterOf(row, stock)!) !== isHen(stock, setterOf(first, stock)!)) {
    faults.push(
      fault(
        'name-taken',
        row.at,
        `set: ${quoted(set)} lies in ${setterOf(first, stock)}; eggs under a hen are a set of their own`,
        { ...extras, hint: 'give these eggs another name: they hatch in another place' },
      ),
    );
    return false;
  }
  const species = stock.pens.get(pen)!.line.speciesName;
  const firstSpecies = stock.pens.get(first.values.pen)!.line.speciesName;
  if (species !== firstSpecies) {
    faults.push(
      fault(
        'wrong-species',
        row.at,
        `pen: ${quoted(pen)} lays ${species} eggs, and ${set} holds ${firstSpecies} eggs`,
        {
          ...extras,
          hint: 'a set is of one species: give these eggs a set of their own',
        },
      ),
    );
    return false;
  }
  const same = all.find(
    (other) =>
      other !== row &&
      other.values.set === set &&
      other.values.pen === pen &&
      other.values.tray === row.values.tray &&
      other.values.setter === row.values.setter &&
      isWrittenBefore(other, row),
  );
  if (same) {
    faults.push(
      fault(
        'name-taken',
        row.at,
        `set: ${quoted(set)} has a share of ${pen} in that tray already (${same.at.file}:${same.at.line})`,
        {
          ...extras,
          hint: `to correct it: traybook amend ${same.entry} eggs=${row.values.eggs}`,
        },
      ),
    );
    return false;
  }
  return true;
}

type ShareParts = {
  set: string;
  pen: Pen;
  put: readonly SetLogRow[];
  drawn: Share['drawn'];
  notKept: number;
  candlings: Share['candlings'];
  transfers: Share['transfers'];
  openings: Share['openings'];
  stock: Stock;
  planLine: PlannedSet | null;
};

function shareOf(parts: ShareParts): Share {
  const { put, candlings, transfers, openings, stock, planLine } = parts;
  const eggs = put.reduce((sum, row) => sum + row.values.eggs, 0);
  const planTray = planLine?.trays.length === 1 ? planLine.trays[0]! : null;
  const underHen = isHen(stock, setterOf(put[0]!, stock)!);
  const tally = tallyOf({ eggs, candlings, transfers, openings, underHen });
  const final = openings.find((row) => row.values.final) ?? null;
  const stage: ShareStage = final ? 'finished' : tally.moved === null ? 'in-setter' : 'in-hatcher';
  const transferRow = transfers[0] ?? null;
  return {
    set: parts.set,
    pen: parts.pen,
    on: put[0]!.on,
    eggs,
    trays: put.map((row) => {
      const setter = setterOf(row, stock)!;
      return {
        setter,
        tray: row.values.tray ?? planTray ?? (stock.setters.get(setter)?.trays === 1 ? 1 : null),
        eggs: row.values.eggs,
        mass_g: row.values.mass_g,
        row,
      };
    }),
    drawn: [...parts.drawn].sort((a, b) => b.age - a.age),
    notKept: parts.notKept,
    candlings,
    transfers,
    openings,
    tally,
    live: tally.left,
    underHen,
    hatcher:
      transferRow === null
        ? null
        : (transferRow.values.hatcher ??
          planLine?.hatcher ??
          (stock.hatchers.size === 1 ? [...stock.hatchers.keys()][0]! : null)),
    transferredOn: transferRow?.on.day ?? null,
    finishedOn: final ? lastDay(openings) : null,
    stage,
    at: put[0]!.at,
  };
}

function lastDay(rows: readonly Row[]): Day {
  return rows.map((row) => row.on.day).reduce(later);
}
