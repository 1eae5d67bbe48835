// The example of `guide season-file` is a season that `check` passes, and the guide shows it whole.
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { exampleSeasonFile } from '../../src/tables/guide-season-file.ts';
import { answer } from '../support/in-process.ts';

test('the example season of the guide passes check; with a wrong key it does not', async () => {
  const home = mkdtempSync(join(tmpdir(), 'traybook-season-file-'));
  const check = (text: string) => {
    writeFileSync(join(home, 'season.yaml'), text);
    return answer(home, ['check'], { now: '2027-03-01T08:00' });
  };
  try {
    mkdirSync(join(home, 'log'));
    const good = await check(exampleSeasonFile);
    expect(good.stdout + good.stderr).not.toMatch(/error|warning/);
    expect(good.code).toBe(0);
    expect((await check(exampleSeasonFile.replace('pens:', 'pen:'))).code).toBe(1);
    const { stdout } = await answer(home, ['guide', 'season-file']);
    for (const line of exampleSeasonFile.trimEnd().split('\n')) expect(stdout).toContain(line);
  } finally {
    rmSync(home, { recursive: true });
  }
});
