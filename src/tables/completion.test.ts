import { describe, expect, test } from 'vitest';
import { type CompletionCommand, completions } from './completion.ts';

const candling: CompletionCommand = {
  name: 'candling',
  about: 'eggs taken out after candling',
  arguments: [{ kind: 'names', of: 'set' }],
  flags: [
    { flag: '--pen', about: 'the share', value: { kind: 'names', of: 'pen' } },
    { flag: '--clear', about: 'nothing seen', value: { kind: 'anything' } },
  ],
  under: [],
};
const top: CompletionCommand = {
  name: 'traybook',
  about: '',
  arguments: [],
  flags: [
    { flag: '--season', about: 'the folder', value: { kind: 'folder' } },
    { flag: '--plain', about: 'no colour', value: null },
  ],
  under: [
    { name: 'add', about: 'one row', arguments: [], flags: [], under: [candling] },
    { name: 'amend', about: 'replace', arguments: [], flags: [], under: [] },
    { name: 'import', about: 'rows', arguments: [{ kind: 'file' }], flags: [], under: [] },
  ],
};
const names = (of: string) => (of === 'set' ? ['D1', 'D2'] : of === 'pen' ? ['north'] : []);
const words = (...typed: string[]) =>
  completions(top, typed, names).map((line) => line.split('\t')[0]);

describe('what can follow', () => {
  test('commands by their beginning', () => {
    expect(words('')).toEqual(['add', 'amend', 'import']);
    expect(words('am')).toEqual(['amend']);
    expect(words('add', '')).toEqual(['candling']);
  });

  test('names of the season', () => {
    expect(words('add', 'candling', '')).toEqual(['D1', 'D2']);
    expect(words('add', 'candling', 'D1', '--pen', '')).toEqual(['north']);
  });

  test('flags once their turn has come, each once', () => {
    expect(words('add', 'candling', 'D1', '')).toEqual(['--pen', '--clear', '--season', '--plain']);
    expect(words('add', 'candling', 'D1', '--clear', '2', '--')).toEqual([
      '--pen',
      '--season',
      '--plain',
    ]);
  });

  test('the shell completes files and folders itself', () => {
    expect(words('import', '')).toEqual([':file']);
    expect(words('--season', 'x')).toEqual([':folder']);
    expect(words('--season', 'x', 'add', 'candling', 'D')).toEqual(['D1', 'D2']);
  });

  test('a value that is free offers nothing', () => {
    expect(words('add', 'candling', 'D1', '--clear', '')).toEqual([]);
  });
});
