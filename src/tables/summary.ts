import type { BirdSummary } from '../facts/birds/summary.ts';
import type { Rate, Summary } from '../judge/summary/way.ts';
import { escapeMarkdown } from '../text/escape.ts';
import { birdTable, livingTable, soFar, waysText } from './birds.ts';
import { percent as percentOf } from './numbers.ts';
import type { Cell, Table } from './table.ts';
import { wrapped } from './wrap.ts';

const percent = (rate: number | null) => (rate === null ? null : percentOf(rate));

export type SummaryHead = { readonly place: string; readonly season: string; readonly day: string };

/** `47 of 60   78.3 % (66–87)`: a rate is never shown without its count. */
export function rateText(rate: Rate): string {
  if (rate.share === null) return '-';
  const interval =
    rate.low === null || rate.high === null
      ? ''
      : ` (${(100 * rate.low).toFixed(0)}–${(100 * rate.high).toFixed(0)})`;
  return `${percent(rate.share)}${interval}`;
}

export const stageWords = {
  laid: 'laid',
  kept: 'kept',
  set: 'set',
  fertile: 'fertile (apparent)',
  moved: 'alive at transfer',
  hatched: 'hatched',
  sound: 'sound chicks',
} as const;

type Section = {
  readonly heading: string;
  readonly table: Table | null;
  readonly text: string | null;
};

/** The parts of the summary, for text and Markdown alike. */
export function summarySections(summary: Summary, birds: BirdSummary): Section[] {
  const { whereabouts: where } = summary;
  const out: Section[] = [];
  out.push({
    heading: "The eggs' way",
    table: {
      columns: [
        { heading: 'stage' },
        { heading: 'count', align: 'right' },
        { heading: 'of', align: 'right' },
        { heading: '% (95 % interval)' },
        { heading: 'divided by' },
      ],
      rows: summary.way.map((step) => [
        stageWords[step.stage],
        step.count,
        step.of,
        rateText(step),
        step.base,
      ]),
    },
    text: null,
  });
  if (where.set > 0) {
    const rows: Cell[][] = (
      [
        ['sound chicks', where.sound],
        ['weak or culled chicks', where.weak],
        ['dead in the hatcher', where.dead],
        ['pipped and died', where.pipped],
        ['unpipped', where.unpipped],
        ['clear', where.clear],
        ['quit', where.quit],
        ['cracked', where.cracked],
        ['rotten', where.rotten],
        ['not accounted for', where.unaccounted],
      ] as const
    ).map(([name, count]) => [name, count, percent(count / where.set)]);
    rows.push(['set, in finished shares', where.set, '100.0 %']);
    out.push({
      heading: 'Where the eggs of finished shares went',
      table: {
        columns: [
          { heading: 'what became of them' },
          { heading: 'eggs', align: 'right' },
          { heading: '% of set', align: 'right' },
        ],
        rows,
      },
      text: null,
    });
  }
  if (summary.sets.length > 0)
    out.push({
      heading: 'Sets',
      table: {
        columns: [
          { heading: 'set' },
          { heading: 'on (day)' },
          { heading: 'pens' },
          { heading: 'eggs', align: 'right' },
          { heading: 'clear', align: 'right' },
          { heading: 'quit', align: 'right' },
          { heading: 'lost', align: 'right' },
          { heading: 'moved', align: 'right' },
          { heading: 'chicks', align: 'right' },
          { heading: '% of set' },
        ],
        rows: summary.sets.map((set) => [
          set.set,
          set.on,
          set.pens.join('+'),
          set.eggs,
          set.clear,
          set.quit,
          set.lost,
          set.moved,
          set.hatched,
          set.hatch_of_set.share === null ? set.state : rateText(set.hatch_of_set),
        ]),
      },
      text: null,
    });
  out.push({
    heading: 'Pens',
    table: {
      columns: [
        { heading: 'pen' },
        { heading: 'line' },
        { heading: 'eggs set', align: 'right' },
        { heading: 'fertile, apparent, %' },
        { heading: 'hatch of set, %' },
        { heading: 'of fertile, %' },
      ],
      rows: summary.pens.map((pen) => [
        pen.pen,
        pen.line,
        pen.eggs,
        rateText(pen.fertile_apparent),
        rateText(pen.hatch_of_set),
        rateText(pen.hatch_of_fertile),
      ]),
    },
    text: null,
  });
  out.push({
    heading: 'Not accounted for',
    table: null,
    text:
      summary.unaccounted.length === 0
        ? 'Every egg is accounted for.'
        : summary.unaccounted
            .map((one) =>
              one.eggs > 0
                ? `${one.set} ${one.pen}: ${one.eggs} missing at ${one.at}`
                : `${one.set} ${one.pen}: ${-one.eggs} too many at ${one.at}`,
            )
            .join('; '),
  });
  if (birds.groups.length > 0)
    out.push(
      { heading: 'Birds: placed = living + lost + left', table: birdTable(birds), text: null },
      { heading: 'How they stand', table: null, text: waysText(birds) },
      { heading: 'Living birds by group over time', table: livingTable(birds), text: null },
    );
  if (summary.goals.length > 0)
    out.push({
      heading: 'Goals',
      table: {
        columns: [
          { heading: 'line' },
          { heading: 'wanted' },
          { heading: 'by (day)' },
          { heading: 'so far' },
        ],
        rows: summary.goals.map((goal) => [
          goal.line,
          `${goal.count} ${goal.want}${goal.at === null ? '' : ` at ${goal.at}`}`,
          goal.by,
          soFar(goal, birds),
        ]),
      },
      text: null,
    });
  return out;
}

const CAUTION =
  'Percentages are of pooled counts; in brackets the 95 % interval (Wilson): few eggs, wide interval. Fertility from candling is apparent: an early death looks clear.';

/** The summary as text; `draw` makes a table fit the terminal or the pipe. Ends with a line feed. */
export function summaryText(
  summary: Summary,
  birds: BirdSummary,
  head: SummaryHead,
  draw: (table: Table) => string,
  width: number,
): string {
  const parts = [`${head.place}, season ${head.season}, on ${head.day}\n`];
  for (const { heading, table, text } of summarySections(summary, birds)) {
    parts.push(
      `${heading.toUpperCase()}\n${table === null ? `${wrapped(text ?? '', width)}\n` : draw(table)}`,
    );
  }
  parts.push(`${wrapped(CAUTION, width)}\n`);
  return parts.join('\n');
}

/** The same in Markdown. */
export function summaryMarkdown(summary: Summary, birds: BirdSummary, head: SummaryHead): string {
  const parts = [
    `# ${escapeMarkdown(head.place)}, season ${escapeMarkdown(head.season)}\n\nAs of ${head.day}.\n`,
  ];
  for (const { heading, table, text } of summarySections(summary, birds)) {
    parts.push(
      `## ${heading}\n\n${table === null ? `${escapeMarkdown(text ?? '')}\n` : markdownTable(table)}`,
    );
  }
  parts.push(`${CAUTION}\n`);
  return parts.join('\n');
}

/** A table in Markdown (GitHub Flavored Markdown, section 4.10). */
export function markdownTable(table: Table): string {
  const row = (cells: readonly Cell[]): string =>
    `| ${cells.map((cell) => (cell === null ? '-' : escapeMarkdown(String(cell)))).join(' | ')} |`;
  return [
    row(table.columns.map((column) => column.heading)),
    `|${table.columns.map((column) => (column.align === 'right' ? ' --: ' : ' --- ')).join('|')}|`,
    ...table.rows.map(row),
    '',
  ].join('\n');
}
