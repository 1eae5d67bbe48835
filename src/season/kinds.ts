/** Kinds of the keeper's own (`kinds:` of season.yaml), and the species of a line. */
import { type Figure, figureOf, ownFigure } from './figure.ts';
import type { KindValues, SeasonValues } from './schema.ts';
import { type Species, type SpeciesOverride, speciesOf, speciesTable } from './species.ts';

/** The species whose figures stand where a kind without `like` gives none, by its group. */
export const groupKinds: Readonly<Record<Species['group'], string>> = {
  fowl: 'chicken',
  waterfowl: 'goose',
  turkey: 'turkey',
  game: 'pheasant',
};

/** What a kind without `like` must say itself: without it nothing could be planned. */
export const needsOwn = ['group', 'hatch_day', 'transfer_day', 'candle_days'] as const;

/** The species of the reference tables that a kind goes by where it has no figure of its own. */
export function likeSpeciesOf(kind: string, kinds: SeasonValues['kinds']): string {
  const own = figureOf(kinds, kind);
  return own === null ? kind : (own.like ?? groupKinds[own.group!]);
}

/** The species of a line: the table's, with the kind's, the season's and the line's own figures. */
export function speciesOfLine(line: SeasonValues['lines'][string], values: SeasonValues): Species {
  const kind = figureOf(values.kinds, line.species);
  const maxDays = values.storage.max_days;
  const stored = typeof maxDays === 'object' ? maxDays[line.species] : maxDays;
  const own: SpeciesOverride = {
    ...kind,
    ...(stored === undefined ? {} : { storage_max_days: stored }),
    ...line.override,
  };
  const like = likeSpeciesOf(line.species, values.kinds);
  if (kind === null) return speciesOf(like, own);
  return {
    ...speciesOf(like, own),
    ...followingDays(kind, own, like),
    name: kind.name ?? line.species,
    group: kind.group ?? speciesTable()[like]!.group,
  };
}

/** Days of incubation that a kind of one's own does not give, worked out from the term it gives. */
function followingDays(
  kind: KindValues,
  own: SpeciesOverride,
  like: string,
): Pick<Species, 'hatch_window_days' | 'watch_from_day' | 'transfer_day'> {
  const { hatch_day, hatch_window_days, watch_from_day, transfer_day } = speciesTable()[like]!;
  // A kind that hatches so many days later is looked for so many days later.
  const later = (own.hatch_day ?? hatch_day.value) - hatch_day.value;
  const figure = <T>(given: T | undefined, reckoned: T, of: Figure<T>): Figure<T> => {
    if (given !== undefined) return ownFigure(given);
    if (later === 0) return of;
    return { value: reckoned, source: `as far from the hatch as in the ${like}`, seen: 'computed' };
  };
  const { low, high } = hatch_window_days.value;
  const [first, last] = kind.hatch_window ?? [];
  return {
    hatch_window_days: figure(
      first === undefined ? own.hatch_window_days : { low: first, high: last! },
      { low: low + later, high: high + later },
      hatch_window_days,
    ),
    watch_from_day: figure(own.watch_from_day, watch_from_day.value + later, watch_from_day),
    transfer_day: figure(own.transfer_day, transfer_day.value + later, transfer_day),
  };
}
