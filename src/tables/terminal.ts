/** The one writer for terminals and pipes: screens and tables as text. */
import CliTable from 'cli-table3';
import { forTerminal } from '../text/escape.ts';
import { largest, type Perhaps, there } from '../text/lists.ts';
import { type AnyTable, type Texts, textsOf } from './columns.ts';
import type { Units } from './numbers.ts';
import type { Meaning, Paint } from './paint.ts';
import { finished, hanging, padded, spaced, widthOf, wrapLines } from './wrap.ts';

/** What a text is written on. */
export type Paper = {
  /** Places across. */
  readonly width: number;
  /** True on a terminal: tables are made to fit. In a file or a pipe a row is one line. */
  readonly fits: boolean;
  /** Only ASCII, for a serial console or an old printer. */
  readonly ascii: boolean;
  /** Everything, however long: `--full`. */
  readonly full: boolean;
  readonly paint: Paint;
  readonly units: Units;
};

const same = (text: string): string => text;
const GAP = '  ';

/** What a cell prints as, on one line. Two spaces part columns, so inside a cell there is one. */
function inert(text: string | null): string {
  const one = forTerminal((text ?? '').replace(/[ \t\r\n]+/g, ' ')).trim();
  return one === '' ? '-' : one;
}

/** A table as aligned columns. Ends with a line feed. */
export function tableText(table: AnyTable, paper: Paper): string {
  const texts = textsOf(table, paper.units, paper.full);
  const clean: Texts = {
    ...texts,
    columns: texts.columns.map((column) => ({ ...column, heading: inert(column.heading) })),
    rows: texts.rows.map((row) => row.map(inert)),
  };
  if (!paper.fits) return plainRows(clean);
  const { kept, widths } = fitted(clean, paper.width);
  if (widths === null) return cards(clean, paper);
  const left = clean.columns.filter((_, index) => !kept.includes(index));
  const note =
    left.length === 0
      ? ''
      : `${paper.paint.dim(
          hanging(
            '',
            `Left out here: ${left.map(({ heading }) => heading).join(', ')}.`,
            paper.width,
          ),
        )}\n`;
  return fittedRows(clean, kept, widths, paper) + note;
}

/**
 * One row a line whatever its length, columns parted by two spaces or more, so that `awk -F '  +'`
 * cuts them.
 */
function plainRows({ columns, rows }: Texts): string {
  const lines = [columns.map((column) => column.heading), ...rows];
  const widths = columns.map((_, index) =>
    lines.reduce((most, line) => Math.max(most, widthOf(line[index]!)), 0),
  );
  return lines
    .map((line) =>
      line
        // A first column set to the right would begin lines with spaces, an empty field to awk.
        .map((text, index) =>
          padded(text!, widths[index]!, index > 0 && columns[index]!.numeric ? 'right' : 'left'),
        )
        .join(GAP)
        .trimEnd(),
    )
    .map((line) => `${spaced(line)}\n`)
    .join('');
}

const sum = (numbers: readonly number[]): number => numbers.reduce((all, one) => all + one, 0);
const longestWord = (text: string): number => largest(text.split(' ').map(widthOf));

/** Words keep at least this much room beside each other. */
const LEAST_WORDS = 14;

/** Which columns fit, and how wide each is; no widths where the table must become cards. */
function fitted(
  { columns, rows }: Texts,
  width: number,
): { readonly kept: number[]; readonly widths: number[] | null } {
  const natural = columns.map(({ heading }, index) =>
    rows.reduce((most, row) => Math.max(most, widthOf(row[index]!)), widthOf(heading)),
  );
  const least = columns.map(({ heading, kind }, index) => {
    const cells = rows.map((row) =>
      kind === 'text' || kind === 'names' ? longestWord(row[index]!) : widthOf(row[index]!),
    );
    const room = kind === 'text' ? Math.min(LEAST_WORDS, natural[index]!) : 0;
    return largest([longestWord(heading), room, ...cells]);
  });
  const total = (of: readonly number[], some: readonly number[]): number =>
    sum(some.map((index) => of[index]!)) + GAP.length * (some.length - 1);
  let kept = columns.map((_, index) => index);
  while (total(least, kept) > width) {
    const last = largest(kept.map((index) => columns[index]!.priority));
    if (last <= 0) return { kept, widths: null };
    const gone = kept.findLast((index) => columns[index]!.priority === last)!;
    kept = kept.filter((index) => index !== gone);
  }
  const widths = [...natural];
  while (total(widths, kept) > width) {
    // The widest column that can give way does.
    const widest = kept
      .filter((index) => widths[index]! > least[index]!)
      .reduce((a, b) => (widths[b]! > widths[a]! ? b : a));
    widths[widest]! -= 1;
  }
  return { kept, widths: kept.map((index) => widths[index]!) };
}

const NO_LINES = Object.fromEntries(
  ['top', 'bottom', 'left', 'right']
    .flatMap((side) => [side, `${side}-mid`, `${side}-left`, `${side}-right`])
    .map((name) => [name, '']),
);

function fittedRows(
  { columns, rows, hasTotal }: Texts,
  kept: readonly number[],
  widths: readonly number[],
  { paint, ascii }: Paper,
): string {
  const table = new CliTable({
    head: kept.map((index, at) =>
      wrapLines(columns[index]!.heading, widths[at]!).map(paint.bold).join('\n'),
    ),
    colWidths: [...widths],
    colAligns: kept.map((index, at) => (at > 0 && columns[index]!.numeric ? 'right' : 'left')),
    chars: { ...NO_LINES, mid: ascii ? '-' : '─', 'mid-mid': GAP, middle: GAP },
    style: { head: [], border: [], 'padding-left': 0, 'padding-right': 0, compact: true },
  });
  rows.forEach((row, which) => {
    const isTotal = hasTotal && which === rows.length - 1;
    table.push(
      kept.map((index, at) =>
        wrapLines(row[index]!, widths[at]!)
          .map(isTotal ? paint.bold : same)
          .join('\n'),
      ),
    );
  });
  return table
    .toString()
    .split('\n')
    .map((line) => `${line.trimEnd()}\n`)
    .join('');
}

/** A row a card: its name, and below it what is known of it. */
function cards({ columns, rows }: Texts, { width, paint }: Paper): string {
  const indent = '  ';
  return rows
    .map((row) => {
      const said = columns
        .map(({ heading }, index) => `${heading} ${row[index]!}`)
        .filter((_, index) => index > 0 && row[index] !== '-');
      // A heading stays with its figure where both fit on a line.
      const whole = said.map((one) =>
        widthOf(one) <= width / 2 ? one.replaceAll(' ', '\u00a0') : one,
      );
      const body = whole.length === 0 ? '' : `${hanging(indent, whole.join('; '), width)}\n`;
      return `${wrapLines(row[0]!, width).map(paint.bold).join('\n')}\n${body}`;
    })
    .join('');
}

const SIGNS: Readonly<Record<Meaning, { readonly sign: string; readonly ascii: string }>> = {
  act: { sign: '▲', ascii: '!' },
  watch: { sign: '◆', ascii: '?' },
  settled: { sign: '√', ascii: '*' },
};

/** One thing to say: a sentence, with what it means to the keeper if it means one of the three. */
export type Say = string | { readonly meaning: Meaning; readonly text: string };

/** `▲ act: D3 holds 18 eggs and 20 came out`: sign, word and colour say the same. */
export function sayText(say: Say, { width, ascii, paint }: Paper): string {
  if (typeof say === 'string') return hanging('', inert(say), width);
  const sign = SIGNS[say.meaning][ascii ? 'ascii' : 'sign'];
  const head = `${sign} ${say.meaning}: `;
  const text = hanging(head, inert(say.text), width);
  return paint[say.meaning](text.slice(0, head.length)) + text.slice(head.length);
}

/** A line that stands beside a name: `barn: one lamp only`. */
export type PartLine = { readonly name: string; readonly text: string };

/** A part of a screen: a heading with a table, a picture of letters, or lines. */
export type ScreenPart = {
  readonly heading: string | null;
  readonly table?: AnyTable | undefined;
  /** Drawn already, for a width: a chart of letters. */
  readonly picture?: ((paper: Paper) => string) | undefined;
  /** Sentences below it: how it is reckoned, what it rests on. */
  readonly reasons?: readonly Perhaps<string>[] | undefined;
  readonly lines?: readonly Perhaps<PartLine>[] | undefined;
  /** Only with --full. */
  readonly show?: 'always' | 'full' | undefined;
};

/** What a command shows: its answer first, then what is out of the usual, then tables. */
export type Screen = {
  /** Where and when: `Hollin Bank, season 2027, Saturday 24 April 2027`. */
  readonly title: string;
  /** The answer, in one to three lines. */
  readonly answer: readonly Perhaps<Say>[];
  readonly exceptions?: readonly Perhaps<Say>[];
  readonly parts?: readonly Perhaps<ScreenPart>[];
  /** Last lines: cautions, what to do next. */
  readonly notes?: readonly Perhaps<string>[];
  /** What --full adds beyond parts that only it shows; the last line names it. */
  readonly more?: string | null;
};

/** The parts that have something to show: a table without rows, and no word, is none. */
export function partsOf({ parts }: Screen): ScreenPart[] {
  return there(parts).filter(
    ({ table, picture, reasons, lines }) =>
      (table?.rows.length ?? 0) > 0 ||
      picture !== undefined ||
      there(reasons).length + there(lines).length > 0,
  );
}

/** A screen as text: answer, exceptions, parts, notes. Ends with a line feed. */
export function screenText(screen: Screen, paper: Paper): string {
  const { paint, width, full } = paper;
  const block = (lines: readonly string[]): string => lines.map((line) => `${line}\n`).join('');
  const all = partsOf(screen);
  const parts = all.filter((part) => part.show !== 'full' || full);
  const hidden = all.filter((part) => part.show === 'full' && !full);
  const more = [
    ...hidden.flatMap(({ heading }) => (heading === null ? [] : [lowered(heading)])),
    ...(screen.more === undefined || screen.more === null || full ? [] : [screen.more]),
  ];
  const blocks = [
    block([
      paint.bold(hanging('', inert(screen.title), width)),
      ...there(screen.answer).map((say) => sayText(say, paper)),
    ]),
    block(there(screen.exceptions).map((say) => sayText(say, paper))),
    ...parts.map((part) => partText(part, paper)),
    block(
      there([
        ...there(screen.notes).map((note) => paint.dim(hanging('', inert(note), width))),
        more.length > 0 && paint.dim(hanging('', `--full shows more: ${more.join(', ')}.`, width)),
      ]),
    ),
  ];
  return finished(blocks.filter((one) => one !== '').join('\n'), paper);
}

const lowered = (heading: string): string => heading.charAt(0).toLowerCase() + heading.slice(1);

function partText({ heading, table, picture, reasons, lines }: ScreenPart, paper: Paper): string {
  const { paint, width } = paper;
  const said = there([
    heading !== null && `${paint.bold(hanging('', inert(heading).toUpperCase(), width))}\n`,
    ...(table === undefined ? [] : [tableText(table, paper)]),
    ...(picture === undefined ? [] : [picture(paper)]),
    ...there(lines).map(
      ({ name, text }) => `${hanging(name === '' ? '' : `${inert(name)}: `, inert(text), width)}\n`,
    ),
    ...there(reasons).map((reason) => `${paint.dim(hanging('', inert(reason), width))}\n`),
  ]);
  return said.join('');
}
