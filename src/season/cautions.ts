/** The cautions of `seeds/cautions.yaml`, and the places each belongs to. */
import type * as z from 'zod/mini';
import table from '../../seeds/cautions.yaml';
import type { cautionsFile } from './knowledge-schema.ts';

/** Every caution, in the order of the table. */
export const cautions = table as z.infer<typeof cautionsFile>;

export type CautionKey =
  | 'holding'
  | 'heat-lamp'
  | 'power-cut'
  | 'watch-the-birds'
  | 'waterfowl-feed'
  | 'medicated-feed'
  | 'layer-feed'
  | 'blackhead'
  | 'withdrawal'
  | 'slaughter'
  | 'sale'
  | 'disease'
  | 'hygiene'
  | 'breakout'
  | 'quarantine'
  | 'disinfectant'
  | 'carbon-monoxide'
  | 'carbon-dioxide'
  | 'dust-and-ammonia'
  | 'damp-wiring';

/**
 * The short text of each caution asked for, each once, in the order first asked. A telephone line
 * follows where the season's time zone is of its country, and nowhere else.
 */
export function cautionLines(keys: Iterable<CautionKey>, timezone = ''): string[] {
  return [...new Set(keys)].map((key) => {
    const { short, phones = [] } = cautions[key]!;
    const lines = phones.filter(({ zones }) => zones.includes(timezone)).map(({ says }) => says);
    return [short, ...lines].join(' ');
  });
}

/** The cautions that a row just written calls for. */
export function cautionsAfter(
  record: string,
  values: Readonly<Record<string, unknown>>,
): CautionKey[] {
  return keysWhere(({ after = [] }) =>
    after.some(
      (one) =>
        one.record === record &&
        (one.column === undefined ||
          (one.is === undefined
            ? isSome(values[one.column])
            : one.is.includes(wordOf(values[one.column])))),
    ),
  );
}

/** The cautions a sheet to print carries. */
export function cautionsOfSheet(sheet: string): CautionKey[] {
  return keysWhere(({ sheets = [] }) => sheets.includes(sheet));
}

function keysWhere(holds: (caution: (typeof cautions)[string]) => boolean): CautionKey[] {
  return Object.keys(cautions).filter((key): key is CautionKey => holds(cautions[key]!));
}

const isSome = (value: unknown): boolean =>
  value !== null && value !== undefined && value !== '' && value !== 0;

const wordOf = (value: unknown): string => (value === true ? 'yes' : String(value ?? ''));
