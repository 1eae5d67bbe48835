/** A page of the guide: its text is loaded when it is asked for. */
export type Topic = {
  readonly name: string;
  readonly about: string;
  readonly load: () => Promise<{ readonly default: string }>;
};

/** Every topic, in the order a newcomer reads them. A new one is its page and one line here. */
export const topics: readonly Topic[] = [
  {
    name: 'first-week',
    about: 'from an empty folder to the first candling',
    load: () => import('./first-week.md'),
  },
  { name: 'words', about: 'the words, and the four rates', load: () => import('./words.md') },
  {
    name: 'plan',
    about: 'from the birds wanted to the sets that give them',
    load: () => import('./plan.md'),
  },
  {
    name: 'worked-season',
    about: 'why not every Friday: a plan beside the weekly habit',
    load: () => import('./worked-season.md'),
  },
  {
    name: 'reading-the-numbers',
    about: 'small counts, intervals, denominators',
    load: () => import('./reading-the-numbers.md'),
  },
  {
    name: 'machine-troubles',
    about: 'what the hatch says about the machine; power cuts',
    load: () => import('./machine-troubles.md'),
  },
  {
    name: 'brooding',
    about: 'heat, room, who not to put together',
    load: () => import('./brooding.md'),
  },
  {
    name: 'brooding-figures',
    about: 'each figure of brooding and growing, and its source',
    load: () => import('./brooding-figures.md'),
  },
  {
    name: 'cautions',
    about: 'heat, food, medicine, disease, sale, slaughter',
    load: () => import('./cautions.md'),
  },
  {
    name: 'breeding',
    about: 'males, purity, narrowing, whom to keep',
    load: () => import('./breeding.md'),
  },
  {
    name: 'cron-and-git',
    about: 'a message each morning; history; two people',
    load: () => import('./cron-and-git.md'),
  },
  {
    name: 'mistakes-and-mending',
    about: 'amend, void, spreadsheets, torn lines',
    load: () => import('./mistakes-and-mending.md'),
  },
  {
    name: 'promises',
    about: 'what is promised and what not, limits, how it was tried',
    load: () => import('./promises.md'),
  },
  {
    name: 'faults',
    about: 'every fault `check` can tell, with an example',
    load: () => import('./faults.md'),
  },
];
