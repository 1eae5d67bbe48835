const NEWLINE = 0x0a;
const QUOTE = 0x22;

/** Where a log's whole lines end, and whether what follows can be cut off on its own. */
export type Tail = {
  /** Offset just after the last newline: the bytes from here on are the torn line, if any. */
  readonly end: number;
  /** True when the last newline lies inside a quoted cell, so that cutting there would leave it open. */
  readonly insideQuotes: boolean;
};

/**
 * Finds the torn last line of a log: bytes after the last newline. An append writes one whole line
 * with its newline at the end, so a line without one was cut by a crash, or by an editor that
 * leaves the last newline out; the two cannot be told apart, as a row cut in its last cell can
 * look whole.
 *
 * @param bytes the file's bytes (UTF-8: a newline or quote byte is never part of another character)
 */
export function tailOf(bytes: Uint8Array): Tail {
  const end = bytes.lastIndexOf(NEWLINE) + 1;
  if (end === bytes.length) return { end, insideQuotes: false };
  let quotes = 0;
  for (let at = bytes.indexOf(QUOTE); at !== -1 && at < end; at = bytes.indexOf(QUOTE, at + 1)) {
    quotes += 1;
  }
  return { end, insideQuotes: quotes % 2 === 1 };
}
