// Earlier seasons are read where the question asks for them: for what chicks to come are expected to do.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { newFolder } from './support/season-folder.ts';

test('brooders reads no earlier season where no chicks are to come', () => {
  const folder = newFolder();
  try {
    const text = readFileSync(join(folder.path, 'season.yaml'), 'utf8');
    folder.write('season.yaml', `${text}previous: [../gone]\n`);
    expect(folder.run('brooders').stderr).toBe('');
    folder.run('add', 'set', 'A1', '--pen', 'north', '--eggs', '10', '--tray', '1', '--anyway');
    expect(folder.run('brooders').stderr).toMatch(/this earlier season cannot be read/);
  } finally {
    folder.remove();
  }
});
