import { join } from 'node:path';
import { withLock } from '../io/lock.ts';
import { replaceFile } from '../io/replace.ts';
import { SEASON_FILE } from '../io/season-folder.ts';
import { compileOnce } from '../io/wasm.ts';
import { farmRates } from '../judge/rates/rates.ts';
import { earliestFinish } from '../planner/earliest.ts';
import { goalsInReach } from '../planner/goals-in-reach.ts';
import { noWaysOut, waysOutOf } from '../planner/limits.ts';
import { type PlanResult, planSeason } from '../planner/plan.ts';
import { simulatedOutlook } from '../planner/plan-outlook.ts';
import { everyDays, type Rhythm, weeklyOn } from '../planner/season-problem.ts';
import { SolverFailure } from '../planner/solver.ts';
import type { Now, Season } from '../season/model.ts';
import type { PlannedValues } from '../season/schema.ts';
import { type Compared, compareTable, planJson, planText } from '../tables/plan.ts';
import { type Weekday, weekdays } from '../text/day.ts';
import { linesForTerminal } from '../text/escape.ts';
import { replaceSequence, YamlEditRefused, type YamlValue } from '../text/yaml-edit.ts';
import { type CommandModule, type Context, exitCodes, Stop, wrongWords } from './command.ts';
import { earlierSeasons } from './earlier-seasons.ts';
import { type OpenedSeason, openSeason } from './open.ts';
import { counted, faultLines, jsonText } from './say.ts';
import { table } from './tables.ts';

const USUAL_DRAWS = 4000;
const USUAL_SEED = 1;
const SIX = 6;

function wholeNumber(text: unknown, flag: string, least: number, most: number): number {
  const value = Number(text);
  if (!Number.isInteger(value) || value < least || value > most)
    throw wrongWords(
      `${flag}: expected a whole number from ${least} to ${most}, found ${JSON.stringify(text)}`,
    );
  return value;
}

/** `--on sat`, `--on sat,wed`: the days for setting. */
function daysOf(text: unknown): Rhythm | null {
  if (text === undefined) return null;
  const words = String(text)
    .split(',')
    .map((word) => word.trim().toLowerCase().slice(0, 3));
  const wrong = words.find((word) => !weekdays.includes(word as Weekday));
  if (wrong !== undefined)
    throw wrongWords(
      `--on: expected weekdays such as sat or wed,sat, found ${JSON.stringify(text)}`,
    );
  return weeklyOn(words as Weekday[]);
}

type Wished = {
  draws: number;
  seed: number;
  replan: boolean;
  rhythm: Rhythm | null;
};

/** The weekly day that needs the fewest sets, and of those the one that loses least. */
async function weekly(
  tryOn: (rhythm: Rhythm) => Promise<PlanResult>,
  season: Season,
): Promise<PlanResult> {
  const free = weekdays.filter((day) => !season.values.days_off.set.includes(day));
  let best: PlanResult | null = null;
  for (const day of free) {
    const plan = await tryOn(weeklyOn([day]));
    if (best === null || ahead(plan, best)) best = plan;
  }
  return best!;
}

function ahead(a: PlanResult, b: PlanResult): boolean {
  const short = (plan: PlanResult) =>
    plan.goals.reduce((sum, one) => sum + Math.max(0, one.goal.confidence - one.probability), 0);
  if (Math.abs(short(a) - short(b)) > 0.002) return short(a) < short(b);
  if (a.sets.length !== b.sets.length) return a.sets.length < b.sets.length;
  return a.loss < b.loss;
}

/** The lines of `plan:` with the new ones in their places by day; with `replan` without those to come. */
function planValues(season: Season, now: Now, plan: PlanResult, replan: boolean): YamlValue[] {
  const present: PlannedValues[] = season.values.plan.filter(
    (line) => !replan || line.on < now.day || season.sets.has(line.set),
  );
  const all: YamlValue[] = present.map((line) => line as unknown as YamlValue);
  const days = present.map((line) => line.on);
  for (const line of plan.lines) {
    const later = days.findIndex((day) => day > line.on);
    const at = later < 0 ? all.length : later;
    days.splice(at, 0, line.on);
    all.splice(at, 0, {
      set: line.set,
      on: line.on,
      setter: line.setter,
      trays: line.trays,
      shares: line.shares,
      ...(line.hatcher === null ? {} : { hatcher: line.hatcher }),
    });
  }
  return all;
}

async function write(opened: OpenedSeason, plan: PlanResult, replan: boolean): Promise<void> {
  const { folder, read, season, now } = opened;
  const source = read.sources.get(SEASON_FILE)!;
  let text: string;
  try {
    text = replaceSequence(source.text, ['plan'], planValues(season, now, plan, replan));
  } catch (error) {
    if (error instanceof YamlEditRefused)
      throw new Stop(
        exitCodes.unwritten,
        `season.yaml: not written: ${error.message}`,
        'put the lines in by hand',
      );
    throw error;
  }
  await withLock(
    folder,
    () => replaceFile(join(folder, SEASON_FILE), text, { expectedText: source.text }),
    { doing: 'plan --write' },
  );
}

export const command: CommandModule = {
  examples: ['plan', 'plan --write', 'plan --replan --on sat', 'plan --compare'],
  define(command) {
    command
      .option('--write', 'put the new sets under plan: of season.yaml')
      .option('--replan', 'make the lines of plan: that are still to come again')
      .option('--compare', 'weekly, every six days, the fewest sets and the earliest finish')
      .option('--on <weekdays>', 'set on these days only, such as sat or wed,sat')
      .option('--draws <number>', 'simulated seasons', String(USUAL_DRAWS))
      .option('--seed <number>', 'of the simulation', String(USUAL_SEED));
  },
  async run(context, _words, options) {
    const opened = await openSeason(context);
    const wished: Wished = {
      draws: wholeNumber(options.draws, '--draws', 100, 100_000),
      seed: wholeNumber(options.seed, '--seed', 1, 2_147_483_647),
      replan: options.replan === true,
      rhythm: daysOf(options.on),
    };
    if (options.compare === true && options.write === true)
      throw wrongWords('--compare only shows', 'choose one, then: traybook plan --write');
    compileOnce();
    try {
      return await run(context, opened, wished, options);
    } catch (error) {
      if (error instanceof SolverFailure)
        throw new Stop(
          exitCodes.found,
          `no plan: the solver failed: ${error.message}`,
          'nothing was written; this is our fault, not yours: please report it with the season folder',
        );
      throw error;
    }
  },
};

/** What plans of one season are made with: the farm's rates, the simulation, the solver. */
function solving(season: Season, earlier: readonly Season[], now: Now, wished: Wished) {
  const rates = farmRates(season, earlier, now.day);
  const outlook = (base: Season) =>
    simulatedOutlook(base, now.day, rates, wished.draws, wished.seed);
  const solve = (more: object = {}) =>
    planSeason(season, now, rates, outlook, { ...wished, ...more });
  return { rates, outlook, solve };
}

async function run(
  context: Context,
  opened: OpenedSeason,
  wished: Wished,
  options: Record<string, unknown>,
) {
  const { folder, now } = opened;
  const before = await earlierSeasons(folder, opened.season);
  const { season, faults, left } = goalsInReach(opened.season, now);
  const stderr = `${opened.notices}${before.notices}${left.map((one) => `${one}\n`).join('')}${faultLines(faults)}`;
  if (season.values.goals.length === 0)
    throw new Stop(
      exitCodes.found,
      `${stderr}there is no goal to plan for`,
      'write what you want under goals: in season.yaml; see traybook guide plan',
    );
  const { rates, outlook, solve } = solving(season, before.seasons, now, wished);
  const draw = (one: Parameters<typeof table>[0]) => table(one, context);
  const failed = faults.some((one) => one.severity === 'error');

  if (options.compare === true) {
    const fewest = await solve();
    const all: Compared[] = [
      { name: 'weekly', plan: await weekly((rhythm) => solve({ rhythm, finer: false }), season) },
      { name: 'every six days', plan: await solve({ rhythm: everyDays(SIX, now.day) }) },
      { name: 'fewest sets', plan: fewest },
      {
        name: 'earliest finish',
        plan: await earliestFinish(season, now, rates, outlook, wished, fewest),
      },
    ];
    if (context.json)
      return {
        stdout: jsonText('plan', {
          ...planJson({ ...head(opened), plan: all[2]!.plan, ways: noWaysOut, ...wished }),
          compared: all.map(({ name, plan }) => ({
            rhythm: name,
            ...planJson({ ...head(opened), plan, ways: noWaysOut, ...wished }),
          })),
        }),
        stderr,
      };
    return { stdout: linesForTerminal(draw(compareTable(all))), stderr };
  }

  const plan = await solve();
  const ways =
    plan.status === 'infeasible'
      ? await waysOutOf(season, now, rates, outlook, wished, plan)
      : noWaysOut;
  const isMet = plan.status !== 'infeasible';
  let next = '';
  if (options.write === true && isMet && plan.lines.length + (wished.replan ? 1 : 0) > 0) {
    await write(opened, plan, wished.replan);
    next = `Written to season.yaml: ${counted(plan.lines.length, 'set')} under plan.`;
  } else if (options.write === true) next = 'Nothing was written.';
  else if (isMet && plan.lines.length > 0)
    next = `To put these into season.yaml: traybook plan${wished.replan ? ' --replan' : ''} --write`;
  const view = { ...head(opened), plan, ways, draws: wished.draws, seed: wished.seed };
  const exit = isMet && !failed ? exitCodes.done : exitCodes.found;
  if (context.json) return { stdout: jsonText('plan', planJson(view)), stderr, exit };
  const text = planText({ ...view, next }, { width: context.width, draw });
  return { stdout: linesForTerminal(text), stderr, exit };
}

/**
 * Plans a season that has just begun and writes the plan; tells in words what came of it. That there
 * is no plan is no fault of a new season.
 *
 * @throws Stop if the plan could not be written
 */
export async function firstPlan(opened: OpenedSeason): Promise<string> {
  const { season, faults } = goalsInReach(opened.season, opened.now);
  if (season.values.goals.length === 0)
    return faults.length > 0
      ? 'no first plan: no goal can be reached as it stands; traybook plan says why'
      : 'no first plan: there are no goals; write some, then: traybook plan --write';
  const wished: Wished = { draws: USUAL_DRAWS, seed: USUAL_SEED, replan: true, rhythm: null };
  const { seasons } = await earlierSeasons(opened.folder, season);
  const { solve } = solving(season, seasons, opened.now, wished);
  try {
    const plan = await solve();
    if (plan.status === 'infeasible')
      return 'no first plan: the goals cannot all be met; traybook plan says what binds';
    if (plan.lines.length === 0) return 'no first plan: nothing need be set for the goals';
    await write(opened, plan, true);
    const days = plan.lines.map((line) => line.on).sort();
    return `a first plan: ${counted(plan.lines.length, 'set')} from ${days[0]} to ${days.at(-1)}, for the goals at the confidence they ask; traybook plan shows it`;
  } catch (error) {
    if (error instanceof SolverFailure) return `no first plan: the solver failed: ${error.message}`;
    throw error;
  }
}

function head({ season, now }: OpenedSeason) {
  return { day: now.day, place: season.values.place.name, season: String(season.values.season) };
}
