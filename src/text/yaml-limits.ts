/**
 * Bounds on a season file. A long one is some thousand characters and six levels deep, and has some
 * thousand parts: words, signs and lines.
 */
export const YAML_LIMITS = { characters: 1024 * 1024, depth: 24, parts: 30_000 } as const;

/** The way to a value of a YAML file: keys and indexes. */
export type YamlPath = readonly (string | number)[];
