import type { Place } from './source.ts';

/**
 * Every code a fault can carry. A file cannot be used as it stands (`unreadable`), a cell or key
 * says something impossible (`content`), the season's work does not fit together (`conflict`), a
 * figure rests on what is in doubt (`doubt`), or something is worth knowing (`notice`).
 */
export const faultCodes = {
  // The file as a whole.
  'file-missing': 'unreadable',
  'file-unreadable': 'unreadable',
  'file-too-large': 'unreadable',
  'file-not-utf8': 'unreadable',
  'unfinished-merge': 'unreadable',
  'yaml-syntax': 'unreadable',
  'yaml-duplicate-key': 'unreadable',
  'yaml-alias': 'unreadable',
  'yaml-tag': 'unreadable',
  'yaml-too-deep': 'unreadable',
  'csv-byte-order-mark': 'unreadable',
  'csv-separator': 'unreadable',
  'csv-header': 'unreadable',
  'csv-syntax': 'unreadable',
  'csv-row-length': 'unreadable',
  'csv-row-too-long': 'unreadable',
  'csv-line-ends': 'notice',
  'csv-extra-column': 'notice',
  'torn-line': 'doubt',
  // What a key or a cell says.
  'missing-key': 'content',
  'unknown-key': 'content',
  'bad-value': 'content',
  'bad-cell': 'content',
  'unknown-name': 'content',
  'name-taken': 'content',
  'pen-needed': 'content',
  'wrong-species': 'content',
  'entry-repeated': 'content',
  'amends-unknown': 'content',
  'amended-twice': 'doubt',
  // What does not fit together.
  'tray-taken': 'conflict',
  'tray-overfull': 'conflict',
  'hatcher-taken': 'conflict',
  'hatcher-overfull': 'conflict',
  'hatcher-not-clean': 'conflict',
  'mixed-stage': 'conflict',
  'eggs-too-old': 'conflict',
  'eggs-not-rested': 'conflict',
  'eggs-not-there': 'conflict',
  'pen-not-pure': 'conflict',
  'pen-not-ready': 'conflict',
  'too-few-males': 'conflict',
  'machine-closed': 'conflict',
  'out-of-season': 'conflict',
  'day-off': 'conflict',
  'out-of-balance': 'conflict',
  'order-of-events': 'conflict',
  'impossible-reading': 'conflict',
  'goal-out-of-reach': 'conflict',
  'pen-without-hens': 'conflict',
  'brooder-overfull': 'conflict',
  'waterfowl-with-chicks': 'conflict',
  'kept-apart': 'conflict',
  'ages-apart': 'conflict',
  'look-alike': 'conflict',
  'held-too-long': 'conflict',
  withdrawal: 'conflict',
  'unknown-bird': 'conflict',
  'unknown-trait': 'conflict',
  'wrong-sex': 'conflict',
  'own-ancestor': 'conflict',
  'parent-too-young': 'conflict',
  'score-before-birth': 'conflict',
  'bird-in-two-pens': 'conflict',
  'band-worn': 'conflict',
  'twin-rows': 'conflict',
  'unlikely-figure': 'conflict',
  'unknown-order': 'conflict',
  'day-not-written': 'notice',
} as const satisfies Record<string, FaultKind>;

type FaultKind = 'unreadable' | 'content' | 'conflict' | 'doubt' | 'notice';

export type FaultCode = keyof typeof faultCodes;
export type Severity = 'error' | 'warning';

/** One thing wrong, as a value: gathered, never thrown between layers. */
export type Fault = {
  readonly code: FaultCode;
  readonly severity: Severity;
  readonly at: Place;
  readonly message: string;
  readonly hint: string | null;
  readonly set: string | null;
  readonly pen: string | null;
  /** What an acceptance names beside the code. */
  readonly about: string;
};

export type FaultExtras = {
  hint?: string | null | undefined;
  set?: string | null | undefined;
  pen?: string | null | undefined;
  severity?: Severity | undefined;
  about?: string | undefined;
};

/** Builds a fault from a finished sentence. */
export function fault(
  code: FaultCode,
  at: Place,
  message: string,
  extras: FaultExtras = {},
): Fault {
  return {
    code,
    severity: extras.severity ?? (isNotice(code) ? 'warning' : 'error'),
    at,
    message,
    hint: extras.hint ?? null,
    set: extras.set ?? null,
    pen: extras.pen ?? null,
    about: extras.about ?? aboutOf(message, extras),
  };
}

/** A set, a pen or both, else what the sentence begins with: `barn: 40 chicks …` is about barn. */
function aboutOf(message: string, { set, pen }: FaultExtras): string {
  const named = [set, pen].filter((part) => typeof part === 'string').join(' ');
  return named === '' ? message.slice(0, Math.max(0, message.indexOf(':'))) : named;
}

/** The common sentence: `eggs: expected a whole number from 1, found "4O"`. */
export function expectedFound(what: string, expected: string, found: string): string {
  return `${what}: expected ${expected}, found ${found}`;
}

/** Text as read, in quotes, cut to a length that fits a line. */
export function quoted(text: string): string {
  const most = 60;
  const characters = [...text];
  const shown = characters.length > most ? `${characters.slice(0, most).join('')}…` : text;
  return JSON.stringify(shown).replace(
    /[\u007f-\u009f\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff]/g,
    (c) => `\\u${c.charCodeAt(0).toString(16).padStart(4, '0')}`,
  );
}

/** True for what does not stop the work: a notice, or a doubt that `check` is to settle. */
export function isNotice(code: FaultCode): boolean {
  return faultCodes[code] === 'notice' || faultCodes[code] === 'doubt';
}

/** True if figures must not be drawn from a folder that holds this fault. */
export function stopsReading(one: Fault): boolean {
  const kind = faultCodes[one.code];
  return kind === 'unreadable' || (kind === 'content' && one.severity === 'error');
}

/** In the order a reader meets them: file, line, column, code. */
export function inOrder(faults: readonly Fault[]): Fault[] {
  return [...faults].sort(
    (a, b) =>
      a.at.file.localeCompare(b.at.file, 'en') ||
      a.at.line - b.at.line ||
      a.at.column - b.at.column ||
      a.code.localeCompare(b.code, 'en'),
  );
}

/** Two hints as one sentence; a question needs no semicolon. Null if there is neither. */
export function joinHints(first: string | null, second: string | null): string | null {
  if (first === null) return second;
  return second === null ? first : `${first}${first.endsWith('?') ? '' : ';'} ${second}`;
}
