/** Signs and sizes in a keeper's words: eggs, chicks, hours. */
import { fixed, measured, percent } from '../../tables/numbers.ts';
import { type Book, type BookPlace, lastPenOf } from '../model/book.ts';
import { type EvidenceTerm, isOfPen, type SignEvidence, type Streams } from '../model/evidence.ts';
import { logistic, logit } from '../model/grid.ts';
import { type Failing, failing } from '../model/stages.ts';
import { BEFORE, type Dose, type Stream, type StreamUnit } from '../model/streams.ts';

/** What a stream counts, and of what; streams of looks are named by what the keeper saw. */
const counted: Readonly<Record<string, { what: string; of: string }>> = {
  infertile: { what: 'were infertile', of: 'eggs set' },
  clear: { what: 'were clear', of: 'eggs set' },
  'clear at transfer': { what: 'were clear at transfer', of: 'eggs' },
  early: { what: 'died early', of: 'fertile eggs' },
  quit: { what: 'had died at candling', of: 'eggs not clear' },
  'quit later': { what: 'had died at a later candling', of: 'eggs' },
  middle: { what: 'died in mid-term', of: 'eggs alive' },
  'quit at transfer': { what: 'had died by transfer', of: 'eggs' },
  late: { what: 'died late', of: 'eggs alive at transfer' },
  unpipped: { what: 'stayed whole and did not hatch', of: 'eggs moved' },
  pipped: { what: 'pipped and died', of: 'eggs that pipped or hatched' },
  unfit: { what: 'were not fit to set', of: 'eggs laid' },
  rotten: { what: 'were rotten', of: 'eggs set' },
  cracked: { what: 'cracked', of: 'eggs set' },
  malposed: { what: 'held a chick lying wrong', of: 'eggs alive at transfer' },
  weak: { what: 'were weak', of: 'chicks' },
  dead: { what: 'were dead in the hatcher', of: 'chicks' },
};

/** How a stream's axis becomes a value that is shown. */
export type Measurement = {
  readonly unit: string;
  readonly of: (at: number) => number;
  /** A change by a shift from a usual value, in words. */
  readonly change: (usual: number, shift: number) => string;
};

const ages: Readonly<Record<string, string>> = { middle: 'in mid-term' };
const pools: Readonly<Record<string, string>> = {
  clear: 'clear eggs',
  quit: 'quits',
  unhatched: 'unhatched eggs',
};

function nameOf(stream: Stream): { what: string; of: string } {
  const known = counted[stream.name];
  if (known) return known;
  // "early of clear opened": how the eggs of one look split when they were opened.
  const [end = '', , pool = ''] = stream.name.split(' ');
  const what = end === 'infertile' ? 'had never begun' : `had died ${ages[end] ?? end}`;
  return { what, of: `${pools[pool] ?? pool} opened` };
}

const units: Readonly<Record<string, string>> = {
  hours: 'hours from the expected hatch',
  spread: 'times the usual spread of a hatch',
  loss: 'points of water loss by transfer, against the target',
  temperature: '°C from the setting',
  humidity: 'points of humidity from the setting',
};

export function measurementOf(stream: Stream): Measurement {
  const unit = units[stream.name];
  if (stream.name === 'spread')
    return {
      unit: unit!,
      of: Math.exp,
      change: (_usual, shift) =>
        `a hatch drawn out to ${fixed(Math.exp(shift), 1)} times its spread`,
    };
  if (unit !== undefined)
    return {
      unit,
      of: (at) => at,
      change: (_usual, shift) => `a shift of ${amount(stream, Math.abs(shift))}`,
    };
  const { what, of } = nameOf(stream);
  return {
    unit: `share of ${of} that ${what}`,
    of: logistic,
    change: (usual, shift) =>
      `${percent(logistic(logit(usual) + shift))} of ${of} that ${what}, where ${percent(usual)} is usual here,`,
  };
}

function amount(stream: Stream, value: number): string {
  switch (stream.name) {
    case 'hours':
      return `${Math.round(value)} hours`;
    case 'loss':
      return `${fixed(value, 1)} points of water loss`;
    case 'temperature':
      return measured(value, 'warmth', stream.shownIn);
    default:
      return `${Math.round(value)} points of humidity`;
  }
}

/** How far a gauge stands from what is aimed at. */
export function deviation(stream: Stream, value: number): string {
  const small = stream.name === 'temperature' ? 0.15 : 2;
  if (Math.abs(value) < small) return 'as it should';
  return `${amount(stream, Math.abs(value))} ${value > 0 ? 'above' : 'below'} its setting`;
}

type Sums = { x: number; n: number };
const sumOf = (list: readonly StreamUnit[]): Sums =>
  list.reduce((sum, unit) => ({ x: sum.x + unit.x, n: sum.n + unit.n }), { x: 0, n: 0 });

const meanOf = (list: readonly StreamUnit[]): number | null => {
  const known = list.filter((unit) => unit.value !== null);
  return known.length === 0
    ? null
    : known.reduce((sum, unit) => sum + unit.value!, 0) / known.length;
};

/** The stream that carries a sign, and its units hit and not. */
function streamOf(sign: SignEvidence, term: EvidenceTerm, dose: Dose, streams: Streams) {
  const all = [...streams.at(term.place), ...streams.measures];
  const stage = (failing as readonly string[]).includes(sign.of);
  const weighed = all.flatMap((stream) => {
    const shift = stage
      ? stream.shiftBy({ [sign.of as Failing]: sign.shift })
      : stream.look === null && stream.name === sign.of
        ? sign.shift
        : 0;
    const key = shift === 0 ? '' : stream.keyOf(dose);
    return key === '' ? [] : [{ stream, log: stream.logFactor(key, shift) }];
  });
  if (weighed.length === 0) return null;
  const { stream } = weighed.reduce((a, b) => (b.log > a.log ? b : a));
  return {
    stream,
    hit: stream.units.filter((unit) => dose(unit) > 0),
    others: stream.units.filter((unit) => dose(unit) === 0),
  };
}

/** One sign as a sentence, with the counts where it was hit and where it was not. */
export function says(
  sign: SignEvidence,
  term: EvidenceTerm,
  dose: (where: BookPlace) => number,
  streams: Streams,
): string {
  const found = streamOf(sign, term, dose, streams);
  if (found === null) return '';
  const { stream, hit, others } = found;
  const rest = isOfPen(term.place.kind) ? [...others, ...otherPens(stream, streams)] : others;
  const elsewhere = elsewhereWords(term, rest, hit);
  if (stream.look === null && units[stream.name] !== undefined)
    return measuredSays(stream, hit, others, elsewhere);
  const { what, of } = nameOf(stream);
  // Of clears that were opened a fault shows in those that had begun.
  const turned = stream.name.startsWith('infertile of');
  const seen = ({ x, n }: Sums): Sums => ({ x: turned ? n - x : x, n });
  const own = seen(sumOf(hit));
  const other = seen(sumOf(rest));
  const first = `${own.x} of ${own.n} ${of} ${turned ? 'had begun' : what}${placeWords(term, hit, streams.book)}`;
  return other.n === 0 ? first : `${first}; ${elsewhere} ${other.x} of ${other.n}`;
}

function otherPens(stream: Stream, streams: Streams): StreamUnit[] {
  return streams
    .at({ kind: 'farm', name: '' })
    .filter((one) => one.name === stream.name && one.species === stream.species)
    .flatMap((one) => one.units)
    .map((unit) => {
      const own = stream.units.filter((mine) => mine.set === unit.set);
      return { ...unit, ...{ x: unit.x - sumOf(own).x, n: unit.n - sumOf(own).n } };
    })
    .filter((unit) => unit.n > 0);
}

function placeWords(term: EvidenceTerm, hit: readonly StreamUnit[], book: Book): string {
  const { kind, name } = term.place;
  const since = term.from > 0 && kind !== 'set' ? ` since ${book.sets[term.from]?.name ?? ''}` : '';
  switch (kind) {
    case 'pen':
      return ` in pen ${name}${since}`;
    case 'males': {
      const names = book.males.find((one) => one.key === name)?.names ?? [];
      return hit.some((unit) => unit.set === BEFORE)
        ? ` with ${names.join(' and ')}, this season and before`
        : ` in pen ${lastPenOf(name, book)}${since}`;
    }
    case 'tray':
      return ` in tray ${name.slice(name.lastIndexOf(' ') + 1)}${since}`;
    case 'set':
      return ` in set ${name}`;
    case 'setter':
    case 'hatcher':
      return ` in ${name}${since}`;
    case 'farm':
      return since;
  }
}

function elsewhereWords(
  term: EvidenceTerm,
  others: readonly StreamUnit[],
  hit: readonly StreamUnit[],
): string {
  if (term.place.kind === 'set') return 'in other sets';
  const first = hit.reduce((least, unit) => Math.min(least, unit.set), Number.POSITIVE_INFINITY);
  if (others.every((unit) => unit.set < first)) return 'before';
  return others.some((unit) => unit.set < first) ? 'elsewhere and before' : 'elsewhere';
}

function measuredSays(
  stream: Stream,
  hit: readonly StreamUnit[],
  others: readonly StreamUnit[],
  elsewhere: string,
): string {
  const now = meanOf(hit);
  const before = meanOf(others);
  const against = (text: string | null): string => (text === null ? '' : `; ${elsewhere}, ${text}`);
  switch (stream.name) {
    case 'hours': {
      const words = (value: number): string =>
        Math.abs(value) < 1
          ? 'on time'
          : `${Math.round(Math.abs(value))} hours ${value < 0 ? 'early' : 'late'}`;
      return `chicks of ${hit.length} ${hit.length === 1 ? 'set' : 'sets'} hatched ${now === null ? '' : words(now)}${against(before === null ? null : words(before))}`;
    }
    case 'spread':
      return `chicks of ${hit.length} ${hit.length === 1 ? 'set' : 'sets'} hatched over more hours than usual`;
    case 'loss': {
      const target = (value: number): string =>
        `${fixed(Math.abs(value), 1)} points ${value < 0 ? 'too little' : 'too much'}`;
      return `eggs lost ${now === null ? '' : target(now)} water by transfer${against(before === null ? null : target(before))}`;
    }
    default: {
      const gauge = stream.name === 'temperature' ? 'the thermometer' : 'the hygrometer';
      return `${gauge} read ${deviation(stream, now ?? 0)}${against(before === null ? null : deviation(stream, before))}`;
    }
  }
}
