/** Writes the module of an entry such as `tests/vectors/main.ts` into a folder; returns its path. */
export function bundle(entry: string, folder: string): Promise<string>;
