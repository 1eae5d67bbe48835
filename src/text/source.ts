/** A text file as it was read: `path` relative to the season folder, `text` whole. */
export type Source = { readonly path: string; readonly text: string };

/** Where something stands in a text file; `line` and `column` count characters from 1. */
export type Place = { readonly file: string; readonly line: number; readonly column: number };

/** What is worked out once of a text, so that many places in it cost no more than a few. */
type Index = {
  /** Where each line begins. */
  readonly lines: readonly number[];
  /** Where each character of two units begins. */
  readonly pairs: readonly number[];
};

const indexes = new WeakMap<Source, Index>();
const PAIR = /[\ud800-\udbff][\udc00-\udfff]/g;

function indexOf(source: Source): Index {
  let index = indexes.get(source);
  if (index === undefined) {
    const lines = [0];
    for (let at = source.text.indexOf('\n'); at >= 0; at = source.text.indexOf('\n', at + 1))
      lines.push(at + 1);
    index = { lines, pairs: Array.from(source.text.matchAll(PAIR), (found) => found.index) };
    indexes.set(source, index);
  }
  return index;
}

/** How many of some numbers in ascending order are below a bound. */
function countBelow(ascending: readonly number[], bound: number): number {
  let [from, to] = [0, ascending.length];
  while (from < to) {
    const middle = (from + to) >>> 1;
    if (ascending[middle]! < bound) from = middle + 1;
    else to = middle;
  }
  return from;
}

/** The place of a character offset in a source. A tab or a wide character counts as one. */
export function placeAt(source: Source, offset: number): Place {
  const end = Math.max(0, Math.min(offset, source.text.length));
  const { lines, pairs } = indexOf(source);
  const line = countBelow(lines, end + 1);
  const start = lines[line - 1]!;
  const twoUnits = countBelow(pairs, end) - countBelow(pairs, start);
  return { file: source.path, line, column: end - start - twoUnits + 1 };
}

/** The head of a file, for faults that concern it whole. */
export function headOf(file: string): Place {
  return { file, line: 1, column: 1 };
}
