/**
 * The planner's program beside another solver, and whole plans as the keeper waits for them:
 *   npm run bench:plan [-- [--against FOLDER] SEASON …]
 * For each season the program of the fewest sets, as the planner builds it, is written once as a file
 * and solved by HiGHS in WebAssembly and, if it is there, by CBC; then the season is planned by the
 * command, and once more under the profiler. Nothing passes or fails: seconds differ by machine.
 */
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import loadHighs from 'highs';
import { type FarmRates, farmRates } from '../../src/judge/rates/rates.ts';
import { addRow } from '../../src/planner/linear-program.ts';
import { simulatedOutlook } from '../../src/planner/outlook.ts';
import { type PlanResult, planSeason } from '../../src/planner/plan.ts';
import { type Problem, problemOf } from '../../src/planner/problem.ts';
import type { Now, Season } from '../../src/season/model.ts';
import { eggTerms, type HatchingProblem, hatchingModel, setTerms } from '../support/exact-model.ts';
import { has } from '../support/programs.ts';
import { nowAt, seasonOf } from '../support/season.ts';
import { lpText } from './lp-file.ts';
import { type BenchSeason, benchSeasons } from './planner-seasons.ts';
import { processorTime, profiled, timed } from './processor.ts';

const DRAWS = 4000;
const SEED = 1;
/** Processor seconds for each solver on one file, and seconds for a whole plan, at most. */
const MOST = 60;
const MOST_PLAN = 600;
/** Sets are whole: closer than this there is no better one. */
const WHOLE = 0.99;

interface Told {
  name: string;
  status: string;
  objective: number;
  bound: number;
  seconds: number;
}

const cell = (value: string | number, width: number) => String(value).padStart(width);
const print = (line = '') => process.stdout.write(`${line}\n`);

/** The season as the exact model of the tests sees it: each layer of a pen's eggs is a source. */
function exactProblem(p: Problem): {
  problem: HatchingProblem;
  layers: { pool: number; sure: number }[];
} {
  const layers = p.pools.flatMap(({ layers: own }, pool) =>
    own.map(({ mean, lots }) => ({ pool, sure: mean, lots })),
  );
  return {
    layers,
    problem: {
      days: p.days,
      sources: layers.map(({ pool, lots }) => {
        const { pen, maxAge, calendar, to, closed } = p.pools[pool]!;
        return {
          name: pen.name,
          kind: calendar,
          supply: lots.slice(maxAge),
          stored: lots.slice(0, maxAge).map((eggs, at) => ({ age: maxAge - at, eggs })),
          maxAge,
          to,
          closed,
        };
      }),
      kinds: p.calendars.map(({ species }, timing) => ({ name: species, timing, liveShare: 1 })),
      timings: p.calendars.map(({ setDays, transfer, hatch, lastOpening }) => ({
        setDays,
        transfer,
        hatch,
        lastOpening,
      })),
      setters: p.setters.map(({ names, places, taken }, s) => ({
        name: names[0]!,
        count: names.length,
        trays: places,
        holds: p.calendars.map(({ tray }) => tray[s]!),
        taken,
      })),
      hatchers: p.hatchers.map(({ names, cleanDays, shared, taken }, h) => ({
        name: names[0]!,
        count: names.length,
        holds: p.calendars.map(({ warm }) => warm[h]!),
        cleanDays,
        oneSet: shared === null,
        taken,
      })),
    },
  };
}

/** The program of the fewest sets that give the birds a plan came to expect, eggs of whatever age. */
function programOf(season: Season, now: Now, rates: FarmRates, plan: PlanResult) {
  const p = problemOf(season, now, rates);
  const { problem, layers } = exactProblem(p);
  const model = hatchingModel(problem, 'pooled', 'together');
  p.wanted.forEach(({ rates: ofPool, from, to }, i) => {
    const birds = plan.claims[i]!.expected;
    addRow(
      model.program,
      `birds of ${i}`,
      birds,
      eggTerms(model, ({ source, set }) => {
        const { pool, sure } = layers[source]!;
        return set < from || set > to ? 0 : ofPool[pool]! * sure;
      }),
      Number.POSITIVE_INFINITY,
    );
  });
  return { program: model.program, objective: setTerms(model) };
}

/** The file solved by the build of HiGHS and with the settings that the planner uses. */
async function byHighs(text: string): Promise<Told> {
  const highs = await loadHighs();
  const model = highs.createModel();
  try {
    model.options.set({ output_flag: false, random_seed: 0 });
    model.options.set({ mip_rel_gap: 0, mip_abs_gap: WHOLE, time_limit: MOST });
    const { seconds } = await timed(async () => {
      model.readModel({ format: 'lp', data: text });
      model.run();
    });
    const { modelStatus } = highs.constants;
    const names: Record<number, string> = {
      [modelStatus.optimal]: 'optimal',
      [modelStatus.timeLimit]: 'stopped on time',
      [modelStatus.infeasible]: 'infeasible',
    };
    const code = model.getModelStatus();
    return {
      name: 'HiGHS (WebAssembly)',
      status: names[code] ?? `status ${code}`,
      objective: Number(model.info.get('objective_function_value')),
      bound: Number(model.info.get('mip_dual_bound')),
      seconds,
    };
  } finally {
    model.dispose();
  }
}

function byCbc(file: string): Told {
  const limits = ['-timeMode', 'cpu', '-seconds', String(MOST)];
  const gaps = ['-allowableGap', String(WHOLE), '-ratioGap', '0'];
  const ran = processorTime(['cbc', file, ...limits, ...gaps, '-solve'], 3 * MOST);
  const number = (label: string) =>
    Number(new RegExp(`^${label}:\\s*([-\\d.e+]+)`, 'm').exec(ran.stdout)?.[1] ?? Number.NaN);
  const status = /^Result - (.*)$/m.exec(ran.stdout)?.[1] ?? 'no answer';
  const objective = number('Objective value');
  const bound = number('Lower bound');
  return {
    name: 'CBC',
    status: status.startsWith('Optimal') ? 'optimal' : status,
    objective,
    // CBC names a bound only where it stopped before the end.
    bound: Number.isNaN(bound) && status.startsWith('Optimal') ? objective : bound,
    seconds: ran.seconds,
  };
}

/** Bounds of whole objectives are whole. */
function toldLine({ name, status, objective, bound, seconds }: Told, yardstick?: Told): string {
  const whole = Math.ceil(bound - 1e-6);
  const gap = objective > 0 ? (100 * Math.max(0, objective - whole)) / objective : 0;
  return (
    `  ${name.padEnd(22)}${cell(Number.isFinite(objective) ? Math.round(objective) : 'none', 6)}${cell(bound.toFixed(2), 9)}${cell(gap.toFixed(1), 7)}` +
    `${cell(seconds.toFixed(2), 9)}${cell(yardstick ? (seconds / yardstick.seconds).toFixed(2) : '', 7)}  ${status}`
  );
}

const root = process.cwd();

/** Every async function of the planner: its phases. */
function phaseNames(): Set<string> {
  const folder = join(root, 'src', 'planner');
  const text = readdirSync(folder)
    .filter((file) => file.endsWith('.ts') && !file.endsWith('.test.ts'))
    .map((file) => readFileSync(join(folder, file), 'utf8'))
    .join('\n');
  return new Set([...text.matchAll(/async function\*? (\w+)/g)].map(([, name]) => name!));
}

async function profile(season: Season, now: Now, rates: FarmRates): Promise<void> {
  const phases = phaseNames();
  let simulations = 0;
  const outlookOf = (base: Season) => {
    const outlook = simulatedOutlook(base, now.day, rates, DRAWS, SEED);
    return Object.assign(function simulation(...words: Parameters<typeof outlook>) {
      simulations++;
      return outlook(...words);
    }, outlook);
  };
  const found = await profiled(
    () => planSeason(season, now, rates, outlookOf, { replan: false }),
    (stack) => {
      if (stack.includes('(idle)')) return null;
      if (stack.includes('simulation')) return 'simulation';
      const phase = stack.findLast((name) => phases.has(name)) ?? 'other';
      return `${phase}: ${stack.includes('minimise') ? 'solve' : 'rest'}`;
    },
  );
  const all = found.phases.reduce((sum, one) => sum + one.seconds, 0);
  print(`  where ${all.toFixed(1)} s of one plan go (sampled in process, wall)`);
  for (const { name, seconds } of found.phases) {
    if (seconds < all / 200) continue;
    const calls =
      name === 'simulation' ? simulations : (found.calls.get(name.split(':')[0]!) ?? '');
    print(
      `    ${name.padEnd(34)}${cell(calls, 6)} calls${cell(seconds.toFixed(2), 8)} s${cell(((100 * seconds) / all).toFixed(0), 5)} %`,
    );
  }
  print(`    ${'programs solved'.padEnd(34)}${cell(found.calls.get('openSolver') ?? 0, 6)}`);
}

/** In time, and no more sets than the others found, within the gap aimed at. */
function verdict({ aim }: BenchSeason, waited: number, sets: number, others: number[]): string {
  const { seconds, gap = 0 } = aim;
  const found = others.filter(Number.isFinite);
  const least = Math.min(...found);
  const inTime = `in under ${seconds} s: ${waited < seconds ? 'met' : 'not met'}`;
  const asFew =
    found.length === 0
      ? 'no other solver found any'
      : sets <= least * (1 + gap)
        ? 'met'
        : `not met, ${least} were found`;
  const words = gap === 0 ? 'as few sets as the others' : `within ${100 * gap} % of the others`;
  return `aim: ${inTime}; ${words}: ${asFew}`;
}

async function bench(
  one: BenchSeason,
  folder: string,
  hasCbc: boolean,
  against: string | null,
): Promise<void> {
  print(`${one.name}: ${one.words}`);
  const season = seasonOf(one.yaml);
  const now = nowAt(one.now);
  const rates = farmRates(season, [], now.day);

  // The whole plan, as the keeper waits for it.
  const place = join(folder, one.name);
  mkdirSync(place);
  writeFileSync(join(place, 'season.yaml'), one.yaml);
  const program = join(root, 'bin', 'traybook.js');
  const words = [process.execPath, program, '--season', place, '--now', `${one.now}T07:00`];
  const empty = processorTime([process.execPath, join(root, 'tests', 'bench', 'empty.mjs')], MOST);
  const ran = processorTime([...words, '--json', 'plan'], MOST_PLAN);
  if (ran.code === null) {
    print(`  traybook plan: ended after ${MOST_PLAN} s without an answer`);
    return;
  }
  if (ran.stdout === '') {
    print(`  traybook plan: no plan after ${ran.seconds.toFixed(2)} s: ${ran.stderr.trim()}`);
    return;
  }
  const told = JSON.parse(ran.stdout) as {
    status: string;
    gap: number;
    fewest: number;
    sets: unknown[];
    goals: { probability: number }[];
  };
  print(
    `  traybook plan: ${ran.waited.toFixed(2)} s, ${ran.seconds.toFixed(2)} s of the processors (${(ran.seconds / empty.seconds).toFixed(0)} times an empty script), ${told.status}, ` +
      `${told.sets.length} sets, fewest possible ${told.fewest}, gap ${(100 * told.gap).toFixed(1)} %, ` +
      `chances ${told.goals.map((goal) => (100 * goal.probability).toFixed(1)).join(', ')} %`,
  );
  if (against !== null) {
    const other = words.map((word) =>
      word === program ? join(against, 'bin', 'traybook.js') : word,
    );
    const before = processorTime([...other, '--json', 'plan'], MOST_PLAN);
    print(`  ${(ran.seconds / before.seconds).toFixed(2)} times the processors of ${against}`);
  }

  // The same program to both solvers.
  const outlook = (base: Season) => simulatedOutlook(base, now.day, rates, DRAWS, SEED);
  const plan = await planSeason(season, now, rates, outlook, { replan: false });
  const { program: linear, objective } = programOf(season, now, rates, plan);
  const text = lpText(linear, objective);
  const file = join(folder, `${one.name}.lp`);
  writeFileSync(file, text);
  const wholes = linear.columns.filter((column) => column.whole).length;
  print(
    `  program of the fewest sets: ${linear.columns.length} columns (${wholes} whole), ${linear.rows.length} rows`,
  );
  print(
    `  ${'solver'.padEnd(22)}${cell('sets', 6)}${cell('bound', 9)}${cell('gap %', 7)}${cell('cpu s', 9)}${cell('ratio', 7)}  (at most ${MOST} s each)`,
  );
  const cbc = hasCbc ? byCbc(file) : undefined;
  if (cbc) print(toldLine(cbc));
  else print('  CBC is not here (package coinor-cbc): nothing to compare with');
  const highs = await byHighs(text);
  print(toldLine(highs, cbc));
  const others = [highs, ...(cbc ? [cbc] : [])].map(({ objective }) => Math.round(objective));
  print(`  ${verdict(one, ran.waited, told.sets.length, others)}`);
  const least = Math.ceil(highs.bound - 1e-6);
  if (least < told.fewest)
    print(
      `  NOTE: for the birds this plan expects ${least} sets could do with fresh eggs; it says that none has fewer than ${told.fewest}`,
    );
  await profile(season, now, rates);
  print();
}

export async function main(asked: readonly string[]): Promise<number> {
  const at = asked.indexOf('--against');
  const against = at < 0 ? null : (asked[at + 1] ?? null);
  const words = at < 0 ? asked : asked.toSpliced(at, 2);
  const unknown = words.find((word) => !benchSeasons.some((one) => one.name === word));
  if (unknown !== undefined) {
    process.stderr.write(
      `usage: npm run bench:plan [-- [--against FOLDER] ${benchSeasons.map((one) => one.name).join(' | ')}]\n`,
    );
    return 2;
  }
  const hasCbc = has('cbc');
  const folder = mkdtempSync(join(tmpdir(), 'traybook-bench-'));
  try {
    for (const one of benchSeasons)
      if (words.length === 0 || words.includes(one.name)) await bench(one, folder, hasCbc, against);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
  return 0;
}
