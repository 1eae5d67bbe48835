/** The forecast: the chance of every goal and order, what one more set would add, and the chicks to come. */

import type { Promised } from '../planner/promise.ts';
import type {
  ChickWeek,
  ClaimForecast,
  OneMore,
  SeasonForecast,
} from '../planner/season-forecast.ts';
import { cautionLines } from '../season/cautions.ts';
import { groupedBy } from '../text/lists.ts';
import { chanceColumns, claimColumns, claimMeaning, drawsWords, shortClaim } from './claims.ts';
import { type AnyTable, type Column, jsonRows, tableOf } from './columns.ts';
import { chance, count, longDay } from './numbers.ts';
import { maybe, number } from './schema.ts';
import type { Say, Screen } from './terminal.ts';
import { heads, partNames } from './words.ts';

export const forecastColumns: readonly Column<ClaimForecast>[] = [
  ...claimColumns<ClaimForecast>(({ claim }) => claim),
  {
    key: 'median',
    heading: 'birds, median',
    kind: 'count',
    doc: 'as many birds or fewer come in half of the seasons drawn',
  },
  {
    key: 'range',
    heading: 'birds, 95 % range',
    kind: 'range',
    show: 'people',
    doc: 'where the birds lie in 95 % of the seasons drawn',
    of: ({ low, high }) => ({ low, high }),
  },
  ...['low' as const, 'high' as const].map(
    (key): Column<ClaimForecast> => ({
      key,
      heading: key,
      kind: 'data',
      schema: maybe(number),
      doc: `${key} end of the 95 % range`,
      of: (one) => one[key],
    }),
  ),
  // The median tells people the same.
  ...chanceColumns<ClaimForecast>((one) => one, 'data'),
  {
    key: 'error',
    kind: 'data',
    schema: number,
    doc: 'standard error of the chance from the number of draws',
  },
  {
    key: 'met',
    heading: 'on course',
    kind: 'yes',
    doc: 'whether the chance is as asked',
    of: (one) => one.met,
  },
];

const claimsTable = (claims: readonly ClaimForecast[]): AnyTable =>
  tableOf(forecastColumns, claims);

type More = { of: ClaimForecast; more: OneMore };

function moreTable(claims: readonly ClaimForecast[]): AnyTable {
  const rows = claims.flatMap((of) =>
    [of.next, of.last].flatMap((more): More[] => (more === null ? [] : [{ of, more }])),
  );
  return tableOf<More>(
    [
      {
        key: 'for',
        heading: 'one more set for',
        kind: 'text',
        doc: 'the goal or order',
        of: ({ of }) => shortClaim(of.claim),
      },
      { ...heads.setOn, of: ({ more }) => more.on },
      { ...heads.eggs, of: ({ more }) => more.eggs },
      {
        key: 'birds',
        heading: 'more birds',
        kind: 'number',
        digits: 0,
        doc: 'birds more than without it',
        of: ({ more }) => more.birds,
      },
      {
        key: 'chances',
        heading: 'chance, without and with',
        kind: 'text',
        doc: 'chance without it and with it',
        of: ({ of, more }) => `${chance(of.probability)} to ${chance(more.chance)}`,
      },
    ],
    rows,
  );
}

function closedText(one: ClaimForecast): string {
  const name = shortClaim(one.claim);
  switch (one.closed) {
    case 'day past':
      return `${name}: its day, ${one.claim.by}, is past.`;
    case 'too late to set':
      return `${name}: eggs set from today on come too late for ${one.claim.by}${
        one.claim.ageDays > 0 ? `, for the birds must be ${one.claim.ageDays} days old` : ''
      }.`;
    case 'no hens':
      return `${name}: no pen of ${one.claim.line.name} has hens, so no egg can be set.`;
    case 'no day to set':
      return `${name}: there is no day on which eggs can still be set for it.`;
    case null:
      return `${name}: the last day to set eggs for it is ${longDay(one.lastSet!)}.${
        one.full ? ' No setter and hatcher has room for one more set before then.' : ''
      }`;
  }
}

export const weekColumns: readonly Column<ChickWeek>[] = [
  { ...heads.week, key: 'from', doc: 'a Monday' },
  {
    key: 'median',
    heading: 'chicks, median',
    kind: 'count',
    doc: 'as many chicks or fewer come in half of the seasons drawn',
  },
  {
    key: 'range',
    heading: 'chicks, 95 % range',
    kind: 'range',
    show: 'people',
    doc: 'where the chicks lie in 95 % of the seasons drawn',
    of: ({ low, high }) => ({ low, high }),
  },
  ...['low' as const, 'high' as const].map(
    (key): Column<ChickWeek> => ({
      key,
      heading: key,
      kind: 'data',
      schema: number,
      doc: `${key} end of the 95 % range`,
      of: (one) => one[key],
    }),
  ),
  { key: 'sets', heading: 'sets of it', kind: 'names', doc: 'sets that hatch' },
];

const weeksTable = (weeks: readonly ChickWeek[]): AnyTable => tableOf(weekColumns, weeks);

/** The forecast of a season supposed. */
export type Supposed = SeasonForecast & { readonly words: string };

export const promiseColumns: readonly Column<Promised>[] = [
  heads.line,
  { key: 'want', kind: 'text', show: 'data', doc: 'what is promised' },
  heads.by,
  {
    ...heads.count,
    heading: 'chicks to promise',
    doc: 'the most that come with the chance asked, and leave every goal and order its own',
  },
];

/** Each goal and order with its chance, what to act on first; of one whose day is past, what there is of it. */
function answer(claims: readonly ClaimForecast[]): Say[] {
  const told = claims.map(({ claim, met, probability, median, closed }) => {
    const isPast = closed === 'day past';
    const asked = met || isPast ? '' : `, ${chance(claim.confidence)} asked`;
    return {
      meaning: claimMeaning(met, probability, claim.confidence, isPast),
      head: isPast ? (met ? 'Met' : 'Missed') : met ? 'On course' : 'Not on course',
      text: `${shortClaim(claim)} ${isPast ? `${count(median)} of ${claim.count}` : chance(probability)}${asked}`,
    };
  });
  const groups = [...groupedBy(told, ({ meaning, head }) => `${meaning}: ${head}`).values()];
  return (['act', 'watch', 'settled'] as const).flatMap((meaning) =>
    groups
      .filter(([first]) => first!.meaning === meaning)
      .map((some) => ({
        meaning,
        text: `${some[0]!.head}: ${some.map(({ text }) => text).join('; ')}.`,
      })),
  );
}

/** The forecast as a screen. */
export function forecastScreen(
  { claims, weeks, missed }: SeasonForecast,
  run: {
    title: string;
    draws: number;
    seed: number;
    line: string;
    year: string | number;
    promise: readonly Promised[] | null;
    other: Supposed | null;
  },
): Screen {
  const parts: Screen['parts'] = [
    { heading: partNames.claims, table: claimsTable(claims) },
    { heading: 'What one more set would add', table: moreTable(claims) },
    { heading: null, reasons: claims.map(closedText) },
    { heading: 'What can still be promised', table: tableOf(promiseColumns, run.promise ?? []) },
    run.other !== null && {
      heading: `If ${run.other.words}`,
      table: claimsTable(run.other.claims),
      reasons: ['Beside the season as it is, above; nothing was written.'],
    },
    { heading: 'Chicks to come', table: weeksTable(weeks) },
  ];
  return {
    title: run.title,
    answer: [
      ...(claims.length === 0
        ? [
            `No goals and orders in season.yaml, so there is nothing to meet. Add some under goals:, such as {line: ${run.line}, want: pullets, count: 40, by: ${run.year}-10-15, confidence: 0.9}`,
          ]
        : answer(claims)),
      weeks.length === 0 && 'No eggs are set or planned: no chicks to come.',
    ],
    exceptions:
      missed.length === 0
        ? []
        : [
            {
              meaning: 'watch',
              text: `Left out, for their day is past and nothing is recorded: ${missed.join(', ')}.`,
            },
          ],
    parts,
    notes: [
      claims.length + weeks.length > 0 && drawsWords(claims, run),
      claims.length + weeks.length > 0 &&
        'Seasons differ in what is not known of the rates, in how sets turn out, and in the luck of each egg: traybook rates.',
      ...(run.promise !== null || claims.some(({ claim }) => claim.kind === 'order')
        ? cautionLines(['sale'])
        : []),
    ],
  };
}

/** The forecast for other programs. */
export function forecastJson(
  { claims, weeks, missed }: SeasonForecast,
  run: { draws: number; seed: number },
  promise: readonly Promised[] | null,
  other: Supposed | null,
): object {
  const moreJson = (more: OneMore | null) =>
    more && { on: more.on, eggs: more.eggs, birds: more.birds, probability: more.chance };
  const ofKind = (kind: 'goal' | 'order', all = claims) => {
    const own = all.filter(({ claim }) => claim.kind === kind);
    return jsonRows(claimsTable(own)).map((row, i) => ({
      ...row,
      last_set: own[i]!.lastSet,
      one_more: moreJson(own[i]!.next),
      one_more_on_last_day: moreJson(own[i]!.last),
      closed: own[i]!.closed,
    }));
  };
  return {
    draws: run.draws,
    seed: run.seed,
    goals: ofKind('goal'),
    orders: ofKind('order'),
    weeks: jsonRows(weeksTable(weeks)),
    left_out: missed,
    ...(promise === null ? {} : { promise: jsonRows(tableOf(promiseColumns, promise)) }),
    ...(other === null
      ? {}
      : {
          supposed: {
            changes: other.words,
            goals: ofKind('goal', other.claims),
            orders: ofKind('order', other.claims),
          },
        }),
  };
}
