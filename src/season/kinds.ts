/** Kinds of the keeper's own (`kinds:` of season.yaml), and the species of a line. */
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
  const own = Object.hasOwn(kinds, kind) ? kinds[kind]! : null;
  return own === null ? kind : (own.like ?? groupKinds[own.group!]);
}

/** The species of a line: the table's, with the kind's, the season's and the line's own figures. */
export function speciesOfLine(line: SeasonValues['lines'][string], values: SeasonValues): Species {
  const kind = Object.hasOwn(values.kinds, line.species) ? values.kinds[line.species]! : null;
  const maxDays = values.storage.max_days;
  const stored = typeof maxDays === 'object' ? maxDays[line.species] : maxDays;
  const own: SpeciesOverride = {
    ...(kind === null ? {} : figuresOf(kind)),
    ...(stored === undefined ? {} : { storage_max_days: stored }),
    ...line.override,
  };
  const like = likeSpeciesOf(line.species, values.kinds);
  const species = speciesOf(like, own);
  return kind === null
    ? species
    : { ...species, name: kind.name ?? line.species, group: kind.group ?? species.group };
}

/** Figures of incubation of a kind of one's own, those that follow from others worked out. */
function figuresOf(kind: KindValues): SpeciesOverride {
  const { hatch_window: ends, like, name: _name, group, ...own } = kind;
  const of = speciesTable()[like ?? groupKinds[group!]]!;
  const later = (own.hatch_day ?? of.hatch_day.value) - of.hatch_day.value;
  const window = of.hatch_window_days.value;
  return {
    // A kind that hatches so many days later is looked for so many days later.
    hatch_window_days: { low: window.low + later, high: window.high + later },
    watch_from_day: of.watch_from_day.value + later,
    transfer_day: of.transfer_day.value + later,
    ...own,
    ...(ends === undefined ? {} : { hatch_window_days: { low: ends[0], high: ends[1] } }),
  };
}
