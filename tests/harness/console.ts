// Runs the ```console blocks of a Markdown page with the real program and returns the page as it
// would read if every printed line were true. The caller compares that with the page itself, so a
// stale page fails with a plain diff and `npm test -- -u` rewrites it.
//
//   <!-- season: midseason -->                    a fresh copy of examples/midseason, its own clock
//   <!-- season: none, now: 2027-03-06T07:00 -->  an empty folder
//
//   ```console
//   $ traybook today
//   what it prints
//   ! what it says on stderr
//   [exit 2]
//   ```
//
// A comment holds until the next one, and each starts a fresh folder; commands after it share that
// folder and its working directory. Lines with `$` are run by bash, so pipes and `cd` work; lines
// with `>` straight after one continue it. A line that is a command alone is answered by the built
// program inside this process, which takes a tenth of the time that starting it takes.
import { spawnSync } from 'node:child_process';
import {
  chmodSync,
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  realpathSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import nows from '../../examples/now.json' with { type: 'json' };
import type { answerTo } from '../../src/cli.ts';
import { shapeFaults } from './shapes.ts';

export const root = join(dirname(fileURLToPath(import.meta.url)), '..', '..');

/** The fixed clock of each example season, as `--now` takes it. */
export const exampleNow: Readonly<Record<string, string>> = nows;

export type Outcome = { stdout: string; stderr: string; status: number };

/** The program that is tried: that of this folder, or an installed one. */
const program = process.env.TRAYBOOK_PROGRAM ?? join(root, 'bin', 'traybook.js');

/** The built program loaded into this process, as its launcher loads it. */
let loaded: typeof answerTo | undefined;
function builtAnswer(): typeof answerTo {
  const launcher = createRequire(import.meta.url)(program) as { load(name: string): unknown };
  loaded ??= (launcher.load('cli.js') as { answerTo: typeof answerTo }).answerTo;
  return loaded;
}

/** One word as bash reads it: bare, or in quotes with nothing in them that bash would replace. */
const WORD = /([\w./:=,%+@-]+)|'([^'\n]*)'|"([^"$`\\!\n]*)"/y;

/** The words of a line that is one command of the program and nothing else; null for any other. */
export function wordsOfCommand(line: string): string[] | null {
  const words: string[] = [];
  let at = 0;
  while (at < line.length) {
    let word: string | null = null;
    for (WORD.lastIndex = at; ; at = WORD.lastIndex) {
      const part = WORD.exec(line);
      if (part === null) break;
      word = (word ?? '') + (part[1] ?? part[2] ?? part[3] ?? '');
    }
    if (word === null || (at < line.length && line[at] !== ' ')) return null;
    words.push(word);
    at += 1;
  }
  // What reads its standard input, or is answered by the launcher, has a process of its own.
  const isPlain = words[0] === 'traybook' && !words.includes('-') && words[1] !== '--version';
  return isPlain ? words.slice(1) : null;
}

/** One scratch folder with the program on its PATH and a fixed clock. */
export class Barn {
  readonly #home: string;
  readonly #shims: string;
  readonly #places = new Set<string>();
  readonly #known = new Set<string>();
  readonly #alias = new Map<string, string>();
  #folder = '';
  #now = '';

  constructor() {
    this.#home = realpathSync(mkdtempSync(join(tmpdir(), 'traybook-barn-')));
    this.#shims = join(this.#home, 'bin');
    mkdirSync(this.#shims);
    const shim = join(this.#shims, 'traybook');
    // `--version` is answered before any import, and only when it is the sole word.
    writeFileSync(
      shim,
      `#!/bin/sh\nif [ "$1" = --version ] || [ -z "$BARN_NOW" ]; then set -- "$@"; else set -- --now "$BARN_NOW" "$@"; fi\nexec "${process.execPath}" "${program}" "$@"\n`,
    );
    chmodSync(shim, 0o755);
  }

  /** The working directory the next command runs in. */
  get folder(): string {
    return this.#folder;
  }

  /** Starts over in a fresh copy of `examples/NAME`, or in an empty folder for `none`. */
  enter(season: string, now: string | undefined): void {
    const place = mkdtempSync(join(this.#home, 'f-'));
    this.#places.add(place);
    this.#folder = join(place, season === 'none' ? 'work' : season);
    this.#alias.clear();
    this.#known.clear();
    if (season === 'none') {
      mkdirSync(this.#folder);
    } else {
      const from = join(root, 'examples', season);
      if (!existsSync(from)) throw new Error(`there is no example season ${season}`);
      cpSync(from, this.#folder, { recursive: true });
      // The seasons it names under `previous:` lie beside it.
      const file = readFileSync(join(from, 'season.yaml'), 'utf8');
      for (const other of readdirSync(join(root, 'examples')))
        if (file.includes(`../${other}`))
          cpSync(join(root, 'examples', other), join(place, other), { recursive: true });
    }
    this.#now = now ?? exampleNow[season] ?? '';
    for (const entry of this.#entries()) this.#known.add(entry);
  }

  /** Runs one line as bash would. Entry ids made on the way read `new0000001`, `new0000002` … */
  async run(line: string, environment: Readonly<Record<string, string>> = {}): Promise<Outcome> {
    const real = this.#unmask(line);
    const began = Date.now();
    const env = {
      PATH: `${this.#shims}:${process.env.PATH ?? ''}`,
      HOME: this.#home,
      TZ: 'UTC',
      LANG: 'C.UTF-8',
      NO_COLOR: '1',
      COLUMNS: '80',
      BARN_NOW: this.#now,
      // A file of its own that is not there: what a command sets for all of git stays inside.
      GIT_CONFIG_GLOBAL: join(this.#home, 'gitconfig'),
      ...environment,
    };
    const words = process.env.TRAYBOOK_PROGRAM === undefined ? wordsOfCommand(real) : null;
    const child = words === null ? this.#inBash(real, env) : await this.#here(words, env);
    for (const entry of this.#entries()) {
      if (this.#known.has(entry)) continue;
      this.#known.add(entry);
      this.#alias.set(entry, `new${String(this.#alias.size + 1).padStart(7, '0')}`);
    }
    if (child.stdout.startsWith('{\n  "format": ')) {
      const faults = shapeFaults(child.stdout);
      if (faults.length > 0) throw new Error(`${line}: ${faults.slice(0, 5).join('; ')}`);
    }
    const clean = (text: string) => this.#mask(text, began);
    return { stdout: clean(child.stdout), stderr: clean(child.stderr), status: child.status };
  }

  #inBash(line: string, env: Record<string, string>): Outcome {
    const pwd = join(this.#home, 'pwd');
    const child = spawnSync('bash', ['-c', `${line}\nrc=$?; pwd -P > "${pwd}"; exit $rc`], {
      cwd: this.#folder,
      encoding: 'utf8',
      input: '',
      timeout: 120_000,
      env,
    });
    if (child.error) throw child.error;
    if (existsSync(pwd)) this.#folder = readFileSync(pwd, 'utf8').trimEnd();
    return { stdout: child.stdout, stderr: child.stderr, status: child.status ?? 128 };
  }

  async #here(words: readonly string[], env: Record<string, string>): Promise<Outcome> {
    const at = this.#now === '' ? [] : ['--now', this.#now];
    const { stdout, stderr, exit } = await builtAnswer()([...at, ...words], {
      cwd: this.#folder,
      env,
      instant: Date.now(),
      random: (bytes) => crypto.getRandomValues(new Uint8Array(bytes)),
      isTerminal: false,
      columns: undefined,
      canAsk: false,
    });
    return { stdout, stderr, status: exit };
  }

  close(): void {
    rmSync(this.#home, { recursive: true, force: true });
  }

  *#entries(): Generator<string> {
    for (const place of this.#places) {
      const files = readdirSync(place, { recursive: true, encoding: 'utf8' });
      for (const file of files.filter((name) => /(^|\/)log\/[a-z_]+\.csv$/.test(name)).sort()) {
        // A page may put a folder where a log should be.
        if (!statSync(join(place, file)).isFile()) continue;
        for (const row of readFileSync(join(place, file), 'utf8').split('\n')) {
          const entry = /^([0-9a-hjkmnp-tv-z]{10}),/.exec(row)?.[1];
          if (entry) yield entry;
        }
      }
    }
  }

  #unmask(line: string): string {
    let real = line;
    for (const [entry, alias] of this.#alias) real = real.replaceAll(alias, entry);
    return real;
  }

  #mask(text: string, began: number): string {
    let clean = text;
    for (const [entry, alias] of this.#alias) clean = clean.replaceAll(entry, alias);
    for (const place of this.#places) clean = clean.replaceAll(place, '/home/keeper');
    // A `recorded` stamp of this very run, should a command take it from the real clock.
    return clean.replace(
      /\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(?:\.\d+)?(?:Z|[+-]\d\d:\d\d)/g,
      (stamp) => {
        const at = Date.parse(stamp);
        return at >= began - 1000 && at <= Date.now() + 1000 ? '(recorded just now)' : stamp;
      },
    );
  }
}

/** What a block shows after its `$` line. */
export function printed({ stdout, stderr, status }: Outcome): string[] {
  const lines = (text: string) => (text === '' ? [] : text.replace(/\n$/, '').split('\n'));
  return [
    ...lines(stdout).map((line) => (/^(\$ |> |! |\[exit |```)/.test(line) ? `\\${line}` : line)),
    ...lines(stderr).map((line) => (line === '' ? '!' : `! ${line}`)),
    ...(status === 0 ? [] : [`[exit ${status}]`]),
  ].map((line) => line.trimEnd());
}

const SEASON = /^<!-- season: ([a-z0-9-]+)(?:, now: (\S+))? -->$/;

/** The example seasons a page runs in. */
export function seasonsOf(page: string, start = 'midseason'): string[] {
  if (!/^```console$/m.test(page)) return [];
  const named = page.split('\n').flatMap((line) => SEASON.exec(line)?.[1] ?? []);
  const first = page.search(/^```console$/m);
  const before = page.search(/^<!-- season: /m);
  return before >= 0 && before < first ? named : [start, ...named];
}

/** The page with every console block's output as the program prints it now. */
export async function replay(
  page: string,
  start = 'midseason',
): Promise<{ page: string; commands: string[] }> {
  const barn = new Barn();
  const commands: string[] = [];
  let entered = false;
  try {
    const out: string[] = [];
    let inBlock = false;
    const lines = page.split('\n');
    for (let at = 0; at < lines.length; at++) {
      const line = lines[at] ?? '';
      const season = SEASON.exec(line);
      if (!inBlock && season) {
        barn.enter(season[1] ?? 'none', season[2]);
        entered = true;
      }
      if (!inBlock) {
        out.push(line);
        inBlock = /^```console\s*$/.test(line);
        continue;
      }
      if (line === '```') {
        out.push(line);
        inBlock = false;
        continue;
      }
      if (!line.startsWith('$ ')) continue;
      if (!entered) barn.enter(start, undefined);
      entered = true;
      const typed = [line];
      while (lines[at + 1]?.startsWith('> ')) typed.push(lines[++at] ?? '');
      const command = typed.map((part) => part.slice(2)).join('\n');
      commands.push(command);
      out.push(...typed, ...printed(await barn.run(command)));
    }
    if (inBlock) throw new Error('a console block is not closed');
    return { page: out.join('\n'), commands };
  } finally {
    barn.close();
  }
}
