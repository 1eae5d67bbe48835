import {
  type ExpectedChicks,
  limitsOver,
  movingOutOf,
  nightsOf,
  occupantsOn,
  roomAhead,
  roomOf,
  staysOf,
  weatherOf,
} from '../compute/flock/brooders.ts';
import { expectedHatches } from '../compute/flock/expected-chicks.ts';
import { flockOf, kindOfLine } from '../compute/flock/groups.ts';
import { ageOn, heatNeed, heatUse } from '../compute/flock/heat.ts';
import { waitingChicks } from '../compute/flock/holding.ts';
import { nightsMissing } from '../compute/flock/nights.ts';
import { type CautionKey, cautionLines } from '../season/cautions.ts';
import { addDays, type Day, daysIn, earlier } from '../text/day.ts';
import { linesForTerminal } from '../text/escape.ts';
import { type CommandModule, wrongWords } from './command.ts';
import { openSeason } from './open.ts';
import { jsonText, lines } from './say.ts';
import { table } from './tables.ts';

const USUAL_WEEKS = 8;
const MOST_WEEKS = 52;
const WEEK = 7;

export const command: CommandModule = {
  examples: ['brooders', 'brooders --weeks 12', 'brooders --json'],
  define(command) {
    command.option('--weeks <number>', 'weeks to look ahead', String(USUAL_WEEKS));
  },
  async run(context, _words, options) {
    const weeks = Number(options.weeks);
    if (!Number.isInteger(weeks) || weeks < 1 || weeks > MOST_WEEKS)
      throw wrongWords(
        `--weeks: expected a whole number from 1 to ${MOST_WEEKS}, found ${JSON.stringify(options.weeks)}`,
      );
    const { season, now, notices } = openSeason(context);
    const nightOn = nightsOf(season);
    const groups = [...flockOf(season).groups.values()];
    const stays = staysOf(season, groups, now, nightOn);
    const expected: ExpectedChicks[] = expectedHatches(season, now);
    const until = addDays(now.day, weeks * WEEK);
    const unit = season.values.units.temperature;
    const degrees = (celsius: number) =>
      Math.round(unit === 'F' ? (celsius * 9) / 5 + 32 : celsius);

    const brooders = [...season.brooders.values()].map((brooder) => {
      const room = roomOf(season, brooder);
      const own = stays.filter((stay) => stay.brooder === brooder.name);
      const days = limitsOver(season, brooder, own, now.day, until);
      const needOn = (day: Day): number | null => {
        const needs = own
          .filter((stay) => stay.from <= day && day < stay.to)
          .map((stay) =>
            heatNeed(kindOfLine(season, stay.group.line), ageOn(stay.group.youngest, day)),
          )
          .filter((need) => need !== null)
          .map((need) => need.low);
        return needs.length > 0 ? Math.max(...needs) : null;
      };
      return {
        name: brooder.name,
        birds: occupantsOn(season, own, brooder.name, now.day).reduce(
          (sum, one) => sum + one.birds,
          0,
        ),
        need_c: needOn(now.day),
        limits: (['floor', 'heat', 'feeder', 'drinker'] as const).map((what) => {
          const at = days.map((one) => one.limits.find((limit) => limit.what === what)!);
          return {
            what,
            unit: at[0]!.unit,
            need: Math.max(...at.map((one) => one.need)),
            least: Math.max(...at.map((one) => one.least)),
            have: at[0]!.have,
          };
        }),
        heat: room.heat === null ? null : heatUse(room.heat, now.day, until, needOn, nightOn),
        lamps: room.heat?.kind === 'lamp' ? room.heat.count : null,
      };
    });
    const leaving = groups
      .filter((group) =>
        [...(group.standings.at(-1)?.places.keys() ?? [])].some((place) =>
          season.brooders.has(place),
        ),
      )
      .map((group) => ({ group: group.name, ...movingOutOf(season, group, nightOn) }));
    const ahead =
      season.brooders.size === 0 ? [] : roomAhead(season, stays, expected, now.day, weeks, nightOn);
    const waiting = waitingChicks(season, now);
    const weather = weatherOf(season);
    const gaps =
      weather.length > 1
        ? nightsMissing(weather, daysIn(weather[0]!.day, earlier(weather.at(-1)!.day, now.day)))
        : [];
    if (context.json)
      return {
        stdout: jsonText('brooders', {
          date: now.day,
          brooders,
          leaving,
          weeks: ahead,
          waiting: waiting.map(({ at: _, ...one }) => one),
          nights_missing: gaps,
        }),
        stderr: notices,
      };
    if (brooders.length === 0)
      return {
        stdout: 'season.yaml names no brooders: add them under brooders:\n',
        stderr: notices,
      };
    const now_ = table(
      {
        columns: [
          { heading: 'brooder' },
          { heading: 'birds now' },
          { heading: `heat at the edge (°${unit})` },
          { heading: 'limit' },
          { heading: `most needed, ${weeks} weeks` },
          { heading: 'at the least' },
          { heading: 'has' },
        ],
        rows: brooders.flatMap((one) =>
          one.limits.map((limit, index) => [
            index === 0 ? one.name : '',
            index === 0 ? Math.round(one.birds) : '',
            index === 0 ? (one.need_c === null ? 'off' : degrees(one.need_c)) : '',
            `${limit.what} (${limit.unit === 'm2' ? 'm²' : limit.unit})`,
            limit.need.toFixed(1),
            limit.least.toFixed(1),
            limit.have === null ? 'not said' : limit.have.toFixed(1),
          ]),
        ),
      },
      context,
    );
    const out = leaving.length
      ? table(
          {
            columns: [
              { heading: 'group' },
              { heading: 'feathered' },
              { heading: 'earliest out' },
              { heading: '9 nights in 10' },
              { heading: `nights borne (°${unit})` },
              { heading: 'held by' },
            ],
            rows: leaving.map((one) => [
              one.group,
              `${one.feathered.from} to ${one.feathered.to}`,
              one.earliest ?? `${one.youngest} by age`,
              one.safe,
              degrees(one.nightLow),
              one.heldBy === 'unknown' ? 'nights not known' : one.heldBy,
            ]),
          },
          context,
        )
      : null;
    const chart = table(
      {
        columns: [
          { heading: 'week from' },
          { heading: 'birds, median' },
          { heading: 'birds, 9 in 10' },
          { heading: 'floor (m²)' },
          { heading: '9 in 10' },
          { heading: 'of' },
          { heading: 'heat (chick places)' },
          { heading: '9 in 10' },
          { heading: 'of' },
        ],
        rows: ahead.map((week) => {
          const [floor, heat] = (['floor', 'heat'] as const).map(
            (what) => week.limits.find((limit) => limit.what === what)!,
          );
          return [
            week.from,
            Math.round(week.birds.median),
            Math.round(week.birds.high),
            floor!.median.toFixed(1),
            floor!.high.toFixed(1),
            floor!.have === null ? null : floor!.have.toFixed(1),
            Math.round(heat!.median),
            Math.round(heat!.high),
            heat!.have === null ? null : Math.round(heat!.have),
          ];
        }),
      },
      context,
    );
    const cautions = new Set<CautionKey>(['watch-the-birds']);
    if (brooders.some((one) => one.lamps !== null)) cautions.add('heat-lamp');
    if (brooders.some((one) => one.lamps === 1)) cautions.add('power-cut');
    if (waiting.length > 0) cautions.add('holding');
    const text = lines(
      ...waiting.map(
        (one) =>
          `${one.set}: ${one.chicks} chicks waiting ${Math.floor(one.low)} to ${Math.ceil(one.high)} hours; under heat, fed and watered before ${one.actHours}`,
      ),
      now_.trimEnd(),
      ...brooders.map((one) =>
        one.heat === null || one.heat.hours === 0
          ? null
          : `${one.name}: ${one.heat.watts} W, about ${Math.round(one.heat.hours)} hours and ${Math.round(one.heat.kwh)} kWh in ${weeks} weeks${one.heat.daysUnknown > 0 ? ` (${one.heat.daysUnknown} days without a temperature, by the usual duty)` : ''}`,
      ),
      ...brooders.map((one) =>
        one.lamps === 1 ? `${one.name}: one lamp only; one bulb must not decide a hatch` : null,
      ),
      '',
      out?.trimEnd(),
      gaps.length > 0
        ? `${gaps.length} nights have no low in weather.csv, the first ${gaps[0]}`
        : null,
      '',
      'All brooders together, with the chicks of sets not hatched yet:',
      chart.trimEnd(),
      'Floor and places are trade figures; `guide brooding` names each source and how well it was seen.',
      ...cautionLines(cautions).map((line) => `Caution: ${line}`),
    );
    return { stdout: linesForTerminal(`${text}\n`), stderr: notices };
  },
};
