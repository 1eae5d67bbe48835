// `guide COMMAND` shows the page of every command, also where a topic has its name.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { commands } from '../../src/commands/index.ts';
import { root } from '../harness/console.ts';
import { answer } from '../support/in-process.ts';

test('the page of every command is shown', async () => {
  for (const { name } of commands) {
    const page = readFileSync(join(root, 'src', 'commands', `${name}.md`), 'utf8');
    const { stdout } = await answer(root, ['guide', name]);
    expect(stdout).toContain(/^# (.*)$/m.exec(page)![1]);
  }
});

test('a block keeps the indentation of its lines', async () => {
  const { stdout } = await answer(root, ['guide', 'plan']);
  expect(stdout).toContain('  goals:\n    - {line: dorking, want: pullets');
});

test('--plain is ASCII but for what is quoted', async () => {
  const { stdout } = await answer(root, ['--plain', 'guide', 'figures', 'duck']);
  expect(stdout.match(/[^\u0000-\u007f]/g) ?? []).toEqual([]);
});
