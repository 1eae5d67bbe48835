/** `guide sources`: the works that the figures cite, with what rests on each, made from the tables. */
import { works, worksAgainst } from '../season/advice.ts';
import { allFigures, type Placed } from '../season/all-figures.ts';
import { speciesNames } from '../season/species.ts';
import { figureHeadings } from './guide-figures.ts';
import { capital, gradeOf } from './guide-pages.ts';

/** What the figures of a table are of, where the key alone does not tell. */
const tables: Readonly<Record<string, string>> = {
  rates: 'expected rate: ',
  norms: 'usual: ',
  embryo: 'embryo: ',
  breeding: 'breeding: ',
  power: 'power cut: ',
  alarms: 'alarm: ',
  causes: 'cause: ',
  work: 'work: ',
  entry: 'entry: ',
  cautions: 'caution: ',
  advice: 'advice: ',
};

/** Keys that say only how a table is laid out. */
const PLAIN = new Set(['birds', 'types', 'species', 'lines', 'signs', 'work', 'causes', 'classes']);

/** A figure in words, without its kind of bird: `hatch on day`, `advice: grading`. */
function nameOf({ table, path }: Placed): string {
  const keys = path.filter((key) => !/^\d+$/.test(key) && !isKind(key) && !PLAIN.has(key));
  const words = keys.map((key) =>
    table === 'embryo' && key === 'days'
      ? 'day by day'
      : (figureHeadings[key] ?? key.replaceAll(/[_-]/g, ' ')),
  );
  return `${tables[table] ?? ''}${words.join(', ')}`;
}

/** A kind of bird, or a kind with its class. */
const isKind = (key: string): boolean =>
  speciesNames().some((kind) => key === kind || key.startsWith(`${kind}-`));

/** The figures that rest on a work, each once with its kinds: `egg (g) (duck, goose)`. */
export function restingOn(cited: readonly string[], figures: readonly Placed[]): string[] {
  const kinds = new Map<string, Set<string>>();
  for (const one of figures) {
    if (!cited.some((words) => `${one.source} ${one.note}`.includes(words))) continue;
    const name = nameOf(one);
    const of = kinds.get(name) ?? new Set();
    kinds.set(name, of);
    const kind = one.path.find(isKind);
    if (kind !== undefined) of.add(kind);
  }
  return [...kinds].map(([name, of]) => {
    if (of.size === 0) return name;
    return `${name} (${of.size === speciesNames().length ? 'every kind' : [...of].join(', ')})`;
  });
}

/** The bibliography, and the works that the program departs from. */
export function sourcesPage(): string {
  const figures = allFigures();
  const byTitle = new Map<string, string[]>();
  for (const work of works)
    byTitle.set(printed(work), [...(byTitle.get(printed(work)) ?? []), work.cited]);
  const grades = new Map<string, number>();
  for (const { seen } of figures) grades.set(gradeOf(seen), (grades.get(gradeOf(seen)) ?? 0) + 1);
  return [
    '# Sources',
    '',
    `This program holds ${figures.length} figures and statements and cites ${byTitle.size} works for them. How well the source of each was seen: ${[...grades].map(([grade, count]) => `${grade} ${count}`).join(', ')}. *Published* is the page or the abstract itself, *from a copy* somebody else's print of it, *worked out* our sum from the works named. \`guide figures KIND --sources\` shows each beside its figure.`,
    '',
    '## Where this program says otherwise, and why',
    '',
    ...worksAgainst.map(
      ({ work, says, ours, why }) =>
        `- ${capital(says)} (${titleOf(work)}). Here: ${ours}, because ${why}.`,
    ),
    '',
    '## Works, and what rests on each',
    '',
    ...[...byTitle]
      .sort(([a], [b]) => a.localeCompare(b, 'en'))
      .map(([title, cited]) => `- ${title} *For:* ${restingOn(cited, figures).join('; ')}.`),
    '',
  ].join('\n');
}

function titleOf(cited: string): string {
  return works.find((work) => work.cited === cited)?.title ?? cited;
}

function printed({ title, publisher, year, address }: (typeof works)[number]): string {
  return `${[title, publisher, year].filter((part) => part !== undefined).join(', ')}.${address === undefined ? '' : ` ${address}`}`;
}
