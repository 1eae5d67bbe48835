import { hensOf, machineSetters } from '../season/hens.ts';
import type { Season } from '../season/model.ts';

/** The orders of season.yaml that a word means: the one called so, else those that hold the word. */
export function ordersMeant(word: string, season: Season): string[] {
  const names = [...new Set(season.values.orders.map((one) => one.for))];
  if (names.includes(word)) return [word];
  return names.filter((name) => name.toLowerCase().includes(word.toLowerCase()));
}

/** The names `season.yaml` gives to one kind of thing, as a column of a record refers to it. */
export function seasonNames(of: string, season: Season): string[] {
  switch (of) {
    case 'pen':
      return [...season.pens.keys()];
    case 'line':
      return [...season.lines.keys()];
    case 'setter':
      return [...season.setters.keys()];
    case 'hatcher':
      return [...season.hatchers.keys()];
    case 'machine':
      return [...machineSetters(season).map((one) => one.name), ...season.hatchers.keys()];
    case 'brooder':
      return [...season.brooders.keys(), ...hensOf(season)];
    default:
      return [];
  }
}
