/** What `breeders` shows: pens, lines, traits and birds as they stand. */
import type * as z from 'zod';
import breeding from '../../seeds/breeding.yaml';
import type { KnownBirds } from '../facts/birds/bird-list.ts';
import { orderPedigree, type PossibleParent } from '../facts/birds/pedigree.ts';
import { firstFertile, pureFrom } from '../facts/laying.ts';
import { total } from '../facts/tally.ts';
import type { Line, Pen, Season } from '../season/model.ts';
import { hensPerMale } from '../season/species.ts';
import { type Day, numberOfDay } from '../text/day.ts';
import { groupedBy } from '../text/lists.ts';
import type { breedingFile } from './breeding-schema.ts';
import type { LeftOut, Score, ScoredBird } from './comparison.ts';
import {
  acrossGenerations,
  type Breeders,
  effectiveSize,
  inbreedingRate,
  rateWithinFamilies,
  sizeRange,
  yearsUntil,
} from './effective-size.ts';
import { inbreedingOf, meanKinship, type Relationships, relationships } from './inbreeding.ts';
import { type Assumption, type Ranking, rank, type WeightedTrait } from './merit.ts';

const seed = breeding as z.infer<typeof breedingFile>;

/** What a change of numbers would make of the effective size. */
interface MaleChange {
  readonly effective_size: number;
  readonly delta_f: number | null;
}

const sized = (breeders: Breeders): MaleChange => {
  const size = effectiveSize(breeders);
  return { effective_size: size, delta_f: inbreedingRate(size) };
};

function narrowness({ males, hens }: Breeders, least: number) {
  return {
    males,
    hens,
    ...sized({ males, hens }),
    effective_size_low: least,
    delta_f_high: inbreedingRate(least),
    one_more_male: sized({ males: males + 1, hens }),
    five_more_hens: sized({ males, hens: hens + 5 }),
  };
}

function penReport(pen: Pen) {
  const ratio = hensPerMale(pen.line.species, pen.line.class ?? undefined);
  const each = pen.males > 0 ? pen.hens / pen.males : null;
  const verdict =
    pen.hens === 0 || each === null
      ? 'no mating'
      : each > ratio.value.high
        ? 'too few males'
        : each < ratio.value.low
          ? 'more males than needed'
          : 'fine';
  return {
    pen: pen.name,
    line: pen.line.name,
    ...narrowness(pen, sizeRange([pen]).least),
    hens_per_male: each,
    hens_per_male_low: ratio.value.low,
    hens_per_male_high: ratio.value.high,
    ratio: verdict,
    ratio_source: ratio.source,
    joined: pen.joined,
    parted: pen.parted,
    first_fertile: firstFertile(pen),
    pure_from: pureFrom(pen),
  };
}

const pensOf = (season: Season, line: string) =>
  [...season.pens.values()].filter(
    (pen) => pen.line.name === line && pen.males > 0 && pen.hens > 0,
  );
const together = (pens: readonly Pen[]): Breeders => ({
  males: total(pens, (pen) => pen.males),
  hens: total(pens, (pen) => pen.hens),
});

function lineReport(line: Line, flock: KnownBirds, known: Relationships) {
  const pens = pensOf(flock.seasons.at(-1)!, line.name);
  const now = together(pens);
  const range = sizeRange(pens);
  const rate = inbreedingRate(effectiveSize(now));
  const years = seed.narrowing.generation_years.value;
  const [first, second] = seed.narrowing.milestones_percent.value;
  const generations = flock.seasons.flatMap((season) => {
    const bred = together(pensOf(season, line.name));
    return bred.males > 0 && bred.hens > 0
      ? [{ season: String(season.values.season), ...bred }]
      : [];
  });
  const course = generations.length > 0 ? acrossGenerations(generations) : null;
  const birds = [...flock.birds.values()].filter((bird) => bird.line === line.name);
  const names = birds.map(({ name }) => name);
  const kinship = meanKinship(known, names);
  return {
    line: line.name,
    pens: pens.length,
    ...narrowness(now, range.least),
    delta_f_within_families: rateWithinFamilies(now),
    target_delta_f: seed.narrowing.target_percent.value / 100,
    generation_years: years,
    years_to_first: yearsUntil(first / 100, rate, years),
    first_milestone: first / 100,
    years_to_second: yearsUntil(second / 100, rate, years),
    second_milestone: second / 100,
    seasons: generations.map((one, index) => ({
      ...one,
      effective_size: course!.sizes[index]!,
    })),
    effective_size_harmonic: course?.harmonic ?? null,
    inbreeding_over_seasons: course?.inbreeding ?? null,
    birds: birds.length,
    mean_inbreeding:
      names.length === 0 ? null : total(names, (name) => inbreedingOf(known, name)) / names.length,
    mean_kinship: kinship.among,
  };
}

/** Traits of a season with defaults filled in; `source` says where the heritability is from. */
export function traitsOf(season: Season): (WeightedTrait & { unit: string; source: string })[] {
  return Object.entries(season.values.traits).map(([name, given]) => {
    const usual = seed.heritabilities[given.kind]!;
    const own = given.heritability;
    return {
      name,
      sex: given.sex ?? usual.sex,
      age_days: given.age_days ?? null,
      within_days: given.within_days ?? seed.scores.within_days.value,
      on_one_day: given.kind !== 'age-at-first-egg',
      direction: given.better === 'more' ? 1 : -1,
      weight: given.weight,
      heritability: own ?? usual.value,
      range:
        own === undefined
          ? [usual.low, usual.high]
          : [Math.min(own, usual.low), Math.max(own, usual.high)],
      unit: given.unit ?? usual.unit,
      source: own === undefined ? `${usual.source} (${usual.seen})` : 'season.yaml',
    };
  });
}

/** Ranks a flock with the heritabilities as given, low and high, in that order. */
export function rankings(flock: KnownBirds, known: Relationships): Ranking[] {
  const season = flock.seasons.at(-1)!;
  const number = (day: Day | null) => (day === null ? null : numberOfDay(day));
  const birds = new Map<string, ScoredBird>(
    [...flock.birds.values()].map((bird) => [
      bird.name,
      { id: bird.name, sex: bird.sex, hatch: bird.hatch, born: number(bird.born) },
    ]),
  );
  const rows = flock.seasons.flatMap((one) => one.rows.score);
  const scores = new Map(
    [...groupedBy(rows, ({ values }) => values.trait)].map(([trait, own]): [string, Score[]] => [
      trait,
      own.map(({ values: { bird, value }, on }) => ({ bird, value, on: numberOfDay(on.day) })),
    ]),
  );
  const traits = traitsOf(season);
  return (['given', 'low', 'high'] satisfies Assumption[]).map((assumption) =>
    rank(known, birds, traits, scores, assumption),
  );
}

/** The whole report. @throws RangeError for a pedigree with loops: ask `birdFaults` first. */
export function breedersReport(flock: KnownBirds) {
  const season = flock.seasons.at(-1)!;
  const known = relationships(orderPedigree(flock.pedigree));
  const ranked = rankings(flock, known);
  const ranking = ranked[0]!;
  const sources = new Map(traitsOf(season).map((trait) => [trait.name, trait]));
  const entries = new Map(flock.pedigree.map((entry) => [entry.id, entry]));
  /** A parent the pen leaves no doubt of, though the bird's row names none. */
  const certain = (possible: readonly PossibleParent[]) =>
    possible.length === 1 && possible[0]!.share === 1 && flock.birds.has(possible[0]!.id)
      ? possible[0]!.id
      : null;
  const birds = [...flock.birds.values()]
    .map((bird) => {
      const entry = entries.get(bird.name)!;
      const merit = ranking.merits.get(bird.name);
      return {
        bird: bird.name,
        line: bird.line,
        sex: bird.sex,
        born: bird.born,
        sire: certain(entry.sire),
        dam: certain(entry.dam),
        pen: bird.pen,
        here: flock.here.has(bird.name),
        parents_shared_out: flock.sharedOut.has(bird.name),
        inbreeding: inbreedingOf(known, bird.name),
        index: merit?.index ?? null,
        reliability: merit?.reliability ?? null,
        traits: Object.fromEntries(
          ranking.traits.flatMap(({ trait, values }) => {
            const value = values.get(bird.name);
            return value ? [[trait.name, value]] : [];
          }),
        ),
      };
    })
    .sort(
      (a, b) =>
        a.line.localeCompare(b.line, 'en') ||
        (a.sex ?? '').localeCompare(b.sex ?? '', 'en') ||
        (b.index ?? Number.NEGATIVE_INFINITY) - (a.index ?? Number.NEGATIVE_INFINITY) ||
        a.bird.localeCompare(b.bird, 'en', { numeric: true }),
    );
  return {
    known,
    ranked,
    pens: [...season.pens.values()].map(penReport),
    lines: [...season.lines.values()].map((line) => lineReport(line, flock, known)),
    traits: ranking.traits.map(({ trait, comparison }) => {
      const left: Partial<Record<LeftOut, number>> = {};
      for (const { why } of comparison.leftOut) left[why] = (left[why] ?? 0) + 1;
      const { unit, source } = sources.get(trait.name)!;
      return {
        trait: trait.name,
        unit,
        sex: trait.sex,
        age_days: trait.age_days,
        heritability: trait.heritability,
        heritability_low: trait.range[0],
        heritability_high: trait.range[1],
        heritability_source: source,
        compared: comparison.compared.length,
        peer_groups: new Set(comparison.compared.map(({ peers }) => peers)).size,
        spread: comparison.spread,
        left_out: left,
      };
    }),
    birds,
  };
}

export type BreedersReport = ReturnType<typeof breedersReport>;
