// Every fault code has a folder that shows it; the guide's list of faults is made of them.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { conflictsOf } from '../../src/facts/checks/index.ts';
import { readSeasonFolder } from '../../src/io/season-folder.ts';
import { parseDay } from '../../src/text/day.ts';
import {
  type Fault,
  type FaultCode,
  faultCodes,
  inOrder,
  stopsReading,
} from '../../src/text/fault.ts';
import { answer } from '../support/in-process.ts';

const FOLDERS = join(import.meta.dirname, '../faults');
const NOW = {
  instant: Date.parse('2027-03-14T09:00:00Z'),
  day: parseDay('2027-03-14')!,
  time: '09:00',
};
const codes = Object.keys(faultCodes).sort() as FaultCode[];

async function faultsOf(code: string) {
  const read = await readSeasonFolder(join(FOLDERS, code));
  return inOrder([...read.faults, ...(read.season ? conflictsOf(read.season, NOW) : [])]);
}

test('every code has a folder, and every folder a code', async () => {
  expect(readdirSync(FOLDERS).sort()).toEqual(codes);
});

describe('a folder shows the fault it is named for', () => {
  test.each(codes)('%s', async (code) => {
    const shown = await faultsOf(code);
    expect(shown.map((one) => one.code)).toContain(code);
    for (const one of shown) {
      expect(one.message).not.toMatch(/undefined|NaN|\[object/);
      expect(one.at.line).toBeGreaterThan(0);
    }
  });
});

describe('the program tells it, and draws no figure where none may be drawn', () => {
  test.each(codes)('%s', async (code) => {
    const folder = join(FOLDERS, code);
    const now = { now: '2027-03-14T09:00' };
    const all = await faultsOf(code);
    const one = all.find((fault) => fault.code === code)!;
    const checked = await answer(folder, ['check'], now);
    expect(checked.stdout + checked.stderr).toContain(`${one.at.file}:${one.at.line}:`);
    const kinds = all.map((fault) => faultCodes[fault.code]);
    const isFound = kinds.some((kind) => kind !== 'notice');
    expect(checked.code).toBe(kinds.includes('unreadable') ? 3 : isFound ? 1 : 0);
    const summary = await answer(folder, ['summary'], now);
    expect(summary.code).toBe(all.some(stopsReading) ? 3 : 0);
    if (summary.code === 3) expect(summary.stdout).toBe('');
  });
});

const KINDS = {
  unreadable: 'The file cannot be used as it stands',
  content: 'A key or cell says something that cannot be',
  conflict: "The season's work does not fit together",
  doubt: 'A figure rests on what is in doubt; the work goes on',
  notice: 'Worth knowing; the work goes on',
} as const;

test('the list of faults in the guide is made of them', async () => {
  const examples = new Map<string, Fault>();
  for (const code of codes)
    examples.set(code, (await faultsOf(code)).find((fault) => fault.code === code)!);
  const parts = Object.entries(KINDS).map(([kind, title]) => {
    const items = codes
      .filter((code) => faultCodes[code] === kind)
      .map((code) => {
        const one = examples.get(code)!;
        const about = readFileSync(join(FOLDERS, code, 'about.txt'), 'utf8').trim();
        const hint = one.hint === null ? '' : `\n  hint: ${one.hint}`;
        const message = one.message.length > 300 ? `${one.message.slice(0, 300)}…` : one.message;
        return `### ${code}\n\n${about}\n\n\`\`\`text\n${one.at.file}:${one.at.line}:${one.at.column}: ${message}${hint}\n\`\`\`\n`;
      });
    return `## ${title}\n\n${items.join('\n')}`;
  });
  const page = `# Faults\n\nEvery fault that \`traybook check\` can tell, with one example of each.\n\n${parts.join('\n')}`;
  await expect(page).toMatchFileSnapshot(
    join(import.meta.dirname, '../../src/commands/guide/faults.md'),
  );
});
