/*
 * Text from a keeper's files is inert wherever it goes. Each place has its own way in: a terminal
 * obeys control characters, a spreadsheet runs cells that begin with `=`, a page has tags, a
 * calendar has separators, a file system has paths. One function for each.
 */

/** Letters and signs of western Europe, inert as they stand. Nearly every text is of these alone. */
const INERT = /^[ -~\u00a0-\u00ac\u00ae-\u017f]*$/;

/** What is to be found in other texts. To make the patterns ready takes longer than to use them. */
function makePatterns() {
  /** C0 and C1 controls and DEL (ECMA-48): what a terminal obeys. Line ends and tabs are among them. */
  const controls = /[\u0000-\u001f\u007f-\u009f]/;
  /**
   * Marks that turn the direction of text after them (Unicode UAX 9), line separators, invisible
   * joiners and the byte-order mark, interlinear and tag characters: what makes text look other
   * than it is.
   */
  const unseen =
    /[\u00ad\u061c\u180e\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb]|[\u{e0000}-\u{e007f}]/u;
  /** Halves of a character that stand alone: not text at all, and no UTF-8. */
  const loneSurrogates = /\p{Surrogate}/u;
  /** The first two together, but the line ends and tabs that a JSON text is laid out with. */
  const inJson = new RegExp(`[\\u007f-\\u009f]|${unseen.source}`, 'u');
  const everyOne = (pattern: RegExp) => new RegExp(pattern.source, `${pattern.flags}g`);
  return {
    controls,
    unseen,
    loneSurrogates,
    inJson,
    everyControl: everyOne(controls),
    everyUnseen: everyOne(unseen),
    everySurrogate: everyOne(loneSurrogates),
    everyInJson: everyOne(inJson),
  };
}

let made: ReturnType<typeof makePatterns> | null = null;

function patterns(): ReturnType<typeof makePatterns> {
  made ??= makePatterns();
  return made;
}

/** What stands for a character that may not be shown: to leave it out would make two names look alike. */
const MARK = '\ufffd';

/**
 * What of a text may not be written into a record, in words for a message; `null` when all is fine.
 * Line breaks and tabs are not told here: `oneLine` folds them.
 */
export function unwritable(text: string): string | null {
  const folded = oneLine(text);
  const { loneSurrogates, controls, unseen } = patterns();
  if (loneSurrogates.test(folded)) return 'half of a character';
  if (controls.test(folded)) return 'a control character';
  if (unseen.test(folded)) return 'an invisible or text-turning character';
  return null;
}

/** Folds line breaks and tabs, with the spaces around them, to one space: a cell of a log is one line. */
export function oneLine(text: string): string {
  // Split and trimmed rather than one pattern: on long runs of spaces a pattern would take forever.
  return text
    .split(/[\t\n\v\f\r\u0085\u2028\u2029]+/)
    .map((part) => part.trim())
    .filter((part) => part !== '')
    .join(' ');
}

/** Text for one line of a terminal: line breaks and tabs become a space, controls a visible mark. */
export function forTerminal(text: string): string {
  return marked(text.replace(/[\t\n\r]+/g, ' '));
}

/** As {@link forTerminal}, for text that keeps its own line breaks (a page of the guide, a summary). */
export function linesForTerminal(text: string): string {
  return text.split('\n').map(forTerminal).join('\n');
}

function marked(text: string): string {
  if (INERT.test(text)) return text;
  const { everyControl, everyUnseen, everySurrogate } = patterns();
  return text.replace(everyControl, MARK).replace(everyUnseen, MARK).replace(everySurrogate, MARK);
}

/** First characters that make a spreadsheet take a cell for a formula, the full-width forms too. */
const FORMULA = /^\s*[=+\-@|%\uff1d\uff0b\uff0d\uff20\t\r\n]/;
const NUMBER = /^[+-]?\d+(?:[.,]\d+)?$/;

/**
 * A cell for a file that may be opened in a spreadsheet: one that would be taken for a formula gets
 * an apostrophe in front, which spreadsheets take as "text". Plain numbers stay as they are.
 * The rule is the one commonly published against CSV injection.
 */
export function guardCell(text: string): string {
  const clean = marked(text.replace(/\r\n?/g, '\n').replace(/[\n\t]/g, ' '));
  return FORMULA.test(text) && !NUMBER.test(text) ? `'${clean}` : clean;
}

/**
 * JSON text with what a terminal obeys, and what makes text look other than it is, written as
 * escapes: it reads back the same.
 */
export function escapeJson(json: string): string {
  const { inJson, everyInJson } = patterns();
  if (!inJson.test(json)) return json;
  return json.replace(everyInJson, (sign) =>
    Array.from({ length: sign.length }, (_, at) => sign.charCodeAt(at))
      .map((unit) => `\\u${unit.toString(16).padStart(4, '0')}`)
      .join(''),
  );
}

const HTML: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
  '`': '&#96;',
};

/** Text for the inside of an HTML element or of a quoted attribute; SVG and XML take it too. */
export function escapeHtml(text: string): string {
  return marked(text.replace(/[\t\n\r]+/g, ' ')).replace(/[&<>"'`]/g, (sign) => HTML[sign]!);
}

/** A cell of a Markdown table: signs of Markdown and of HTML become plain characters. */
export function escapeMarkdown(text: string): string {
  return forTerminal(text)
    .replace(/[\\`*_{}[\]#+!|~]/g, '\\$&')
    .replace(/[&<>]/g, (sign) => HTML[sign]!);
}

/** Plain text for a calendar writer that escapes by itself: line breaks stay, controls become marks. */
export function forCalendar(text: string): string {
  return text.replace(/\r\n?/g, '\n').split('\n').map(forTerminal).join('\n');
}
