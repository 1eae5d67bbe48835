/** Pages of the guide that are made from the tables of `seeds/`, in Markdown. */

import { advice } from '../season/advice.ts';
import { cautionLines, cautions } from '../season/cautions.ts';
import { candlingLooks, deathsAt, embryoDays, pipping, publishedDays } from '../season/embryo.ts';
import { type Seen, seenWords } from '../season/figure.ts';
import { type Species, speciesTable } from '../season/species.ts';
import { there } from '../text/lists.ts';

/** A statement with its source. */
export type Sourced = { readonly source: string; readonly seen: Seen };

/** How well a source was seen, in a word or two: never empty. */
export function gradeOf(seen: Seen): string {
  return seenWords(seen) || 'published';
}

/** One line of a list, with its grade, and with its source where sources are asked for. */
export function sourcedItem(says: string, { source, seen }: Sourced, withSources: boolean): string {
  return `- ${sourcedText(says, { source, seen }, withSources)}`;
}

function sourcedText(says: string, { source, seen }: Sourced, withSources: boolean): string {
  return `${says} (${gradeOf(seen)})${withSources ? ` Source: ${source}.` : ''}`;
}

const SOURCES_HINT =
  'In brackets: how well the source was seen. `--sources` names the source of each line.';

/** A topic of `seeds/advice.yaml`. */
export function advicePage(name: string, withSources: boolean): string {
  const { about, lines, table } = advice[name]!;
  return [
    `# ${capital(about)}`,
    '',
    ...lines.map((line) => sourcedItem(line.says, line, withSources)),
    '',
    ...(table === undefined
      ? []
      : [
          `## ${table.heading}`,
          '',
          `| ${table.columns.join(' | ')} |`,
          `| ${table.columns.map(() => '---').join(' | ')} |`,
          ...table.rows.map((row) => `| ${row.join(' | ')} |`),
          '',
          sourcedItem('All rows.', table, withSources),
          '',
        ]),
    ...(name !== 'hatch-end'
      ? []
      : [
          '## From the hole in the shell to the chick',
          '',
          ...Object.values(speciesTable()).map((species) =>
            pipHours(species, withSources, species.name),
          ),
          '',
        ]),
    withSources ? '' : SOURCES_HINT,
    '',
  ].join('\n');
}

/** How long a chick of a kind takes to come out, once there is a hole in its shell. */
function pipHours(
  { pip_hours: hours }: Species,
  withSources: boolean,
  of = 'from the hole in the shell to the chick',
): string {
  const { low, high } = hours.value;
  const far =
    hours.range === undefined ? '' : `, in print ${hours.range.low} to ${hours.range.high}`;
  return sourcedItem(`${low} to ${high} hours${far}: ${of}`, hours, withSources);
}

/** Every caution whole. Telephone lines are left to the season of their own country. */
export function cautionsPage(withSources: boolean): string {
  return [
    '# Cautions',
    '',
    'Commands show these in short, each once, where they apply. traybook keeps records: it gives no veterinary, legal or electrical advice. Check your local rules, and ask a vet. Telephone lines show only in the season of their own country.',
    '',
    ...Object.values(cautions).flatMap(({ short, whole, ...caution }) => [
      `## ${short.split(/[:.;,]/)[0]}`,
      '',
      sourcedText(whole, caution, withSources),
      '',
    ]),
    withSources ? '' : SOURCES_HINT,
    '',
  ].join('\n');
}

/** The embryo day by day for a kind, what the light shows, and deaths by age. */
export function embryoPage(kind: string, species: Species, withSources: boolean): string {
  const term = species.hatch_day.value;
  const days = embryoDays(kind, term);
  const own = publishedDays(kind);
  const chicken = publishedDays('chicken')!;
  const isScaled = days.some((day) => day.isScaled);
  return there([
    `# The embryo of the ${species.name}, ${term} days`,
    '',
    isScaled
      ? 'Days marked ~ are scaled from the chicken by the length of the term: embryos of one stage look alike, their pace differs.'
      : 'Each day as published.',
    '',
    '## Opened, day by day',
    '',
    '| day | what is seen |',
    '| --- | --- |',
    ...days.map(
      ({ day, opened, isScaled: scaled }) => `| ${scaled ? '~' : ''}${day} | ${opened} |`,
    ),
    '',
    ...(own === null ? [] : [sourcedItem('Days of this kind.', own, withSources)]),
    ...(kind === 'chicken' ? [] : [sourcedItem('Scaled days.', scaledFrom(chicken), withSources)]),
    kind !== 'chicken' &&
      sourcedItem(
        'Pipping, where no day of its own is printed.',
        pipping.shell_days_before,
        withSources,
      ),
    pipHours(species, withSources),
    '',
    '## Through the shell',
    '',
    ...candlingLooks.flatMap((look) => [
      sourcedItem(
        `About day ${Math.round(look.part * term)}. Live: ${look.live}. Clear: ${look.clear}. Dead: ${look.dead}.`,
        look,
        withSources,
      ),
    ]),
    '',
    '## Died at what age, and why',
    '',
    ...deathsAt(term).map((death) =>
      sourcedItem(
        `${capital(death.stage)}${death.lastDay === 0 ? '' : `, days ${death.firstDay} to ${death.lastDay}`}: ${death.sign}. Usual causes: ${death.causes}.`,
        death,
        withSources,
      ),
    ),
    '',
    'One dead egg proves nothing: causes show in many eggs. `diagnose` weighs them.',
    ...cautionLines(['breakout']),
    '',
    withSources ? '' : SOURCES_HINT,
    '',
  ]).join('\n');
}

function scaledFrom(chicken: Sourced): Sourced {
  return { source: `the chicken's days, ${chicken.source}`, seen: 'computed' };
}

/** A sentence with its first letter large. */
export function capital(text: string): string {
  return `${text[0]?.toUpperCase() ?? ''}${text.slice(1)}`;
}
