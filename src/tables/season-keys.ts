/** The keys of `season.yaml` as its schema has them, each with what it means: for editors and the guide. */
import { figureHeadings } from './guide-figures.ts';
import seasonShape from './season-shape.ts';

/** What each key means, by its path; `*` stands for a name, an item of a list, a month or a stage. */
export const keyDescriptions: Readonly<Record<string, string>> = {
  format: 'Which form of the file this is.',
  season: 'The year of the season, or a name for it.',
  place: 'Where the birds are.',
  'place.name': 'The name of the place.',
  'place.timezone': 'The time zone of all days and hours.',
  'place.altitude_m': 'Metres above the sea.',
  units: 'The units you write and read.',
  'units.temperature': 'The unit of every temperature here and in the log.',
  'units.mass': 'The unit of mass.',
  'units.area': 'The unit of every area.',
  'units.currency': 'The currency of the prices.',
  previous: 'The folders of earlier seasons, seen from this one.',
  id: 'A name for this season in calendars, so that its events stay the same ones.',
  kinds: "Kinds of bird of your own: another kind's figures with changes.",
  'kinds.*.like': 'The kind whose figures stand where you give none.',
  'kinds.*.group': 'The group of birds it belongs to.',
  'kinds.*.name': 'What the kind is called on screens.',
  'kinds.*.hatch_window': 'First and last day of incubation on which it hatches.',
  lines: 'The lines: a line is a breed or strain kept as one population.',
  'lines.*.species': 'The kind of bird: one of the tables, or one of `kinds`.',
  'lines.*.class': 'The class of the kind, such as dual-purpose: figures may differ by class.',
  'lines.*.down': 'What the down of the chicks looks like, to tell them apart in a hatcher.',
  'lines.*.egg_g': 'The usual mass of an egg, in grams.',
  'lines.*.sexing_age_days': 'Age at which the sexes are told apart, in days.',
  'lines.*.point_of_lay_days': 'Age at the first eggs, in days.',
  'lines.*.feathers': 'How fast it feathers: a slow line goes out later.',
  'lines.*.override': 'Figures of its own, in place of those of its kind: any figure of `kinds`.',
  pens: 'The breeding pens: hens and males of one line.',
  'pens.*.line': 'The line of the pen.',
  'pens.*.hens': 'Hens in the pen when the season began.',
  'pens.*.males': 'Males with them when the season began.',
  'pens.*.joined': 'Day on which the males joined the hens.',
  'pens.*.bought': 'Hatching eggs from elsewhere, in the place of hens and males.',
  'pens.*.bought.from': 'Where the eggs come from.',
  'pens.*.bought.on': 'Day on which they come.',
  'pens.*.bought.eggs': 'How many eggs come.',
  'pens.*.bought.road_days': 'Days between packing and coming here.',
  'pens.*.bought.days_old': 'Age of the oldest egg when they were packed, in days.',
  'pens.*.parted': 'Day on which males and hens were parted.',
  'pens.*.males_changed': 'Days on which the males were exchanged.',
  'pens.*.other_males_until':
    'Last day on which these hens ran with other males before they were joined here.',
  'pens.*.sires': 'Males of the pen by name, as in birds.csv.',
  'pens.*.dams': 'Hens of the pen by name, as in birds.csv.',
  'pens.*.age': '`old` if either sex is over a year old: fertile eggs come later.',
  next_pens: 'Pens meant for next season: `new --from` makes them pens.',
  'next_pens.*.line': 'The line of the pen.',
  'next_pens.*.hens': 'Hens it will have.',
  'next_pens.*.males': 'Males it will have.',
  'next_pens.*.sires': 'Its males by name.',
  'next_pens.*.dams': 'Its hens by name.',
  gone: 'Birds of birds.csv that are here no more, so that nobody pens them.',
  traits: 'What breeders are chosen by.',
  'traits.*.kind': 'What sort of trait it is.',
  'traits.*.better': 'Whether more or less of it is better.',
  'traits.*.weight': 'Worth of one standard deviation of it beside the other traits.',
  'traits.*.age_days': 'Age at which it is measured, in days.',
  'traits.*.within_days': 'How many days from that age a measure may be.',
  'traits.*.heritability': 'The heritable part of it, in place of the usual one.',
  'traits.*.sex': 'The sex it is measured on.',
  'traits.*.unit': 'Its unit, as shown.',
  setters: 'The setters: machines that turn the eggs, and hens that sit on them.',
  'setters.*.trays': 'How many trays it has.',
  'setters.*.tray_holds': 'Eggs on one tray, by kind of bird.',
  'setters.*.broody':
    'True for a hen that sits: she has one nest, and her eggs hatch where they lie.',
  'setters.*.turns': 'Who turns the eggs.',
  'setters.*.air': 'With a fan (forced) or without (still).',
  'setters.*.watts': 'Power it is rated at, in watts.',
  'setters.*.closed': 'When it is not used.',
  'setters.*.closed.*.from': 'First day on which it is not used.',
  'setters.*.closed.*.to': 'Last day on which it is not used.',
  'setters.*.closed.*.why': 'The reason.',
  hatchers: 'The hatchers: machines that hold the eggs still for the last days.',
  'hatchers.*.holds': 'Eggs it holds, by kind of bird.',
  'hatchers.*.clean_days': 'Days to clean it after a hatch.',
  'hatchers.*.one_set_at_a_time': 'Whether sets must not meet in it.',
  'hatchers.*.air': 'With a fan (forced) or without (still).',
  'hatchers.*.watts': 'Power it is rated at, in watts.',
  'hatchers.*.closed': 'When it is not used.',
  'hatchers.*.closed.*.from': 'First day on which it is not used.',
  'hatchers.*.closed.*.to': 'Last day on which it is not used.',
  'hatchers.*.closed.*.why': 'The reason.',
  storage: 'How eggs are kept until they are set.',
  'storage.temperature': 'Temperature of the egg store.',
  'storage.max_days': 'Days an egg may wait: one number, or a number by kind of bird.',
  'storage.turns_per_day': 'How often stored eggs are turned in a day.',
  brooders: 'The brooders: where chicks are kept warm.',
  'brooders.*.area': 'Floor of the brooder, in the unit of area.',
  'brooders.*.heat': 'What warms it.',
  'brooders.*.heat.kind': 'The source of heat; none for a place without.',
  'brooders.*.heat.watts': 'Power of one of them, in watts.',
  'brooders.*.heat.count': 'How many there are.',
  'brooders.*.heat.area': 'Warmed floor of one hover, in the unit of area.',
  'brooders.*.heat.places': "The maker's rating of one, in chicks.",
  'brooders.*.feeder_cm': 'Edge of all feeders, in centimetres.',
  'brooders.*.drinker_cm': 'Edge of all drinkers, in centimetres.',
  'brooders.*.housing': 'What stands round it.',
  'brooders.*.house_low': 'Coldest night temperature of the house round it.',
  'brooders.*.closed': 'When it is not used.',
  'brooders.*.closed.*.from': 'First day on which it is not used.',
  'brooders.*.closed.*.to': 'Last day on which it is not used.',
  'brooders.*.closed.*.why': 'The reason.',
  runs: 'Places without heat that birds move out to.',
  'runs.*.area': 'Its size, in the unit of area.',
  normals: 'The usual temperatures of each month, jan to dec, at your place.',
  'normals.*': 'The usual temperatures of the month; so for each month to dec.',
  'normals.*.low': 'The mean low of its nights.',
  'normals.*.high': 'The mean high of its days.',
  'normals.*.low_10': 'The low that nine nights in ten stay above.',
  feed: 'How feed is bought.',
  'feed.bag_kg': 'Feed in one bag, in kilograms.',
  prices: 'What a unit costs, or would have sold for, in the currency of `units`.',
  'prices.egg': 'An egg.',
  'prices.feed_kg': 'A kilogram of any feed that has no price of its own.',
  'prices.starter_kg': 'A kilogram of starter.',
  'prices.grower_kg': 'A kilogram of grower.',
  'prices.finisher_kg': 'A kilogram of finisher.',
  'prices.layer_kg': 'A kilogram of feed for layers.',
  'prices.kwh': 'A kilowatt-hour of power.',
  'prices.table_kg': 'A kilogram of table bird.',
  'prices.cockerel': 'A cockerel.',
  days_off: 'Days on which you do not work at the eggs.',
  'days_off.set': 'Weekdays on which no eggs are set.',
  'days_off.candle': 'Weekdays on which nothing is candled.',
  'days_off.transfer': 'Weekdays on which no eggs are moved to the hatcher.',
  'days_off.hatch': 'Weekdays on which no hatch is to fall.',
  'days_off.dates': 'Single days off for all of these.',
  setting: "When eggs are set; left out, the pens' joined and parted tell.",
  'setting.from': 'First day on which eggs are set.',
  'setting.to': 'Last day on which eggs are set.',
  goals: 'What you want to have, and by when.',
  'goals.*.line': 'The line.',
  'goals.*.want': 'What is wanted.',
  'goals.*.at': 'The age at which they count.',
  'goals.*.count': 'How many.',
  'goals.*.by': 'The last day.',
  'goals.*.confidence': 'How sure you want to be, from 0 to 1.',
  'goals.*.fate': 'What becomes of them.',
  orders: 'Birds or eggs promised to somebody.',
  'orders.*.for': 'To whom.',
  'orders.*.line': 'The line.',
  'orders.*.want': 'What is promised.',
  'orders.*.at': 'The age at which they are taken; eggs have none.',
  'orders.*.count': 'How many.',
  'orders.*.from': 'First day on which they are taken; left out, any day up to the last.',
  'orders.*.by': 'The last day.',
  'orders.*.confidence': 'How sure you want to be, from 0 to 1.',
  rates: 'Rates of your own by line, in place of the expected ones; `traybook rates` shows both.',
  'rates.*.lay': 'Eggs a hen and day.',
  'rates.*.kept': 'Part of laid eggs that are kept for hatching.',
  'rates.*.fertile': 'Part of set eggs that are fertile at candling.',
  'rates.*.candled': 'Part of fertile eggs that are alive at candling.',
  'rates.*.transferred': 'Part of those that are alive at transfer.',
  'rates.*.hatched': 'Part of eggs moved to the hatcher that hatch.',
  'rates.*.sound': 'Part of hatched chicks that are sound.',
  'rates.*.reared': 'Part of sound chicks that are reared.',
  'rates.*.female': 'Part of reared birds that are female.',
  'rates.*.*.mean': 'The rate; written alone, it is taken as known well.',
  'rates.*.*.strength': 'How many eggs the rate weighs as if they had been counted.',
  plan: 'The sets you intend.',
  'plan.*.set': 'The name of the set.',
  'plan.*.on': 'Day on which it is set.',
  'plan.*.setter': 'The setter; left out, the first.',
  'plan.*.trays': 'The trays it lies on, by number from 1.',
  'plan.*.shares': 'Eggs of each pen.',
  'plan.*.hatcher':
    'The hatcher it is moved to; left out, the first that holds its kind and is free.',
};

/** What the parts of a figure mean, by their key, wherever a figure has such a part. */
export const figurePartDescriptions: Readonly<Record<string, string>> = {
  low: 'The least.',
  target: 'What is aimed at.',
  high: 'The most.',
  from_day: 'The day from which this step holds.',
  points_per_day: 'Percentage points lost with each day.',
  after_days: 'Days that cost no time.',
  hours_per_day: 'Hours for each day beyond them.',
  probable: 'Days after which it is likely.',
  safe: 'Days after which it is safe.',
  certain: 'Days after which it is certain.',
  m2: 'Square metres a bird.',
  cm: 'Centimetres a bird.',
  night_low: 'The lowest night temperature, in °C.',
  early: 'Most days between them while the youngest are small.',
  late: 'Most days between them later.',
  female: 'Of females.',
  male: 'Of males.',
  young: 'Of birds in their first year.',
  old: 'Of birds over a year old.',
  table: 'The table of feed that is followed.',
  times: 'How many times what the table says.',
  percent: 'Per cent of protein.',
  name: 'The name of the feed.',
  g_a_day: 'Grams a bird and day.',
  until_day: 'The last day of age it is of.',
  good: 'Share lost where all goes well.',
  plan: 'Share to plan with.',
  poor: 'Share lost where it goes badly.',
  first_week_share: 'Part of it that falls in the first week.',
  first: 'Age at which the first are told, in days.',
  last: 'Age at which the last are told, in days.',
};

/** A part of a JSON Schema, as far as the schema of a season needs it. */
export type KeySchema = {
  description?: string | undefined;
  type?: string;
  enum?: readonly string[];
  const?: string;
  default?: unknown;
  minimum?: number;
  maximum?: number;
  required?: readonly string[];
  anyOf?: KeySchema[];
  properties?: Record<string, KeySchema>;
  additionalProperties?: KeySchema | boolean;
  items?: KeySchema;
};

/** A key of the file: its path with `*` for names and items, its schema, and where it is told. */
export type SeasonKey = {
  readonly path: readonly string[];
  readonly schema: KeySchema;
  /** The path in `keyDescriptions`, or the key in `figurePartDescriptions`; null for a figure itself. */
  readonly toldAs: string | null;
  /** A figure of the reference tables, or a part of one. */
  readonly isFigure: boolean;
  readonly description: string | undefined;
};

/** Every key of a schema, in its order, whatever is written under it after it. */
function keysIn(node: KeySchema, above: readonly string[]): SeasonKey[] {
  const { additionalProperties: named, items } = node;
  return [
    ...(node.anyOf ?? []).flatMap((one) => keysIn(one, above)),
    ...Object.entries(node.properties ?? {}).flatMap(([name, schema]) => {
      const path = [...above, name];
      return [{ path, schema, ...told(path) }, ...keysIn(schema, path)];
    }),
    ...(typeof named === 'object' ? keysIn(named, [...above, '*']) : []),
    ...(items === undefined ? [] : keysIn(items, [...above, '*'])),
  ];
}

function told(path: readonly string[]): Omit<SeasonKey, 'path' | 'schema'> {
  const figure = /^(?:kinds\.\*|lines\.\*\.override)\.([^.]+)(?:\..*?([^.]+))?$/.exec(
    path.join('.'),
  );
  const heading = figure === null ? undefined : figureHeadings[figure[1]!];
  if (heading !== undefined) {
    const part = figure?.[2] ?? null;
    return {
      toldAs: part,
      isFigure: true,
      description: part === null ? sentence(heading) : figurePartDescriptions[part],
    };
  }
  const toldAs = [path, general(path, 1), general(path, 2)]
    .map((one) => one.join('.'))
    .find((one) => one in keyDescriptions);
  return {
    toldAs: toldAs ?? null,
    isFigure: false,
    description: toldAs === undefined ? undefined : keyDescriptions[toldAs],
  };
}

/** The path with `*` in the place of one of its keys: a month, or a stage of the rates. */
const general = (path: readonly string[], at: number) =>
  path.map((part, n) => (n === at ? '*' : part));

const sentence = (words: string) => `${words[0]!.toUpperCase()}${words.slice(1)}.`;

/** The schema as the library makes it, and its keys. */
function made(): { schema: KeySchema; keys: SeasonKey[] } {
  const schema = structuredClone(seasonShape) as KeySchema;
  return { schema, keys: keysIn(schema, []) };
}

/** Every key that `season.yaml` may have. */
export function seasonKeys(): readonly SeasonKey[] {
  return made().keys;
}

/** The JSON Schema (draft 2020-12) of `season.yaml`; what lies between two keys, only `check` knows. */
export function seasonJsonSchema(): object {
  const { schema, keys } = made();
  for (const key of keys) key.schema.description = key.description;
  return { title: 'season.yaml of traybook', ...schema };
}
