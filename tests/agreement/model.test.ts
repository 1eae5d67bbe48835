// What is expected of an egg: `rates`, `eggs-for` and `review` count the same eggs and expect the same of
// them, and a season that is carried on starts from what the one before ended with.
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { exampleNow, root } from '../harness/console.ts';
import { answer } from '../support/in-process.ts';

type Counts = { x: number; n: number };
type Rate = { pen: string | null; stage: string; mean: number; low: number; high: number } & {
  this_season: Counts;
  earlier: Counts;
};
type Link = { stage: string; mean: number; earlier_x: number; earlier_n: number } & Counts;

const ask = async (season: string, words: string) =>
  JSON.parse(
    (
      await answer(join(root, 'examples', season), [...words.split(' '), '--json'], {
        now: exampleNow[season]!,
      })
    ).stdout,
  );
const ratesOf = async (season: string, line: string): Promise<Rate[]> =>
  (await ask(season, `rates --of ${line}`)).rates;
/** The counts of a stage, its pens together. */
const summed = (all: readonly Rate[], stage: string): Counts =>
  all
    .filter((one) => one.stage === stage)
    .reduce((sum, { this_season: { x, n } }) => ({ x: sum.x + x, n: sum.n + n }), { x: 0, n: 0 });

/**
 * `eggs-for` tells the mean of ten thousand draws: of a rate whose range is a fifth it is out by a
 * two-thousandth as often as not, and by a two-hundredth never.
 */
const DRAWN = 0.005;

const lines = ['dorking', 'harlequin'];
describe.each(
  Object.keys(exampleNow).flatMap((season) => lines.map((line) => [season, line] as const)),
)('%s, %s', (season, line) => {
  test('the rates and the eggs needed rest on the same counts and expect the same', async () => {
    const rates = await ratesOf(season, line);
    const { chain } = (await ask(season, `eggs-for 40 --want chicks --of ${line}`)) as {
      chain: Link[];
    };
    expect(chain.length).toBeGreaterThan(3);
    for (const link of chain) {
      const own = rates.filter((one) => one.stage === link.stage);
      expect({ x: link.x, n: link.n }, link.stage).toEqual(summed(rates, link.stage));
      expect(own[0]!.earlier).toMatchObject({ x: link.earlier_x, n: link.earlier_n });
      const means = own.map((one) => one.mean);
      expect(link.mean, link.stage).toBeGreaterThan(Math.min(...means) - DRAWN);
      expect(link.mean, link.stage).toBeLessThan(Math.max(...means) + DRAWN);
    }
  });

  test('the review counts the eggs that the rates count', async () => {
    const rates = await ratesOf(season, line);
    const { groups } = await ask(season, 'review --by line');
    const own = groups.find((one: { key: string }) => one.key === line).rates;
    expect({ x: own.settable.x, n: own.settable.n }).toEqual(summed(rates, 'kept'));
    const fertile = summed(rates, 'fertile');
    // Eggs that a candling called clear, and an opened one did not.
    expect(own.fertile_apparent.n).toBe(fertile.n);
    expect(own.fertile_apparent.x).toBeLessThanOrEqual(fertile.x);
    // Early deaths are of fertile eggs that were looked at.
    expect(own.early.n).toBe(fertile.x);
  });
});

test.each(Object.keys(exampleNow))(
  '%s: one rate has one interval, and what stands out is what the diagnosis raises',
  async (season) => {
    const { pens, way } = await ask(season, 'summary');
    const { groups } = await ask(season, 'review');
    const { findings } = await ask(season, 'diagnose');
    const of = (by: string) => groups.filter((group: { by: string }) => group.by === by);
    let compared = 0;
    for (const group of of('pen')) {
      const pen = pens.find((one: { pen: string }) => one.pen === group.key);
      for (const rate of ['fertile_apparent', 'hatch_of_set'] as const) {
        const { x, n, low, high } = group.rates[rate];
        // Shares whose counts contradict each other are in no rate of the review.
        if (pen[rate].of !== n) continue;
        expect(pen[rate], `${group.key} ${rate}`).toMatchObject({ count: x, of: n, low, high });
        compared += 1;
      }
    }
    expect(compared).toBeGreaterThan(2);
    const kept = way.find((step: { stage: string }) => step.stage === 'kept');
    const { low, high } = of('season')[0].rates.settable;
    expect(kept).toMatchObject({ low, high });
    const { stdout } = await answer(join(root, 'examples', season), ['review'], {
      now: exampleNow[season]!,
    });
    const raised = findings.filter((one: { verdict: string }) =>
      ['act', 'watch'].includes(one.verdict),
    );
    expect(stdout.includes('The diagnosis raises nothing.')).toBe(raised.length === 0);
  },
);

test.each(lines)('%s: what an earlier season gives is what that season had', async (line) => {
  const [before, after] = [await ratesOf('finished', line), await ratesOf('midseason', line)];
  for (const { stage, earlier } of after)
    expect(earlier, stage).toMatchObject(summed(before, stage));
});
