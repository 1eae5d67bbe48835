/** `guide season-file`: every key of `season.yaml`, made from its schema. */

import example from '../../seeds/starter/example.yaml';
import { there } from '../text/lists.ts';
import { type KeySchema, type SeasonKey, seasonKeys } from './season-keys.ts';

/** A season file that has every part but those of a later year, for the guide; a test gives it to `check`. */
export const exampleSeasonFile = example as string;

/** The page, in Markdown. */
export function seasonFilePage(): string {
  const keys = seasonKeys();
  const top = keys.filter(({ path }) => path.length === 1);
  return [
    '# season.yaml',
    '',
    'One file says what the season is meant to be. `traybook check` tells what is wrong in it, with the line. Only `format`, `season`, `place` and `lines` must be there. NAME stands for a name of your own: letters, digits and hyphens. A figure that holds ranges or steps has the keys in braces.',
    '',
    '## An example with every part',
    '',
    '```',
    exampleSeasonFile.trimEnd(),
    '```',
    '',
    '## Help from an editor',
    '',
    '`traybook guide schema` says how an editor that knows JSON Schema completes and explains the keys.',
    '',
    ...top.flatMap((one) => {
      const under = keys.filter(({ path }) => path.length > 1 && path[0] === one.path[0]);
      return [
        `## ${one.path[0]}`,
        '',
        `${one.description}${mayBe(one.schema)}`,
        '',
        ...rows(under),
      ];
    }),
  ].join('\n');
}

function rows(keys: readonly SeasonKey[]): string[] {
  const told = new Set<string>();
  const out = keys.flatMap((key) => {
    const { path, schema, toldAs, isFigure, description } = key;
    // A month is told once for all, and so is what every stage of the rates has.
    const isRepeated = toldAs !== null && !isFigure && told.has(toldAs);
    if (toldAs !== null) told.add(toldAs);
    const isUnderOverride = path[2] === 'override' && path.length > 3;
    if (isRepeated || isUnderOverride || (isFigure && path.length > 3)) return [];
    const parts = isFigure ? partsOf(schema) : '';
    return [`- \`${shownPath(path)}\`${parts}: ${description}${isFigure ? '' : mayBe(schema)}`];
  });
  return out.length === 0 ? [] : [...out, ''];
}

/** The path below the top, `NAME` for what the keeper names; an item of a list needs no name. */
function shownPath(path: readonly string[]): string {
  const isList = ['goals', 'orders', 'plan'].includes(path[0]!);
  return path
    .slice(1)
    .flatMap((part, n) => (part !== '*' ? [part] : n === 0 && !isList ? ['NAME'] : []))
    .join('.');
}

function partsOf(schema: KeySchema): string {
  const inside = Object.keys((schema.items ?? schema).properties ?? {});
  return inside.length === 0 ? '' : ` {${inside.join(', ')}}`;
}

/** The words, and the value that stands if the key is left out. */
function mayBe(schema: KeySchema): string {
  const words = schema.enum ?? schema.items?.enum;
  const usual = schema.default;
  const isTold = ['string', 'number', 'boolean'].includes(typeof usual) && usual !== '';
  return there([
    ...(schema.const === undefined ? [] : [` Write: ${schema.const}.`]),
    words !== undefined && ` ${schema.enum === undefined ? 'Any' : 'One'} of: ${words.join(', ')}.`,
    ...(isTold ? [` Left out: ${String(usual)}.`] : []),
  ]).join('');
}
