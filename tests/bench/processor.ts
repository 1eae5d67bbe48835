/** Processor seconds of whole processes, and where those of one piece of work go. */
import { spawnSync } from 'node:child_process';
import { type Profiler, Session } from 'node:inspector';

export interface Ran {
  /** User and system seconds of the process and its children. */
  seconds: number;
  /** Seconds from its start to its end. */
  waited: number;
  stdout: string;
  stderr: string;
  /** Exit code; null if it was ended for taking too long. */
  code: number | null;
}

/** Runs a program under bash, whose `times` tells what its children took. */
export function processorTime(words: readonly string[], most: number): Ran {
  const start = performance.now();
  const { stdout, stderr, status } = spawnSync(
    'bash',
    ['-c', 'timeout "$0" "$@"; code=$?; times >&2; exit $code', String(most), ...words],
    { encoding: 'utf8', maxBuffer: 1e9, env: { ...process.env, TZ: 'UTC', LC_ALL: 'C' } },
  );
  const waited = (performance.now() - start) / 1000;
  const lines = stderr.trimEnd().split('\n');
  // The last line is of the children: `0m1.234s 0m0.100s`.
  const seconds = [...lines.at(-1)!.matchAll(/(\d+)m([\d.]+)s/g)].reduce(
    (sum, [, minutes, rest]) => sum + 60 * Number(minutes) + Number(rest),
    0,
  );
  const TOO_LONG = 124;
  return {
    seconds,
    waited,
    stdout,
    stderr: lines.slice(0, -2).join('\n'),
    code: status === TOO_LONG ? null : status,
  };
}

/** Processor seconds of work in this process, with its answer. */
export async function timed<T>(work: () => Promise<T>): Promise<{ seconds: number; answer: T }> {
  const before = process.cpuUsage();
  const answer = await work();
  const { user, system } = process.cpuUsage(before);
  return { seconds: (user + system) / 1e6, answer };
}

export interface Phase {
  name: string;
  seconds: number;
}

export interface Profile<T> {
  answer: T;
  phases: Phase[];
  /** How often each function was called, by name. */
  calls: ReadonlyMap<string, number>;
}

const MICROSECONDS = 1000;

/**
 * Runs work under the sampling profiler. `phaseOf` names the phase of a stack, given as function
 * names from the outermost to the innermost.
 */
export async function profiled<T>(
  work: () => Promise<T>,
  phaseOf: (stack: readonly string[]) => string | null,
): Promise<Profile<T>> {
  const session = new Session();
  session.connect();
  const post = <R>(method: string, parameters: object = {}): Promise<R> =>
    new Promise((resolve, reject) => {
      session.post(method, parameters, (error: Error | null, result?: object) =>
        error ? reject(error) : resolve(result as R),
      );
    });
  await post('Profiler.enable');
  await post('Profiler.setSamplingInterval', { interval: MICROSECONDS });
  await post('Profiler.startPreciseCoverage', { callCount: true, detailed: false });
  await post('Profiler.start');
  const answer = await work();
  const { profile } = await post<Profiler.StopReturnType>('Profiler.stop');
  const { result } = await post<Profiler.TakePreciseCoverageReturnType>(
    'Profiler.takePreciseCoverage',
  );
  session.disconnect();

  const nodes = new Map(profile.nodes.map((node) => [node.id, node]));
  const parent = new Map<number, number>();
  for (const node of profile.nodes)
    for (const child of node.children ?? []) parent.set(child, node.id);
  const phaseById = new Map<number, string | null>();
  const phaseAt = (id: number): string | null => {
    const known = phaseById.get(id);
    if (known !== undefined) return known;
    const stack: string[] = [];
    for (let at: number | undefined = id; at !== undefined; at = parent.get(at))
      stack.unshift(nodes.get(at)!.callFrame.functionName);
    const phase = phaseOf(stack);
    phaseById.set(id, phase);
    return phase;
  };
  const seconds = new Map<string, number>();
  profile.samples?.forEach((id, i) => {
    const phase = phaseAt(id);
    if (phase === null) return;
    seconds.set(phase, (seconds.get(phase) ?? 0) + (profile.timeDeltas?.[i] ?? 0) / 1e6);
  });
  const calls = new Map<string, number>();
  for (const script of result)
    for (const { functionName, ranges } of script.functions)
      if (functionName !== '')
        calls.set(functionName, (calls.get(functionName) ?? 0) + ranges[0]!.count);
  return {
    answer,
    phases: [...seconds]
      .map(([name, spent]) => ({ name, seconds: spent }))
      .sort((a, b) => b.seconds - a.seconds),
    calls,
  };
}
