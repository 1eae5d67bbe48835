// Every screen on terminals of 80 places, and in the long tests of 60 and 120 too: none is wider than its terminal, and none breaks
// a word, a number or a date. What they look like stands in screens/, the colours as marks.
import { cpSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { answerTo } from '../../src/cli.ts';
import { widthOf } from '../../src/tables/wrap.ts';
import { exampleNow, root } from '../harness/console.ts';
import { isLongRun } from '../support/long.ts';

const commands = [
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
  'breeders --mate --line dorking',
  'summary',
  'summary --pictures',
  'review',
  'diagnose',
  'rates',
  'eggs-for 40 --want pullets --of dorking',
  'forecast --draws 200',
  'list set',
  'list hatch --last 5',
  'history D1',
  'guide words',
];

const widths = isLongRun ? [60, 80, 120] : [80];

const home = mkdtempSync(join(tmpdir(), 'traybook-screens-'));
const folder = join(home, 'midseason');
beforeAll(() => {
  for (const name of ['midseason', 'finished'])
    cpSync(join(root, 'examples', name), join(home, name), { recursive: true });
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

async function ask(command: string, columns: number): Promise<string> {
  const { stdout } = await answerTo(['--now', exampleNow.midseason!, ...command.split(' ')], {
    cwd: folder,
    env: { TRAYBOOK_BY: 'ada' },
    instant: Date.parse('2027-04-24T06:00:00Z'),
    random: (bytes) => new Uint8Array(bytes),
    isTerminal: true,
    columns,
    canAsk: false,
  });
  return stdout;
}

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
  test(`${command}: fits its terminal and breaks no word`, { timeout: 120_000 }, async () => {
    const wide = new Set(wordsOf(await screen(`${command} --full`, 500)));
    for (const word of wordsOf(await screen(command, 500))) wide.add(word);
    for (const columns of widths) {
      const text = plain(await screen(command, columns));
      const over = text.split('\n').filter((line) => widthOf(line) > columns);
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
  for (const command of commands)
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
