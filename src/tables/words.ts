/**
 * What things are called, each once: columns that several tables have, rates, stages of an egg's
 * way, limits of room. A word changed here is changed on every screen, page and file.
 */
import type { Stage } from '../facts/stages.ts';
import type { Cause } from '../judge/diagnose/finding.ts';
import type { RateName } from '../judge/rate-names.ts';
import type { WayStage, Whereabouts } from '../judge/summary/way.ts';

/** Columns that more than one table has, but for where their value is found: `of`. */
export const heads = {
  set: { key: 'set', kind: 'name', doc: 'name of the set' },
  pen: { key: 'pen', kind: 'name', doc: 'name of the pen' },
  pens: { key: 'pens', kind: 'names', doc: 'pens the eggs are of' },
  line: { key: 'line', kind: 'name', doc: 'line of the birds' },
  lines: { key: 'lines', kind: 'names', doc: 'lines of the birds' },
  species: { key: 'species', heading: 'kind', kind: 'name', doc: 'kind of poultry' },
  group: { key: 'group', kind: 'name', doc: 'group of birds brooded together' },
  brooder: { key: 'brooder', kind: 'name', doc: 'name of the brooder' },
  setter: { key: 'setter', kind: 'name', doc: 'name of the setter' },
  hatcher: { key: 'hatcher', kind: 'name', doc: 'name of the hatcher' },
  place: { key: 'place', kind: 'name', doc: 'where the eggs or birds are' },
  state: { key: 'state', kind: 'name', doc: 'planned, or as recorded' },
  setOn: { key: 'on', heading: 'set on', kind: 'day', doc: 'day of setting' },
  from: { key: 'from', kind: 'day', doc: 'first day' },
  to: { key: 'to', heading: 'free on', kind: 'day', doc: 'first day the place is free again' },
  by: { key: 'by', kind: 'day', doc: 'day it is wanted by' },
  eggs: { key: 'eggs', kind: 'count', unit: 'eggs', doc: 'eggs set' },
  chicks: {
    key: 'hatched',
    heading: 'chicks',
    kind: 'count',
    unit: 'chicks',
    doc: 'live chicks taken off',
  },
  eggsOrBirds: { key: 'eggs', heading: 'eggs or birds', kind: 'count', doc: 'how many' },
  birds: { key: 'birds', kind: 'count', doc: 'birds' },
  count: { key: 'count', kind: 'count', doc: 'how many' },
  of: { key: 'of', kind: 'count', doc: 'of how many' },
  males: { key: 'males', kind: 'count', doc: 'males' },
  hens: { key: 'hens', kind: 'count', doc: 'hens' },
  pullets: { key: 'pullets', kind: 'count', doc: 'pullets' },
  cockerels: { key: 'cockerels', kind: 'count', doc: 'cockerels' },
  placed: { key: 'placed', kind: 'count', doc: 'chicks placed in a brooder' },
  living: { key: 'living', kind: 'count', doc: 'birds living' },
  lost: { key: 'lost', kind: 'count', doc: 'birds lost' },
  left: { key: 'left', kind: 'count', doc: 'birds sold, given away, at table, culled or housed' },
  rate: { key: 'rate', kind: 'name', doc: 'name of the rate' },
  stage: { key: 'stage', kind: 'text', doc: 'stage of the way from egg to bird' },
  age: { key: 'age', heading: 'age', kind: 'range', unit: 'days', doc: 'age, in days' },
  on: { key: 'on', kind: 'moment', doc: 'day or minute it happened' },
  week: { key: 'week', heading: 'week from', kind: 'day', doc: 'first day of the week' },
  rated: {
    key: 'rate',
    heading: 'rate, 95 % interval',
    kind: 'rate',
    doc: 'the count of what it is of, with its 95 % interval',
  },
  range95: { key: 'range', heading: '95 % range', doc: 'its 95 % range' },
  low: { key: 'low', doc: 'lower end of the 95 % range', show: 'data' },
  high: { key: 'high', doc: 'upper end of the 95 % range', show: 'data' },
  pOfAll: {
    key: 'p_adjusted',
    heading: 'p, for all asked',
    kind: 'name',
    doc: "p value, corrected for all that was asked by Holm's method",
  },
  thisSeason: { key: 'own', heading: 'this season', kind: 'name', doc: 'counts of this season' },
  earlierSeasons: {
    key: 'past',
    heading: 'earlier seasons',
    kind: 'name',
    doc: 'counts of earlier seasons',
  },
  usual: { key: 'usual', kind: 'percentRange', doc: 'what is usual' },
  season: { key: 'season', kind: 'name', doc: 'name of the season' },
  wanted: { key: 'wanted', kind: 'text', doc: 'birds wanted' },
  chance: {
    key: 'probability',
    heading: 'chance',
    kind: 'chance',
    doc: 'chance that the goal is met',
  },
  effectiveSize: {
    key: 'effective_size',
    kind: 'range',
    digits: 1,
    doc: 'effective size: birds, equal and unrelated, that would narrow the line as fast',
  },
  deltaF: { key: 'delta_f', heading: 'ΔF', kind: 'percentRange', doc: 'narrowing, a generation' },
  inbreeding: { key: 'inbreeding', kind: 'percent', doc: 'inbreeding' },
} as const;

/** Headings of parts that several screens have. */
export const partNames = { pens: 'Pens', sets: 'Sets', claims: 'Goals and orders' } as const;

/**
 * Rates, and what each is of. One with a `column` has its own in the tables of `review` by pen, tray …;
 * on a narrow terminal the columns of the highest number go first.
 */
export const rates: Readonly<
  Record<RateName, { readonly name: string; readonly of: string; readonly column?: number }>
> = {
  settable: { name: 'fit to set', of: 'laid' },
  fertile_apparent: { name: 'fertile, apparent', of: 'set', column: 0 },
  fertile: { name: 'fertile, corrected', of: 'set' },
  early: { name: 'died early', of: 'fertile', column: 2 },
  middle: { name: 'died mid-term', of: 'fertile' },
  late: { name: 'died late', of: 'fertile', column: 1 },
  pipped: { name: 'pipped and died', of: 'fertile' },
  rotten: { name: 'rotten', of: 'set' },
  hatch_of_set: { name: 'hatch of set', of: 'set', column: 0 },
  hatch_of_fertile: { name: 'hatch of fertile', of: 'fertile', column: 0 },
  weak: { name: 'weak chicks', of: 'hatched' },
  dead: { name: 'dead in hatcher', of: 'hatched' },
};

/** Each cause as a sentence a keeper would say, and as what was found to be in order. */
export const causes: Readonly<Record<Cause, { readonly is: string; readonly fine: string }>> = {
  'low-fertility': { is: 'Too few eggs are fertile', fine: 'fertility' },
  'failing-male': { is: 'The male of one pen is failing', fine: 'males holding up' },
  'long-storage': { is: 'Eggs are kept too long before setting', fine: 'storage' },
  'egg-quality': { is: 'Too many eggs are not fit to set', fine: 'eggs fit to set' },
  warm: { is: 'The setter runs warm', fine: 'not warm' },
  cool: { is: 'The setter runs cool', fine: 'not cool' },
  damp: { is: 'The setter is too damp: eggs lose too little water', fine: 'not damp' },
  dry: { is: 'The setter is too dry: eggs lose too much water', fine: 'not dry' },
  'uneven-tray': { is: 'One tray does worse than the others', fine: 'trays alike' },
  'early-death': { is: 'Too many die early', fine: 'early deaths' },
  'middle-death': { is: 'Too many die in mid-term', fine: 'mid-term deaths' },
  'late-death': { is: 'Too many die late, or pip and stick', fine: 'late deaths' },
  contamination: { is: 'Too many eggs go rotten', fine: 'clean eggs' },
  'drawn-out': { is: 'Chicks of a set do not hatch together', fine: 'hatching together' },
  'weak-chicks': { is: 'Too many chicks are weak', fine: 'sound chicks' },
  handling: { is: 'Eggs or chicks suffer from handling', fine: 'handling' },
  'gauge-wrong': { is: 'A gauge reads wrong', fine: 'gauges right' },
  'set-lost': { is: 'One set was lost', fine: 'no set lost' },
  'power-cut': { is: 'A power cut did harm', fine: 'power' },
};

/** Stages of the eggs' way, as counted. */
export const wayStages: Readonly<Record<WayStage, string>> = {
  laid: 'laid',
  kept: 'kept',
  set: 'set',
  fertile: rates.fertile_apparent.name,
  moved: 'alive at transfer',
  hatched: 'hatched',
  sound: 'sound chicks',
};

/** Stages of the chain from hen to bird, as expected. */
export const stageNames: Readonly<Record<Stage, string>> = {
  lay: 'eggs a hen and day',
  kept: wayStages.kept,
  fertile: 'fertile',
  candled: 'alive at candling',
  transferred: wayStages.moved,
  hatched: wayStages.hatched,
  sound: 'sound',
  reared: 'reared',
  female: 'female',
};

/** What became of the eggs of finished shares, in the order a keeper asks. */
export const whereabouts: readonly (readonly [keyof Whereabouts, string])[] = [
  ['sound', wayStages.sound],
  ['weak', 'weak or culled chicks'],
  ['dead', rates.dead.name],
  ['pipped', rates.pipped.name],
  ['unpipped', 'unpipped'],
  ['clear', 'clear'],
  ['quit', 'quit'],
  ['cracked', 'cracked'],
  ['rotten', rates.rotten.name],
  ['unaccounted', 'not accounted for'],
];
