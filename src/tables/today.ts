import type { Task, TaskClass } from '../facts/tasks/task.ts';
import type { Alarm } from '../judge/alarms/alarm.ts';
import { type Day, daysBetween } from '../text/day.ts';
import { escapeMarkdown, forTerminal } from '../text/escape.ts';
import { addAll, groupedBy, largest, there } from '../text/lists.ts';
import { longDay } from './numbers.ts';
import type { Paper } from './terminal.ts';
import { finished, hanging, padded, spaced, widthOf, wrapped } from './wrap.ts';

/** Lines of a text of the keeper's, inert before it is painted: colours are escapes too. */
const linesOf = (head: string, text: string, width: number): string[] =>
  hanging(forTerminal(head), forTerminal(text), width).split('\n');

/** How many goals or orders whose day is to come are on course. */
export type OnCourse = { readonly met: number; readonly of: number };

/** What the forecast of a day said. */
export type KeptForecast = { readonly on: Day; readonly goal: OnCourse; readonly order: OnCourse };

/** A morning: what is wrong, and what there is to do. */
export type TodayView = {
  readonly day: Day;
  readonly place: string;
  /** Days of what is coming, today not counted. */
  readonly days: number;
  readonly alarms: readonly Alarm[];
  readonly tasks: readonly Task[];
  readonly forecast: KeptForecast | null;
};

type TodayPaper = Pick<Paper, 'width' | 'ascii' | 'full' | 'paint'>;

/** Lines of a terminal that a morning takes unless everything is asked for. */
const MOST_LINES = 24;

const headings: Readonly<Record<Exclude<TaskClass, 'routine'>, string>> = {
  live: 'LIVE BIRDS',
  eggs: 'EGGS',
  must: 'TODAY',
  can: 'CAN WAIT',
  coming: 'COMING',
};

/** True of what wakes a keeper: an alarm aside, work that is due and not of every day. */
export function isPressing(task: Task): boolean {
  return task.class !== 'coming' && task.class !== 'routine';
}

/** `10 due, 1 overdue, 1 alarm; 2 of 2 goals on course (forecast of 20 Apr)`. */
export function headline({
  alarms,
  tasks,
  forecast,
}: Pick<TodayView, 'alarms' | 'tasks' | 'forecast'>): string {
  const pressing = tasks.filter(isPressing);
  const overdue = pressing.filter((task) => task.state === 'overdue').length;
  const parts = [`${pressing.length - overdue} due`];
  if (overdue > 0) parts.push(`${overdue} overdue`);
  if (alarms.length > 0) parts.push(`${alarms.length} alarm${alarms.length > 1 ? 's' : ''}`);
  return [parts.join(', '), ...(forecast === null ? [] : [courseWords(forecast)])].join('; ');
}

function courseWords({ on, goal, order }: KeptForecast): string {
  const counts = (['goal', 'order'] as const)
    .map((kind) => ({ kind, ...{ goal, order }[kind] }))
    .filter(({ of }) => of > 0)
    .map(({ kind, met, of }) => `${met} of ${of} ${kind}${of > 1 ? 's' : ''}`);
  const [, date, month] = longDay(on).split(/\s/);
  return `${counts.join(', ')} on course (forecast of ${date} ${month!.slice(0, 3)})`;
}

/** `Mon 26`: a day near enough to need no month; further off `Mon 3 May`. */
function nearDay(day: Day, today: Day): string {
  const [weekday, date, month] = longDay(day).split(/\s/);
  const near = Math.abs(daysBetween(today, day)) < 20;
  return `${weekday!.slice(0, 3)} ${date}${near ? '' : ` ${month!.slice(0, 3)}`}`;
}

/**
 * The morning as text: one line of counts, alarms, then the classes of work in the order in which a
 * keeper goes round. Without `full` it is cut to a screen: what is coming first, then what can wait;
 * the last line says how to see the rest. Ends with a line feed.
 */
export function todayText(view: TodayView, paper: TodayPaper): string {
  const { day, alarms, tasks } = view;
  const { width, full, paint } = paper;
  const done = (lines: readonly string[]): string => finished(`${lines.join('\n')}\n`, paper);
  const head = [
    `${longDay(day)}, ${forTerminal(view.place)}`,
    ...wrapped(headline(view), width).split('\n').map(paint.bold),
  ];
  const of = (name: TaskClass): Task[] => tasks.filter((task) => task.class === name);
  const ids = idWidth(tasks.filter((task) => task.class !== 'routine'));
  const block = (name: Exclude<TaskClass, 'routine'>): string[][] =>
    of(name).map((task) => taskLines(task, view, paper, ids));
  const titled = (heading: string, blocks: readonly string[][]): string[] =>
    blocks.length === 0 ? [] : ['', heading, ...blocks.flat()];
  const routine = routineLine(of('routine'), width);
  const firm = [
    ...titled(
      paint.act('ALARM'),
      alarms.map((one) => alarmLines(one, paper)),
    ),
    ...(['live', 'eggs'] as const).flatMap((name) => titled(headings[name], block(name))),
  ];
  if (full)
    return done([
      ...head,
      ...firm,
      ...(['must', 'can'] as const).flatMap((name) => titled(headings[name], block(name))),
      ...routine,
      ...titled(headings.coming, block('coming')),
      ...foot(view, paper, 0),
    ]);
  const made = (airy: boolean): { lines: string[]; left: number } => {
    const thin = (lines: readonly string[]): string[] =>
      airy ? [...lines] : lines.filter((line) => line !== '');
    const [before, daily] = [thin(firm), thin(routine)];
    const last = thin(foot(view, paper, 0)).length;
    let room = MOST_LINES - head.length - before.length - daily.length - last;
    const shown = (['must', 'can', 'coming'] as const).map((name) => {
      const some = cut(block(name), room, airy);
      room -= some.lines;
      return { name, ...some };
    });
    const [must, can, coming] = shown as [OnScreen, OnScreen, OnScreen];
    const lines = ({ name, shown: blocks }: OnScreen): string[] =>
      thin(titled(headings[name], blocks));
    return {
      lines: [
        ...head,
        ...before,
        ...lines(must),
        ...lines(can),
        ...daily,
        ...lines(coming),
        ...thin(foot(view, paper, must.left)),
      ],
      left: must.left + can.left + coming.left,
    };
  };
  // Blank lines are dropped before work is.
  const airy = made(true);
  return done(airy.left === 0 ? airy.lines : made(false).lines);
}

type OnScreen = { readonly name: 'must' | 'can' | 'coming' } & ReturnType<typeof cut>;

/** As many whole tasks as fit beside their heading. */
function cut(
  blocks: readonly string[][],
  room: number,
  airy: boolean,
): { shown: string[][]; left: number; lines: number } {
  const shown: string[][] = [];
  let lines = airy ? 2 : 1;
  for (const one of blocks) {
    if (lines + one.length > room) break;
    shown.push(one);
    lines += one.length;
  }
  return { shown, left: blocks.length - shown.length, lines: shown.length === 0 ? 0 : lines };
}

const MOST_ID = 22;

function idWidth(tasks: readonly Task[]): number {
  return Math.min(MOST_ID, largest([0, ...tasks.map((task) => widthOf(task.id))]));
}

function taskLines(
  task: Task,
  view: TodayView,
  { width, full, paint }: TodayPaper,
  ids: number,
): string[] {
  const { day } = view;
  const when =
    task.class === 'coming'
      ? `${nearDay(task.due, day)}  `
      : task.state === 'overdue'
        ? `${daysBetween(task.until, day)} d late  `
        : task.until > day && task.class === 'can'
          ? `by ${nearDay(task.until, day)}  `
          : '';
  const head = `  ${padded(task.id, ids)}  `;
  const first = linesOf(head, `${when}${task.title}`, width);
  const lines = task.state === 'overdue' ? first.map(paint.watch) : first;
  if (full && task.class !== 'coming')
    addAll(lines, linesOf(' '.repeat(head.length), task.why, width));
  return lines;
}

/** One alarm: what is wrong and where; what to look at first; with `full` all there is to say. */
function alarmLines(one: Alarm, { width, full, paint }: TodayPaper): string[] {
  const lines = linesOf('  ', one.title, width).map(paint.act);
  if (!full) {
    if (one.next.length > 0) addAll(lines, linesOf('    ', `first: ${one.next[0]}`, width));
    return lines;
  }
  addAll(lines, linesOf('    ', `since ${one.since.replace('T', ' ')}; ${one.why}`, width));
  for (const step of one.next) addAll(lines, linesOf('    - ', step, width));
  addAll(lines, linesOf('    ', `settled: traybook add tick ${one.id}`, width));
  return lines;
}

/** Everything of every day, and what will not be done any more, as one piece. */
function routineLine(tasks: readonly Task[], width: number): string[] {
  if (tasks.length === 0) return [];
  const pieces = groupedBy(tasks, (task): string => (task.daily ? task.kind : 'stale'));
  const names = (all: readonly Task[]): string => all.map((task) => task.place).join(', ');
  const words: Record<string, (all: readonly Task[]) => string> = {
    collect: (all) => `eggs of ${names(all)}`,
    read: (all) =>
      `read${names(all) === names(pieces.get('water') ?? []) ? ' and water' : ''} ${names(all)}`,
    // A group stands first in the id of its task.
    birds: (all) => `feed, water, count ${all.map((task) => task.id.split('/')[0]).join(', ')}`,
    water: (all) =>
      names(all) === names(pieces.get('read') ?? []) ? '' : `water in ${names(all)}`,
    turn: (all) => {
      const stored = all.filter((task) => task.place === 'storage');
      const when = stored.map((task) => /\((.*)\)$/.exec(task.title)?.[1] ?? '');
      const hand = all.filter((task) => task.place !== 'storage');
      return there([
        stored.length > 0 &&
          `turn ${stored[0]!.title.replace(/^Turn | \(.*\)$/g, '')} (${when.join(', ')})`,
        ...(hand.length > 0 ? [`turn ${names(hand)} by hand`] : []),
      ]).join('; ');
    },
    hen: (all) => `${names(all)} off to eat`,
    warmth: (all) => `heat ${all.map((task) => task.title).join(', ')}`,
    missed: (all) => all.map((task) => task.title).join(', '),
    stale: (all) => `long overdue: ${all.map((task) => task.id).join(', ')}`,
  };
  const order = ['birds', 'hen', 'warmth', 'collect', 'turn', 'read', 'water', 'missed', 'stale'];
  const rank = (kind: string): number =>
    order.includes(kind) ? order.indexOf(kind) : order.indexOf('turn');
  const text = [...pieces]
    .sort(([a], [b]) => rank(a) - rank(b))
    .map(
      ([kind, all]) =>
        words[kind]?.(all) ??
        all.map((task) => task.title.charAt(0).toLowerCase() + task.title.slice(1)).join('; '),
    )
    .filter((words) => words !== '')
    .join('; ');
  return ['', ...linesOf('', `EVERY DAY  ${text}`, width)];
}

/** What to type, and where the rest is; `left`: how many that must be today are not shown. */
function foot(view: TodayView, { width, full }: TodayPaper, left: number): string[] {
  const pressing = view.tasks.filter(isPressing);
  const first = pressing.find((task) => !task.settle.startsWith('add tick')) ?? pressing[0];
  const lines: string[] = [];
  if (view.tasks.length === 0 && view.alarms.length === 0) lines.push('Nothing is due.');
  if (first) addAll(lines, linesOf('when done: ', `traybook ${first.settle}`, width));
  if (!full && (pressing.length > 0 || view.alarms.length > 0))
    lines.push(
      `${left > 0 ? `${left} more for today, ` : ''}reasons and the rest: traybook today --full`,
    );
  return lines.length === 0 ? [] : ['', ...lines];
}

/** The same as a Markdown list with boxes to tick. */
export function todayMarkdown(view: TodayView): string {
  const out = [`# ${longDay(view.day)}, ${escapeMarkdown(view.place)}`, '', headline(view)];
  if (view.alarms.length > 0)
    addAll(out, [
      '',
      '## Alarm',
      '',
      ...view.alarms.map(
        (one) =>
          `- [ ] **${escapeMarkdown(one.title)}** ${escapeMarkdown(one.next.join('; '))} (\`${forTerminal(one.id)}\`)`,
      ),
    ]);
  const heading: Record<TaskClass, string> = {
    live: 'Live birds',
    eggs: 'Eggs',
    must: 'Today',
    can: 'Can wait',
    routine: 'Every day',
    coming: 'Coming',
  };
  for (const [name, words] of Object.entries(heading)) {
    const tasks = view.tasks.filter((task) => task.class === name);
    if (tasks.length === 0) continue;
    out.push('', `## ${words}`, '');
    for (const task of tasks) {
      const lead =
        task.class === 'coming'
          ? `${task.due}: `
          : task.state === 'overdue'
            ? `**since ${task.due}** `
            : task.class === 'can' && task.until > view.day
              ? `by ${task.until}: `
              : '';
      out.push(`- [ ] ${lead}${escapeMarkdown(task.title)} (\`${forTerminal(task.id)}\`)`);
    }
  }
  return spaced(`${out.join('\n')}\n`);
}
