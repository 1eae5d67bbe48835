import { keepPrivately, privateText } from './private-folder.ts';

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

/** A file that is gone, or no longer what the program wrote, is as good as none: it holds no record. */
function mapsOf(season: string): Maps {
  try {
    const value = JSON.parse(privateText(season, FILE) ?? '') as unknown;
    return typeof value === 'object' && value !== null ? (value as Maps) : {};
  } catch {
    return {};
  }
}

/**
 * Keeps how a table was imported.
 *
 * @throws WriteRefused when the disk refuses
 */
export function rememberMap(
  season: string,
  record: string,
  header: readonly string[],
  map: RememberedMap,
): void {
  const maps = { ...mapsOf(season), [keyOf(record, header)]: map };
  keepPrivately(season, FILE, `${JSON.stringify(maps, null, 2)}\n`);
}
