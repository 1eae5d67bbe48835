import { join } from 'node:path';
import { watchInterrupt } from '../io/interrupt.ts';
import { withLock } from '../io/lock.ts';
import { replaceFile } from '../io/replace.ts';
import { SEASON_FILE } from '../io/season-folder.ts';
import { compileOnce } from '../io/wasm.ts';
import { farmRates } from '../judge/rates/rates.ts';
import { type Compared, comparedPlans, type Solve } from '../planner/compare.ts';
import { Effort } from '../planner/effort.ts';
import { goalsInReach } from '../planner/goals-in-reach.ts';
import { noWaysOut, waysOutOf } from '../planner/limits.ts';
import { mendedPlan } from '../planner/mend.ts';
import { simulatedOutlook, USUAL_DRAWS } from '../planner/outlook.ts';
import { type PlanOptions, type PlanResult, planSeason } from '../planner/plan.ts';
import type { LineToWrite } from '../planner/plan-lines.ts';
import { type Rhythm, weeklyOn } from '../planner/problem.ts';
import { SolverFailure } from '../planner/solver.ts';
import type { Now, Season } from '../season/model.ts';
import type { PlannedValues } from '../season/schema.ts';
import {
  compareAnswer,
  compareTable,
  insteadText,
  planJson,
  planScreen,
  waysScreen,
  wayText,
} from '../tables/plan.ts';
import { type Screen, screenText } from '../tables/terminal.ts';
import { hanging } from '../tables/wrap.ts';
import { type Weekday, weekdays } from '../text/day.ts';
import { setIn, YamlEditRefused, type YamlValue } from '../text/yaml-edit.ts';
import {
  type CommandModule,
  type Context,
  exitCodes,
  onlyOne,
  Stop,
  unexpected,
  wholeNumber,
  wrongWords,
} from './command.ts';
import { earlierSeasons, openSeasons, type SeasonsOpened } from './earlier-seasons.ts';
import { keepForecast } from './kept-forecast.ts';
import type { OpenedSeason } from './open.ts';
import { counted, faultLines } from './say.ts';
import { eachSuppose, supposedSeason } from './suppose.ts';
import { answerOf, paperOf, titleOf } from './tables.ts';

const USUAL_SEED = 1;

/** `--on sat`, `--on sat,wed`: the days for setting. */
function daysOf(text: unknown): Rhythm | null {
  if (text === undefined) return null;
  const words = String(text)
    .split(',')
    .map((word) => word.trim().toLowerCase().slice(0, 3));
  const wrong = words.find((word) => !weekdays.includes(word as Weekday));
  if (wrong !== undefined) throw unexpected('--on', 'weekdays such as sat or wed,sat', text);
  return weeklyOn(words as Weekday[]);
}

type Wished = {
  told?: (solves: number) => void;
  isStopped?: () => Promise<boolean>;
  draws: number;
  seed: number;
  replan: boolean;
  rhythm: Rhythm | null;
};

/** The lines of `plan:` with the new ones in their places by day; with `replan` without those to come. */
function planValues(
  season: Season,
  now: Now,
  { lines }: { lines: readonly LineToWrite[] },
  replan: boolean,
  dropped: ReadonlySet<string>,
): YamlValue[] {
  const present: PlannedValues[] = season.values.plan.filter(
    (line) =>
      season.sets.has(line.set) || (!dropped.has(line.set) && (!replan || line.on < now.day)),
  );
  const all: YamlValue[] = present.map((line) => line as unknown as YamlValue);
  const days = present.map((line) => line.on);
  for (const line of lines) {
    const later = days.findIndex((day) => day > line.on);
    const at = later < 0 ? all.length : later;
    days.splice(at, 0, line.on);
    all.splice(at, 0, {
      set: line.set,
      on: line.on,
      setter: line.setter,
      trays: [...line.trays],
      shares: line.shares,
      ...(line.hatcher === null ? {} : { hatcher: line.hatcher }),
    });
  }
  return all;
}

/** `plan --trial`: sets split between two ways, and the difference they could show. */
async function trial(context: Context, opened: SeasonsOpened, asked: unknown) {
  const [{ trialKinds, trialOf }, { trialJson, trialScreen }] = await Promise.all([
    import('../judge/trial.ts'),
    import('../tables/trial.ts'),
  ]);
  const kind = trialKinds.find((one) => one === asked);
  if (kind === undefined) throw unexpected('--trial', trialKinds.join(', '), asked);
  const { season, earlier, now } = opened;
  const laid = trialOf(season, kind, farmRates(season, earlier, now.day), now);
  return answerOf(context, opened, {
    name: 'trial',
    json: () => trialJson(laid),
    screen: (title) => trialScreen(laid, title),
    exit: laid.cannot === null ? exitCodes.done : exitCodes.found,
  });
}

/** Writes the plan; what it promises is the forecast of the season that then stands. */
async function write(
  context: Pick<Context, 'instant'>,
  opened: OpenedSeason,
  plan: Pick<PlanResult, 'claims'> & { lines: readonly LineToWrite[] },
  { replan, draws }: Pick<Wished, 'replan' | 'draws'>,
  dropped: ReadonlySet<string> = new Set(),
): Promise<void> {
  const { folder, read, season, now } = opened;
  const source = read.sources.get(SEASON_FILE)!;
  let text: string;
  try {
    text = setIn(source.text, ['plan'], planValues(season, now, plan, replan, dropped));
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
  if (draws >= USUAL_DRAWS) keepForecast(context, opened, plan, text);
}

export const command: CommandModule = {
  words: async () => ({ trial: (await import('../judge/trial.ts')).trialKinds }),
  examples: [
    'plan',
    'plan --write',
    'plan --mend',
    'plan --replan --on sat',
    'plan --suppose pens.north.hens=14',
    'plan --compare',
  ],
  define(command) {
    command
      .option('--write', 'put the new sets under plan: of season.yaml')
      .option('--replan', 'make anew the lines of plan: that are still to come')
      .option('--mend', 'change as few lines of plan: as will do, and say why')
      .option(
        '--suppose <path=value>',
        'plan a changed season, beside the season as it is',
        eachSuppose,
        [],
      )
      .option('--compare', 'plans that aim at other things, side by side')
      .option(
        '--trial <what>',
        'a split-set trial of trays, males or storage, and what it could show',
      )
      .option('--on <weekdays>', 'set on these days only, such as sat or wed,sat')
      .option('--draws <number>', 'simulated seasons', String(USUAL_DRAWS))
      .option('--seed <number>', 'the same seed gives the same answer', String(USUAL_SEED));
  },
  async run(context, _words, options) {
    const opened = await openSeasons(context);
    if (options.trial !== undefined) return await trial(context, opened, options.trial);
    const wished: Wished = {
      draws: wholeNumber(options.draws, '--draws', 100, 100_000),
      seed: wholeNumber(options.seed, '--seed', 1, 2_147_483_647),
      replan: options.replan === true,
      rhythm: daysOf(options.on),
    };
    const changes = options.suppose as string[];
    if (changes.length > 0 && options.write === true)
      throw wrongWords('--suppose only shows', 'change season.yaml, then: traybook plan --write');
    onlyOne(options, 'mend', 'replan');
    onlyOne(options, 'mend', 'compare');
    if (options.compare === true && options.write === true)
      throw wrongWords('--compare only shows', 'choose one, then: traybook plan --write');
    compileOnce();
    // A document is whole whenever it ends; words are on the screen already.
    const watched = context.json ? watchInterrupt() : null;
    if (watched !== null) wished.isStopped = watched.isStopped;
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
    } finally {
      watched?.end();
    }
  },
};

/** What plans of one season are made with: the farm's rates, the simulation, the solver. */
function solving(season: Season, earlier: readonly Season[], now: Now, wished: Wished) {
  const rates = farmRates(season, earlier, now.day);
  const outlookOf = (base: Season) =>
    simulatedOutlook(base, now.day, rates, wished.draws, wished.seed);
  const effort = new Effort(Number.POSITIVE_INFINITY, wished.told, wished.isStopped);
  const solve = (more: Partial<PlanOptions> & Parameters<Solve>[0] = {}) =>
    planSeason(season, now, rates, more.outlookOf ?? outlookOf, { ...wished, effort, ...more });
  return { rates, outlookOf, solve, effort };
}

/** Says how far the planner is, on a terminal alone. */
function progressOf(context: Context) {
  let shown: ReturnType<Context['progress']> | null = null;
  let found = '';
  return {
    found: ({ sets, fewest }: { sets: number; fewest: number }) => {
      found = `${counted(sets, 'set')} so far, at least ${fewest}; `;
    },
    told: (solves: number) => {
      shown ??= context.progress('planning; Ctrl-C stops, nothing is written');
      shown.tell(`${found}${solves} programs solved`);
    },
    end: () => {
      shown?.end();
      shown = null;
    },
  };
}

async function run(
  context: Context,
  opened: SeasonsOpened,
  wished: Wished,
  options: Record<string, unknown>,
) {
  const { earlier, now } = opened;
  const { season, faults, left, isEmpty } = goalsInReach(opened.season, now);
  const notices = `${opened.notices}${left.map((one) => `${one}\n`).join('')}${faultLines(faults)}`;
  if (isEmpty)
    throw new Stop(
      exitCodes.found,
      `${notices}there is no goal to plan for`,
      'write what you want under goals: in season.yaml; see traybook guide plan',
    );
  const progress = progressOf(context);
  const { rates, outlookOf, solve, effort } = solving(season, earlier, now, {
    ...wished,
    told: progress.told,
  });
  const failed = faults.some((one) => one.severity === 'error');
  const run = { title: titleOf(season, now), draws: wished.draws, seed: wished.seed };
  const jsonOf = ({ plan }: Compared) => planJson({ ...run, plan, ways: noWaysOut });
  const said = (json: () => object, screen: () => Screen, exit?: number) => {
    progress.end();
    return answerOf(context, { season, now, notices }, { name: 'plan', json, screen, exit });
  };
  const exitOf = ({ status }: PlanResult) =>
    status !== 'infeasible' && !failed ? exitCodes.done : exitCodes.found;
  const isToWrite = options.write === true;

  if (options.compare === true) {
    const all = await comparedPlans(season, now.day, outlookOf, solve);
    return said(
      () => ({
        ...jsonOf(all[0]!),
        compared: all.map((one) => ({ rhythm: one.name, ...jsonOf(one) })),
      }),
      () => ({
        title: run.title,
        answer: [compareAnswer(all)],
        parts: [{ heading: 'Plans side by side', table: compareTable(all) }],
      }),
    );
  }

  if (options.mend === true) {
    const mended = await mendedPlan(season, now, rates, outlookOf, { ...wished, effort });
    const { plan, changes, dropped, lines } = mended;
    const isMet = plan.status !== 'infeasible';
    let next = !isMet
      ? 'Nothing is written while something cannot be met. What would free it: traybook plan --replan'
      : changes.length === 0
        ? ''
        : 'To put this into season.yaml: traybook plan --mend --write';
    if (isToWrite && isMet && changes.length > 0) {
      await write(context, opened, { ...plan, lines }, wished, new Set(dropped));
      next = `Written to season.yaml: ${counted(changes.length, 'change')} of the plan.`;
    } else if (isToWrite && isMet) next = 'Nothing was written.';
    const view = { ...run, plan, ways: noWaysOut, next, mended };
    return said(
      () => planJson(view),
      () => planScreen(view),
      exitOf(plan),
    );
  }

  const supposed = supposedSeason(opened, options.suppose as string[]);
  if (supposed !== null) {
    const other = solving(goalsInReach(supposed, now).season, earlier, now, wished);
    const asIs = { name: 'as it is', plan: await solve({}) };
    const changes = `if ${(options.suppose as string[]).join(', ')}`;
    const changed = { name: changes, plan: await other.solve({}) };
    const view = { ...run, plan: changed.plan, ways: noWaysOut, next: 'Nothing was written.' };
    return said(
      () => ({ ...jsonOf(asIs), supposed: { changes, ...jsonOf(changed) } }),
      () => {
        const screen = planScreen(view);
        const table = compareTable([asIs, changed]);
        const beside = { heading: 'Beside the season as it is', table };
        return { ...screen, parts: [beside, ...(screen.parts ?? [])] };
      },
    );
  }

  const plan = await solve({ onFound: progress.found });
  const isMet = plan.status !== 'infeasible';
  let next = '';
  if (isToWrite && isMet && plan.lines.length + (wished.replan ? 1 : 0) > 0) {
    await write(context, opened, plan, wished);
    next = `Written to season.yaml: ${counted(plan.lines.length, 'set')} under plan.`;
  } else if (isToWrite) next = 'Nothing was written.';
  else if (isMet && plan.lines.length > 0)
    next = `To put these into season.yaml: traybook plan${wished.replan ? ' --replan' : ''} --write`;
  const view = { ...run, plan, ways: noWaysOut, next };
  if (isMet || plan.interrupted)
    return said(
      () => planJson(view),
      () => planScreen(view),
      exitOf(plan),
    );
  // The nearest plan first, at once; then ways out as they are found.
  progress.end();
  const paper = paperOf(context, season);
  const shown = context.json ? null : context.show;
  shown?.(screenText(planScreen(view), paper));
  const asking = { season, now, rates, outlookOf, options: wished };
  const ways = await waysOutOf(asking, plan, effort, (found) => {
    progress.end();
    const text = 'change' in found ? `way out: ${wayText(plan, found)}` : insteadText(plan, found);
    shown?.(`${hanging('', text, paper.width)}\n`);
  });
  const whole = { ...view, ways };
  return said(
    () => planJson(whole),
    () => (shown === null ? planScreen(whole) : waysScreen(plan, ways)),
    exitOf(plan),
  );
}

/**
 * Plans a season that has just begun and writes the plan; tells in words what came of it. That there
 * is no plan is no fault of a new season.
 *
 * @throws Stop if the plan could not be written
 */
export async function firstPlan(
  context: Pick<Context, 'instant'>,
  opened: OpenedSeason,
): Promise<string> {
  const { season, faults, isEmpty } = goalsInReach(opened.season, opened.now);
  if (isEmpty)
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
    await write(context, opened, plan, wished);
    const days = plan.lines.map((line) => line.on).sort();
    return `a first plan: ${counted(plan.lines.length, 'set')} from ${days[0]} to ${days.at(-1)}, for the goals at the confidence they ask; traybook plan shows it`;
  } catch (error) {
    if (error instanceof SolverFailure) return `no first plan: the solver failed: ${error.message}`;
    throw error;
  }
}
