/** Birds, pens and parents of a season and the seasons before it, made into one pedigree. */
import type { Pen, Season } from '../../season/model.ts';
import { addDays, type Day } from '../../text/day.ts';
import type { Place } from '../../text/source.ts';
import type { PedigreeEntry, PossibleParent } from './pedigree.ts';

/** A bird of `birds.csv`, whichever season's. */
export interface FlockBird {
  readonly name: string;
  readonly line: string;
  /** Null until it is known. */
  readonly sex: 'female' | 'male' | null;
  readonly born: Day | null;
  /** The hatch it came out of, unique over the seasons; `null` when only the day is known. */
  readonly hatch: string | null;
  readonly sire: string | null;
  readonly dam: string | null;
  readonly pen: string | null;
  /** Place among the seasons given, oldest 0. */
  readonly season: number;
  readonly at: Place;
}

export interface KnownBirds {
  readonly seasons: readonly Season[];
  readonly birds: ReadonlyMap<string, FlockBird>;
  readonly pedigree: readonly PedigreeEntry[];
  /** Birds whose father or mother is only known by the pen, by name of the bird. */
  readonly sharedOut: ReadonlySet<string>;
  /** What a later season's book says otherwise than an earlier one; the later is taken. */
  readonly changed: readonly {
    readonly bird: string;
    readonly what: string;
    readonly before: string;
    readonly now: string;
    readonly at: Place;
  }[];
  /** Birds that can be penned next: see `birdsHere`. */
  readonly here: ReadonlySet<string>;
}

/** No egg hatches sooner after the pen was joined (quail: some days to lay fertile, then 16). */
const SOONEST_CHICK_DAYS = 17;

/** The pen a bird was bred in: the latest of that name that was joined early enough. */
function penOf(bird: FlockBird, seasons: readonly Season[]): { pen: Pen; season: number } | null {
  if (bird.pen === null) return null;
  for (let season = bird.season; season >= 0; season -= 1) {
    const pen = seasons[season]!.pens.get(bird.pen);
    if (pen === undefined || pen.line.name !== bird.line) continue;
    if (bird.born === null || addDays(pen.joined, SOONEST_CHICK_DAYS) <= bird.born)
      return { pen, season };
  }
  return null;
}

/**
 * Birds still here, as far as a book of groups tells: leavings and losses count birds and name none.
 * A bird is here if the latest season enters it, scores it or names it in a pen, and does not
 * say under `gone:` that it is here no more. Who is only in the book of an earlier season has left.
 */
function birdsHere(season: Season): Set<string> {
  const here = new Set<string>();
  for (const { values } of season.rows.bird) here.add(values.bird);
  for (const { values } of season.rows.score) here.add(values.bird);
  for (const pen of season.pens.values())
    for (const name of [...pen.sires, ...pen.dams]) here.add(name);
  for (const name of season.values.gone) here.delete(name);
  return here;
}

/**
 * Joins seasons, oldest first, into one flock. A bird entered again in a later season is the same
 * bird, as it stands there; what the later row leaves empty stays as it was. A parent nobody named is shared out over the males (or hens) of the pen:
 * those the season file names, and as many unnamed as the pen counts besides. A pen that stands in
 * no season file counts as one unnamed male, which is the closest its chicks can be.
 */
export function flockOf(seasons: readonly Season[]): KnownBirds {
  const birds = new Map<string, FlockBird>();
  const changed: KnownBirds['changed'][number][] = [];
  seasons.forEach((season, at) => {
    for (const { values, at: place } of season.rows.bird) {
      const known = birds.get(values.bird);
      if (known !== undefined)
        for (const what of ['line', 'sex', 'sire', 'dam', 'born'] as const) {
          const [before, now] = [known[what], values[what]];
          if (before !== null && now !== null && before !== now)
            changed.push({ bird: values.bird, what, before, now, at: place });
        }
      birds.set(values.bird, {
        name: values.bird,
        line: values.line,
        sex: values.sex ?? known?.sex ?? null,
        born: values.born ?? known?.born ?? null,
        // A set may be of an earlier season: the year of hatch tells two of one name apart.
        hatch:
          values.set === null
            ? (known?.hatch ?? null)
            : `${values.set} ${values.born?.slice(0, 4) ?? ''}`,
        sire: values.sire ?? known?.sire ?? null,
        dam: values.dam ?? known?.dam ?? null,
        pen: values.pen ?? known?.pen ?? null,
        season: at,
        at: place,
      });
    }
  });

  const pedigree: PedigreeEntry[] = [];
  const placed = new Set<string>();
  const founder = (id: string, unnamed?: number) => {
    if (placed.has(id) || birds.has(id)) return;
    placed.add(id);
    pedigree.push({ id, sire: [], dam: [], ...(unnamed === undefined ? {} : { unnamed }) });
  };
  const certain = (id: string): PossibleParent[] => {
    founder(id);
    return [{ id, share: 1 }];
  };
  const shared = (key: string, named: readonly string[], count: number): PossibleParent[] => {
    const all = Math.max(count, named.length);
    if (all === 0) return [];
    const parents = named.map((id) => {
      founder(id);
      return { id, share: 1 / all };
    });
    const unnamed = all - named.length;
    if (unnamed === 0) return parents;
    // A slash is in no bird's name.
    founder(key, unnamed);
    return [...parents, { id: key, share: unnamed / all }];
  };
  const sharedOut = new Set<string>();
  for (const bird of birds.values()) {
    const bredIn = penOf(bird, seasons);
    const key = bredIn
      ? `${bredIn.season}/${bredIn.pen.name}`
      : `${bird.born?.slice(0, 4) ?? ''}/${bird.pen}`;
    const guess = (sex: 'sires' | 'dams'): PossibleParent[] => {
      if (bird.pen === null) return [];
      sharedOut.add(bird.name);
      if (bredIn === null) return sex === 'sires' ? shared(`${key}/males`, [], 1) : [];
      const { pen } = bredIn;
      return sex === 'sires'
        ? shared(`${key}/males`, pen.sires, pen.males)
        : shared(`${key}/hens`, pen.dams, pen.hens);
    };
    pedigree.push({
      id: bird.name,
      sire: bird.sire === null ? guess('sires') : certain(bird.sire),
      dam: bird.dam === null ? guess('dams') : certain(bird.dam),
    });
  }
  return { seasons, birds, pedigree, sharedOut, changed, here: birdsHere(seasons.at(-1)!) };
}
