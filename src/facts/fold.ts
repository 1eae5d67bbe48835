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
} from '../season/model.ts';
import { changedPen } from '../season/pens.ts';
import type { SeasonFile } from '../season/read-file.ts';
import type { Species } from '../season/species.ts';
import { compareOn, later } from '../text/day.ts';
import { expectedFound, type Fault, type FaultCode, fault, quoted } from '../text/fault.ts';
import { groupedBy } from '../text/lists.ts';
import { didYouMean } from '../text/nearest.ts';
import type { Place } from '../text/source.ts';
import { drawnStore, type EggDraw } from './egg-store.ts';
import { laidOn } from './laying.ts';
import { tallyOf, total } from './tally.ts';

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

/** What a name points to, in words. */
const nounOf = (refers: Refers): string =>
  refers === 'machine' ? 'setter or hatcher' : refers.replaceAll('-', ' ');

/** Leaves out rows that name something unknown, and tells each. */
function checkNames(
  rows: Rows,
  known: Record<Refers, Iterable<string>>,
  planned: readonly PlannedSet[],
  elsewhere: readonly Refers[],
  faults: Fault[],
): Rows {
  const names = new Map(
    Object.entries(known).map(([refers, all]): [string, ReadonlySet<string>] => [
      refers,
      new Set(all),
    ]),
  );
  const tell = (row: Row, column: string, refers: Refers, value: string): void => {
    const isPlanned = refers === 'set' && planned.some((one) => one.name === value);
    const expected = `the name of a ${nounOf(refers)}`;
    faults.push(
      fault('unknown-name', row.at, expectedFound(column, expected, quoted(value)), {
        hint: isPlanned
          ? `${value} is planned but not yet recorded: traybook add set ${value} …`
          : didYouMean(value, names.get(refers)!),
      }),
    );
  };
  const out: Partial<Record<RecordName, readonly Row[]>> = {};
  for (const name of recordNames) {
    const all = rows[name] as readonly Row[];
    const pointing = Object.entries(kindOf(name).columns).flatMap(([column, { refers }]) =>
      refers === null || elsewhere.includes(refers)
        ? []
        : [{ column, refers, sound: names.get(refers)! }],
    );
    if (pointing.length === 0) {
      out[name] = all;
      continue;
    }
    out[name] = all.filter((row) => {
      const { values } = row;
      const wrong = pointing.filter(({ column, sound }) => {
        const value = values[column] as string | null;
        return value !== null && !sound.has(value);
      });
      for (const { column, refers } of wrong) tell(row, column, refers, values[column] as string);
      return wrong.length === 0;
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
  const kept = rows.eggs.map(({ on, values: { pen, kept } }) => ({
    pen,
    laid: laidOn(stock.pens.get(pen)!, on.day),
    kept,
  }));
  const firsts = firstRows(rows.set);
  const sound = rows.set.filter((row) => {
    const slip = slipOfSetRow(row, firsts.get(row.values.set)!, rows.set, stock);
    if (slip !== null) faults.push(slip);
    return slip === null;
  });
  const leaving = [...sound, ...rows['eggs-out']].sort(byTime);
  const drawn = drawnStore(
    kept,
    leaving.map(
      ({ on, values }): EggDraw => ({
        pen: values.pen,
        on: on.day,
        eggs: values.eggs,
        from: values.laid_from,
        to: values.laid_to,
        oldestFirst: !('set' in values),
      }),
    ),
  );
  const drawOf = new Map<Row, (typeof drawn.draws)[number]>(
    leaving.map((row, index) => [row, drawn.draws[index]!]),
  );
  const about = {
    candling: bySet(rows.candling),
    transfer: bySet(rows.transfer),
    hatch: bySet(rows.hatch),
    weighing: bySet(rows.weighing),
    breakout: bySet(rows.breakout),
    group: bySet(rows.group),
  };
  const sets = new Map<string, EggSet>();
  const order = [...stock.pens.keys()];
  for (const [name, own] of bySet(sound)) {
    const pens = [...new Set(own.map((row) => row.values.pen))].sort(
      (a, b) => order.indexOf(a) - order.indexOf(b),
    );
    for (const ofKind of Object.values(about))
      tellPenless(ofKind.get(name) ?? [], name, pens, faults);
    const plan = stock.planned.find((one) => one.name === name) ?? null;
    const shares = pens.map((penName) => {
      const isOwn = (row: Row<{ readonly pen: string | null }>): boolean =>
        (row.values.pen ?? (pens.length === 1 ? penName : null)) === penName;
      const put = own.filter(isOwn);
      const draws = put.map((row) => drawOf.get(row)!);
      return shareOf(put, plan, stock, {
        drawn: draws.flatMap((one) => one.drawn).sort((a, b) => b.age - a.age),
        notKept: total(draws, (one) => one.missing),
        candlings: (about.candling.get(name) ?? []).filter(isOwn),
        transfers: (about.transfer.get(name) ?? []).filter(isOwn),
        openings: (about.hatch.get(name) ?? []).filter(isOwn),
      });
    });
    const { line } = shares[0]!.pen;
    sets.set(name, {
      name,
      on: own.map((row) => row.on).sort(compareOn)[0]!,
      species: line.species,
      speciesName: line.speciesName,
      shares,
      plan,
      at: own[0]!.at,
    });
  }
  const several = `there are several: ${[...stock.hatchers.keys()].join(', ')}`;
  for (const { at, values } of rows.transfer)
    if (values.hatcher === null && stock.hatchers.size > 1 && !sets.get(values.set)?.plan?.hatcher)
      faults.push(
        fault('unknown-name', at, expectedFound('hatcher', 'the name of a hatcher', 'nothing'), {
          hint: several,
          set: values.set,
        }),
      );
  const eggsOut = rows['eggs-out'].map((row) => ({ row, notKept: drawOf.get(row)!.missing }));
  return { sets, lots: drawn.lots, eggsOut };
}

const bySet = <R extends Row<{ readonly set: string }>>(rows: readonly R[]): Map<string, R[]> =>
  groupedBy(rows, (row) => row.values.set);

/** A row without a pen is clear only where the set has one share; one of another pen never is. */
function tellPenless(
  rows: readonly Row<{ readonly pen: string | null }>[],
  set: string,
  pens: readonly string[],
  faults: Fault[],
): void {
  for (const { at, values } of rows) {
    const { pen } = values;
    if (pen === null && pens.length > 1)
      faults.push(
        fault(
          'pen-needed',
          at,
          `pen: ${set} has shares of ${pens.join(' and ')}; expected one of them, found nothing`,
          { set, hint: `say which: --pen ${pens[0]}` },
        ),
      );
    else if (pen !== null && !pens.includes(pen)) {
      const expected = `a pen with a share in ${set} (${pens.join(', ')})`;
      faults.push(
        fault('unknown-name', at, expectedFound('pen', expected, quoted(pen)), { set, pen }),
      );
    }
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
function slipOfSetRow(
  row: SetLogRow,
  first: SetLogRow,
  all: readonly SetLogRow[],
  stock: Stock,
): Fault | null {
  const { set, pen, tray } = row.values;
  const tell = (code: FaultCode, message: string, hint: string | null = null): Fault =>
    fault(code, row.at, message, { set, pen, hint });
  const named = setterOf(row, stock);
  if (named === null)
    return tell(
      'unknown-name',
      expectedFound('setter', 'the name of a setter', 'nothing'),
      stock.setters.size === 0
        ? 'name one in season.yaml'
        : `there are several: ${[...stock.setters.keys()].join(', ')}`,
    );
  const setter = stock.setters.get(named);
  if (setter && tray !== null && tray > setter.trays) {
    const expected = `a tray of ${setter.name} from 1 to ${setter.trays}`;
    return tell('unknown-name', expectedFound('tray', expected, String(tray)));
  }
  if (first === row) return null;
  const placeOf = ({ file, line }: Place): string => `${file}:${line}`;
  if (first.on.day !== row.on.day)
    return tell(
      'name-taken',
      `set: ${quoted(set)} was set on ${first.on.day} already (${placeOf(first.at)})`,
      'give this set a name of its own',
    );
  const firstSetter = setterOf(first, stock)!;
  if (isHen(stock, setterOf(row, stock)!) !== isHen(stock, firstSetter))
    return tell(
      'name-taken',
      `set: ${quoted(set)} lies in ${firstSetter}; eggs under a hen are a set of their own`,
      'give these eggs another name: they hatch in another place',
    );
  const species = stock.pens.get(pen)!.line.speciesName;
  const firstSpecies = stock.pens.get(first.values.pen)!.line.speciesName;
  if (species !== firstSpecies)
    return tell(
      'wrong-species',
      `pen: ${quoted(pen)} lays ${species} eggs, and ${set} holds ${firstSpecies} eggs`,
      'a set is of one species: give these eggs a set of their own',
    );
  const same = all.find(
    (other) =>
      other !== row &&
      other.values.set === set &&
      other.values.pen === pen &&
      other.values.tray === tray &&
      other.values.setter === row.values.setter &&
      isWrittenBefore(other, row),
  );
  return same === undefined
    ? null
    : tell(
        'name-taken',
        `set: ${quoted(set)} has a share of ${pen} in that tray already (${placeOf(same.at)})`,
        `to correct it: traybook amend ${same.entry} eggs=${row.values.eggs}`,
      );
}

/** What a share is made of besides the rows that put its eggs in. */
type RowsOfShare = Pick<Share, 'drawn' | 'notKept' | 'candlings' | 'transfers' | 'openings'>;

function shareOf(
  put: readonly SetLogRow[],
  plan: PlannedSet | null,
  stock: Stock,
  rows: RowsOfShare,
): Share {
  const { candlings, transfers, openings } = rows;
  const first = put[0]!;
  const eggs = total(put, (row) => row.values.eggs);
  const planTray = plan?.trays.length === 1 ? plan.trays[0]! : null;
  const underHen = isHen(stock, setterOf(first, stock)!);
  const tally = tallyOf({ eggs, candlings, transfers, openings, underHen });
  const isFinal = openings.some((row) => row.values.final);
  const [transfer = null] = transfers;
  const [only, ...others] = stock.hatchers.keys();
  const usual = plan?.hatcher ?? (others.length === 0 ? (only ?? null) : null);
  return {
    ...rows,
    set: first.values.set,
    pen: stock.pens.get(first.values.pen)!,
    on: first.on,
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
    tally,
    live: tally.left,
    underHen,
    hatcher: transfer === null ? null : (transfer.values.hatcher ?? usual),
    transferredOn: transfer?.on.day ?? null,
    finishedOn: isFinal ? openings.map((row) => row.on.day).reduce(later) : null,
    stage: isFinal ? 'finished' : tally.moved === null ? 'in-setter' : 'in-hatcher',
    at: first.at,
  };
}
