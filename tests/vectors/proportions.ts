import * as z from 'zod';
import { freemanHalton } from '../../src/judge/statistics/exact.ts';
import { wilson } from '../../src/judge/statistics/proportion.ts';
import { type Adapter, adapter, confidence, numbers } from './shared.ts';
import { clopperPearson, jeffreys, newcombe, zeroUpper } from './textbook/proportion.ts';
import { barnard2x2, fisher2x2 } from './textbook/two-by-two.ts';

const table = z.object({ table: z.array(numbers) });

/** Intervals for shares and tests of two-way tables. */
export const adapters: Record<string, Adapter> = {
  prop_ci: adapter(
    z.object({ x: z.number(), n: z.number(), conf: confidence }),
    ({ x, n, conf }) => ({
      estimate: x / n,
      wilson: wilson(x, n, conf),
      clopper_pearson: clopperPearson(x, n, conf),
      jeffreys: jeffreys(x, n, conf),
      jeffreys_raw: jeffreys(x, n, conf, true),
    }),
  ),
  zero_upper: adapter(z.object({ n: z.number(), conf: confidence }), ({ n, conf }) => ({
    upper: zeroUpper(n, conf),
  })),
  diff_newcombe: adapter(
    z.object({ x1: z.number(), n1: z.number(), x2: z.number(), n2: z.number(), conf: confidence }),
    ({ x1, n1, x2, n2, conf }) => {
      const d = newcombe(x1, n1, x2, n2, conf);
      return { difference: d.difference, lower: d.low, upper: d.high };
    },
  ),
  fisher_2x2: adapter(table, (inputs) => {
    const f = fisher2x2(inputs.table);
    return {
      p_two_sided: f.twoSided,
      p_less: f.less,
      p_greater: f.greater,
      p_doubled: f.doubled,
      odds_ratio_conditional_mle: f.oddsRatio,
      odds_ratio_ci95: f.oddsRatioInterval,
      pearson_x2: f.pearson,
      pearson_p: f.pearsonP,
      yates_p: f.yatesP,
    };
  }),
  fisher_rx2: adapter(table, (inputs) => ({ p: freemanHalton(inputs.table) })),
  barnard_2x2: adapter(table, (inputs) => {
    const b = barnard2x2(inputs.table);
    return { p_two_sided: b.twoSided, statistic: b.statistic };
  }),
};
