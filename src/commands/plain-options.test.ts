import { Command } from 'commander';
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { optionsOfAll } from './command.ts';
import { commands } from './index.ts';
import { plainOptions } from './plain-options.ts';

/** What commander makes of the words; null if it refuses them, or does something else than parse. */
function byCommander(
  define: (command: Command) => void,
  words: readonly string[],
): Readonly<Record<string, unknown>> | null {
  const command = new Command('command')
    .exitOverride()
    .configureOutput({ writeOut: () => {}, writeErr: () => {} });
  define(command);
  try {
    command.parse([...words], { from: 'user' });
  } catch {
    return null;
  }
  expect(command.processedArgs).toEqual([]);
  return command.opts();
}

for (const row of commands) {
  test(`${row.name}: whatever is read as plain, commander reads so`, async () => {
    const { command: module } = await row.load();
    const define = (command: Command) => {
      module.define(command, []);
      optionsOfAll(command);
    };
    const known = new Command('command');
    define(known);
    const flags = known.options.flatMap(({ long, short }) => [long, short].filter((one) => !!one));
    const word = fc.oneof(
      { weight: 4, arbitrary: fc.constantFrom(...(flags as string[])) },
      {
        weight: 2,
        arbitrary: fc.constantFrom('7', 'sat', '2027-03-06', '', 'a b', '--', '-', '-3'),
      },
      { weight: 1, arbitrary: fc.constantFrom('--help', '-h', '--days=3', '--jso', '--no-json') },
    );
    fc.assert(
      fc.property(fc.array(word, { maxLength: 6 }), (words) => {
        const plain = plainOptions(define, words);
        if (plain !== null) expect(plain).toEqual(byCommander(define, words));
      }),
      { numRuns: 120 },
    );
  });
}

test('a plain line of a morning is read so, and any other is not', async () => {
  const today = commands.find(({ name }) => name === 'today')!;
  const { command: module } = await today.load();
  const define = (command: Command) => {
    module.define(command, []);
    optionsOfAll(command);
  };
  const read = (line: string) =>
    plainOptions(
      define,
      line.split(' ').filter((one) => one !== ''),
    );
  expect(read('')).toEqual({ days: '7' });
  expect(read('--season north --days 14 --md')).toEqual({ days: '14', season: 'north', md: true });
  for (const line of ['--days', '--days -1', '--days=3', '--dsy 3', '--help', 'monday', '--'])
    expect(read(line)).toBeNull();
});
