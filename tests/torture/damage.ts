// What bad sectors, bad merges and slips of an editor do to a folder, and what the program answers.
import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import * as fc from 'fast-check';
import { type FaultCode, faultCodes } from '../../src/text/fault.ts';
import { readingLines } from '../support/every-command.ts';
import { type Answer, answer } from '../support/in-process.ts';
import { BOOK_NOW, wholeBook } from '../support/whole-book.ts';

type Files = Readonly<Record<string, Buffer>>;

const place = fc.double({ min: 0, max: 1, noNaN: true, maxExcluded: true });
const length = fc.nat({ max: 60 });
const hostile = fc.constantFrom(
  '\u001b[2J',
  '\u202e',
  '\0',
  '=cmd()',
  '<b>',
  '__proto__',
  '../',
  '"',
  ',',
  '\n',
  '\r',
  '\r\n',
  ':',
  '{',
  '[',
  '&a ',
  '*a',
  '- ',
  '\t',
  '\ufeff',
  '!!js ',
  '? ',
  '|\n',
  '%YAML 1.1\n---\n',
  '\n---\n',
  '\n...\n',
  '# ',
  '<<<<<<< HEAD\n',
  '9'.repeat(400),
  'x'.repeat(70_000),
  '[['.repeat(500),
  'NaN',
  '-1',
  '1e999',
  '0x10',
  '2027-02-30',
);

/** One mishap, as a change of a file's bytes. */
const mishap: fc.Arbitrary<(old: Buffer) => Buffer> = fc.oneof(
  fc.tuple(place, fc.integer({ min: 1, max: 255 })).map(([at, bits]) => (old: Buffer) => {
    const out = Buffer.from(old);
    const index = Math.floor(at * out.length);
    if (out.length > 0) out[index] = out[index]! ^ bits;
    return out;
  }),
  place.map((at) => (old: Buffer) => old.subarray(0, Math.floor(at * old.length))),
  fc.tuple(place, length).map(([at, cut]) => (old: Buffer) => {
    const from = Math.floor(at * old.length);
    return Buffer.concat([old.subarray(0, from), old.subarray(from + cut)]);
  }),
  fc.tuple(place, length).map(([at, size]) => (old: Buffer) => {
    const from = Math.floor(at * old.length);
    return Buffer.concat([old.subarray(0, from + size), old.subarray(from)]);
  }),
  fc.tuple(place, place, length).map(([one, other, size]) => (old: Buffer) => {
    const [a, b] = [one, other].map((at) => Math.floor(at * old.length)).sort((x, y) => x - y) as [
      number,
      number,
    ];
    const from = Math.max(b, a + size);
    return Buffer.concat([
      old.subarray(0, a),
      old.subarray(from, from + size),
      old.subarray(a + size, from),
      old.subarray(a, a + size),
      old.subarray(from + size),
    ]);
  }),
  fc
    .tuple(fc.constantFrom('lost', 'doubled', 'moved'), place, place)
    .map(([what, one, other]) => (old: Buffer) => {
      const lines = old.toString('latin1').split('\n');
      const [line] = lines.splice(Math.floor(one * lines.length), what === 'doubled' ? 0 : 1);
      const put = what === 'doubled' ? lines[Math.floor(one * lines.length)]! : line!;
      if (what !== 'lost') lines.splice(Math.floor(other * lines.length), 0, put);
      return Buffer.from(lines.join('\n'), 'latin1');
    }),
  fc
    .tuple(place, fc.oneof(hostile, fc.uint8Array({ maxLength: 4 })))
    .map(([at, put]) => (old: Buffer) => {
      const from = Math.floor(at * old.length);
      return Buffer.concat([old.subarray(0, from), Buffer.from(put as string), old.subarray(from)]);
    }),
  fc.constantFrom('', 'x'.repeat(70_000), '\0'.repeat(4096)).map((text) => () => Buffer.from(text)),
);

type Hit = { readonly file: number; readonly mishap: (old: Buffer) => Buffer };
const hits = fc.array(fc.record({ file: fc.nat(), mishap }), { minLength: 1, maxLength: 3 });

function struck(whole: Files, blows: readonly Hit[]): Files {
  const names = Object.keys(whole);
  const files: Record<string, Buffer> = { ...whole };
  for (const { file, mishap } of blows) {
    // The season file is one of twenty, and holds half of what can go wrong.
    const name = file % 3 === 0 ? 'season.yaml' : names[file % names.length]!;
    files[name] = mishap(files[name]!);
  }
  return files;
}

function put(folder: string, files: Files): void {
  rmSync(folder, { recursive: true, force: true });
  mkdirSync(join(folder, 'log'), { recursive: true });
  for (const [name, bytes] of Object.entries(files)) writeFileSync(join(folder, name), bytes);
}

type Problem = {
  code: FaultCode;
  severity: string;
  file: string;
  line: number;
  column: number;
  message: string;
};

const isStopping = ({ code, severity }: Problem): boolean =>
  faultCodes[code] === 'unreadable' || (faultCodes[code] === 'content' && severity === 'error');

function must(holds: boolean, promise: string): asserts holds {
  if (!holds) throw new Error(promise);
}

const NOT_SAID = /fault of the program|\n {4}at |\bundefined\b|\bNaN\b|\[object|\bInfinity\b/;

/** What `check` finds, all of it of the catalogue and in its place. */
function problemsOf(told: Answer): Problem[] {
  must([0, 1, 3].includes(told.code), `check ends with ${told.code}: ${told.stderr}`);
  const { problems } = JSON.parse(told.stdout) as { problems: Problem[] };
  for (const one of problems) {
    must(Object.hasOwn(faultCodes, one.code), `${one.code} is of the catalogue`);
    must(one.line > 0 && one.column > 0, `${one.code} has its place`);
    must(!NOT_SAID.test(one.message), `${one.code} is told in words: ${one.message}`);
  }
  return problems;
}

/** What any other command may answer once `check` found these problems. */
function judge(words: readonly string[], told: Answer, problems: readonly Problem[]): void {
  const line = words.join(' ');
  must(!NOT_SAID.test(told.stderr), `${line}: ${told.stderr}`);
  must([0, 1, 2, 3].includes(told.code), `${line} ends with ${told.code}`);
  if (problems.some(isStopping)) {
    must(told.code === 3, `${line} ends with ${told.code} on a folder that cannot be read`);
    must(told.stdout === '', `${line} draws no figure from it`);
    must(told.stderr !== '', `${line} says why`);
  } else {
    must(!NOT_SAID.test(told.stdout), `${line} prints no figure that is none`);
    const isSaid = words.includes('check') || told.stderr.includes('out-of-balance');
    const isImpossible = problems.some(
      (one) =>
        one.code === 'out-of-balance' &&
        one.severity === 'error' &&
        /hatches|candlings|transfers/.test(one.file),
    );
    must(!isImpossible || isSaid || told.code === 2, `${line} tells of a count that cannot be`);
  }
}

/** What nothing may take more of than a sound folder, this many times. */
const TIMES = 20;
const MEMORY_KIB = 1024 * 1024;
/** A command that is over by chance, as memory was tidied up meanwhile, is asked again. */
const TRIES = 3;

/**
 * Damages a season at random, and asks the program, in this process, what it makes of it. No answer may
 * take more than twenty times the processor time of the same command on the sound folder, or of `check`
 * there if that takes longer.
 *
 * @param runs damaged folders; each is read by `check` and two other command lines
 */
export async function damaged(runs: number, seed: number): Promise<string> {
  const home = mkdtempSync(join(tmpdir(), 'traybook-'));
  const folder = join(home, 'damaged');
  const whole = await book(home);
  const lines = readingLines({ set: 'A1', line: 'sussex' });
  let most = { times: 0, words: '' };
  let refused = 0;
  let told = 0;
  const measured = async (words: readonly string[]): Promise<[Answer, number]> => {
    const before = process.cpuUsage();
    const answered = await answer(folder, words, { now: BOOK_NOW });
    const { user, system } = process.cpuUsage(before);
    return [answered, user + system];
  };
  const sound = new Map<string, number>();
  const soundCost = async (words: readonly string[]): Promise<number> => {
    const key = words.join(' ');
    const known = sound.get(key);
    if (known !== undefined) return known;
    put(folder, whole);
    await measured(words);
    const made = Math.max((await measured(words))[1], sound.get('check --json') ?? 0);
    sound.set(key, made);
    return made;
  };
  const ask = async (words: readonly string[]): Promise<Answer> => {
    const allowed = sound.get(words.join(' '))!;
    let [answered, cost] = await measured(words);
    for (let tries = 1; cost > TIMES * allowed && tries < TRIES; tries += 1)
      [answered, cost] = await measured(words);
    const times = cost / allowed;
    must(
      times <= TIMES,
      `${words.join(' ')} takes ${times.toFixed(1)} times a sound folder's time`,
    );
    if (times > most.times) most = { times, words: words.join(' ') };
    return answered;
  };
  try {
    await fc.assert(
      fc.asyncProperty(hits, fc.tuple(fc.nat(), fc.nat()), async (blows, picks) => {
        const asked = [
          ['check', '--json'],
          ...picks.map((pick) => lines[pick % lines.length]!).filter(([name]) => name !== 'check'),
        ];
        for (const words of asked) await soundCost(words);
        put(folder, struck(whole, blows));
        const problems = problemsOf(await ask(asked[0]!));
        if (problems.some(isStopping)) refused += 1;
        else if (problems.length > 0) told += 1;
        for (const words of asked.slice(1)) judge(words, await ask(words), problems);
      }),
      { numRuns: runs, seed },
    );
  } finally {
    rmSync(home, { recursive: true, force: true });
  }
  return `${runs} damaged folders: ${refused} refused with exit code 3, ${told} read and their faults told, the rest read without a fault; no stack trace, no figure from what cannot be read; the dearest answer took ${most.times.toFixed(1)} times the processor time of a sound folder (${most.words})`;
}

/** The same with the built program, as processes of its own, whose memory is bounded as well. */
export async function damagedForReal(root: string, runs: number, seed: number): Promise<string> {
  const home = mkdtempSync(join(tmpdir(), 'traybook-'));
  const folder = join(home, 'damaged');
  const usage = join(home, 'usage');
  const whole = await book(home);
  const lines = readingLines({ set: 'A1', line: 'sussex' });
  let most = { times: 0, words: '' };
  let memory = 0;
  type Used = { readonly cpu: number; readonly memory: number };
  const ask = (words: readonly string[]): [Answer, Used] => {
    const { status, stdout, stderr } = spawnSync(
      process.execPath,
      [
        ...['--require', join(root, 'tests/torture/usage.cjs'), join(root, 'bin/traybook.js')],
        ...['--now', BOOK_NOW, ...words],
      ],
      {
        cwd: folder,
        encoding: 'utf8',
        maxBuffer: 1e9,
        env: { PATH: process.env.PATH ?? '', TZ: 'UTC', USAGE: usage },
      },
    );
    must(status !== null, `${words.join(' ')} ends by itself`);
    return [{ code: status, stdout, stderr }, JSON.parse(readFileSync(usage, 'utf8')) as Used];
  };
  const bounded = (words: readonly string[], sound: Used): Answer => {
    const [answered, used] = ask(words);
    const times = used.cpu / sound.cpu;
    must(
      times <= TIMES,
      `${words.join(' ')} takes ${times.toFixed(1)} times a sound folder's time`,
    );
    must(used.memory < MEMORY_KIB, `${words.join(' ')} takes ${used.memory} KiB`);
    if (times > most.times) most = { times, words: words.join(' ') };
    memory = Math.max(memory, used.memory);
    return answered;
  };
  try {
    const drawn = fc.sample(fc.tuple(hits, fc.nat()), { numRuns: runs, seed });
    for (const [blows, pick] of drawn) {
      const check = ['check', '--json'];
      const words = lines[pick % lines.length]!;
      put(folder, whole);
      const [, sound] = ask(check);
      const [, soundOther] = ask(words);
      put(folder, struck(whole, blows));
      const problems = problemsOf(bounded(check, sound));
      if (words[0] !== 'check') judge(words, bounded(words, soundOther), problems);
    }
  } finally {
    rmSync(home, { recursive: true, force: true });
  }
  return `${runs} damaged folders read by processes of their own: the dearest took ${most.times.toFixed(1)} times the processor time of a sound one (${most.words}), none more than ${Math.round(memory / 1024)} MiB`;
}

async function book(home: string): Promise<Files> {
  const folder = join(home, 'whole');
  await wholeBook(folder);
  const names = ['season.yaml', ...readdirSync(join(folder, 'log')).map((name) => `log/${name}`)];
  return Object.fromEntries(names.map((name) => [name, readFileSync(join(folder, name))]));
}
