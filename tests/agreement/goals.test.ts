// What a goal has so far is one number in the forecast and in the summary once its day is past.
import { fileURLToPath } from 'node:url';
import { expect, onTestFinished, test } from 'vitest';
import { answer } from '../support/in-process.ts';
import { newFolder } from '../support/season-folder.ts';

test('pullets living or housed: the forecast counts those that the summary counts', async () => {
  const season = newFolder(fileURLToPath(new URL('../../examples/finished', import.meta.url)));
  onTestFinished(season.remove);
  const ask = async (command: string) =>
    JSON.parse(
      (await answer(season.path, [command, '--json'], { now: '2026-11-30T08:00' })).stdout,
    );
  const [forecast, summary] = [await ask('forecast'), await ask('summary')];
  expect(summary.goals.length).toBeGreaterThan(0);
  const { stdout } = await answer(season.path, ['summary'], { now: '2026-11-30T08:00' });
  for (const goal of forecast.goals)
    expect(stdout).toContain(
      `${goal.count} ${goal.line} ${goal.want}${goal.want === 'chicks' ? '' : ' at point of lay'} by ${goal.by}, so far ${goal.median} `,
    );
});
