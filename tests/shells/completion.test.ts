// The completion scripts in the shells themselves, in a season of their own.
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { Barn } from '../harness/console.ts';
import { isLongRun } from '../support/long.ts';
import { has } from '../support/programs.ts';

const barn = new Barn();

beforeAll(async () => {
  barn.enter('none', '2027-03-06T08:00');
  await barn.run('traybook new hollin --place Hollin --zone Europe/London --year 2027');
  await barn.run('cd hollin');
  await barn.run('traybook add eggs main --laid 20 --kept 20');
  expect((await barn.run('traybook add set A1 --pen main --eggs 20 --tray 1')).status).toBe(0);
});
afterAll(() => barn.close());

/** Runs a script file with a shell in the season's folder; its printed lines. */
async function lines(shell: string, script: string): Promise<string[]> {
  const path = join(barn.folder, `try.${shell.split(' ')[0]}`);
  writeFileSync(path, script);
  const { stdout, stderr, status } = await barn.run(`${shell} ${path}`);
  expect({ stderr, status }).toEqual({ stderr: '', status: 0 });
  return stdout.split('\n').filter(Boolean);
}

describe.skipIf(!has('bash'))('bash', () => {
  const complete = (...words: string[]) =>
    lines(
      'bash --norc',
      [
        'eval "$(traybook completion bash)"',
        `COMP_WORDS=(traybook ${words.map((word) => `'${word}'`).join(' ')})`,
        `COMP_CWORD=${words.length}`,
        // The function that bash itself would call is asked of bash.
        '$(complete -p traybook | sed -n "s/.*-F \\([^ ]*\\).*/\\1/p")',
        // biome-ignore lint/suspicious/noTemplateCurlyInString: it is bash's own
        'printf "%s\\n" "${COMPREPLY[@]}"',
      ].join('\n'),
    );

  test('commands, records, names and flags', async () => {
    expect(await complete('com')).toEqual(['completion']);
    expect(await complete('add', 'cand')).toEqual(['candling']);
    expect(await complete('add', 'candling', '')).toEqual(['A1']);
    expect(await complete('add', 'candling', 'A1', '--pen', '')).toEqual(['main']);
    expect(await complete('add', 'candling', 'A1', '--cl')).toEqual(['--clear']);
  });

  test('a folder is completed by the shell', async () => {
    expect(await complete('--season', 'lo')).toEqual(['log']);
  });
});

const inFish = () => {
  const complete = async (line: string) =>
    (
      await lines('fish --no-config', `traybook completion fish | source\ncomplete -C '${line}'`)
    ).map((one) => one.split('\t')[0]);

  test('commands, records, names and flags', async () => {
    expect(await complete('traybook com')).toEqual(['completion']);
    expect(await complete('traybook add cand')).toEqual(['candling']);
    expect(await complete('traybook add candling ')).toEqual(['A1']);
    expect(await complete('traybook add candling A1 --pen ')).toEqual(['main']);
    expect(await complete('traybook add candling A1 --cl')).toEqual(['--clear']);
  });

  test('a folder is completed by the shell', async () => {
    expect(await complete('traybook --season lo')).toContain('log/');
  });
};

const inZsh = () => {
  // A shell on a terminal of its own, with a key pressed in it; read until `wanted` shows or 10 s.
  const typed = async (line: string, wanted: string) =>
    (
      await lines(
        'zsh -f',
        `
zmodload zsh/zpty
zpty -b inner 'zsh -f -i'
zpty -w inner 'PS1= ; autoload -Uz compinit; compinit -u -D; eval "$(traybook completion zsh)"; print re""ady'
seen=''
until [[ $seen == *$'ready\\r\\n'* ]]; do zpty -r inner piece && seen+=$piece; done
zpty -w -n inner $'${line}\\t'
seen=''
for try in {1..100}; do
  sleep 0.1
  while zpty -r -t inner piece; do seen+=$piece; done
  [[ $seen == *'${wanted}'* ]] && break
done
zpty -d inner
print -r -- \${seen//[^[:print:]]/}
`,
      )
    ).join('');

  test('commands, records, names and flags', async () => {
    for (const [line, wanted] of [
      ['traybook com', 'completion'],
      ['traybook add cand', 'candling'],
      ['traybook add candling ', 'candling A1'],
      ['traybook add candling A1 --pen ', '--pen main'],
      ['traybook add candling A1 --cle', '--clear'],
    ] as const)
      expect(await typed(line, wanted)).toContain(wanted);
  });
};

if (isLongRun) {
  describe.skipIf(!has('fish'))('fish', inFish);
  describe.skipIf(!has('zsh'))('zsh', inZsh);
}
if (![has('bash'), has('fish'), has('zsh')].every(Boolean))
  console.warn('SKIPPED: a shell is missing: apt-get install zsh fish');
