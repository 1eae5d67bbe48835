// Every screen on terminals of 60, 80 and 120 places: none is wider than its terminal, none breaks a
// word, a number or a date, and colour adds nothing that is not in words.
// What they look like stands in screens/, the colours as marks.
import { cpSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { answerTo } from '../../src/cli.ts';
import { commands as rows } from '../../src/commands/index.ts';
import { widthOf } from '../../src/tables/wrap.ts';
import { exampleNow, root } from '../harness/console.ts';

const looked = [
  'today',
  'check',
  'occupancy',
  'calendar --as table',
  'flock',
  'flock B1',
  'brooders',
  'costs',
  'breeders',
  'breeders --rotate 4 --line dorking',
  'summary',
  'summary --pictures',
  'review',
  'diagnose',
  'rates',
  'eggs-for 40 --want pullets --of dorking',
  'forecast --draws 200',
  'list set',
  'list hatch --last 5',
  'list store',
  'history D1',
  'guide',
  'guide words',
  '--help',
];
/** Held to the width, too long to show here. */
const unshown = [
  'today --days 14 --full',
  'occupancy --full',
  'review --full --numbers',
  'rates --full --sources',
  'diagnose --numbers',
  'diagnose --worth',
  'forecast --promise 0.9 --draws 200',
  'plan --draws 200',
  'plan --trial trays',
  ...rows.map(({ name }) => `${name} --help`),
];
/** What they answer where they write: each in a copy of its own. */
const writing = [
  'add eggs north=8/7 south=9/9',
  'add hatch D5 --pen north --hatched 12',
  'amend last note=counted',
  'void last',
  'new 2028 --from .',
  'import book.csv --as eggs',
  'export away',
];
/** Commands that print no screen: a script, a file for a program, a page for a printer. */
const withoutScreen = ['completion', 'schema', 'sheet'];

const commands = [...looked, ...writing, ...unshown];

const widths = [60, 80, 120];

const home = mkdtempSync(join(tmpdir(), 'traybook-screens-'));
const folder = join(home, 'midseason');
beforeAll(() => {
  for (const name of ['midseason', 'finished'])
    cpSync(join(root, 'examples', name), join(home, name), { recursive: true });
  writeFileSync(
    join(folder, 'book.csv'),
    'on,pen,kept,note\n2027-04-21,pond,6,\n2027-04-23,north,9,two of them with a rough shell and one long\n',
  );
});
afterAll(() => rmSync(home, { recursive: true }));

/** What has been asked: both tests below look at the same screens. */
const shown = new Map<string, Promise<string>>();
function screen(command: string, columns: number): Promise<string> {
  const key = `${command} at ${columns}`;
  const known = shown.get(key) ?? ask(command, columns);
  shown.set(key, known);
  return known;
}

let copies = 0;

async function ask(command: string, columns: number, env = {}): Promise<string> {
  let cwd = folder;
  let drawn = 0;
  if (writing.some((one) => command.startsWith(one))) {
    copies += 1;
    cwd = join(home, `copy-${copies}`, 'midseason');
    cpSync(folder, cwd, { recursive: true });
  }
  const { stdout, stderr } = await answerTo(
    ['--now', exampleNow.midseason!, ...command.split(' ')],
    {
      cwd,
      env: { TRAYBOOK_BY: 'ada', ...env },
      instant: Date.parse('2027-04-24T06:00:00Z'),
      // Rows written together want names of their own.
      random: (bytes) =>
        Uint8Array.from({ length: bytes }, () => {
          drawn += 89;
          return drawn % 256;
        }),
      isTerminal: true,
      columns,
      canAsk: false,
    },
  );
  expect(stdout, stderr).not.toBe('');
  return stdout;
}

test('every command has its screens looked at', () => {
  const names = new Set(
    [...looked, ...unshown.filter((one) => !one.endsWith('--help')), ...writing].map(
      (one) => one.split(' ')[0],
    ),
  );
  const missing = rows.map(({ name }) => name).filter((name) => !names.has(name));
  expect(missing.sort()).toEqual([...withoutScreen].sort());
});

const COLOURS = /\u001b\[(\d+)m/g;
const plain = (text: string): string => text.replace(COLOURS, '');
const marks: Readonly<Record<string, string>> = {
  1: '‹b›',
  2: '‹dim›',
  22: '‹/›',
  35: '‹magenta›',
  33: '‹yellow›',
  36: '‹cyan›',
  39: '‹/›',
};
const marked = (text: string): string =>
  text.replace(COLOURS, (_whole, code: string) => marks[code] ?? `‹${code}›`);

/** Lines that are drawn and not written: charts of days, bars, the rule under a heading. */
const isDrawn = (line: string): boolean =>
  // A command line to copy stands on one line.
  line.startsWith('  $ traybook ') ||
  /[█░│├┤─■·]|~~|^today +v$|^ +\d+( +\d+)+$|^ *(Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec) /.test(
    line,
  );
const wordsOf = (text: string): string[] =>
  plain(text)
    .split('\n')
    .filter((line) => !isDrawn(line))
    .flatMap((line) => line.split(/\s+/))
    .map((word) => word.replace(/^[(]+|[;,.:)]+$/g, ''))
    .filter((word) => word !== '');

for (const command of commands)
  test(`${command}: fits its terminal and breaks no word`, async () => {
    const colourless = new Set(wordsOf(await ask(command, 80, { NO_COLOR: '1' })));
    const coloured = wordsOf(await screen(command, 80));
    expect(
      coloured.filter((word) => !colourless.has(word)),
      'told by colour alone',
    ).toEqual([]);
    const wide = new Set(wordsOf(await screen(`${command} --full`, 500)));
    for (const word of wordsOf(await screen(command, 500))) wide.add(word);
    for (const columns of widths) {
      const text = plain(await screen(command, columns));
      const over = text
        .split('\n')
        .filter((line) => widthOf(line) > columns && !line.startsWith('  $ traybook '));
      expect(over, `wider than ${columns}`).toEqual([]);
      const broken = wordsOf(text).filter((word) => !wide.has(word));
      const own = new Set(['Left', 'out', 'here']);
      expect(
        broken.filter((word) => !own.has(word)),
        `not whole at ${columns}`,
      ).toEqual([]);
    }
  });

test.each(widths)('what they look like at %i places', { timeout: 240_000 }, async (columns) => {
  const pages: string[] = [];
  for (const command of [...looked, ...writing])
    pages.push(`$ traybook ${command}\n${marked(await screen(command, columns))}`);
  await expect(pages.join('\n')).toMatchFileSnapshot(
    join(import.meta.dirname, 'screens', `${columns}.txt`),
  );
});

test('colours go where they are wished for and nowhere else', async () => {
  const hasColour = async (
    env: Record<string, string>,
    isTerminal: boolean,
    words: string[] = [],
  ) => {
    const { stdout } = await answerTo(['--now', exampleNow.midseason!, 'costs', ...words], {
      cwd: folder,
      env,
      instant: 0,
      random: (bytes) => new Uint8Array(bytes),
      isTerminal,
      columns: isTerminal ? 80 : undefined,
      canAsk: false,
    });
    return plain(stdout) !== stdout;
  };
  expect(await hasColour({}, true)).toBe(true);
  expect(await hasColour({}, false)).toBe(false);
  // no-color.org: whatever it holds, but nothing at all.
  expect(await hasColour({ NO_COLOR: '1' }, true)).toBe(false);
  expect(await hasColour({ NO_COLOR: '' }, true)).toBe(true);
  expect(await hasColour({ TERM: 'dumb' }, true)).toBe(false);
  expect(await hasColour({ FORCE_COLOR: '1' }, false)).toBe(true);
  expect(await hasColour({ CLICOLOR_FORCE: '1' }, false)).toBe(true);
  expect(await hasColour({ CLICOLOR_FORCE: '0' }, false)).toBe(false);
  expect(await hasColour({ FORCE_COLOR: '1', NO_COLOR: '1' }, false)).toBe(false);
  expect(await hasColour({ FORCE_COLOR: '1' }, true, ['--plain'])).toBe(false);
});
