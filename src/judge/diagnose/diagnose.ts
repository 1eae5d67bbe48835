import type { Season } from '../../season/model.ts';
import { smallest } from '../../text/lists.ts';
import { type Book, bookOf, lastPenOf } from '../model/book.ts';
import { levelFrom } from '../model/counted.ts';
import {
  absorbed,
  type CauseEvidence,
  type CauseName,
  doseOf,
  type EvidenceTerm,
  evidenceFor,
  isOfPen,
  isStage,
  Streams,
  signsOf,
} from '../model/evidence.ts';
import { type GridTable, logit, logSum, oddsAxis, summaryOver } from '../model/grid.ts';
import { seeds, sourceOf } from '../model/priors.ts';
import type { Stream, StreamUnit } from '../model/streams.ts';
import { type SeasonSeen, seenOf } from '../seen.ts';
import { costOf } from './cost.ts';
import { type Cause, everywhere, type Finding, type Where } from './finding.ts';
import { deviation, type Measurement, measurementOf, says } from './says.ts';

/** How many causes are sought one after the other, each with those before it in the model. */
const MOST_CAUSES = 4;
/** A rival at least this likely beside the first is watched too: the records do not tell them apart. */
const RIVAL = 0.2;

type Raised = {
  readonly found: CauseEvidence;
  readonly verdict: 'act' | 'watch';
  readonly streams: Streams;
  /** Evidence of this round: for the odds of rivals. */
  readonly round: readonly CauseEvidence[];
  readonly log: number;
};

/**
 * Causes raised, in the order they were found: each round weighs every cause with those already found
 * taken into the model, so that a sign is not counted for two.
 */
function raisedOf(first: Streams): { raised: Raised[]; first: ReturnType<typeof evidenceFor> } {
  const { act, watch, leading } = seeds.evidence;
  const out: Raised[] = [];
  let streams = first;
  const weighed = evidenceFor(first);
  for (let i = 0; i < MOST_CAUSES; i++) {
    const { causes: round, log } = i === 0 ? weighed : evidenceFor(streams);
    const top = round[0]!;
    if (top.best === null || !(log >= Math.log(watch.value))) break;
    const part = (one: CauseEvidence): number => Math.exp(one.log - log);
    const known = new Set(out.map((one) => one.found.cause));
    const sure = log >= Math.log(act.value) && part(top) >= leading.value;
    if (!known.has(top.cause))
      out.push({ found: top, verdict: sure ? 'act' : 'watch', streams, round, log });
    for (const rival of round.slice(1))
      if (
        part(rival) >= RIVAL &&
        rival.log >= Math.log(watch.value) &&
        !known.has(rival.cause) &&
        rival.best
      )
        out.push({ found: rival, verdict: 'watch', streams, round, log });
    if (i + 1 < MOST_CAUSES) streams = new Streams(absorbed(top.cause, top.best, streams));
  }
  return { raised: out, first: weighed };
}

/** Where a term is, in the words of the book. */
function whereOf(season: Season, cause: CauseName, term: EvidenceTerm, streams: Streams): Where {
  const { place, from } = term;
  const { sets, powerCuts, males } = streams.book;
  const hit = place.kind === 'males' ? lastPenOf(place.name, streams.book) : place.name;
  const pen = isOfPen(place.kind) ? season.pens.get(hit) : undefined;
  const tray = place.kind === 'tray' ? place.name.lastIndexOf(' ') : -1;
  const cut = cause === 'power-cut' ? powerCuts[from] : undefined;
  const begin = cut?.on ?? sets[firstHit(cause, term, streams.book)]?.on ?? null;
  return {
    ...everywhere,
    line: pen?.line.name ?? null,
    pen: pen?.name ?? null,
    male:
      place.kind === 'males'
        ? onlyName(males.find((one) => one.key === place.name)?.names ?? [])
        : pen && pen.males === 1 && pen.sires.length === 1
          ? pen.sires[0]!
          : null,
    set: place.kind === 'set' ? place.name : null,
    setter: place.kind === 'setter' ? place.name : tray > 0 ? place.name.slice(0, tray) : null,
    hatcher: place.kind === 'hatcher' ? place.name : null,
    tray: tray > 0 ? Number(place.name.slice(tray + 1)) : null,
    from: begin,
    to: place.kind === 'set' || cut ? begin : null,
  };
}

const onlyName = (names: readonly string[]): string | null =>
  names.length === 1 ? names[0]! : null;

/** The first set that a cause hits at all: from then on the machine or pen may have had no set for weeks. */
function firstHit(cause: CauseName, term: EvidenceTerm, book: Book): number {
  const dose = doseOf(cause, term, book);
  const hit = book.counts.filter((row) => dose(row) > 0).map((row) => row.set);
  // Eggs laid after the last set are of none yet.
  return hit.length > 0 ? Math.min(smallest(hit), book.sets.length - 1) : term.from;
}

/** The stream that shows a cause best, with the key of the units it hits, and those it does not. */
function leadOf(
  cause: CauseName,
  term: EvidenceTerm,
  streams: Streams,
): { stream: Stream; others: StreamUnit[]; key: string } | null {
  const dose = doseOf(cause, term, streams.book);
  const seed = seeds.causes[cause]!;
  const all = [...streams.at(term.place), ...streams.measures];
  let best: ReturnType<typeof leadOf> = null;
  let most = Number.NEGATIVE_INFINITY;
  for (const sign of seed.signs) {
    for (const stream of all) {
      const shift = shiftOf(stream, sign);
      if (Math.abs(shift) < LEAST_SHIFT) continue;
      const key = stream.keyOf(dose);
      if (key === '') continue;
      const log = stream.logFactor(key, shift) * (sign === seed.signs[0] ? 1 : SECOND_SIGN);
      if (log > most) {
        most = log;
        best = { stream, key, others: stream.units.filter((unit) => dose(unit) === 0) };
      }
    }
  }
  return best;
}

const LEAST_SHIFT = 0.1;
/** The sign that names a cause leads, unless another speaks much louder. */
const SECOND_SIGN = 0.5;

/** A look tells of a stage when a shift of it moves the look by at least this part. */
const MAINLY = 0.5;

/** True if the records hold the sign that names a cause; any of them where none alone does. */
function isShown(cause: CauseName, term: EvidenceTerm, streams: Streams): boolean {
  const { signs } = seeds.causes[cause]!;
  const first = signs[0]!;
  if (first.show < 1) return true;
  const dose = doseOf(cause, term, streams.book);
  return [...streams.at(term.place), ...streams.measures].some((stream) => {
    const shift = shiftOf(stream, first);
    return Math.abs(shift) >= MAINLY * Math.abs(first.shift) && stream.keyOf(dose) !== '';
  });
}

/** Level of some units of a stream by themselves. */
const levelIn = (stream: Stream, table: GridTable, { of }: Measurement) =>
  levelFrom(table, stream.axis, stream.scatter, stream.level, of);

/** Level where nothing has changed: the kind's, moved by the units that the cause does not hit. */
function levelWithoutCause(stream: Stream, key: string, measurement: Measurement): number {
  const { axis } = stream;
  const rest = stream.sumOf(key, true);
  const logs = stream.prior.map((log, i) => log + rest[i]!);
  const total = logSum(logs);
  const weights = new Float64Array(axis.length);
  logs.forEach((log, i) => {
    weights[i % axis.length]! += Math.exp(log - total);
  });
  return summaryOver(weights, axis, measurement.of).mean;
}

/** Whose figure a stream is compared with: a norm, or the source of the cause's first sign. */
const sourceFor = (cause: CauseName, stream: Stream): string =>
  sourceOf(stream.name) ?? seeds.causes[cause]!.signs[0]!.source;

/** Estimate, interval and what it is compared with, of a cause at a term. */
function measured(
  cause: CauseName,
  term: EvidenceTerm,
  streams: Streams,
): Pick<Finding, 'unit' | 'estimate' | 'low' | 'high' | 'expected' | 'source'> {
  const lead = leadOf(cause, term, streams);
  if (lead === null)
    return { unit: '', estimate: null, low: null, high: null, expected: null, source: null };
  const measurement = measurementOf(lead.stream);
  const own = levelIn(lead.stream, lead.stream.sumOf(lead.key), measurement);
  const norm = sourceFor(cause, lead.stream);
  return {
    unit: measurement.unit,
    estimate: own.mean,
    low: own.low,
    high: own.high,
    expected: levelWithoutCause(lead.stream, lead.key, measurement),
    source: lead.others.length > 0 ? `this season's other sets, and ${norm}` : norm,
  };
}

/** The finding of a raised cause. */
function raisedFinding(season: Season, raised: Raised): Finding {
  const { found, verdict, streams, round, log } = raised;
  const term = found.best!;
  const cause = found.cause as Cause;
  const where = whereOf(season, cause, term, streams);
  const dose = doseOf(cause, term, streams.book);
  const naming = seeds.causes[cause]!.signs[0]!.of;
  const signs = signsOf(cause, term, streams)
    .filter((sign) => sign.log > LEAST_LOG)
    .sort((a, b) => Number(b.of === naming) - Number(a.of === naming));
  return {
    cause,
    verdict,
    probability: chance(found.log, log),
    since: where.from,
    where,
    ...measured(cause, term, streams),
    evidence: signs.slice(0, MOST_SIGNS).map((sign) => ({
      // A cut is of a day, and `from` its number: its sets need no beginning said.
      says: says(sign, cause === 'power-cut' ? { ...term, from: 0 } : term, dose, streams),
      log_odds: sign.log / Math.LN10,
    })),
    rivals: round
      .filter((one) => one.cause !== cause && one.log - found.log > Math.log(LEAST_RIVAL))
      .slice(0, MOST_RIVALS)
      .map((one) => ({ cause: one.cause as Cause, odds: Math.exp(one.log - found.log) })),
    would_show: null,
    cost: costOf(season, cause, (unit) => dose(unit) > 0, streams.book),
    next: seeds.causes[cause]!.next.map((text) =>
      text.replace('{pure days}', pureDays(season, where)),
    ),
    unknown: null,
  };
}

/** Days until eggs are surely a new male's, of the kind of the pen. */
const pureDays = (season: Season, { pen }: Where): string =>
  pen === null ? '' : String(season.pens.get(pen)!.line.species.carry_over_days.value.safe);

const MOST_SIGNS = 3;
const MOST_RIVALS = 3;
const LEAST_RIVAL = 0.02;
/** A sign worth a word makes the cause at least so much likelier (log of the odds). */
const LEAST_LOG = 0.7;

/** Posterior chance of a cause at even odds of anything before; never quite 0 or 1. */
function chance(own: number, all: number): number {
  const p = 1 / (Math.exp(-own) + Math.exp(Math.max(0, all) - own));
  return Math.min(0.999, Math.max(0.001, p));
}

const gaugeOf: Readonly<Partial<Record<Cause, 'temperature' | 'humidity'>>> = {
  warm: 'temperature',
  cool: 'temperature',
  damp: 'humidity',
  dry: 'humidity',
};
/** A gauge that stands still this surely while the chicks tell of a change is itself the finding. */
const GAUGE_STANDS = Math.log(1 / 3);

/** A machine is out and its own gauge says it is not: then the gauge is wrong. */
function standingGauge(season: Season, raised: Raised): Finding | null {
  const cause = raised.found.cause as Cause;
  const term = raised.found.best!;
  const of = gaugeOf[cause];
  if (of === undefined || term.place.kind !== 'setter') return null;
  const sign = signsOf(cause, term, raised.streams).find((one) => one.of === of);
  if (chance(raised.found.log, raised.log) < 0.5) return null;
  if (!sign || !(sign.log < GAUGE_STANDS)) return null;
  const stream = raised.streams.measures.find(
    (one) => one.name === of && one.units[0]!.setter === term.place.name,
  );
  if (!stream) return null;
  const measurement = measurementOf(stream);
  const key = stream.keyOf(doseOf(cause, term, raised.streams.book));
  const own = levelIn(stream, stream.sumOf(key), measurement);
  const shift = seeds.causes[cause]!.signs.find((one) => one.of === of)!.shift;
  const where = whereOf(season, cause, term, raised.streams);
  return {
    cause: 'gauge-wrong',
    verdict: raised.verdict,
    probability: Math.min(0.999, chance(raised.found.log, raised.log) / (1 + Math.exp(sign.log))),
    since: where.from,
    where,
    unit: measurement.unit,
    estimate: own.mean,
    low: own.low,
    high: own.high,
    expected: shift,
    source: seeds.causes[cause]!.signs.find((one) => one.of === of)!.source,
    evidence: [
      {
        says: `the ${of === 'temperature' ? 'thermometer' : 'hygrometer'} of ${term.place.name} reads ${deviation(stream, own.mean)}, while ${of === 'temperature' ? 'the chicks' : 'the eggs'} say that it runs ${cause}`,
        log_odds: -sign.log / Math.LN10,
      },
    ],
    rivals: [],
    would_show: null,
    cost: { chicks: null, to_come: null, money: null },
    next: [...seeds.causes['gauge-wrong']!.next],
    unknown: null,
  };
}

/** Multiples of a cause's usual size at which it is asked whether it would have shown. */
const SHOWN: readonly number[] = [0.3, 0.5, 0.75, 1, 1.3, 1.6];

/**
 * A question not raised: fine, with the smallest change from the middle of the season on that would
 * have been watched; or unknown, with the record that would tell.
 */
function quietFinding(
  found: CauseEvidence,
  streams: Streams,
  all: number,
  weight: number,
): Finding {
  const cause = found.cause as Cause;
  const seed = seeds.causes[cause]!;
  const base: Finding = {
    cause,
    verdict: 'unknown',
    probability: chance(found.log, all),
    since: null,
    where: everywhere,
    unit: '',
    estimate: null,
    low: null,
    high: null,
    expected: null,
    source: null,
    evidence: [],
    rivals: [],
    would_show: null,
    cost: { chicks: null, to_come: null, money: null },
    next: [],
    unknown: null,
  };
  const visible = found.terms.filter((term) => term.log > Number.NEGATIVE_INFINITY);
  const last = visible.reduce((most, term) => Math.max(most, term.from), 0);
  const term = visible
    .filter((one) => one.shape === 'step')
    .reduce<EvidenceTerm | null>(
      (a, b) => (a === null || Math.abs(b.from - last / 2) < Math.abs(a.from - last / 2) ? b : a),
      null,
    );
  const shows = term !== null && isShown(cause, term, streams);
  const lead = shows ? clearest(cause, term, streams) : null;
  if (term === null || lead === null) {
    const why =
      streams.book.sets.length === 0
        ? null
        : cause === 'power-cut'
          ? 'no power cut was written while eggs were set'
          : cause === 'long-storage' && streams.book.counts.some((row) => row.name !== null)
            ? 'no eggs were stored long enough to lose much by it'
            : null;
    return why === null
      ? { ...base, unknown: 'nothing was written that could show it', next: [seed.record] }
      : { ...base, verdict: 'fine', would_show: why };
  }
  const { stream } = lead;
  const measurement = measurementOf(stream);
  const every = stream.keyOf(() => 1);
  const whole = levelIn(stream, stream.sumOf(every), measurement);
  const levels = {
    unit: measurement.unit,
    estimate: whole.mean,
    low: whole.low,
    high: whole.high,
    expected: measurement.of(stream.level.centre),
    source: sourceFor(cause, stream),
  };
  const needed = -(Math.log(seed.weight) - weight + term.logWeight) - Math.log(NEARBY);
  const size = leastShown((multiple) => shownAt(cause, term, streams, multiple) >= needed);
  if (size === undefined)
    return {
      ...base,
      ...levels,
      unknown: 'the counts are too few so far to show even a large change',
      next: [seed.record],
    };
  return {
    ...base,
    ...levels,
    verdict: 'fine',
    would_show: `${measurement.change(whole.mean, size * lead.shift)} would have shown`,
  };
}

/** The least multiple that shows, by halving: a larger change shows more. */
function leastShown(shows: (multiple: number) => boolean): number | undefined {
  let low = 0;
  let high = SHOWN.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (shows(SHOWN[middle]!)) high = middle;
    else low = middle + 1;
  }
  return SHOWN[low];
}

/** What a stream is moved by a sign, at its usual size; 0 if not at all. */
function shiftOf(stream: Stream, sign: { readonly of: string; readonly shift: number }): number {
  if (stream.look !== null) return isStage(sign.of) ? stream.shiftBy({ [sign.of]: sign.shift }) : 0;
  return stream.name === sign.of ? sign.shift : 0;
}

/** The log Bayes factor to expect of one stream, had a cause shifted it by so much. */
function expectedLog(
  stream: Stream,
  cause: CauseName,
  term: EvidenceTerm,
  book: Book,
  shift: number,
): number {
  const level = stream.axis === oddsAxis ? meanLevel(stream) : 0;
  return stream.wouldShow(doseOf(cause, term, book), shift, level);
}

const levels = new WeakMap<Stream, number>();

function meanLevel(stream: Stream): number {
  const known = levels.get(stream);
  if (known !== undefined) return known;
  const own = levelIn(stream, stream.sumOf(stream.keyOf(() => 1)), measurementOf(stream));
  const level = logit(Math.min(0.99, Math.max(0.001, own.mean)));
  levels.set(stream, level);
  return level;
}

/** The signs that name a cause: the first, or all where it may not show. */
const namingSigns = (cause: CauseName) => {
  const { signs } = seeds.causes[cause]!;
  return signs[0]!.show < 1 ? signs : signs.slice(0, 1);
};

/** The evidence to expect of a cause at a multiple of its usual size. */
function shownAt(cause: CauseName, term: EvidenceTerm, streams: Streams, multiple: number): number {
  const all = [...streams.at(term.place), ...streams.measures];
  let most = 0;
  for (const sign of namingSigns(cause)) {
    let sum = 0;
    for (const stream of all) {
      const shift = multiple * shiftOf(stream, sign);
      if (Math.abs(shift) >= LEAST_SHIFT)
        sum += expectedLog(stream, cause, term, streams.book, shift);
    }
    most = Math.max(most, sum);
  }
  return most;
}

/** The stream that would show a cause best, of those that name it. */
function clearest(
  cause: CauseName,
  term: EvidenceTerm,
  streams: Streams,
): { stream: Stream; shift: number } | null {
  let best: ReturnType<typeof clearest> = null;
  let most = Number.NEGATIVE_INFINITY;
  for (const sign of namingSigns(cause))
    for (const stream of [...streams.at(term.place), ...streams.measures]) {
      const shift = shiftOf(stream, sign);
      if (Math.abs(shift) < LEAST_SHIFT) continue;
      const log = expectedLog(stream, cause, term, streams.book, shift);
      if (log > most) {
        most = log;
        best = { stream, shift };
      }
    }
  return best;
}

/** Beginnings next to the one asked about add to its evidence as about so many. */
const NEARBY = 3;

/**
 * The answers, strongest evidence first. `act` when the averaged evidence reaches what chance reaches
 * in at most one clean season of fifty, however often it is asked, and one cause clearly leads;
 * `watch` when a fault is likelier than none.
 */
export function diagnose(
  season: Season,
  previous: readonly Season[] = [],
  seen: SeasonSeen = seenOf(season),
): Finding[] {
  return findingsOf(season, new Streams(bookOf(season, previous, seen)));
}

/** What `diagnose` raises, without the answers to all that is quiet, which are half as much work again. */
export function raisedFindings(
  season: Season,
  previous: readonly Season[] = [],
  seen: SeasonSeen = seenOf(season),
): Finding[] {
  return findingsOfRaised(season, raisedOf(new Streams(bookOf(season, previous, seen))).raised);
}

export function findingsOf(season: Season, streams: Streams): Finding[] {
  const { raised, first } = raisedOf(streams);
  const out = findingsOfRaised(season, raised);
  const quiet = first.causes
    .filter((one) => !out.some((f) => f.cause === one.cause))
    .map((one) => quietFinding(one, streams, first.log, first.weight));
  return [...out, ...quiet];
}

/** The findings of raised causes, those to act on first. */
function findingsOfRaised(season: Season, raised: readonly Raised[]): Finding[] {
  const out: Finding[] = [];
  for (const one of raised) {
    if (out.some((f) => f.cause === one.found.cause)) continue;
    out.push(raisedFinding(season, one));
    const gauge = standingGauge(season, one);
    if (gauge && !out.some((f) => f.cause === 'gauge-wrong')) out.push(gauge);
  }
  return (['act', 'watch'] as const).flatMap((verdict) => out.filter((f) => f.verdict === verdict));
}
