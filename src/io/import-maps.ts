import { keepPrivately, readPrivate } from './private-folder.ts';

const FILE = 'imports.json';

/** Which column of a table was which of ours when it was last imported, and how it writes. */
export type RememberedMap = {
  /** Their header, by our column. */
  readonly columns: Readonly<Record<string, string>>;
  readonly dates: string | null;
  readonly decimal: string | null;
};

type Maps = Readonly<Record<string, RememberedMap>>;

/** Tables with the same header are the same book. */
const keyOf = (record: string, header: readonly string[]): string =>
  JSON.stringify([record, ...header]);

/** How a table with this header was last imported as this record, or null. */
export function rememberedMap(
  season: string,
  record: string,
  header: readonly string[],
): RememberedMap | null {
  return mapsOf(season)[keyOf(record, header)] ?? null;
}

const mapsOf = (season: string): Maps => readPrivate(season, FILE) as Maps;

/** Keeps how a table was imported; false when the disk refuses: the rows of it stand all the same. */
export function rememberMap(
  season: string,
  record: string,
  header: readonly string[],
  map: RememberedMap,
): boolean {
  const maps = { ...mapsOf(season), [keyOf(record, header)]: map };
  return keepPrivately(season, FILE, `${JSON.stringify(maps)}\n`);
}
