import type { CommandRow } from './command.ts';

/** What a keeper asks, in the order of the year; the commands of `--help` stand below them. */
export const questions = {
  before: 'Before the season: what must I set, and when?',
  daily: 'Every day: what is to be done, and what did I just do?',
  during: 'During the season: is it going well, and will I get there?',
  after: 'After it: what happened, what did it cost, what do I change?',
  book: 'The book itself',
} as const satisfies Record<CommandRow['asks'], string>;

/** Every command, in the order of `--help`. A new one is its file, its page and one line here. */
export const commands: readonly CommandRow[] = [
  { name: 'new', asks: 'before', summary: 'Make a season folder', load: () => import('./new.ts') },
  {
    name: 'today',
    asks: 'daily',
    summary: 'What is overdue, due and coming',
    load: () => import('./today.ts'),
  },
  {
    name: 'add',
    asks: 'daily',
    summary: 'Record something: eggs, a set, a candling, a hatch …',
    load: () => import('./add.ts'),
  },
  {
    name: 'amend',
    asks: 'daily',
    summary: 'Correct a row: the old one stays in the log',
    load: () => import('./amend.ts'),
  },
  { name: 'void', asks: 'daily', summary: 'Withdraw a row', load: () => import('./void.ts') },
  {
    name: 'list',
    asks: 'daily',
    summary: 'The rows of a record that stand',
    load: () => import('./list.ts'),
  },
  {
    name: 'history',
    asks: 'daily',
    summary: "A set's life in order, with who and when",
    load: () => import('./history.ts'),
  },
  {
    name: 'import',
    asks: 'book',
    summary: 'Rows from a table of your own; shows first, writes when told',
    load: () => import('./import.ts'),
  },
  {
    name: 'check',
    asks: 'during',
    summary: 'Every fault and conflict in the season',
    load: () => import('./check.ts'),
  },
  {
    name: 'occupancy',
    asks: 'daily',
    summary: 'Who is in which tray and hatcher, and when',
    load: () => import('./occupancy.ts'),
  },
  {
    name: 'calendar',
    asks: 'daily',
    summary: 'All dates, for a phone or as a list',
    load: () => import('./calendar.ts'),
  },
  {
    name: 'flock',
    asks: 'during',
    summary: 'Birds by group: balance, losses, sexes, feed',
    load: () => import('./flock.ts'),
  },
  {
    name: 'brooders',
    asks: 'daily',
    summary: 'Room under heat, when birds may move out, power',
    load: () => import('./brooders.ts'),
  },
  {
    name: 'costs',
    asks: 'after',
    summary: 'Money, feed and power: per chick, per pullet, per kg',
    load: () => import('./costs.ts'),
  },
  {
    name: 'breeders',
    asks: 'after',
    summary: 'Pens, narrowing, ranking, and who to mate next year',
    load: () => import('./breeders.ts'),
  },
  {
    name: 'summary',
    asks: 'after',
    summary: "The season in one document: the eggs' way from laid to chick",
    load: () => import('./summary.ts'),
  },
  {
    name: 'review',
    asks: 'during',
    summary: 'Rates by pen, tray, storage age and week, and what differs',
    load: () => import('./review.ts'),
  },
  {
    name: 'diagnose',
    asks: 'during',
    summary: 'What the numbers say is wrong, and what to look at next',
    load: () => import('./diagnose.ts'),
  },
  {
    name: 'sheet',
    asks: 'daily',
    summary: 'A page to print and write on in the barn',
    load: () => import('./sheet.ts'),
  },
  {
    name: 'export',
    asks: 'book',
    summary: 'Tidy tables for other programs, with their description',
    load: () => import('./export.ts'),
  },
  { name: 'guide', asks: 'book', summary: 'The manual, offline', load: () => import('./guide.ts') },
  {
    name: 'schema',
    asks: 'book',
    summary: 'The JSON Schema of season.yaml, for editors',
    load: () => import('./schema.ts'),
  },
  {
    name: 'completion',
    asks: 'book',
    summary: 'A script that completes words in bash, zsh or fish',
    load: () => import('./completion.ts'),
  },
  {
    name: 'plan',
    asks: 'before',
    summary: 'Sets that meet the goals',
    load: () => import('./plan.ts'),
  },
  {
    name: 'forecast',
    asks: 'during',
    summary: 'The chance of each goal from here, and the chicks to come',
    load: () => import('./forecast.ts'),
  },
  {
    name: 'rates',
    asks: 'before',
    summary: 'What is expected of every egg, and where that comes from',
    load: () => import('./rates.ts'),
  },
  {
    name: 'eggs-for',
    asks: 'before',
    summary: 'How many eggs so many birds need, and why',
    load: () => import('./eggs-for.ts'),
  },
];
