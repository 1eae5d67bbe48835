import { type Cause, causes } from '../../src/judge/diagnose/finding.ts';
import { nothing, scoreSeason, scoreText, scoreWeeks } from './scores.ts';
import { farms, secondSeason, seen } from './second-opinion.ts';
import { type Keeping, type Planted, simulated, wellKept } from './simulate.ts';

/** Ways of keeping records, each a class of its own. */
const keepings: readonly [string, Keeping][] = [
  ['full records', wellKept],
  ['sets scatter much', { ...wellKept, setScatter: 0.5 }],
  ['gauges that stand still', { ...wellKept, stuck: true }],
  ['two machines', { ...wellKept, machines: 2 }],
  ['no breakouts', { ...wellKept, breakouts: 'none' }],
  [
    'every third set broken out, shares in trays of their own',
    { ...wellKept, breakouts: 'some', trays: 'one a share' },
  ],
  ['looks at transfer only', { ...wellKept, candling: false, breakouts: 'none' }],
  ['early deaths never written', { ...wellKept, earlyDeaths: false, breakouts: 'none' }],
  ['six sets of twelve eggs', { ...wellKept, sets: 6, eggs: 12 }],
  ['eggs older through the season', { ...wellKept, ageing: true }],
  ['every pen in a tray of its own', { ...wellKept, trays: 'by pen' }],
  [
    'no weighings, no readings, days without hours',
    { ...wellKept, weighings: false, readings: false, minutes: false, every: 12 },
  ],
];

/** Classes whose faults are looked at set by set, for how soon they show. */
const weekly: readonly string[] = ['full records', 'gauges that stand still', 'two machines'];

const pairs: readonly (readonly [Cause, Cause])[] = [
  ['warm', 'failing-male'],
  ['damp', 'contamination'],
  ['low-fertility', 'late-death'],
  ['cool', 'egg-quality'],
  ['dry', 'middle-death'],
  ['early-death', 'weak-chicks'],
];

const fits = (cause: Cause, keeping: Keeping): boolean =>
  !(keeping.stuck && !['warm', 'cool', 'damp', 'dry'].includes(cause));

/**
 * The diagnosis over simulated seasons, by class of farm and of records, with faults from each of the
 * sets a third of the way in on:
 *   npm run diagnose-bench [-- SEASONS_A_CAUSE [CLEAN_SEASONS [SEED [CLASS]]]]
 */
export function main(words: readonly string[]): number {
  const [times = 4, clean = 25, seed = 1] = words.slice(0, 3).map(Number);
  const only = words[3];
  if (![times, clean, seed].every((n) => Number.isInteger(n) && n >= 0)) {
    process.stderr.write(
      'usage: npm run diagnose-bench [-- SEASONS_A_CAUSE [CLEAN_SEASONS [SEED [CLASS]]]]\n',
    );
    return 2;
  }
  const wanted = (name: string): boolean => only === undefined || name.includes(only);
  for (const [name, keeping] of keepings) {
    if (!wanted(name)) continue;
    const score = nothing();
    causes
      .filter((cause) => fits(cause, keeping))
      .forEach((cause, c) => {
        for (let i = 0; i < times; i++) {
          const from =
            Math.floor(keeping.sets / 4) + (i % Math.max(1, Math.floor(keeping.sets / 4)));
          const one: Planted = { cause, from };
          const season = simulated(seed + 1000 * (c + 1) + i, [one], keeping);
          scoreSeason(score, season, [one], keeping.stuck);
          if (weekly.includes(name) && i < (times + 1) >> 1) scoreWeeks(score, season, one);
        }
      });
    for (let i = 0; i < clean; i++)
      scoreWeeks(score, simulated(seed + 90_000 + i, null, keeping), null);
    process.stdout.write(scoreText(name, score));
  }
  if (wanted('two faults')) {
    const score = nothing();
    pairs.forEach(([a, b], c) => {
      for (let i = 0; i < times; i++) {
        const two = [
          { cause: a, from: 4 + (i % 3) },
          { cause: b, from: 6 + (i % 3) },
        ];
        scoreSeason(score, simulated(seed + 50_000 + 100 * c + i, two), two);
      }
    });
    process.stdout.write(scoreText('two faults at once', score));
  }
  for (const farm of farms) {
    if (!wanted(farm.name)) continue;
    const score = nothing();
    seen(farm).forEach((cause, c) => {
      for (let i = 0; i < Math.ceil(times / 2); i++) {
        const one = { cause, from: Math.floor(farm.sets / 4) + (i % 3) };
        scoreSeason(score, secondSeason(seed + 10_000 * (c + 1) + i, farm, one), [one]);
      }
    });
    for (let i = 0; i < Math.ceil(clean / 2); i++)
      scoreWeeks(score, secondSeason(seed + 200_000 + i, farm, null), null);
    process.stdout.write(scoreText(`second simulator: ${farm.name}`, score));
  }
  return 0;
}
