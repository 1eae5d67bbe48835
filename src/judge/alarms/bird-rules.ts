import { movingOutOf, nightsOf, occupantsOn, staysOf } from '../../facts/birds/brooders.ts';
import { flockOf, type Group, kindOfLine, OUTSIDE } from '../../facts/birds/groups.ts';
import { waitingChicks } from '../../facts/birds/holding.ts';
import { spellsOf } from '../../facts/birds/lives.ts';
import { lossAlarm } from '../../facts/birds/losses.ts';
import type { MovingOut } from '../../facts/birds/moving-out.ts';
import { ageOn, wholeDegrees } from '../../facts/heat.ts';
import { addElapsedHours } from '../../facts/local-time.ts';
import { alarmFigures } from '../../facts/machine-bands.ts';
import { holdsDay } from '../../facts/spans.ts';
import { total } from '../../facts/tally.ts';
import { holdingFigures } from '../../season/brooding.ts';
import { cautionLines } from '../../season/cautions.ts';
import { isHen } from '../../season/hens.ts';
import { fixed, plural } from '../../tables/numbers.ts';
import { addDays, type Day, daysIn } from '../../text/day.ts';
import { groupedBy } from '../../text/lists.ts';
import { type AlarmRule, type Look, ruleOf } from './alarm.ts';
import { minuteOf } from './samples.ts';

/** The minute at which a day begins for a look that only has a day. */
const morningOf = (day: Day): string => `${day}T00:00`;

type WaitLook = Look & { readonly wait: ReturnType<typeof waitingChicks>[number] };

const chicksWaiting: AlarmRule<WaitLook> = {
  code: 'chicks-waiting',
  looks: (farm) =>
    waitingChicks(farm.season, farm.now)
      .filter((wait) => farm.isPast(wait.since) && wait.high >= wait.actHours)
      .map((wait) => ({
        place: wait.set,
        looks: [
          {
            at: addElapsedHours(
              `${wait.since.day}T${wait.since.time ?? '00:00'}`,
              wait.actHours,
              farm.season.zone,
            ),
            wait,
          },
        ],
      })),
  judge: ({ wait }) => {
    const limit = holdingFigures.limit_hours.value;
    const [least, most] = [Math.floor(wait.low), Math.ceil(wait.high)];
    const hours = least === most ? least : `${least}–${most}`;
    return {
      sets: [wait.set],
      value: `${hours} h without feed and water`,
      expected: `under ${wait.actHours} h`,
      title:
        wait.verdict === 'past-limit'
          ? `${plural(wait.chicks, 'chick')} of ${wait.set} ${wait.chicks === 1 ? 'is' : 'are'} in no group after ${hours} h: where ${wait.chicks === 1 ? 'is it' : 'are they'}?`
          : `${plural(wait.chicks, 'chick')} of ${wait.set} ${wait.chicks === 1 ? 'has' : 'have'} waited ${hours} h for feed and water`,
      why:
        [
          ...(wait.verdict === 'past-limit' ? [`past ${limit} hours chicks die`] : []),
          ...wait.assumes,
        ].join('; ') || undefined,
    };
  },
  means: `growth suffers from about ${holdingFigures.warn_hours.value} h, deaths rise from about ${holdingFigures.act_hours.value}; ${holdingFigures.limit_hours.value} h is survival, not a target`,
  look: [
    'under heat now, drinkers first, then feed',
    'gone another way? traybook add tick SET/brood',
  ],
};

type MoveLook = Look & {
  readonly group: Group;
  readonly birds: number;
  readonly to: string;
  readonly may: Day | null;
  readonly out: MovingOut;
};

/** Birds moved out of the brooders before their age, or the nights, allow. */
const outTooEarly: AlarmRule<MoveLook> = {
  code: 'out-too-early',
  looks: (farm) => {
    const { season } = farm;
    if (season.rows.move.length === 0) return [];
    const nightOn = nightsOf(season);
    return [...flockOf(season).groups.values()].flatMap((group) => {
      const moves = group.moves.filter((row) => farm.isPast(row.on));
      if (moves.length === 0 || group.living === 0) return [];
      const looks: MoveLook[] = [];
      for (const row of moves) {
        const { to, birds } = row.values;
        const at = minuteOf(row.on);
        const out = movingOutOf(season, group, nightOn);
        const look = { group, birds, to, out };
        if (season.brooders.has(to) || isHen(season, to)) {
          // Back under a roof with heat.
          looks.push({ at, ...look, may: null });
          continue;
        }
        // Birds in full feather bear a cold night with a dry shelter; others wait for the nights too.
        const may = row.on.day < out.feathered.to ? (out.earliest ?? out.youngest) : out.youngest;
        looks.push({ at, ...look, may: row.on.day < may ? may : null });
        if (row.on.day < may && may <= farm.now.day)
          looks.push({ at: morningOf(may), ...look, may: null });
      }
      return [{ place: group.name, looks }];
    });
  },
  holds: ({ may }) => may !== null,
  clears: ({ may }) => may === null,
  judge: ({ group, birds, to, may, out: { nightLow, heldBy } }, farm) => {
    const age = ageOn(group.youngest, farm.now.day);
    const where = to === OUTSIDE ? 'out' : `out in ${to}`;
    const night = `${wholeDegrees(nightLow, farm.unit)} °${farm.unit}`;
    return {
      sets: setsOf([group]),
      value: `${where} at ${age} days`,
      expected: `from ${may}`,
      title: `${plural(birds, 'bird')} of ${group.name} ${where} at ${age} days; they may be out from ${may}`,
      why:
        heldBy === 'unknown'
          ? `by age alone, as no nights are known: nights of ${night} at that age`
          : heldBy === 'nights'
            ? `until then nights are colder than the ${night} they bear`
            : `not feathered yet: nights of ${night} at that age`,
    };
  },
  means: 'birds that are not feathered huddle, smother and chill',
  look: [
    'at dusk: are they spread out and quiet, or piled up?',
    'heat where they are, or back under the roof: traybook add move GROUP --to BROODER --birds N',
  ],
};

type MixLook = Look & {
  readonly waterfowl: string;
  readonly others: string;
  readonly sets: string[];
};

/** Ducks or geese under one roof with other chicks. */
const waterfowlBeside: AlarmRule<MixLook> = {
  code: 'waterfowl-with-chicks',
  looks: (farm) => {
    const { season, now } = farm;
    const groups = [...flockOf(season).groups.values()].filter((group) => group.living > 0);
    const kinds = new Set(groups.flatMap((group) => group.lines.map((line) => line.species.group)));
    if (!kinds.has('waterfowl') || kinds.size < 2) return [];
    const stays = staysOf(season, groups, now, () => null);
    return [...season.brooders.keys()].flatMap((roof) => {
      const own = stays.filter((stay) => stay.brooder === roof);
      const on = (day: Day) => own.filter((stay) => holdsDay(stay, day)).map(({ group }) => group);
      const namesOn = (day: Day, isWater: boolean) => [
        ...new Set(
          on(day)
            .flatMap(({ lines }) => lines)
            .filter(({ species }) => (species.group === 'waterfowl') === isWater)
            .map(({ speciesName }) => speciesName),
        ),
      ];
      const isMixed = (day: Day) => [true, false].every((one) => namesOn(day, one).length > 0);
      const isEmpty = occupantsOn(season, own, roof, now.day).length === 0;
      if (!isMixed(now.day) || isEmpty) return [];
      const first = own.map((stay) => stay.from).sort()[0]!;
      const days = daysIn(first, addDays(now.day, 1));
      // Parted and put together again is another time.
      const parted = days.findLastIndex((one) => !isMixed(one));
      const look = {
        at: morningOf(days[parted + 1]!),
        waterfowl: namesOn(now.day, true).join(', '),
        others: namesOn(now.day, false).join(', '),
        sets: setsOf(own.map(({ group }) => group).filter((one) => on(now.day).includes(one))),
      };
      return [{ place: roof, looks: [look] }];
    });
  },
  judge: ({ waterfowl, others, sets }, _farm, place) => ({
    sets,
    value: `${waterfowl} and ${others} together`,
    expected: 'each kind under its own roof',
    title: `${place}: ${waterfowl} and ${others} under one roof`,
  }),
  means:
    'waterfowl wet the litter and chill chicks, want less heat sooner, and need unmedicated feed with more niacin',
  look: ['part them: traybook add move GROUP --to BROODER --birds N'],
};

const setsOf = (groups: readonly Group[]): string[] => [
  ...new Set(groups.flatMap(({ parts }) => parts.map((part) => part.set))),
];

type LossAdvice = {
  readonly to: string;
  readonly means: string;
  readonly look: readonly string[];
  /** Told only if chance does not bring so many: some die of nothing that a keeper can mend. */
  readonly isOfChance?: true;
};

/** What losses of one cause call for: how they are told, what they mean, and what to look at. */
const advice = {
  predator: {
    to: 'lost to a predator',
    means: 'what came once comes again, mostly the next night',
    look: [
      'shut them in tonight; find the way in: mesh, floor edge, vents; a rat needs a gap no wider than a thumb',
      'count every bird',
    ],
  },
  chilled: {
    to: 'lost to cold',
    means: 'chilled chicks die in numbers, and more in the nights after',
    look: ['the heat at chick height, draughts, wet litter', 'both lamps on?'],
  },
  smothered: {
    to: 'lost to smothering',
    means: 'they pile up from cold, fright or crowding, and do so again',
    look: ['round the corners off; more heat and room; a dim light at night'],
  },
  accident: {
    to: 'lost to accidents',
    means: 'the same thing will hurt the next one',
    look: ['drinkers, wires, gaps, doors: make it safe'],
  },
  culled: {
    to: 'culled',
    means: 'so many unfit birds have one reason: how they hatched, or what they were fed',
    look: [
      'write in the note what was wrong with each: legs, navel, eyes, size',
      'traybook diagnose: did their set hatch late, damp or weak?',
    ],
  },
  'found-dead': {
    to: 'found dead',
    means: 'they share a place, a meal or a night',
    look: [
      'water, feed, heat, draught, room: what is other than last week?',
      'ill before they died? then --cause sick: traybook amend ENTRY cause=sick',
    ],
    isOfChance: true,
  },
  unexplained: {
    to: 'sick or dead of no known cause',
    means: 'more than chance brings',
    look: [],
    isOfChance: true,
  },
} satisfies Record<string, LossAdvice>;
type LossCause = keyof typeof advice;
export const lossCauses: Readonly<Record<LossCause, LossAdvice>> = advice;

type LossWritten = Group['losses'][number];

/** Sick ones and those that nobody knows the cause of are told together. */
function causeOf({ values: { cause } }: LossWritten): LossCause {
  return cause !== null && Object.hasOwn(lossCauses, cause) ? (cause as LossCause) : 'unexplained';
}

/** What a loss of a known cause means, and what to look at first; null where a single one tells nothing. */
export function adviceOnLoss(row: LossWritten): { means: string; first: string } | null {
  const { means, look, isOfChance } = lossCauses[causeOf(row)];
  const isTold = isOfChance !== true && (causeOf(row) !== 'culled' || row.values.birds > 1);
  return isTold && look[0] !== undefined ? { means, first: look[0] } : null;
}

type LossLook = Look & {
  readonly group: Group;
  readonly cause: LossCause;
  readonly birds: number;
  readonly from: Day;
  /** Losses of the whole life so far that are usual; null where their number is not asked. */
  readonly expected: number | null;
  readonly isOff: boolean;
  readonly isOver: boolean;
};

/** Losses of one cause in one group: each cause its own number and its own advice. */
const losses: AlarmRule<LossLook> = {
  code: 'losses',
  looks: (farm) =>
    [...flockOf(farm.season).groups.values()].flatMap((group) => {
      const past = group.losses.filter((one) => farm.isPast(one.on));
      const byCause = groupedBy(past, causeOf);
      return [...byCause].map(([cause, own]) => {
        const looks = own.map((row, index): LossLook => {
          const soFar = own.slice(0, index + 1);
          const back = addDays(row.on.day, 1 - alarmFigures.cause_days.value);
          const near = soFar.filter((one) => one.on.day >= back);
          const birds = birdsOf(near);
          const isMany = birds >= alarmFigures.cause_birds.value[cause]!;
          const kind = kindOfLine(farm.season, group.line);
          const usual =
            isMany && lossCauses[cause].isOfChance
              ? lossAlarm(kind, spellsOf(group, row.on.day), birdsOf(soFar))
              : null;
          return {
            at: minuteOf(row.on),
            group,
            cause,
            birds,
            from: near[0]!.on.day,
            expected: usual?.expected ?? null,
            isOff: isMany && (usual === null || usual.verdict === 'act'),
            isOver: false,
          };
        });
        const end = addDays(own.at(-1)!.on.day, alarmFigures.runaway_days.value);
        // After a quiet week the run is over.
        if (end <= farm.now.day)
          looks.push({ ...looks.at(-1)!, at: morningOf(end), isOff: false, isOver: true });
        return { place: group.name, key: `${group.name}/${cause}`, looks };
      });
    }),
  holds: ({ isOff }) => isOff,
  clears: ({ isOver }) => isOver,
  judge: ({ group, cause, birds, from, expected }, farm) => {
    const { to, means, look } = lossCauses[cause];
    const since = from === farm.now.day ? 'today' : `since ${from}`;
    const usual = expected === null ? '' : `, usual ${fixed(expected, 1)} by now`;
    return {
      sets: setsOf([group]),
      value: plural(birds, 'bird'),
      expected: expected === null ? 'none' : `about ${fixed(expected, 1)} by now`,
      title: `${group.name}: ${birds} ${to} ${since}${usual}`,
      why: means,
      next:
        cause === 'unexplained'
          ? cautionLines(['disease'], farm.season.values.place.timezone)
          : look,
    };
  },
  means: 'count them every day: rats leave no body',
  look: [],
};

const birdsOf = (rows: readonly LossWritten[]): number => total(rows, (row) => row.values.birds);

export const birdRules = [
  ruleOf(chicksWaiting),
  ruleOf(waterfowlBeside),
  ruleOf(outTooEarly),
  ruleOf(losses),
];
