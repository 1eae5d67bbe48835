// Two people in two clones of one season, evening after evening, and git between them: whatever was
// acknowledged is there once after every merge, and both clones read the same.
import { execFileSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import gitattributes from '../../seeds/starter/gitattributes';
import gitignore from '../../seeds/starter/gitignore';
import { kindOf, recordNames } from '../../src/records/index.ts';
import { headerOf } from '../../src/records/record.ts';
import { answer } from '../support/in-process.ts';
import { SEASON } from '../support/season-folder.ts';

class Broken extends Error {
  override readonly name = 'Broken';
}

function must(holds: boolean, promise: string): asserts holds {
  if (!holds) throw new Broken(promise);
}

const git = (folder: string, ...words: string[]): string =>
  execFileSync('git', ['-c', 'user.name=Ane', '-c', 'user.email=ane@example.org', ...words], {
    cwd: folder,
    encoding: 'utf8',
    stdio: ['ignore', 'pipe', 'pipe'],
  });

/** The rows of all logs, by their entry. */
function rowsOf(folder: string): Map<string, string> {
  const rows = new Map<string, string>();
  for (const name of readdirSync(join(folder, 'log'))) {
    const [header, ...lines] = readFileSync(join(folder, 'log', name), 'utf8').split('\n');
    must(header!.startsWith('entry,'), `${name} begins with its header`);
    must(lines.pop() === '', `${name} ends with a line feed`);
    for (const line of lines) {
      const entry = line.slice(0, line.indexOf(','));
      must(!rows.has(entry), `${name}: ${entry} is there once`);
      rows.set(entry, `${name}: ${line}`);
    }
  }
  return rows;
}

/**
 * Plays seasons of two clones.
 *
 * @param evenings of each season; on most of them one takes over what the other has, by merge
 * @param random numbers from 0 to 1
 * @returns how many rows and merges there were, in words
 */
export async function merged(
  seasons: number,
  evenings: number,
  random: () => number,
): Promise<string> {
  const below = (most: number): number => Math.floor(random() * most);
  const pick = <T>(list: readonly T[]): T => list[below(list.length)]!;
  let written = 0;
  let merges = 0;
  let amendedTwice = 0;
  for (let season = 0; season < seasons; season += 1) {
    const home = mkdtempSync(join(tmpdir(), 'traybook-merges-'));
    try {
      const [one, other] = [join(home, 'one'), join(home, 'other')];
      mkdirSync(join(one, 'log'), { recursive: true });
      writeFileSync(join(one, 'season.yaml'), SEASON);
      writeFileSync(join(one, '.gitattributes'), gitattributes);
      writeFileSync(join(one, '.gitignore'), gitignore);
      for (const name of recordNames) {
        const { file } = kindOf(name);
        writeFileSync(join(one, 'log', file), `${headerOf(kindOf(name)).join(',')}\n`);
      }
      git(one, 'init', '-q', '-b', 'main');
      git(one, 'add', '.');
      git(one, 'commit', '-qm', 'The season begins');
      git(home, 'clone', '-q', 'one', 'other');
      git(one, 'remote', 'add', 'other', other);
      git(other, 'remote', 'add', 'one', one);
      const clones = [
        { folder: one, by: 'Ane', from: 'other' },
        { folder: other, by: 'Bo', from: 'origin' },
      ] as const;
      /** Each row that a command acknowledged, by its entry. */
      const acknowledged = new Map<string, string>();
      const read = async (folder: string, words: readonly string[], now: string) => {
        const told = await answer(folder, words, { now });
        must(told.code === 0 || told.code === 1, `${words[0]} reads: ${told.stderr}`);
        return told.stdout;
      };
      for (let evening = 0; evening < evenings; evening += 1) {
        const date = new Date(Date.UTC(2027, 1, 1 + evening)).toISOString().slice(0, 10);
        for (const { folder, by } of clones) {
          for (let left = below(4); left > 0; left -= 1) {
            const before = rowsOf(folder);
            const laid = below(9);
            const words = pick([
              ...[0, 1, 2].map(() => [
                ...['add', 'eggs', pick(['north', 'south'])],
                ...['--laid', `${laid}`, '--kept', `${below(laid + 1)}`, '--note', `by ${by}`],
              ]),
              ['add', 'money', '--category', 'feed', '--amount', `${1 + below(40)}`],
              ['add', 'weather', '--low', `${below(9)}`, '--high', `${9 + below(9)}`],
              ...(before.size === 0
                ? []
                : [
                    ['amend', pick([...before.keys()]), `note=${below(99)}`],
                    ['void', pick([...before.keys()])],
                  ]),
            ]);
            const told = await answer(folder, words, { now: `${date}T20:0${below(9)}`, by });
            const after = rowsOf(folder);
            if (told.code !== 0) {
              must(told.code === 2 || told.code === 1, `${words.join(' ')}: ${told.stderr}`);
              must(after.size === before.size, `${words.join(' ')} was refused and wrote`);
              continue;
            }
            for (const [entry, row] of after) if (!before.has(entry)) acknowledged.set(entry, row);
            written += after.size - before.size;
          }
          if (git(folder, 'status', '--porcelain') !== '')
            git(folder, 'commit', '-qam', `Evening of ${date}`);
        }
        // Some evenings one takes over, some both, one after the other, and some neither.
        for (const { folder, from } of random() < 0.5 ? clones : [...clones].reverse()) {
          if (random() < 0.3) continue;
          git(folder, 'fetch', '-q', from);
          git(folder, 'merge', '-q', '--no-edit', `${from}/main`);
          merges += 1;
          must(git(folder, 'status', '--porcelain') === '', 'a merge leaves nothing to mend');
        }
      }
      for (const { folder, from } of [...clones, clones[0]]) {
        git(folder, 'fetch', '-q', from);
        git(folder, 'merge', '-q', '--no-edit', `${from}/main`);
        merges += 1;
      }
      const now = '2027-12-01T09:00';
      for (const { folder } of clones) {
        const rows = rowsOf(folder);
        for (const [entry, row] of acknowledged)
          must(rows.get(entry) === row, `the acknowledged ${row} is there as it was written`);
        must(rows.size === acknowledged.size, 'no row is there that nobody wrote');
      }
      for (const words of [['list', 'eggs'], ['list', 'money'], ['costs'], ['summary']])
        must(
          (await read(one, [...words, '--json'], now)) ===
            (await read(other, [...words, '--json'], now)),
          `${words.join(' ')} tells both the same`,
        );
      const { problems } = JSON.parse(await read(one, ['check', '--json'], now)) as {
        problems: { code: string }[];
      };
      const codes = problems.map(({ code }) => code);
      // Rows that were amended by both, unseen by the other: from the logs alone.
      const amended = new Map<string, number>();
      for (const row of acknowledged.values()) {
        const amends = row.split(',').at(-2)!;
        if (amends !== '') amended.set(amends, (amended.get(amends) ?? 0) + 1);
      }
      const due = [...amended.values()].filter((times) => times > 1).length;
      const told = codes.filter((code) => code === 'amended-twice').length;
      must(told === due, `${due} rows were amended twice, ${told} are told`);
      amendedTwice += due;
    } finally {
      rmSync(home, { recursive: true, force: true });
    }
  }
  return `${seasons} seasons of ${evenings} evenings in two clones: ${written} rows, ${merges} merges by git without a conflict, none lost or doubled; ${amendedTwice} rows amended twice, each told; both clones read the same`;
}
