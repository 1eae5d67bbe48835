import type { CommandModule } from './command.ts';

export type CommandRow = {
  readonly name: string;
  readonly summary: string;
  readonly load: () => Promise<{ readonly command: CommandModule }>;
};

/** Every command, in the order of `--help`. A new one is its file, its page and one line here. */
export const commands: readonly CommandRow[] = [
  { name: 'new', summary: 'Make a season folder', load: () => import('./new.ts') },
  { name: 'today', summary: 'What is overdue, due and coming', load: () => import('./today.ts') },
  {
    name: 'add',
    summary: 'Record something: eggs, a set, a candling, a hatch …',
    load: () => import('./add.ts'),
  },
  {
    name: 'amend',
    summary: 'Correct a row: the old one stays in the log',
    load: () => import('./amend.ts'),
  },
  { name: 'void', summary: 'Withdraw a row', load: () => import('./void.ts') },
  { name: 'list', summary: 'The rows of a record that stand', load: () => import('./list.ts') },
  {
    name: 'history',
    summary: "A set's life in order, with who and when",
    load: () => import('./history.ts'),
  },
  {
    name: 'import',
    summary: 'Rows from a table of your own; shows first, writes when told',
    load: () => import('./import.ts'),
  },
  {
    name: 'check',
    summary: 'Every fault and conflict in the season',
    load: () => import('./check.ts'),
  },
  {
    name: 'occupancy',
    summary: 'Who is in which tray and hatcher, and when',
    load: () => import('./occupancy.ts'),
  },
  {
    name: 'calendar',
    summary: 'All dates, for a phone or as a list',
    load: () => import('./calendar.ts'),
  },
  {
    name: 'flock',
    summary: 'Birds by group: balance, losses, sexes, feed',
    load: () => import('./flock.ts'),
  },
  {
    name: 'brooders',
    summary: 'Room under heat, when birds may move out, power',
    load: () => import('./brooders.ts'),
  },
  {
    name: 'costs',
    summary: 'Money, feed and power: per chick, per pullet, per kg',
    load: () => import('./costs.ts'),
  },
  {
    name: 'breeders',
    summary: 'Pens, narrowing, ranking, and who to mate next year',
    load: () => import('./breeders.ts'),
  },
  {
    name: 'summary',
    summary: "The season in one document: the eggs' way from laid to chick",
    load: () => import('./summary.ts'),
  },
  {
    name: 'review',
    summary: 'Rates with intervals by pen, tray, storage age and week, and what differs',
    load: () => import('./review.ts'),
  },
  {
    name: 'diagnose',
    summary: 'What the numbers say is wrong, and what to look at next',
    load: () => import('./diagnose.ts'),
  },
  {
    name: 'sheet',
    summary: 'A page to print and write on in the barn',
    load: () => import('./sheet.ts'),
  },
  {
    name: 'export',
    summary: 'Tidy tables for other programs, with their description',
    load: () => import('./export.ts'),
  },
  { name: 'guide', summary: 'The manual, offline', load: () => import('./guide.ts') },
  {
    name: 'completion',
    summary: 'A script that completes words in bash, zsh or fish',
    load: () => import('./completion.ts'),
  },
  { name: 'plan', summary: 'Sets that meet the goals', load: () => import('./plan.ts') },
  {
    name: 'forecast',
    summary: 'The chance of each goal from here, and the chicks to come',
    load: () => import('./forecast.ts'),
  },
  {
    name: 'rates',
    summary: 'What is expected of every egg, and where that comes from',
    load: () => import('./rates.ts'),
  },
  {
    name: 'eggs-for',
    summary: 'How many eggs so many birds need, and why',
    load: () => import('./eggs-for.ts'),
  },
];
