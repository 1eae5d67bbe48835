/** Lines no wider than the paper, broken between words and never inside a word, number or date. */
import stringWidth from 'string-width';

/** How many places of a terminal a text takes: a wide character two, a combining mark none. */
export function widthOf(text: string): number {
  // Plain Latin text and the blocks of charts, nearly every cell, needs no look at Unicode's tables.
  return /^[\x20-\x7e\u00a0-\u024f\u2010-\u2027\u2212\u2500-\u259f]*$/.test(text)
    ? text.length
    : stringWidth(text);
}

/** Text filled with spaces to a width; longer text is left whole. */
export function padded(text: string, width: number, align: 'left' | 'right' = 'left'): string {
  const fill = ' '.repeat(Math.max(0, width - widthOf(text)));
  return align === 'left' ? text + fill : fill + text;
}

const MONTHS =
  'January|February|March|April|May|June|July|August|September|October|November|December|Jan|Feb|Mar|Apr|Jun|Jul|Aug|Sep|Oct|Nov|Dec';

/** What belongs to the number before it. */
const AFTER_NUMBER =
  /(\d) (?=(?:%|°[CF]|kg|g|oz|lb|mg|m²|ft²|cm|in|ft|l|h|W|kWh|days?|hours?|weeks?|eggs?|chicks?|birds?|pullets?|points?)(?![\p{L}\d]))/gu;
const DATE = new RegExp(`(\\d{1,2}) (${MONTHS})(?: (\\d{4}))?\\b`, 'g');

/** The text with no-break spaces inside numbers with their unit and inside dates. */
export function glued(text: string): string {
  return text
    .replace(AFTER_NUMBER, '$1\u00a0')
    .replace(DATE, (_whole, day: string, month: string, year?: string) =>
      [day, month, ...(year === undefined ? [] : [year])].join('\u00a0'),
    );
}

/** Breaks a text at spaces so that no line is wider than `width`. */
export function wrapped(text: string, width: number): string {
  return hanging('', text, width);
}

/** `head`, then the text beside it: later lines are indented as far as the head is wide. */
export function hanging(head: string, text: string, width: number): string {
  const indent = widthOf(head);
  return head + wrapLines(text, width - indent).join(`\n${' '.repeat(indent)}`);
}

/** A text cut into lines of at most `width` places; a word that is wider stands alone. */
export function wrapLines(text: string, width: number): string[] {
  const lines: string[] = [];
  let line = '';
  for (const word of glued(text).split(' ')) {
    const next = line === '' ? word : `${line} ${word}`;
    if (line !== '' && widthOf(next) > width) {
      lines.push(line);
      line = word;
    } else line = next;
  }
  lines.push(line);
  return lines.map((one) => one.replaceAll('\u00a0', ' '));
}

/** No-break spaces have done their work once lines are broken: programs that read us know plain ones. */
export const spaced = (text: string): string => text.replaceAll('\u00a0', ' ');

const ASCII: Readonly<Record<string, string>> = {
  '\u2212': '-',
  '\u2013': '-',
  '\u2019': "'",
  '\u2026': '...',
  '°': '',
  '²': '2',
  Δ: 'd',
};

/** No-break spaces become plain ones, and where only ASCII may stand our own signs become it. */
export function finished(text: string, { ascii }: { readonly ascii: boolean }): string {
  const plain = spaced(text);
  return ascii ? plain.replace(/[\u2212\u2013\u2019\u2026°²Δ]/g, (sign) => ASCII[sign]!) : plain;
}
