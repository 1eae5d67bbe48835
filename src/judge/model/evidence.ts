/**
 * Evidence for each cause: how much likelier the records are if it were so than if nothing had
 * changed, averaged over where it may be, when it may have begun and how large it may be, with weights
 * fixed before the season. Such an average has expectation one under no change, at every look: so a
 * rule to act at 50 is broken in at most one clean season of fifty, however often it is asked (Ville's
 * inequality; Grünwald, de Heide & Koolen 2024, J. R. Stat. Soc. B 86:1091). Level and scatter are
 * integrated out in both hypotheses, so that a fault cannot hide itself as scatter.
 */
import { groupedBy } from '../../text/lists.ts';
import type { Book, BookPlace, CountRow } from './book.ts';
import type { placeKinds } from './causes-schema.ts';
import { logSum } from './grid.ts';
import { seeds } from './priors.ts';
import { type Failing, failing } from './stages.ts';
import {
  BEFORE,
  type CountBase,
  countBases,
  countStreams,
  type Dose,
  measureStreams,
  type Stream,
} from './streams.ts';

export type CauseName = string;
type CauseSeed = (typeof seeds.causes)[string];
export type PlaceKind = (typeof placeKinds)[number];
export type EvidencePlace = { readonly kind: PlaceKind; readonly name: string };

/** True for places whose streams are those of one pen, or of its males. */
export const isOfPen = (kind: PlaceKind): boolean => kind === 'pen' || kind === 'males';

/** How a change comes about from its beginning. */
type Shape = 'step' | 'ramp';

/** One way in which a cause may be at work. */
export type EvidenceTerm = {
  readonly place: EvidencePlace;
  /** The first set hit. */
  readonly from: number;
  readonly shape: Shape;
  readonly logWeight: number;
  /** Log Bayes factor, and what each sign adds to it. */
  readonly log: number;
};

export type SignEvidence = {
  readonly of: string;
  readonly shift: number;
  readonly log: number;
};

export type CauseEvidence = {
  readonly cause: CauseName;
  /** Log of the cause's weight times its averaged Bayes factor: its part of the evidence. */
  readonly log: number;
  readonly terms: readonly EvidenceTerm[];
  /** The likeliest way: the place by its sum over beginnings, and its likeliest beginning. */
  readonly best: EvidenceTerm | null;
};

/** Streams at each grain, made when first asked for. */
export class Streams {
  readonly #made = new Map<string, Stream[]>();
  readonly measures: Stream[];
  readonly #bases: CountBase[];
  /** The first set of each of the males: before the season's first where earlier seasons knew them. */
  readonly firstOf: ReadonlyMap<string, number>;

  constructor(readonly book: Book) {
    this.measures = measureStreams(book);
    this.#bases = countBases(book);
    this.firstOf = firstSets(book);
  }

  /** The streams that show a cause at a place. */
  at(place: EvidencePlace): Stream[] {
    const ofPen = isOfPen(place.kind);
    const grain = ofPen ? 'pen' : place.kind === 'tray' ? 'tray' : 'set';
    let made = this.#made.get(grain);
    if (!made) {
      made = countStreams(this.book, this.#bases, grain);
      this.#made.set(grain, made);
    }
    return ofPen ? made.filter((stream) => stream.units.some((unit) => isIn(place, unit))) : made;
  }
}

const RAMP_SETS = 5;

function isIn(place: EvidencePlace, where: BookPlace): boolean {
  switch (place.kind) {
    case 'farm':
      return true;
    case 'pen':
      return where.pen === place.name;
    case 'males':
      return where.males === place.name;
    case 'setter':
      return where.setter === place.name;
    case 'hatcher':
      return where.hatcher === place.name;
    case 'tray':
      return where.tray === place.name;
    case 'set':
      return where.name === place.name;
  }
}

/** Weeks beyond the days free of loss from which a share counts as stored long. */
const LONG_STORED = 2 / 7;

/** Causes that hit other units than those of their place from a beginning on. */
const ownDose: ReadonlySet<CauseName> = new Set(['power-cut', 'long-storage', 'set-lost']);

/** How hard a term hits a unit. */
export function doseOf(
  cause: CauseName,
  term: Pick<EvidenceTerm, 'place' | 'from' | 'shape'>,
  book: Book,
): Dose {
  return (where) => {
    if (cause === 'power-cut') {
      const cut = book.powerCuts[term.from];
      return cut?.sets.includes(where.set) && where.name !== null ? 1 : 0;
    }
    if (!isIn(term.place, where)) return 0;
    if (cause === 'long-storage') return where.stored;
    if (cause === 'set-lost') return 1;
    if (where.set < term.from) return 0;
    return term.shape === 'step' ? 1 : Math.min(1, (where.set - term.from + 1) / RAMP_SETS);
  };
}

function placesOf(kind: PlaceKind, book: Book): string[] {
  switch (kind) {
    case 'farm':
      return [''];
    case 'pen':
      return [...book.pens];
    case 'males':
      return book.males.map((one) => one.key);
    case 'setter':
      return [...book.setters];
    case 'hatcher':
      return [...book.hatchers];
    case 'tray':
      return [...book.trays];
    case 'set':
      return book.sets.map((set) => set.name);
  }
}

function firstSets(book: Book): Map<string, number> {
  const out = new Map<string, number>();
  const put = (males: string | null, set: number): void => {
    if (males !== null) out.set(males, Math.min(set, out.get(males) ?? set));
  };
  for (const row of book.counts) put(row.males, row.set);
  for (const season of book.earlier)
    for (const { males } of season.counts) if (males !== null && out.has(males)) put(males, BEFORE);
  return out;
}

/** Every way a cause may be at work in this season, with weights that sum to one with "not yet". */
function waysOf(
  cause: CauseName,
  seed: CauseSeed,
  { book, firstOf }: Streams,
): Omit<EvidenceTerm, 'log'>[] {
  const { first_set, hazard } = seeds.evidence;
  const fromFirst = seed.from_first ?? first_set.value;
  const ways: Omit<EvidenceTerm, 'log'>[] = [];
  if (cause === 'long-storage' && !book.counts.some((row) => row.stored >= LONG_STORED))
    return ways;
  const kinds = Object.entries(seed.places) as [PlaceKind, number][];
  for (const [kind, share] of kinds) {
    const names = placesOf(kind, book);
    for (const name of names) {
      const place = { kind, name };
      if (cause === 'set-lost') {
        ways.push({
          place,
          from: book.sets.findIndex((set) => set.name === name),
          shape: 'step',
          logWeight: Math.log(hazard.value * (1 - hazard.value) ** Math.min(40, ways.length)),
        });
        continue;
      }
      if (cause === 'power-cut') {
        book.powerCuts.forEach((cut, i) => {
          if (cut.machine === name)
            ways.push({
              place,
              from: i,
              shape: 'step',
              logWeight: Math.log(share / book.powerCuts.length),
            });
        });
        continue;
      }
      const weight = share / names.length;
      const first = kind === 'males' ? firstOf.get(name) : 0;
      if (first === undefined) continue;
      // Males that are poor from their first eggs on are low fertility; those that fall later fail.
      const later = cause === 'low-fertility' && kind === 'males' ? 0 : 1 - fromFirst;
      if (fromFirst > 0)
        ways.push({
          place,
          from: first,
          shape: 'step',
          logWeight: Math.log(weight * (later === 0 ? 1 : fromFirst)),
        });
      if (later <= 0) continue;
      const ramp = seed.ramp ?? 0;
      for (let from = first + 1; from < book.sets.length; from++) {
        const begins = weight * later * hazard.value * (1 - hazard.value) ** (from - first - 1);
        ways.push({ place, from, shape: 'step', logWeight: Math.log(begins * (1 - ramp)) });
        if (ramp > 0) ways.push({ place, from, shape: 'ramp', logWeight: Math.log(begins * ramp) });
      }
    }
  }
  return ways;
}

export const isStage = (of: string): of is Failing => (failing as readonly string[]).includes(of);
const sizes = seeds.evidence.sizes.value;

/** Every choice of stage signs that show, at every size, and which shift that is of each look. */
type Combinations = {
  readonly logWeights: Float64Array;
  /** Room for what is added up over the looks, and for what one of them says. */
  readonly sums: Float64Array;
  readonly factors: Float64Array;
  /** Of each look, the shifts that come about at all; the first is none. */
  readonly shifts: Float64Array[];
  /** Of each look and combination, the index of its shift. */
  readonly index: Uint8Array[];
};

/** Shifts nearer than this are one. */
const SAME_SHIFT = 0.02;

/** A cause's stage signs over some looks. `known` keeps what was worked out of a look: pens share theirs. */
function combinationsOf(
  seed: CauseSeed,
  looks: readonly Stream[],
  known: Map<Stream['look'], { shifts: Float64Array; index: Uint8Array }>,
): Combinations {
  const signs = seed.signs.filter((sign) => isStage(sign.of));
  const changes: Partial<Record<Failing, number>>[] = [];
  const logWeights: number[] = [];
  for (let mask = 0; mask < 1 << signs.length && signs.length > 0; mask++) {
    let chance = 1;
    signs.forEach((sign, i) => {
      chance *= (mask >> i) & 1 ? sign.show : 1 - sign.show;
    });
    if (chance <= 0) continue;
    for (const size of mask === 0 ? [{ value: 0, weight: 1 }] : sizes) {
      const change: Partial<Record<Failing, number>> = {};
      signs.forEach((sign, i) => {
        if ((mask >> i) & 1) change[sign.of as Failing] = size.value * sign.shift;
      });
      changes.push(change);
      logWeights.push(Math.log(chance * size.weight));
    }
  }
  const each = looks.map((stream) => {
    const ready = known.get(stream.look);
    if (ready !== undefined) return ready;
    const own = [0];
    const index = Uint8Array.from(changes, (change) => {
      const shift = stream.shiftBy(change);
      const same = own.findIndex((one) => Math.abs(one - shift) < SAME_SHIFT);
      return same >= 0 ? same : own.push(shift) - 1;
    });
    const made = { shifts: Float64Array.from(own), index };
    known.set(stream.look, made);
    return made;
  });
  return {
    logWeights: Float64Array.from(logWeights),
    sums: new Float64Array(logWeights.length),
    factors: new Float64Array(logWeights.length + 1),
    shifts: each.map((one) => one.shifts),
    index: each.map((one) => one.index),
  };
}

/**
 * The log Bayes factor of signs that are measured, mixed over sizes and over which of them show at all. They
 * share their size: what a machine is too warm makes the thermometer rise and the chicks early by like measure,
 * so a thermometer far off beside chicks on their day is no warm machine.
 */
function measuredFactor(
  signs: readonly { readonly of: string; readonly shift: number; readonly show: number }[],
  streams: readonly { stream: Stream; key: string }[],
): number {
  const measured = signs
    .map((sign) => ({
      ...sign,
      own: streams.filter(({ stream, key }) => stream.name === sign.of && key !== ''),
    }))
    .filter(({ own }) => own.length > 0);
  if (measured.length === 0) return 0;
  return logSum(
    sizes.map(({ value, weight }) =>
      measured.reduce((log, { own, shift, show }) => {
        const shows = own.reduce(
          (sum, { stream, key }) => sum + stream.logFactor(key, value * shift),
          0,
        );
        return log + (show >= 1 ? shows : logSum([Math.log(1 - show), Math.log(show) + shows]));
      }, Math.log(weight)),
    ),
  );
}

const isGauge = (of: string): boolean => of === 'temperature' || of === 'humidity';

/** How far an instrument's word is taken for a cause that is not the instrument itself. */
const trustOf = (cause: CauseName, of: string): number =>
  cause !== 'gauge-wrong' && isGauge(of) ? seeds.evidence.gauge_true.value : 1;

const everywhere: EvidencePlace = { kind: 'farm', name: '' };

/** The evidence for one cause. */
function causeEvidence(cause: CauseName, seed: CauseSeed, streams: Streams): CauseEvidence {
  const { book } = streams;
  const ways = waysOf(cause, seed, streams);
  const prepared = new Map<
    string,
    { looks: Stream[]; others: Stream[]; combinations: Combinations }
  >();
  const shiftsOf: Parameters<typeof combinationsOf>[2] = new Map();
  const signNames = new Set<string>(seed.signs.map((sign) => sign.of));
  const measured = seed.signs
    .filter((sign) => !isStage(sign.of))
    .map((sign) => ({ ...sign, show: sign.show * trustOf(cause, sign.of) }));
  const seen = new Map<string, number>();
  const terms: EvidenceTerm[] = ways.map((way) => {
    const { kind } = way.place;
    const at = isOfPen(kind) ? `${kind} ${way.place.name}` : kind;
    let ready = prepared.get(at);
    if (!ready) {
      const all = streams.at(way.place);
      const looks = all.filter((stream) => stream.look !== null);
      ready = {
        looks,
        others: [
          ...all.filter((stream) => signNames.has(stream.name) && stream.look === null),
          ...streams.measures.filter((stream) => signNames.has(stream.name)),
        ],
        combinations: combinationsOf(seed, looks, shiftsOf),
      };
      prepared.set(at, ready);
    }
    const dose = doseOf(cause, way, book);
    const name = `${ownDose.has(cause) ? cause : ''}|${at}|${way.place.name}|${way.from}|${way.shape}`;
    const where = cause === 'power-cut' ? everywhere : way.place;
    const place = `${where.kind} ${where.name}`;
    const isHere = (unit: BookPlace): boolean => isIn(where, unit);
    const keyOf = (stream: Stream): string => stream.keyNamed(name, dose, place, isHere);
    const keys = ready.looks.map(keyOf);
    const others = ready.others.map((stream) => ({ stream, key: keyOf(stream) }));
    // Two ways that hit the same units are one: a tray used every fourth set.
    let same = at;
    for (const key of keys) same += `|${key}`;
    for (const { key } of others) same += `|${key}`;
    const known = seen.get(same);
    if (known !== undefined) return { ...way, log: known };
    // A way that would show nowhere yet is no way yet: its weight stays with "not yet".
    if (keys.every((key) => key === '') && others.every((one) => one.key === ''))
      return { ...way, log: Number.NEGATIVE_INFINITY };
    let log = 0;
    const { logWeights, shifts, index, sums, factors } = ready.combinations;
    if (logWeights.length > 0) {
      sums.set(logWeights);
      ready.looks.forEach((stream, i) => {
        const own = shifts[i]!;
        if (keys[i] === '' || own.length === 1) return;
        for (let j = 0; j < own.length; j++) factors[j] = stream.logFactor(keys[i]!, own[j]!);
        const which = index[i]!;
        for (let c = 0; c < sums.length; c++) sums[c]! += factors[which[c]!]!;
      });
      log += logSum(sums);
    }
    log += measuredFactor(measured, others);
    const made = log;
    seen.set(same, made);
    return { ...way, log: made };
  });
  const log = Math.log(seed.weight) + logSum(terms.map((term) => term.logWeight + term.log));
  return { cause, log, terms, best: bestOf(terms) };
}

function bestOf(terms: readonly EvidenceTerm[]): EvidenceTerm | null {
  const places = groupedBy(terms, ({ place }) => `${place.kind} ${place.name}`);
  let best: EvidenceTerm[] | null = null;
  let most = Number.NEGATIVE_INFINITY;
  for (const own of places.values()) {
    const sum = logSum(own.map((term) => term.logWeight + term.log));
    if (sum > most) {
      most = sum;
      best = own;
    }
  }
  if (best === null) return null;
  return best.reduce((a, b) => (b.logWeight + b.log > a.logWeight + a.log ? b : a));
}

/**
 * Evidence for every cause, strongest first, and their sum: the e-value of "something is wrong". Weights
 * are shared out among the causes that these records could show at all (`weight`: the log of their sum):
 * what is written down, not what it says, decides which those are.
 */
export function evidenceFor(streams: Streams): {
  causes: CauseEvidence[];
  log: number;
  weight: number;
} {
  const all = Object.entries(seeds.causes).map(([cause, seed]) =>
    causeEvidence(cause, seed, streams),
  );
  const open = all.filter((one) => one.best !== null && one.log > Number.NEGATIVE_INFINITY);
  const weight = Math.log(open.reduce((sum, one) => sum + seeds.causes[one.cause]!.weight, 0) || 1);
  const causes = all
    .map((one) => ({ ...one, log: one.log - weight }))
    .sort((a, b) => b.log - a.log);
  return { causes, log: logSum(causes.map((one) => one.log)), weight };
}

/** What each sign by itself adds to a cause at one term, strongest first. */
export function signsOf(cause: CauseName, term: EvidenceTerm, streams: Streams): SignEvidence[] {
  const seed = seeds.causes[cause]!;
  const dose = doseOf(cause, term, streams.book);
  const all = [...streams.at(term.place), ...streams.measures];
  const keyed = all.map((stream) => ({ stream, key: stream.keyOf(dose) }));
  return seed.signs
    .map((sign) => {
      if (!isStage(sign.of))
        return {
          of: sign.of,
          shift: sign.shift,
          log: measuredFactor([{ ...sign, show: 1 }], keyed),
        };
      const stage = sign.of;
      const log = logSum(
        sizes.map(
          ({ value, weight }) =>
            Math.log(weight) +
            keyed.reduce(
              (sum, { stream, key }) =>
                sum +
                (stream.look === null
                  ? 0
                  : stream.logFactor(key, stream.shiftBy({ [stage]: value * sign.shift }))),
              0,
            ),
        ),
      );
      return { of: sign.of, shift: sign.shift, log };
    })
    .sort((a, b) => b.log - a.log);
}

/** Shifts that are tried when a found cause is taken into the model, as multiples of its usual size. */
const FITTED = Array.from({ length: 17 }, (_, i) => i * 0.3);

/** The shift of a stream that fits a cause's units best, on the side the cause claims. */
function fitted(stream: Stream, key: string, unit: number): number {
  let best = 0;
  let most = 0;
  for (const multiple of FITTED) {
    const log = stream.logFactor(key, multiple * unit);
    if (log > most) {
      most = log;
      best = multiple * unit;
    }
  }
  return best;
}

/**
 * The book with a found cause taken into it: every stream that the cause claims is moved back by what
 * fits best, freely and beyond the largest size, so that no remainder is found as a second cause.
 */
export function absorbed(cause: CauseName, term: EvidenceTerm, streams: Streams): Book {
  const { book } = streams;
  const seed = seeds.causes[cause]!;
  const dose = doseOf(cause, term, book);
  if (cause === 'set-lost')
    return {
      ...book,
      counts: book.counts.filter((row) => row.name !== term.place.name),
      measures: book.measures.filter((row) => row.name !== term.place.name),
    };
  const stages: Partial<Record<Failing, number>> = {};
  for (const sign of seed.signs) if (isStage(sign.of)) stages[sign.of] = sign.shift;
  const shifts = new Map<string, number>();
  for (const stream of [...streams.at(term.place), ...streams.measures]) {
    const key = stream.keyOf(dose);
    if (key === '') continue;
    const claimed = seed.signs.filter((sign) => sign.of === stream.name);
    const units =
      stream.look === null
        ? claimed.map((sign) => sign.shift)
        : [stream.shiftBy(stages)].filter((shift) => Math.abs(shift) > 0.05);
    if (units.length === 0) continue;
    // Of two opposite claims the one that fits.
    const shift = units
      .map((unit) => fitted(stream, key, unit))
      .reduce((a, b) => (Math.abs(b) > Math.abs(a) ? b : a));
    const machine = stream.units[0];
    const name = isGauge(stream.name)
      ? `${stream.name} ${machine?.setter} ${machine?.hatcher}`
      : `${stream.name} ${stream.species}`;
    // A pen has a stream for each of its males: the cause is as large as it is with the worst of them.
    const known = shifts.get(name) ?? 0;
    shifts.set(name, Math.abs(shift) > Math.abs(known) ? shift : known);
  }
  const less = (row: CountRow, set: number): CountRow => {
    const shift = (shifts.get(`${row.stream} ${row.species}`) ?? 0) * dose({ ...row, set });
    return shift === 0 ? row : { ...row, offset: row.offset + shift };
  };
  return {
    ...book,
    counts: book.counts.map((row) => less(row, row.set)),
    // Males that are poor were so in earlier seasons too.
    earlier:
      term.place.kind !== 'males'
        ? book.earlier
        : book.earlier.map((season) => ({
            ...season,
            counts: season.counts.map((row) => less(row, BEFORE)),
          })),
    measures: book.measures.filter((row) => {
      // What a found cause moved is set aside: a table moved by a guess would say too much.
      const key = isGauge(row.stream)
        ? `${row.stream} ${row.setter} ${row.hatcher}`
        : `${row.stream} ${row.species}`;
      return (shifts.get(key) ?? 0) === 0 || dose(row) === 0;
    }),
  };
}
