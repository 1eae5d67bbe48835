import type { CommandRow } from './command.ts';

/** What a keeper asks, in the order of the year; the commands of `--help` stand below them. */
export const questions = {
  before: 'Before the season: what must I set, and when?',
  daily: 'Every day: what is to be done, and what did I just do?',
  during: 'During the season: is it going well, and will I get there?',
  after: 'After it: what happened, what did it cost, what do I change?',
  book: 'The book itself',
} as const satisfies Record<CommandRow['asks'], string>;

const row = (
  name: string,
  asks: CommandRow['asks'],
  summary: string,
  load: CommandRow['load'],
): CommandRow => ({ name, asks, summary, load });

/** Every command, in the order of `--help`. A new one is its file, its page and one line here. */
export const commands: readonly CommandRow[] = [
  row('new', 'before', 'Make a season folder', () => import('./new.ts')),
  row('today', 'daily', 'What is overdue, due and coming', () => import('./today.ts')),
  row(
    'add',
    'daily',
    'Record something: eggs, a set, a candling, a hatch …',
    () => import('./add.ts'),
  ),
  row('amend', 'daily', 'Correct a row: the old one stays in the log', () => import('./amend.ts')),
  row('void', 'daily', 'Withdraw a row', () => import('./void.ts')),
  row('list', 'daily', 'The rows of a record that stand', () => import('./list.ts')),
  row('history', 'daily', "A set's life in order, with who and when", () => import('./history.ts')),
  row(
    'import',
    'book',
    'Rows from a table of your own; shows first, writes when told',
    () => import('./import.ts'),
  ),
  row('check', 'during', 'Every fault and conflict in the season', () => import('./check.ts')),
  row(
    'occupancy',
    'daily',
    'Who is in which tray and hatcher, and when',
    () => import('./occupancy.ts'),
  ),
  row('calendar', 'daily', 'All dates, for a phone or as a list', () => import('./calendar.ts')),
  row(
    'flock',
    'during',
    'Birds by group: balance, losses, sexes, feed',
    () => import('./flock.ts'),
  ),
  row(
    'brooders',
    'daily',
    'Room under heat, when birds may move out, power',
    () => import('./brooders.ts'),
  ),
  row(
    'costs',
    'after',
    'Money, feed and power: per chick, per pullet, per kg',
    () => import('./costs.ts'),
  ),
  row(
    'breeders',
    'after',
    'Pens, narrowing, ranking, and who to mate next year',
    () => import('./breeders.ts'),
  ),
  row(
    'summary',
    'after',
    "The season in one document: the eggs' way from laid to chick",
    () => import('./summary.ts'),
  ),
  row(
    'review',
    'during',
    'Rates by pen, tray, storage age and week, and what differs',
    () => import('./review.ts'),
  ),
  row(
    'diagnose',
    'during',
    'What the numbers say is wrong, and what to look at next',
    () => import('./diagnose.ts'),
  ),
  row('sheet', 'daily', 'A page to print and write on in the barn', () => import('./sheet.ts')),
  row(
    'export',
    'book',
    'Tidy tables for other programs, with their description',
    () => import('./export.ts'),
  ),
  row('guide', 'book', 'The manual, offline', () => import('./guide.ts')),
  row('schema', 'book', 'The JSON Schema of season.yaml, for editors', () => import('./schema.ts')),
  row(
    'completion',
    'book',
    'A script that completes words in bash, zsh or fish',
    () => import('./completion.ts'),
  ),
  row('plan', 'before', 'Sets that meet the goals', () => import('./plan.ts')),
  row(
    'forecast',
    'during',
    'The chance of each goal from here, and the chicks to come',
    () => import('./forecast.ts'),
  ),
  row(
    'rates',
    'before',
    'What is expected of every egg, and where that comes from',
    () => import('./rates.ts'),
  ),
  row(
    'eggs-for',
    'before',
    'How many eggs so many birds need, and why',
    () => import('./eggs-for.ts'),
  ),
];
