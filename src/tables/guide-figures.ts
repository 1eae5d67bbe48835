/** `guide figures KIND`: every figure of a kind on a screen or two, with how well its source was seen. */

import { powerFigures } from '../facts/cooling.ts';
import { alarmFigures } from '../facts/machine-bands.ts';
import { seedPrior, stages } from '../facts/stages.ts';
import { work } from '../facts/tasks/work.ts';
import {
  type BirdKind,
  broodingOf,
  feedTables,
  growing,
  growthOf,
  growthTypeOf,
  hardening,
  heatSources,
  holdingFigures,
  shadeFigures,
} from '../season/brooding.ts';
import type { Figure } from '../season/figure.ts';
import { type Species, speciesTable } from '../season/species.ts';
import { there } from '../text/lists.ts';
import { gradeOf, sourcedItem } from './guide-pages.ts';

/** What a figure is called, with its unit, by its key: a test holds that none is left out. */
export const figureHeadings: Readonly<Record<string, string>> = {
  candle_days: 'candle on day',
  transfer_day: 'to the hatcher on day',
  hatch_day: 'hatch on day',
  hatch_window_days: 'the hatch may run over days',
  watch_from_day: 'watch from day',
  hatcher_days_after_hatch: 'days in the hatcher after the hatch',
  pip_hours: 'from the hole in the shell to the chick (hours)',
  forced_air_c: 'setter with a fan (°C)',
  still_air_c: 'setter without a fan, at the egg tops (°C)',
  hatcher_c: 'hatcher (°C)',
  setter_rh: 'humidity in the setter (%)',
  hatcher_rh: 'humidity in the hatcher (%)',
  weight_loss_percent: 'mass lost by transfer (%)',
  egg_g: 'egg (g)',
  storage_free_days: 'days in store without loss',
  storage_max_days: 'days in store at most',
  storage_penalty: 'hatch lost each day in store (points)',
  storage_extra_hours: 'hatches later by storage (hours)',
  fertility_lag_days: 'days from joining to good fertility',
  fertility_lag_old_days: 'the same, a bird over a year old (days)',
  carry_over_days: 'eggs pure after a change of males (days)',
  lay_days: 'lays from the first egg for days',
  hens_per_male: 'hens to one male',
  heat_c: 'heat at its edge (°C)',
  heat_until_day: 'heat until day',
  floor_m2: 'floor a bird (m²)',
  floor_least_m2: 'floor a bird, the least (m²)',
  feeder_cm: 'feeder edge a bird (cm)',
  drinker_cm: 'drinker edge a bird (cm)',
  heat_places: 'chick places a bird under the heat',
  heat_places_lamp: 'chick places a bird under a lamp',
  feathered_day: 'feathered at days',
  out: 'out of doors, night low (°C)',
  out_meat: 'meat types out of doors, night low (°C)',
  gap_days: 'ages apart in one pen (days)',
  feed: 'feed, times the table of',
  protein: 'protein of the feed (%)',
  layer: 'feed in lay',
  loss_early: 'lost early (share)',
  loss_late: 'lost from then to lay (share)',
  sexing_days: 'sexes seen at days',
  table_days: 'table age (days)',
  dressing: 'carcass of live mass (share)',
  first_egg_days: 'first egg (days)',
  warn_hours: 'chicks wait without feed: warn (hours)',
  act_hours: 'the same: act (hours)',
  limit_hours: 'the same: limit of survival (hours)',
  quick_act_hours: 'the same, waterfowl, turkeys, game: act (hours)',
  watts: 'watts',
  places_cold: 'chicks under one, cold house',
  places_warm: 'chicks under one, mild house',
  cold_below_c: 'a house is cold below (°C)',
  least_count: 'at least',
  duty: 'part of the time it burns',
  chicks_m2: 'chicks a m² of hover',
  full_until_day: 'full load until day',
  places: 'chicks under one',
  least_house_c: 'house not below (°C)',
  hot_day_c: 'hot day from (°C)',
  days: 'harden off over days',
  small_group: 'a small group has under (birds)',
  slow_days: 'slow feathering, small group: later by (days)',
};

/** The kinds there are figures of. */
export function figureKinds(): string[] {
  return Object.keys(speciesTable());
}

/** Every figure of a kind: of incubation those given, the rest by the kind of bird. */
export function figuresPage(
  {
    word,
    bird: kind,
    species,
  }: { readonly word: string; readonly bird: BirdKind; readonly species: Species },
  withSources: boolean,
): string {
  const { name, group: _group, hens_per_male, ...incubation } = species;
  const growth = growthOf(kind);
  const feed = feedTables[growth.feed.value.female.table]!;
  return there([
    `# Figures: ${name}${kind.class === undefined ? '' : `, ${kind.class}`}`,
    '',
    'A line of `season.yaml` may put its own in their place under `override:`.',
    !(word === kind.species || kind.class !== undefined) &&
      `What you did not say of ${word} is taken from the ${kind.species}.`,
    '',
    ...section('Eggs and incubation', incubation, withSources),
    '## Pens',
    '',
    item('hens_per_male', hens_per_male, withSources),
    ...Object.entries(hens_per_male.classes ?? {}).map(([one, figure]) =>
      sourcedItem(
        `${figureHeadings.hens_per_male}, ${one}: ${shown(figure.value)}`,
        figure,
        withSources,
      ),
    ),
    '',
    ...section('Brooding', broodingOf(kind), withSources),
    ...section(`Growing (${growthTypeOf(kind)})`, growth, withSources).slice(0, -1),
    sourcedItem(
      `feed from the hatch, table ${growth.feed.value.female.table} (kg a bird): ${feed.value.map(({ day, kg }) => `day ${day} ${kg}`).join(', ')}`,
      feed,
      withSources,
    ),
    '',
    '## From hen to bird, before own counts',
    '',
    ...stages.map((stage) => {
      const { mean, source, seen } = seedPrior(kind.species, stage);
      return sourcedItem(
        `${stage}: ${mean}`,
        { source, seen: seen as Figure<unknown>['seen'] },
        withSources,
      );
    }),
    '',
    withSources
      ? ''
      : 'In brackets: what the sources say between them, and how well they were seen. `--sources` names each.',
    '',
  ]).join('\n');
}

/** Figures that go for every kind, and the kinds there are. */
export function generalFigures(withSources: boolean): string {
  return [
    '# Figures for every kind',
    '',
    `\`guide figures KIND\` shows those of a kind: ${figureKinds().join(', ')}. Chickens and turkeys have types of growth: \`guide figures chicken-light\`.`,
    '',
    ...section('Waiting after the hatch', holdingFigures, withSources),
    ...Object.entries(heatSources).flatMap(([name, one]) =>
      section(`Heat by ${name}`, one, withSources),
    ),
    ...section('Shade and hardening', { ...shadeFigures, ...hardening }, withSources),
    '## Feed and water',
    '',
    sourcedItem(`feed wasted (share): ${growing.feedWaste.value}`, growing.feedWaste, withSources),
    sourcedItem(
      `water for feed, by mass: ${growing.waterPerFeed.value}`,
      growing.waterPerFeed,
      withSources,
    ),
    sourcedItem(
      `the same on hot days: ${growing.waterPerFeedHot.value}`,
      growing.waterPerFeedHot,
      withSources,
    ),
    ...Object.entries(growing.waterPer100).map(([name, one]) =>
      sourcedItem(
        `water of a hundred, ${name.replaceAll('_', ' ')} (l a day): ${one.value}`,
        one,
        withSources,
      ),
    ),
    '',
    ...section('How the day is laid out', work, withSources),
    ...section('Power cuts', powerFigures, withSources),
    ...section('Alarms', alarmFigures, withSources),
  ].join('\n');
}

function section(title: string, figures: object, withSources: boolean): string[] {
  const items = Object.entries(figures as Record<string, Figure<unknown> | undefined>).filter(
    (entry): entry is [string, Figure<unknown>] => entry[1] !== undefined,
  );
  return [`## ${title}`, '', ...items.map(([key, figure]) => item(key, figure, withSources)), ''];
}

function item(key: string, figure: Figure<unknown>, withSources: boolean): string {
  const range =
    figure.range === undefined ? '' : `${figure.range.low} to ${figure.range.high} in print; `;
  const more = withSources
    ? ` Source: ${figure.source}.${figure.note === undefined ? '' : ` ${figure.note}`}`
    : '';
  return `- ${figureHeadings[key] ?? key.replace(/_c$/, ' (°C)').replaceAll('_', ' ')}: ${shown(figure.value)} (${range}${gradeOf(figure.seen)})${more}`;
}

/** A value in words: a range as `10–14`, steps as `day 7: 31.1–32.2`. */
function shown(value: unknown): string {
  if (Array.isArray(value))
    return value.map((one) => shown(one)).join(typeof value[0] === 'object' ? '; ' : ' and ');
  if (typeof value !== 'object' || value === null) return String(value);
  const { from_day, low, high, ...rest } = value as Record<string, unknown>;
  const words = [
    low === undefined || high === undefined ? '' : low === high ? String(low) : `${low}–${high}`,
    ...Object.entries(rest).map(([key, one]) =>
      ['m2', 'cm', 'night_low', 'percent', 'points_per_day'].includes(key)
        ? String(one)
        : `${key.replaceAll('_', ' ')} ${typeof one === 'object' ? shown(one) : one}`,
    ),
  ].filter((word) => word !== '');
  return `${from_day === undefined ? '' : `day ${from_day}: `}${words.join(', ')}`;
}
