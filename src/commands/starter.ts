import starterFile from '../../seeds/starter/season.yaml';
import { hensPerMale, speciesNames, speciesTable } from '../season/species.ts';
import { parseDay } from '../text/day.ts';
import { expectedFound, quoted } from '../text/fault.ts';
import { didYouMean, nearest } from '../text/nearest.ts';
import { wrongWords } from './command.ts';
import { type Answers, converse, type Question } from './converse.ts';

type StarterField = Question & { readonly flag: string; readonly about: string };

const MOST = 10_000;

function counted(about: string, least: number, usual: (answers: Answers) => number) {
  return {
    about,
    prompt: () => about,
    usual: (answers: Answers) => String(usual(answers)),
    read(text: string) {
      const value = Number(text);
      return /^\d+$/.test(text) && value >= least && value <= MOST
        ? { answer: text }
        : {
            wrong: expectedFound(about, `a whole number from ${least} to ${MOST}`, quoted(text)),
          };
    },
  };
}

/** What a season that begins from nothing is told, by flags or asked at a terminal, in order; `folder` and `year` give what is usual. */
function fields(folder: string, year: number): StarterField[] {
  const species = speciesNames();
  const anySpecies = species[0]!;
  return [
    {
      name: 'place',
      flag: '--place <name>',
      about: 'the name of your place',
      prompt: () => 'the name of your place',
      usual: () => folder,
      read: (text) =>
        text === '' || text.length > 200
          ? { wrong: 'expected a name of at most 200 characters' }
          : { answer: text },
    },
    {
      name: 'species',
      flag: '--species <kind>',
      about: 'the kind of bird you hatch',
      prompt: () => `the kind of bird: ${species.join(', ')}`,
      usual: () => anySpecies,
      read: (text) =>
        species.includes(text)
          ? { answer: text }
          : {
              wrong: `${expectedFound('the kind of bird', `one of ${species.join(', ')}`, quoted(text))}${
                nearest(text, species).length === 0
                  ? '; for another begin with the nearest of these: kinds: in season.yaml then makes it yours'
                  : `; ${didYouMean(text, species)}`
              }`,
            },
    },
    { name: 'hens', flag: '--hens <number>', ...counted('hens in the breeding pen', 0, () => 10) },
    {
      name: 'males',
      flag: '--males <number>',
      ...counted('males with them', 0, (answers) => {
        const kind = speciesTable()[answers.species ?? anySpecies]!;
        return Math.ceil(Number(answers.hens ?? 0) / hensPerMale(kind).value.high);
      }),
    },
    {
      name: 'joined',
      flag: '--joined <day>',
      about: 'the day the males joined the hens',
      prompt: () => 'the day the males joined, or will join, the hens',
      usual: () => `${year}-02-01`,
      read: (text) =>
        parseDay(text) === null
          ? { wrong: expectedFound('the day', 'a day such as 2027-02-06', quoted(text)) }
          : { answer: text },
    },
    { name: 'trays', flag: '--trays <number>', ...counted('trays of your setter', 1, () => 3) },
    {
      name: 'trayHolds',
      flag: '--tray-holds <eggs>',
      ...counted('eggs of this kind on one tray', 1, () => 40),
    },
    {
      name: 'hatcherHolds',
      flag: '--hatcher-holds <eggs>',
      ...counted('eggs of this kind in the hatcher', 1, () => 60),
    },
  ];
}

/** The flags of `new` that answer the same questions. */
export function startFlags(): readonly Pick<StarterField, 'name' | 'flag' | 'about'>[] {
  return fields('the folder', 0);
}

/**
 * The answers: those given as flags, else asked if there is a keeper at a terminal, else the usual.
 *
 * @throws Stop (exit 2) if a flag cannot be so, or the keeper leaves
 */
export async function startOf(
  given: Answers,
  asking: boolean,
  folder: string,
  year: number,
): Promise<Answers> {
  const all = fields(folder, year);
  const answers: Record<string, string> = {};
  for (const field of all) {
    const text = given[field.name];
    if (text === undefined) continue;
    const read = field.read(text, answers);
    if ('wrong' in read) throw wrongWords(`${field.flag.split(' ')[0]}: ${read.wrong}`);
    answers[field.name] = read.answer;
  }
  const left = all.filter((field) => answers[field.name] === undefined);
  if (asking)
    Object.assign(answers, await converse('A few questions, to begin with.', left, answers));
  else for (const field of left) answers[field.name] = field.usual(answers);
  return answers;
}

/** The text of a first season file. */
export function starterText(start: Answers, year: number, zone: string): string {
  // `trayHolds` is TRAY_HOLDS in the file.
  const answers = Object.entries(start).map(
    ([name, answer]) => [name.replace(/[A-Z]/g, '_$&').toUpperCase(), answer] as const,
  );
  const words: Readonly<Record<string, string | number>> = {
    ...Object.fromEntries(answers),
    SEASON: year,
    PLACE: JSON.stringify(start.place),
    ZONE: zone,
    KINDS: speciesNames().join(', '),
    BY: `${year}-10-15`,
    FIRST: `${year}-03-06`,
    EGGS: Math.min(30, Number(start.trayHolds)),
  };
  return (starterFile as string).replaceAll(/\$([A-Z_]+)/g, (whole, word) =>
    String(words[word] ?? whole),
  );
}
