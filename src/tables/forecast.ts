import type { GoalOutlook, OneMore, Outlook } from '../planner/goal-outlook.ts';
import { goalJson } from './goal-json.ts';
import { longDay, shortDay } from './numbers.ts';
import type { Table } from './table.ts';
import { wrapped } from './wrap.ts';

const percent = (chance: number): string => {
  const whole = Math.round(100 * chance);
  // A chance is neither nothing nor all because it rounds so.
  if (whole === 100 && chance < 1) return '>99 %';
  if (whole === 0 && chance > 0) return '<1 %';
  return `${whole} %`;
};

const nameOf = ({ goal }: GoalOutlook) => `${goal.line.name} ${goal.want}`;

function goalsTable(goals: readonly GoalOutlook[]): Table {
  return {
    columns: [
      { heading: 'goal' },
      { heading: 'by' },
      { heading: 'wanted', align: 'right' },
      { heading: 'median', align: 'right' },
      { heading: '80 % range', align: 'right' },
      { heading: 'chance', align: 'right' },
      { heading: 'asked', align: 'right' },
    ],
    rows: goals.map((one) => [
      nameOf(one),
      one.goal.by,
      one.goal.count,
      one.median,
      `${one.low} to ${one.high}`,
      percent(one.chance),
      percent(one.goal.confidence),
    ]),
  };
}

function moreTable(goals: readonly GoalOutlook[]): Table | null {
  const rows = goals.flatMap((one) =>
    [one.next, one.last]
      .filter((more): more is OneMore => more !== null)
      .map((more) => [
        nameOf(one),
        shortDay(more.on),
        more.eggs,
        `${more.birds.toFixed(0)}`,
        `${percent(one.chance)} to ${percent(more.chance)}`,
      ]),
  );
  if (rows.length === 0) return null;
  return {
    columns: [
      { heading: 'one more set for' },
      { heading: 'on' },
      { heading: 'eggs', align: 'right' },
      { heading: 'more birds', align: 'right' },
      { heading: 'chance', align: 'right' },
    ],
    rows,
  };
}

function closedText(one: GoalOutlook): string {
  switch (one.closed) {
    case 'day past':
      return `${nameOf(one)}: its day, ${one.goal.by}, is past.`;
    case 'too late to set':
      return `${nameOf(one)}: eggs set from today on come too late for ${one.goal.by}${
        one.goal.ageDays > 0 ? `, for the birds must be ${one.goal.ageDays} days old` : ''
      }.`;
    case 'no hens':
      return `${nameOf(one)}: no pen of ${one.goal.line.name} has hens, so no egg can be set.`;
    case null:
      return `${nameOf(one)}: the last day to set eggs for it is ${longDay(one.lastSet!)}.${
        one.full ? ' No setter and hatcher has room for one more set before then.' : ''
      }`;
  }
}

function weeksTable({ weeks }: Outlook): Table {
  return {
    columns: [
      { heading: 'week from' },
      { heading: 'chicks (median)', align: 'right' },
      { heading: '90 % range', align: 'right' },
      { heading: 'sets' },
    ],
    rows: weeks.map((week) => [
      week.from,
      week.median,
      `${week.low} to ${week.high}`,
      week.sets.join(', '),
    ]),
  };
}

/** The screen. `draw` makes text of a table. */
export function forecastText(
  outlook: Outlook,
  run: { draws: number; seed: number; line: string; year: string },
  draw: (table: Table) => string,
  width: number,
): string {
  const { goals, weeks, missed } = outlook;
  const parts: string[] = [];
  if (goals.length === 0)
    parts.push(
      `${wrapped(
        'No goals in season.yaml, so there is nothing to meet. Add some under goals:, such as',
        width,
      )}\n  - {line: ${run.line}, want: pullets, count: 40, by: ${run.year}-10-15, confidence: 0.9}`,
    );
  else {
    parts.push(draw(goalsTable(goals)));
    const more = moreTable(goals);
    if (more) parts.push(draw(more));
    parts.push(goals.map((one) => wrapped(closedText(one), width)).join('\n'));
  }
  parts.push(
    weeks.length === 0
      ? 'No eggs are set or planned: no chicks to come.'
      : draw(weeksTable(outlook)),
  );
  const notes: string[] = [];
  if (missed.length > 0)
    notes.push(`Left out, for their day is past and nothing is recorded: ${missed.join(', ')}.`);
  const worst = Math.max(0, ...goals.map((one) => one.error));
  notes.push(
    `${run.draws} draws, seed ${run.seed}${
      goals.length > 0 ? `: a chance here is good to ±${(200 * worst).toFixed(1)} points` : ''
    }. The draws vary what is not known of the rates, how sets differ, and the luck of each egg; where they come from: traybook rates.`,
  );
  parts.push(notes.map((note) => wrapped(note, width)).join('\n'));
  return `${parts.map((part) => part.trimEnd()).join('\n\n')}\n`;
}

export function forecastJson(outlook: Outlook, run: { draws: number; seed: number }): object {
  const moreJson = (more: OneMore | null) =>
    more && { on: more.on, eggs: more.eggs, birds: more.birds, probability: more.chance };
  return {
    ...run,
    goals: outlook.goals.map((one) => ({
      ...goalJson(one.goal),
      expected: one.expected,
      probability: one.chance,
      error: one.error,
      met: one.chance >= one.goal.confidence,
      median: one.median,
      low: one.low,
      high: one.high,
      last_set: one.lastSet,
      one_more: moreJson(one.next),
      one_more_on_last_day: moreJson(one.last),
      closed: one.closed,
    })),
    weeks: outlook.weeks,
    left_out: outlook.missed,
  };
}
