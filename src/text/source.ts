/** A text file as it was read: `path` relative to the season folder, `text` whole. */
export type Source = { readonly path: string; readonly text: string };

/** Where something stands in a text file; `line` and `column` count characters from 1. */
export type Place = { readonly file: string; readonly line: number; readonly column: number };

/** The place of a character offset in a source. A tab or a wide character counts as one. */
export function placeAt(source: Source, offset: number): Place {
  const end = Math.max(0, Math.min(offset, source.text.length));
  let line = 1;
  let start = 0;
  for (;;) {
    const next = source.text.indexOf('\n', start);
    if (next === -1 || next >= end) break;
    line += 1;
    start = next + 1;
  }
  return { file: source.path, line, column: [...source.text.slice(start, end)].length + 1 };
}

/** The head of a file, for faults that concern it whole. */
export function headOf(file: string): Place {
  return { file, line: 1, column: 1 };
}
