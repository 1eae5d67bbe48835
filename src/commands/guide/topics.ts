import { type BirdKind, growthTypeOf } from '../../season/brooding.ts';
import { type Species, speciesNames, speciesOf } from '../../season/species.ts';

/** A kind of bird that a page is asked of, and its figures of incubation. */
export type KindAsked = {
  /** The word it was asked by: `duck`, `turkey-light`, or a kind of the season's own. */
  readonly word: string;
  readonly bird: BirdKind;
  readonly species: Species;
};

/** What is asked of a page that is made from the tables. */
export type GuideWish = { readonly kind: KindAsked | undefined; readonly sources: boolean };

/** A page of the guide: its text is loaded, or made from the tables, when it is asked for. */
export type Topic = {
  readonly name: string;
  readonly about: string;
  /** True where the page is of one kind of bird. */
  readonly ofKind?: boolean;
  readonly load: (wish: GuideWish) => Promise<string>;
};

/** Pages written by hand, in the order a newcomer reads them. A new one is its page and one line here. */
const written = {
  'first-week': 'from an empty folder to the first candling',
  words: 'the words, and the four rates',
  plan: 'from the birds wanted to the sets that give them',
  'worked-season': 'why not every Friday: a plan beside the weekly habit',
  'mid-season': 'a male fails, a set is lost, a hatcher is closed, an order comes in',
  'reading-the-numbers': 'small counts, intervals, denominators',
  morning: 'ten mornings of a spring, and why each is in its order',
  'eggs-and-pens': 'eggs that leave or come, pens that change, hens that sit, bands',
  'machine-troubles': 'what the hatch says about the machine',
  brooding: 'heat, room, who not to put together',
  breeding: 'males, purity, narrowing, whom to keep',
  'cron-and-git': 'a message each morning; history; two people',
  'mistakes-and-mending': 'amend, void, spreadsheets, torn lines',
  promises: 'what is promised and what not, limits, how it was tried',
  faults: 'every fault `check` can tell, with an example',
} as const;

/** Pages made from the tables of `seeds/` and the schema, so that they cannot differ. */
const made: readonly Topic[] = [
  {
    name: 'cautions',
    about: 'heat, food, medicine, disease, sale, slaughter',
    load: async ({ sources }) =>
      (await import('../../tables/guide-pages.ts')).cautionsPage(sources),
  },
  {
    name: 'season-file',
    about: 'every key of season.yaml, with an example',
    load: async () => (await import('../../tables/guide-season-file.ts')).seasonFilePage(),
  },
  {
    name: 'alarms',
    about: 'every alarm: what to do, what it means, what settles it',
    load: async () => (await import('../../tables/guide-alarms.ts')).alarmsPage(),
  },
  {
    name: 'figures',
    about: 'every figure of a kind of bird: `guide figures duck`',
    ofKind: true,
    load: async ({ kind, sources }) => {
      const { figuresPage, generalFigures } = await import('../../tables/guide-figures.ts');
      return kind === undefined ? generalFigures(sources) : figuresPage(kind, sources);
    },
  },
  {
    name: 'embryo',
    about: 'the embryo by the day, and what a death at that age means: `guide embryo duck`',
    ofKind: true,
    load: async ({ kind = chicken(), sources }) =>
      (await import('../../tables/guide-pages.ts')).embryoPage(kind.word, kind.species, sources),
  },
  {
    name: 'air-cell',
    about: 'how large the air cell should be by the day, drawn to scale; --svg',
    ofKind: true,
    load: async ({ kind = chicken() }) =>
      (await import('../../tables/air-cell.ts')).airCellPage(kind.species),
  },
  {
    name: 'sources',
    about: 'the works cited, what rests on each, and where the program says otherwise',
    load: async () => (await import('../../tables/guide-sources.ts')).sourcesPage(),
  },
];

/** Every topic there is. */
export async function allTopics(): Promise<readonly Topic[]> {
  const { advice } = await import('../../season/advice.ts');
  const advised = Object.entries(advice).map(
    ([name, { about }]): Topic => ({
      name,
      about,
      load: async ({ sources }) =>
        (await import('../../tables/guide-pages.ts')).advicePage(name, sources),
    }),
  );
  const pages = Object.entries(written).map(
    ([name, about]): Topic => ({
      name,
      about,
      load: async () => (await import(`./${name}.md`)).default,
    }),
  );
  return [...pages, ...advised, ...made];
}

/** The kind that pages are of where none is named. */
export const chicken = (): KindAsked => shippedKind('chicken')!;

/** A kind of the reference tables by its word, `duck`, or `turkey-light` for its class; null if none. */
export function shippedKind(word: string): KindAsked | null {
  const species = speciesNames().find((name) => word === name || word.startsWith(`${name}-`));
  if (species === undefined) return null;
  const birdClass = word.slice(species.length + 1);
  if (birdClass !== '' && growthTypeOf({ species, class: birdClass }) !== word) return null;
  const bird = { species, class: birdClass === '' ? undefined : birdClass };
  return { word: species, bird, species: speciesOf(species) };
}
