/** Why a text is no RFC 4180 table, and the line the faulty record begins on. */
export type CsvTrouble = {
  readonly what: 'quote-not-closed' | 'quote-inside' | 'behind-quote' | 'too-long';
  readonly lineNo: number;
};

/** The cell that begins at `from`: its text, where it ends, or what is wrong with it. */
type CsvCell = { readonly text: string; readonly end: number } | CsvTrouble['what'];

/** A cell in quotes; `from` is the place of the opening quote. */
function quotedCell(text: string, from: number): CsvCell {
  let written = '';
  let start = from + 1;
  for (;;) {
    const quote = text.indexOf('"', start);
    if (quote < 0) return 'quote-not-closed';
    written += text.slice(start, quote);
    if (text[quote + 1] !== '"') {
      const end = quote + 1;
      const closed =
        end === text.length ||
        text[end] === ',' ||
        text[end] === '\n' ||
        (text[end] === '\r' && text[end + 1] === '\n');
      return closed ? { text: written, end } : 'behind-quote';
    }
    written += '"';
    start = quote + 2;
  }
}

/** Reads a record that may hold quotes and begins at `from`; `end` is the place of its line feed. */
export function quotedRecord(
  text: string,
  from: number,
): { cells: string[]; end: number } | CsvTrouble['what'] {
  const cells: string[] = [];
  let start = from;
  for (;;) {
    let cell: CsvCell;
    if (text[start] === '"') cell = quotedCell(text, start);
    else {
      let end = start;
      while (end < text.length && text[end] !== ',' && text[end] !== '\n') {
        if (text[end] === '"') return 'quote-inside';
        end += 1;
      }
      const isLast = text[end] !== ',';
      const cut = isLast && text[end] === '\n' && text[end - 1] === '\r' ? end - 1 : end;
      cell = { text: text.slice(start, Math.max(start, cut)), end };
    }
    if (typeof cell === 'string') return cell;
    cells.push(cell.text);
    if (text[cell.end] === ',') {
      start = cell.end + 1;
      continue;
    }
    return { cells, end: text[cell.end] === '\r' ? cell.end + 1 : cell.end };
  }
}

/**
 * Hands the records of an RFC 4180 table to `take`, one after the other, with the line each begins
 * on; empty lines are passed over. Line ends are LF or CRLF. Strict: the first record that is no
 * table ends the reading, and is what is returned; `take` ends it early by returning false.
 * Nothing is kept, so that a log of any length is read in the room of one record. (A general reader took a third of the time of `today`, and half
 * that of a long log; a property test holds this one equal to it.)
 */
export function eachRecord(
  text: string,
  longest: number,
  take: (cells: string[], lineNo: number, from: number) => unknown,
): CsvTrouble | null {
  let from = 0;
  let lineNo = 1;
  let nextQuote = text.indexOf('"');
  while (from < text.length) {
    let end = text.indexOf('\n', from);
    if (end < 0) end = text.length;
    if (nextQuote < 0 || nextQuote >= end) {
      const cut = end > from && end < text.length && text[end - 1] === '\r' ? end - 1 : end;
      if (cut - from > longest) return { what: 'too-long', lineNo };
      if (cut > from && take(text.slice(from, cut).split(','), lineNo, from) === false) return null;
      from = end + 1;
      lineNo += 1;
      continue;
    }
    const record = quotedRecord(text, from);
    if (typeof record === 'string') {
      const what =
        record === 'quote-not-closed' && text.length - from > longest ? 'too-long' : record;
      return { what, lineNo };
    }
    if (record.end - from > longest) return { what: 'too-long', lineNo };
    if (take(record.cells, lineNo, from) === false) return null;
    for (
      let at = text.indexOf('\n', from);
      at >= 0 && at < record.end;
      at = text.indexOf('\n', at + 1)
    )
      lineNo += 1;
    lineNo += 1;
    from = record.end + 1;
    nextQuote = text.indexOf('"', from);
  }
  return null;
}

/** The cells of the record that begins at `from`, in a text that `eachRecord` has read. */
export function recordAt(text: string, from: number): readonly string[] {
  const feed = text.indexOf('\n', from);
  const end = feed < 0 ? text.length : feed;
  const line = text.slice(from, feed > from && text[feed - 1] === '\r' ? feed - 1 : end);
  if (!line.includes('"')) return line.split(',');
  const record = quotedRecord(text, from);
  if (typeof record === 'string') throw new RangeError('no record of a table begins there');
  return record.cells;
}
