/**
 * Are nine chances in ten kept nine times in ten? Farms drawn from the priors, their seasons planned by
 * the forecast and played out egg by egg:
 *   npm run calibrate [-- SEASONS_A_KIND [SEED [KIND]]]
 */
import { onTerminal } from '../../src/io/progress.ts';
import { wilson } from '../../src/judge/statistics/proportion.ts';
import { type FarmKind, type Promise9, simulate } from './season.ts';
import { type PenKind, right, type Wrong } from './truth.ts';

const chicken = (name: string, hens = 14): PenKind => ({
  name,
  line: 'sussex',
  species: 'chicken',
  hens,
});
const duck: PenKind = { name: 'pond', line: 'harlequin', species: 'duck', hens: 12 };
const three = [chicken('north'), chicken('south'), chicken('yard', 10)];
const pullets = (count: number) => [{ line: 'sussex', want: 'pullets' as const, count }];
const chicks = (count: number) => [{ line: 'sussex', want: 'chicks' as const, count }];
const both = [...pullets(25), { line: 'harlequin', want: 'chicks' as const, count: 25 }];

export const kinds: readonly FarmKind[] = [
  {
    name: 'one pen, no records',
    pens: [chicken('north', 20)],
    weeks: 8,
    earlier: [],
    running: 0,
    goals: pullets(20),
  },
  {
    name: 'one pen, one short season',
    pens: [chicken('north', 20)],
    weeks: 8,
    earlier: [5],
    running: 0,
    goals: chicks(50),
  },
  {
    name: 'one pen, three long seasons',
    pens: [chicken('north', 20)],
    weeks: 8,
    earlier: [12, 12, 12],
    running: 0,
    goals: pullets(25),
  },
  {
    name: 'three pens, no records',
    pens: three,
    weeks: 8,
    earlier: [],
    running: 0,
    goals: pullets(40),
  },
  {
    name: 'three pens, one short season',
    pens: three,
    weeks: 8,
    earlier: [5],
    running: 0,
    goals: pullets(40),
  },
  {
    name: 'three pens, three long seasons',
    pens: three,
    weeks: 8,
    earlier: [12, 12, 12],
    running: 0,
    goals: pullets(50),
  },
  {
    name: 'two kinds, one short season',
    pens: [chicken('north', 20), duck],
    weeks: 8,
    earlier: [6],
    running: 0,
    goals: both,
  },
  {
    name: 'three pens, in mid-season',
    pens: three,
    weeks: 11,
    earlier: [8],
    running: 6,
    goals: pullets(130),
  },
];

export const wrongs: readonly (readonly [string, Wrong])[] = [
  [
    'priors too hopeful: true rates lower by 0.6 on the log-odds scale',
    { shift: -0.6, scatter: 1 },
  ],
  ['priors too gloomy: true rates higher by 0.6', { shift: 0.6, scatter: 1 }],
  ['sets scatter three times as much as expected', { shift: 0, scatter: 3 }],
];

/** Worlds a season is sized by. */
const DRAWS = 600;

export interface Line {
  name: string;
  promised: number;
  not: number;
  met: number;
  predicted: number;
  /** Mean and standard deviation of the places: 0.5 and 0.29 if the forecast is right. */
  place: number;
  scatter: number;
  /** Results within the middle 80 % of their forecast. */
  inside: number;
}

/** Seasons of a kind, summed. Seeds follow on from `seed`. */
export function play(
  kind: FarmKind,
  wrong: Wrong,
  seasons: number,
  seed: number,
  draws = DRAWS,
): (Promise9 | null)[] {
  const results: (Promise9 | null)[] = [];
  const progress = onTerminal(`${kind.name}, seasons`);
  for (let i = 0; i < seasons; i++) {
    progress.tell(i, seasons);
    results.push(...simulate(kind, wrong, seed + i, draws));
  }
  progress.end();
  return results;
}

export function summed(name: string, results: readonly (Promise9 | null)[]): Line {
  const kept = results.filter((one) => one !== null);
  const place = kept.reduce((sum, one) => sum + one.place, 0) / Math.max(1, kept.length);
  return {
    name,
    promised: kept.length,
    not: results.length - kept.length,
    met: kept.filter((one) => one.met).length,
    predicted: kept.reduce((sum, one) => sum + one.chance, 0) / Math.max(1, kept.length),
    place,
    inside: kept.filter((one) => one.place >= 0.1 && one.place <= 0.9).length,
    scatter: Math.sqrt(
      kept.reduce((sum, one) => sum + (one.place - place) ** 2, 0) / Math.max(1, kept.length),
    ),
  };
}

function lineText({ name, promised, not, met, predicted, place, scatter, inside }: Line): string {
  const [low, high] = promised > 0 ? wilson(met, promised) : [0, 1];
  const percent = (share: number) => (100 * share).toFixed(1).padStart(5);
  return `${name.padEnd(32)} ${String(promised).padStart(5)} ${String(not).padStart(4)}  ${percent(met / promised)} (${percent(low).trim()} to ${percent(high).trim()})  ${percent(predicted)}  ${place.toFixed(2)} ${scatter.toFixed(2)}  ${percent(inside / promised)}\n`;
}

export function main(words: readonly string[]): number {
  const [seasons = 150, seed = 1] = words.slice(0, 2).map(Number);
  const only = words[2];
  if (![seasons, seed].every((n) => Number.isInteger(n) && n >= 1)) {
    process.stderr.write('usage: npm run calibrate [-- SEASONS_A_KIND [SEED [KIND]]]\n');
    return 2;
  }
  const head = `${''.padEnd(32)} goals none   met, % (95 %)          promised, %  place       in 80 %\n`;
  const SEEDS_A_KIND = 1_000_000;
  process.stdout.write(`priors right\n${head}`);
  const all: (Promise9 | null)[] = [];
  kinds.forEach((kind, k) => {
    if (only !== undefined && !kind.name.includes(only)) return;
    const results = play(kind, right, seasons, seed + k * SEEDS_A_KIND);
    all.push(...results);
    process.stdout.write(lineText(summed(kind.name, results)));
  });
  process.stdout.write(lineText(summed('all', all)));
  if (only !== undefined) return 0;
  wrongs.forEach(([name, wrong], w) => {
    process.stdout.write(`\n${name}\n${head}`);
    for (const kind of [kinds[3]!, kinds[5]!])
      process.stdout.write(
        lineText(summed(kind.name, play(kind, wrong, seasons, seed + (100 + w) * SEEDS_A_KIND))),
      );
  });
  return 0;
}
