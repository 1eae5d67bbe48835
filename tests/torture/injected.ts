// System calls that fail, fall short or end the process, one at a time, under every command that
// writes: what is acknowledged is there once, what is refused is not, and every exit code is a
// documented one. The calls are caught by a small library that is preloaded (`shim.c`), or by strace.
import { type SpawnSyncReturns, spawnSync } from 'node:child_process';
import {
  cpSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { constants } from 'node:os';
import { join } from 'node:path';
import { answer } from '../support/in-process.ts';
import { SEASON } from '../support/season-folder.ts';

/** The n-th call of a name, from 1, among those on the files of the folder. */
type Place = { readonly call: string; readonly at: number };

/** A way to make one system call of a run go wrong. */
export type Injector = {
  readonly name: string;
  /** How a call may go wrong: an error, half of what was given (`short`), the end of the process. */
  hows(call: string): readonly string[];
  /** Words and variables that put a command under watch, and the fault in if one is given. */
  around(root: string, log: string, fault: (Place & { how: string }) | null): Watch;
  /** The calls on files of the folder that a run without a fault has left in the log. */
  places(log: string, root: string): Place[];
  isHit(log: string, root: string): boolean;
};
type Watch = { readonly words: readonly string[]; readonly env: Readonly<Record<string, string>> };

const ERRORS = ['ENOSPC', 'EIO', 'EACCES', 'EDQUOT'] as const;
const withShort = (call: string): readonly string[] =>
  call === 'write' ? [...ERRORS, 'kill', 'short'] : [...ERRORS, 'kill'];

/** The preloaded library, built into a folder; null where there is no compiler or no preloading. */
export function shimInjector(root: string, folder: string): Injector | null {
  if (process.platform !== 'linux') return null;
  const shim = join(folder, 'shim.so');
  const source = join(root, 'tests/torture/shim.c');
  const made = spawnSync('gcc', ['-shared', '-fPIC', '-O1', '-o', shim, source, '-ldl']);
  if (made.status !== 0) return null;
  const linesOf = (log: string) =>
    existsSync(log) ? readFileSync(log, 'utf8').trimEnd().split('\n') : [];
  return {
    name: 'preloaded library',
    hows: withShort,
    around: (folder, log, fault) => {
      const number = (how: string) =>
        constants.errno[how as keyof typeof constants.errno]?.toString() ?? how;
      return {
        words: [],
        env: {
          LD_PRELOAD: shim,
          FAULT_ROOT: `${folder}/`,
          FAULT_LOG: log,
          ...(fault === null
            ? {}
            : { FAULT_CALL: fault.call, FAULT_AT: `${fault.at}`, FAULT_HOW: number(fault.how) }),
        },
      };
    },
    places: (log) => numbered(linesOf(log)),
    isHit: (log) => linesOf(log).length > 0,
  };
}

const numbered = (calls: readonly string[]): Place[] => {
  const counts = new Map<string, number>();
  return calls.map((call) => {
    const at = (counts.get(call) ?? 0) + 1;
    counts.set(call, at);
    return { call, at };
  });
};

/** The calls that change something on a disk, by their names on any processor. */
const CHANGING = [
  ...[
    'open',
    'openat',
    'write',
    'pwrite64',
    'fsync',
    'fdatasync',
    'ftruncate',
    'fchmod',
    'fchmodat',
  ],
  ...['rename', 'renameat', 'renameat2', 'link', 'linkat', 'unlink', 'unlinkat'],
  ...['mkdir', 'mkdirat', 'rmdir', 'copy_file_range', 'sendfile'],
];

/** strace, which sees every call of the process; null where it is missing or may not trace. */
export function straceInjector(): Injector | null {
  const can = spawnSync('strace', ['-f', '-qq', '--seccomp-bpf', '-o', '/dev/null', 'true']);
  if (can.status !== 0) return null;
  /** Each call of the first thread, with its number among those of its name, and whether it counts. */
  const callsOf = (log: string, root: string) => {
    if (!existsSync(log)) return [];
    const lines = readFileSync(log, 'utf8').split('\n');
    const first = lines[0]!.split(' ')[0]!;
    const own = lines.filter((line) => line.startsWith(`${first} `) && /^\d+ +\w+\(/.test(line));
    const places = numbered(own.map((line) => /^\d+ +(\w+)\(/.exec(line)![1]!));
    return own.map((line, index) => ({
      ...places[index]!,
      concerns:
        line.includes(`${root}/`) &&
        (!/^\d+ +open/.test(line) || /O_WRONLY|O_RDWR|O_CREAT/.test(line)),
      injected: /\(INJECTED\)|= \?$/.test(line),
    }));
  };
  return {
    name: 'strace',
    hows: () => [...ERRORS, 'kill'],
    around: (_, log, fault) => ({
      words: [
        ...['strace', '-f', '-qq', '-y', '--seccomp-bpf', '-o', log],
        ...['-e', `trace=${CHANGING.map((name) => `?${name}`).join(',')}`],
        ...(fault === null
          ? []
          : [
              '-e',
              `inject=${fault.call}:${fault.how === 'kill' ? 'signal=KILL' : `error=${fault.how}`}:when=${fault.at}`,
            ]),
      ],
      env: {},
    }),
    places: (log, root) => callsOf(log, root).filter(({ concerns }) => concerns),
    // The call that was hit may be another than was meant, if the program's way there differed.
    isHit: (log, root) => callsOf(log, root).some((one) => one.injected && one.concerns),
  };
}

/** A command that writes, in a folder that holds `season` and may come to hold `out`. */
type Case = {
  readonly words: readonly string[];
  /** Makes the season it is run on: an example, or one of its own. */
  readonly from: 'midseason' | 'finished' | ((place: Workplace) => void);
  /** Read at the clock's own moment: else the calendar is a replay and keeps nothing. */
  readonly isNow?: true;
  /** Taken so much rarer than others, because it takes so long. */
  readonly rare?: number;
};
type Workplace = {
  readonly season: string;
  readonly out: string;
  run(words: readonly string[]): void;
};

const GOAL =
  'goals:\n  - {line: sussex, want: chicks, count: 20, by: 2027-06-20, confidence: 0.8}\n';
const small = ({ season }: Workplace): void => {
  mkdirSync(join(season, 'log'), { recursive: true });
  writeFileSync(join(season, 'season.yaml'), SEASON + GOAL);
};
const planned = (place: Workplace): void => {
  small(place);
  place.run(['plan', '--write', '--draws', '100']);
};
const BROKEN = 'a23456789b';
const NOTE = ['on 2027-03-16', 'eggs north=8/7', 'money --category feed --amount 12', ''].join(
  '\n',
);
const TABLE = 'Day,What,Sum\n2027-03-17,feed,12\n2027-03-18,litter,5\n';

/** Every command that writes, once in each of its ways. */
const cases: readonly Case[] = [
  { words: ['add', 'eggs', 'north', '--laid', '8', '--kept', '7'], from: 'midseason' },
  { words: ['add', 'candling', 'D7', '--pen', 'north', '--clear', '2'], from: 'midseason' },
  { words: ['add', 'hatch', 'D5', '--pen', 'north', '--hatched', '15'], from: 'midseason' },
  { words: ['amend', 'last', 'note=again'], from: 'midseason' },
  { words: ['void', 'last'], from: 'midseason' },
  // The first row of a log, and of two logs at once.
  { words: ['add', 'eggs', 'north', '--laid', '8', '--kept', '7'], from: small },
  {
    words: ['add', '--lines', 'note.txt'],
    from: (place) => {
      small(place);
      writeFileSync(join(place.season, 'note.txt'), NOTE);
    },
  },
  // A torn line is set aside on the way.
  {
    words: ['add', 'eggs', 'north', '--laid', '8', '--kept', '7'],
    from: (place) => {
      small(place);
      place.run(['add', 'eggs', 'north', '--laid', '9', '--kept', '8', '--on', '2027-03-15']);
      const log = join(place.season, 'log/eggs.csv');
      writeFileSync(log, `${readFileSync(log, 'utf8')}a23456789b,2027`);
    },
  },
  // A row that cannot be read is withdrawn.
  {
    words: ['void', BROKEN],
    from: (place) => {
      small(place);
      place.run(['add', 'eggs', 'north', '--laid', '9', '--kept', '8', '--on', '2027-03-15']);
      const log = join(place.season, 'log/eggs.csv');
      writeFileSync(
        log,
        readFileSync(log, 'utf8').replace(/\w{10},(.*),9,8,/, `${BROKEN},$1,9,8x,`),
      );
    },
  },
  { words: ['check', '--accept', 'out-of-balance', 'D8 south', '--why', 'seen'], from: 'finished' },
  {
    words: ['import', 'table.csv', '--as', 'money', '--write'].concat([
      '--map',
      'Day=on',
      '--map',
      'What=category',
      '--map',
      'Sum=amount',
    ]),
    from: (place) => {
      small(place);
      writeFileSync(join(place.season, 'table.csv'), TABLE);
    },
  },
  { words: ['plan', '--write', '--draws', '100'], from: small, rare: 3 },
  { words: ['plan', '--replan', '--write', '--draws', '100'], from: planned, rare: 3 },
  {
    words: ['plan', '--mend', '--write', '--draws', '100'],
    from: (place) => {
      planned(place);
      const path = join(place.season, 'season.yaml');
      writeFileSync(path, readFileSync(path, 'utf8').replace('hens: 11', 'hens: 3'));
    },
    rare: 3,
  },
  { words: ['breeders', '--mate', '--line', 'dorking', '--write'], from: 'finished', rare: 20 },
  { words: ['new', 'OUT', '--zone', 'Europe/London'], from: small },
  { words: ['new', 'OUT', '--example'], from: small },
  { words: ['new', 'OUT', '--from', '.', '--no-plan'], from: small },
  { words: ['new', 'OUT', '--from', '.'], from: planned, rare: 3 },
  { words: ['export', 'OUT'], from: small },
  {
    words: ['export', 'OUT'],
    from: (place) => {
      small(place);
      place.run(['export', 'OUT']);
    },
  },
  { words: ['calendar'], from: small, isNow: true },
  {
    words: ['calendar'],
    isNow: true,
    from: (place) => {
      small(place);
      place.run(['calendar']);
    },
  },
];

/** So many broken promises are told before the run is given up. */
const MOST_BROKEN = 20;
const KILLED = 'SIGKILL';
const NOW = '2027-03-20T09:00';

class Broken extends Error {
  override readonly name = 'Broken';
}

/** The text of every file below a folder that a keeper could miss: not the program's own. */
function filesIn(folder: string): Map<string, string> {
  const out = new Map<string, string>();
  if (!existsSync(folder)) return out;
  for (const entry of readdirSync(folder, { recursive: true, withFileTypes: true })) {
    const path = join(entry.parentPath, entry.name);
    const name = path.slice(folder.length + 1);
    if (!/(^|\/)\.(traybook|out\.)/.test(name) && entry.isFile())
      out.set(name, readFileSync(path, 'utf8'));
  }
  return out;
}

const rowsOf = (files: ReadonlyMap<string, string>): string[] =>
  [...files]
    .filter(([name]) => /^season\/log\/\w+\.csv$/.test(name))
    .flatMap(([name, text]) =>
      text
        .split('\n')
        .slice(1, -1)
        .map((row) => `${name}: ${row}`),
    )
    .sort();

/** What is there, by names, and how much of it: entries and instants differ from run to run. */
const shapeOf = (files: ReadonlyMap<string, string>): string =>
  [...files]
    .map(([name, text]) => `${name.replace(/torn-[\dT-]+Z?/, 'torn')} ${text.split('\n').length}`)
    .sort()
    .join('; ');

/** One fault of one command, and what it ended with. */
class Trial {
  readonly place: Workplace;
  readonly #fixture: string;
  readonly #root: string;
  readonly #program: string;
  now: string;
  /** What is there before, and after a run without a fault. */
  before = new Map<string, string>();
  done = '';
  places: readonly Place[] = [];

  constructor(
    readonly project: string,
    readonly scratch: string,
    readonly one: Case,
    index: number,
  ) {
    this.#program = join(project, 'bin', 'traybook.js');
    this.#root = join(scratch, 'injected');
    this.#fixture = join(scratch, `fixture-${index}`);
    const season = join(this.#root, 'season');
    this.place = {
      season,
      out: join(this.#root, 'out'),
      run: (words) => this.well(this.run(words), words),
    };
    const moments = JSON.parse(readFileSync(join(project, 'examples', 'now.json'), 'utf8'));
    this.now = typeof one.from === 'string' ? moments[one.from] : NOW;
    rmSync(this.#root, { recursive: true, force: true });
    mkdirSync(season, { recursive: true });
    if (typeof one.from === 'string')
      cpSync(join(project, 'examples', one.from), season, { recursive: true });
    else one.from(this.place);
    cpSync(this.#root, this.#fixture, { recursive: true });
  }

  /** Finds where the command changes something, and what it makes where nothing goes wrong. */
  learn(injector: Injector, log: string): void {
    this.fresh(log);
    this.before = filesIn(this.#root);
    this.well(this.run(this.one.words, injector.around(this.#root, log, null)), this.one.words);
    this.done = shapeOf(filesIn(this.#root));
    this.places = injector.places(log, this.#root);
    if (this.places.length === 0) throw new Broken(`${this.told} writes nothing`);
  }

  get told(): string {
    return this.one.words.join(' ');
  }

  fresh(log: string): void {
    rmSync(log, { force: true });
    rmSync(this.#root, { recursive: true, force: true });
    cpSync(this.#fixture, this.#root, { recursive: true });
  }

  run(words: readonly string[], watch: Watch = { words: [], env: {} }): SpawnSyncReturns<string> {
    const { PATH = '', HOME = '' } = process.env;
    const given = words.map((word) => (word === 'OUT' ? this.place.out : word));
    const [program, ...rest] = [
      ...[...watch.words, process.execPath, this.#program, ...given],
      ...(this.one.isNow && words[0] === 'calendar' ? [] : ['--now', this.now]),
    ];
    return spawnSync(program!, rest, {
      cwd: this.place.season,
      encoding: 'utf8',
      env: { PATH, HOME, TZ: 'UTC', TRAYBOOK_BY: 'Ane', ...watch.env },
    });
  }

  well({ status, stderr }: SpawnSyncReturns<string>, words: readonly string[]): void {
    if (status !== 0) throw new Broken(`${words.join(' ')} ended with ${status}: ${stderr}`);
  }

  /** Null if the fault was not met. */
  async tried(
    injector: Injector,
    log: string,
    fault: Place & { how: string },
  ): Promise<string | null> {
    this.fresh(log);
    const told = `${this.told}, ${fault.call} ${fault.at}: ${fault.how} (${injector.name})`;
    const must = (holds: boolean, promise: string): void => {
      if (!holds) throw new Broken(`${told}: ${promise}`);
    };
    const done = this.run(this.one.words, injector.around(this.#root, log, fault));
    if (!injector.isHit(log, this.#root)) return null;
    const end = done.signal ?? String(done.status);
    must(['0', '4', '5', KILLED].includes(end), `it ended with ${end}: ${done.stderr}`);
    must(!/fault of the program|\n {4}at /.test(done.stderr), `it said ${done.stderr}`);
    const after = filesIn(this.#root);
    const rows = rowsOf(after);
    const had = rowsOf(this.before);
    must(new Set(rows).size === rows.length, 'a row is there twice');
    must(
      had.every((row) => rows.includes(row)),
      'a row that was there is gone',
    );
    const torn = (files: Map<string, string>) =>
      [...files].some(([name]) => name.includes('.torn-'));
    if (end === '0')
      must(shapeOf(after) === this.done, `acknowledged, and there is ${shapeOf(after)}`);
    else if (end === '5') {
      // What is there is named: a new season may lack its first plan.
      const lines = /\d+(?=;|$)/g;
      must(
        shapeOf(after).replace(lines, '') === this.done.replace(lines, ''),
        `acknowledged, and there is ${shapeOf(after)}`,
      );
      must(/it is recorded, though: /.test(done.stderr), `it does not name what: ${done.stderr}`);
    } else if (end === '4') {
      for (const [name, text] of after)
        if (!name.includes('.torn-'))
          must(
            this.before.get(name) === text || (torn(after) && name.startsWith('season/log/')),
            `refused, and ${name} is changed`,
          );
      for (const name of this.before.keys()) must(after.has(name), `refused, and ${name} is gone`);
      must(rows.length === had.length, 'refused, and a row is there');
      must(
        this.before.has('out/datapackage.json') || !existsSync(this.place.out),
        'refused, and a folder is left',
      );
    } else {
      const yaml = after.get('season/season.yaml') ?? '';
      must(yaml.endsWith('\n'), 'killed, and season.yaml is cut');
    }
    // Whatever happened, the next command reads the folder, writes, and leaves nothing of it behind.
    const next = ['add', 'money', '--category', 'feed', '--amount', '1', '--anyway', '--again'];
    if (this.one.words[0] !== 'void' || end === '0') {
      // In this process, which says the same and starts sooner.
      const { code, stderr } = await answer(this.place.season, next, { now: this.now });
      must(code === 0, `${next.join(' ')} ended with ${code}: ${stderr}`);
      must(rowsOf(filesIn(this.#root)).length === rows.length + 1, 'the next row is not there');
      const left = readdirSync(this.place.season).filter((name) => /^\.traybook\.lock/.test(name));
      must(left.length === 0, `left behind: ${left.join(', ')}`);
    }
    if (end !== '0' && this.one.words[0] === 'export') {
      this.well(this.run(this.one.words), this.one.words);
      const beside = readdirSync(this.#root).filter((name) => name.startsWith('.'));
      must(beside.length === 0, `left behind: ${beside.join(', ')}`);
    }
    return end;
  }
}

/**
 * Puts in faults until `most` have been met: each of a place and a way, drawn without repeating until
 * all have been.
 *
 * @param random numbers from 0 to 1, for the order
 * @param part which share of the drawn faults to take, for processes that share them: those whose
 *   number leaves `rest` when divided by `parts`
 * @returns how many there were and what they ended with, in words
 */
export async function injected(
  { root, scratch }: { root: string; scratch: string },
  injector: Injector,
  most: number,
  random: () => number,
  { parts, rest } = { parts: 1, rest: 0 },
): Promise<string> {
  const log = join(scratch, 'hit');
  const trials = cases.map((one, index) => {
    const trial = new Trial(root, scratch, one, index);
    trial.learn(injector, log);
    return trial;
  });
  const faults = trials
    .flatMap((trial) =>
      trial.places.flatMap((place) =>
        injector.hows(place.call).map((how) => ({
          trial,
          ...place,
          how,
          // As many of each command, whether it writes three files or thirty.
          turn: random() * trial.places.length * (trial.one.rare ?? 1),
        })),
      ),
    )
    .sort((a, b) => a.turn - b.turn)
    .filter((_, number) => number % parts === rest);
  const ends = new Map<string, number>();
  const met = new Map<string, number>();
  const broken: string[] = [];
  let missed = 0;
  let hit = 0;
  for (const { trial, call, at, how } of faults) {
    if (hit === most) break;
    let end: string | null = null;
    try {
      end = await trial.tried(injector, log, { call, at, how });
    } catch (error) {
      if (!(error instanceof Broken)) throw error;
      broken.push(error.message);
      if (broken.length === MOST_BROKEN) break;
    }
    if (end === null) {
      missed += 1;
      continue;
    }
    hit += 1;
    ends.set(end, (ends.get(end) ?? 0) + 1);
    met.set(trial.told, (met.get(trial.told) ?? 0) + 1);
  }
  if (broken.length > 0) throw new Broken(broken.join('\n'));
  if (missed > hit) throw new Broken(`${missed} faults were missed, ${hit} met`);
  const counts = [...ends].sort().map(([end, count]) => `${count} ended with ${end}`);
  return `${hit} of ${faults.length} faults put in under ${met.size} commands by the ${injector.name}: nothing acknowledged lost, nothing doubled; ${counts.join(', ')}; ${missed} not met`;
}
