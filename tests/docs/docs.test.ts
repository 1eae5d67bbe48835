// The pages keepers read cannot lie: every `$ traybook …` block is run, and what is made from the
// program's own tables is made again and compared. `npm test -- -u` rewrites; review the diff.
import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { Barn, exampleNow, replay, root, seasonsOf } from '../harness/console.ts';
import { isLongRun } from '../support/long.ts';

const commandFolder = join(root, 'src', 'commands');
const index = join(commandFolder, 'index.ts');
const { commands } = existsSync(index)
  ? ((await import(index)) as { commands: readonly { name: string; summary: string }[] })
  : { commands: [] };

const pagesIn = (folder: string) =>
  existsSync(folder) ? readdirSync(folder).filter((name) => name.endsWith('.md')) : [];

/** Pages that play a season through: of the long tests. */
const LONG = new Set(
  ['guide/mid-season', 'guide/morning', 'guide/worked-season', 'plan'].map(
    (name) => `src/commands/${name}.md`,
  ),
);

describe('what a page shows is what the program prints', () => {
  const pages = [
    'README.md',
    'DEVELOPERS.md',
    ...pagesIn(commandFolder).map((name) => `src/commands/${name}`),
    ...pagesIn(join(commandFolder, 'guide')).map((name) => `src/commands/guide/${name}`),
  ].filter((name) => existsSync(join(root, name)));
  for (const name of pages) {
    // A page that shows an example season waits for that season to be there.
    const seasons = seasonsOf(readFileSync(join(root, name), 'utf8'));
    const missing = seasons.filter(
      (one) => one !== 'none' && !existsSync(join(root, 'examples', one)),
    );
    if (missing.length > 0) console.warn(`SKIPPED: ${name}: examples/${missing[0]} is missing`);
    // A page may run many commands, and the machine may be busy.
    if (LONG.has(name) && !isLongRun) continue;
    test.skipIf(missing.length > 0)(name, async () => {
      const path = join(root, name);
      const before = readFileSync(path, 'utf8');
      const { page } = await replay(before);
      await expect(page).toMatchFileSnapshot(path);
    });
  }
});

test('the line for cron in the README says what is due, without any environment', async () => {
  const line = /^0 6 \* \* \* +(.*)$/m.exec(readFileSync(join(root, 'README.md'), 'utf8'))?.[1];
  const barn = new Barn();
  try {
    barn.enter('midseason', undefined);
    const command = line
      ?.replace('/home/you/2027', '$PWD')
      .replace('PATH=', 'PATH=$BIN:')
      .replace(' traybook ', ` traybook --now ${exampleNow.midseason} `);
    const mailed = await barn.run(
      `env -i PWD="$PWD" BIN="$(dirname "$(command -v traybook)")" /bin/sh -c '${command}'`,
    );
    expect(mailed).toMatchObject({ status: 0, stderr: '' });
    expect(mailed.stdout).toMatch(/^Saturday 24 April 2027, .*\n\d+ due/);
  } finally {
    barn.close();
  }
});

if (isLongRun)
  test('the README takes a season of one’s own from the first line to the next season', async () => {
    const page = readFileSync(join(root, 'README.md'), 'utf8');
    const own = page.slice(page.indexOf('## Your own season'), page.indexOf('| exit code'));
    const block = (kind: string) =>
      new RegExp(`\`\`\`${kind}\\n([^]*?)\`\`\``).exec(own)![1]!.trimEnd();
    const barn = new Barn();
    try {
      barn.enter('none', '2027-02-20T08:00');
      const person = Object.fromEntries(
        ['AUTHOR', 'COMMITTER'].flatMap((who) => [
          [`GIT_${who}_NAME`, 'Ane'],
          [`GIT_${who}_EMAIL`, 'ane@example.org'],
        ]),
      );
      const well = async (line: string) => {
        const { status, stdout, stderr } = await barn.run(line, person);
        expect([line, status], stdout + stderr).toEqual([line, 0]);
      };
      for (const line of block('sh').split('\n')) await well(line);
      // What the page writes into the file stands there in the place of the starter's.
      const file = join(barn.folder, 'season.yaml');
      const keys = [...block('yaml').matchAll(/^\w+(?=:)/gm)].map(([key]) => key);
      const kept = readFileSync(file, 'utf8')
        .split(/^(?=\w+:)/m)
        .filter((part) => !keys.some((key) => part.startsWith(`${key}:`)));
      writeFileSync(file, `${kept.join('')}${block('yaml')}\n`);
      const lines = [...own.matchAll(/`(traybook [^`]*)`/g)].map(([, line]) =>
        line!.replace(/\s+/g, ' '),
      );
      const whole = lines.filter((line) => !/\b(RECORD|COMMAND)\b/.test(line));
      expect(whole.length).toBeGreaterThan(12);
      for (const line of whole)
        await well(
          line.replace(' DIR', ' tables').replace('new 2028 --from 2027', 'new ../2028 --from .'),
        );
    } finally {
      barn.close();
    }
  });

describe('every command', () => {
  for (const { name, summary } of commands) {
    test(`${name} has a page and a help that shows an example`, async () => {
      const page = join(commandFolder, `${name}.md`);
      expect(existsSync(page), `write src/commands/${name}.md`).toBe(true);
      expect(readFileSync(page, 'utf8'), 'an example in a console block').toMatch(
        /^```console\n\$ traybook /m,
      );
      const barn = new Barn();
      try {
        barn.enter('none', undefined);
        const help = await barn.run(`traybook ${name} --help`);
        expect(help).toMatchObject({ status: 0, stderr: '' });
        expect(help.stdout).toContain(summary.replace(/\.$/, ''));
        expect(help.stdout, 'help ends with an example').toMatch(/^ *\$ traybook /m);
        expect(
          // An example is one command line, however long.
          help.stdout.split('\n').filter((line) => line.length > 80 && !/^ *\$ /.test(line)),
          'help fits 80 columns',
        ).toEqual([]);
      } finally {
        barn.close();
      }
    });
  }

  test('every page belongs to a command', () => {
    const names = new Set(commands.map((command) => command.name));
    const stray = pagesIn(commandFolder).filter((file) => !names.has(file.slice(0, -3)));
    expect(stray).toEqual([]);
  });
});

test('a wrong line in a page is found', async () => {
  const page = '<!-- season: none -->\n\n```console\n$ traybook --version\n0.0.0-wrong\n```\n';
  expect((await replay(page)).page).not.toBe(page);
  expect((await replay('<!-- season: none -->\n```console\n$ exit 3\n```\n')).page).toContain(
    '[exit 3]',
  );
});
