// What a group lost beyond the usual is one sentence in `flock`, in the summary and on its page.
import { fileURLToPath } from 'node:url';
import { expect, onTestFinished, test } from 'vitest';
import { answer } from '../support/in-process.ts';
import { newFolder } from '../support/season-folder.ts';

test('what the flock says of losses the summary says, and its page', async () => {
  const season = newFolder(fileURLToPath(new URL('../../examples/finished', import.meta.url)));
  onTestFinished(season.remove);
  const words = async (...line: string[]) =>
    (await answer(season.path, line, { now: '2026-11-30T08:00' })).stdout.replace(/\s+/g, ' ');
  const said = /B7: 8 of 33 lost\. .*? Causes: .*?\./.exec(await words('flock'))?.[0];
  expect(said).toContain('predator 6');
  expect(await words('summary')).toContain(said);
  expect((await words('summary', '--html')).replace(/<[^>]*>/g, '')).toContain(said);
  expect(await words('summary', '--html')).not.toContain('Nothing stands out in the records.');
});
