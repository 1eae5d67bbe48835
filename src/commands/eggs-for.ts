import { eggsAtKnownRates, eggsThroughChain } from '../compute/plan/eggs-needed.ts';
import { farmRates } from '../compute/plan/evidence.ts';
import { type At, stagesOf, type Want } from '../compute/plan/goals.ts';
import { nextSet } from '../compute/plan/next-set.ts';
import type { StageRate } from '../compute/plan/product-of-rates.ts';
import type { Rate } from '../compute/plan/rates.ts';

import { type Stage, stageWords } from '../compute/plan/stages.ts';
import { linesForTerminal } from '../text/escape.ts';
import { expectedFound, quoted } from '../text/fault.ts';
import { didYouMean } from '../text/nearest.ts';
import { plainTable } from '../view/table.ts';
import { type CommandModule, wrongWords } from './command.ts';
import { openSeason } from './open.ts';
import { jsonText } from './say.ts';

const wants: readonly Want[] = ['chicks', 'pullets', 'cockerels', 'birds'];
const usualAt: Readonly<Record<Want, At>> = {
  chicks: 'hatch',
  pullets: 'point-of-lay',
  cockerels: 'table',
  birds: 'table',
};

const percent = (share: number) => `${(100 * share).toFixed(0)} %`;

export const command: CommandModule = {
  examples: [
    'eggs-for 40 --want pullets --of dorking',
    'eggs-for 12 --want chicks --of dorking --confidence 0.8',
  ],
  define(command) {
    command
      .argument('<count>', 'birds wanted')
      .option('--want <kind>', 'chicks, pullets, cockerels or birds; else chicks')
      .option('--of <line>', 'the line; may be left out when there is one')
      .option('--confidence <share>', 'chance of at least that many, above 0 and below 1', '0.9');
  },
  async run(context, words, options) {
    const { season, now, notices } = openSeason(context);
    const count = Number(words[0]);
    if (!Number.isSafeInteger(count) || count < 1 || count > 100_000)
      throw wrongWords(expectedFound('count', 'a whole number from 1', quoted(String(words[0]))));
    const want = (options.want ?? 'chicks') as Want;
    if (!wants.includes(want))
      throw wrongWords(
        expectedFound('--want', `one of ${wants.join(', ')}`, quoted(String(want))),
        didYouMean(String(want), wants),
      );
    const confidence = Number(options.confidence);
    if (!(confidence > 0 && confidence < 1))
      throw wrongWords(
        expectedFound(
          '--confidence',
          'a number above 0 and below 1',
          quoted(String(options.confidence)),
        ),
        'for nine chances in ten: --confidence 0.9',
      );
    const names = [...season.lines.keys()];
    const name = options.of === undefined && names.length === 1 ? names[0]! : options.of;
    const line = season.lines.get(String(name));
    if (!line)
      throw wrongWords(
        name === undefined
          ? expectedFound('--of', 'the name of a line', 'nothing')
          : expectedFound('--of', 'the name of a line', quoted(String(name))),
        name === undefined ? `one of ${names.join(', ')}` : didYouMean(String(name), names),
      );
    const pen = [...season.pens.values()].find((one) => one.line === line);
    if (!pen) throw wrongWords(`no pen of season.yaml holds ${line.name}`, 'add one under pens');
    const rates = farmRates(season, [], now.day);
    const { stages, sex } = stagesOf({ want, at: usualAt[want] });
    const chain: { stage: Stage; mean: number; rate: StageRate; own: Rate }[] = stages.map(
      (stage) => {
        const own = rates.rate(stage, pen);
        return { stage, mean: own.mean, rate: nextSet(own), own };
      },
    );
    if (sex !== null) {
      const own = rates.rate('female', pen);
      const mean = sex === 'female' ? own.mean : 1 - own.mean;
      chain.push({ stage: 'female', mean, rate: { p: mean }, own });
    }
    const need = eggsThroughChain(
      count,
      confidence,
      chain.map((one) => one.rate),
    );
    const plain = eggsAtKnownRates(
      count,
      confidence,
      chain.map((one) => one.mean),
    );
    if (context.json)
      return {
        stdout: jsonText('eggs-for', {
          line: line.name,
          want,
          count,
          confidence,
          eggs: need.n,
          probability: need.probAtN,
          even_odds: { eggs: plain.naiveN, probability: plain.naiveProb },
          chain: chain.map(({ stage, mean, own }) => ({
            stage,
            mean,
            low: own.low,
            high: own.high,
            x: own.own.x,
            n: own.own.n,
            source: own.prior.source,
          })),
          rate: need.pMean,
        }),
        stderr: notices,
      };
    const stageName = (stage: Stage) =>
      stage === 'female' && sex === 'male' ? 'male' : stageWords[stage].name;
    let left = 1;
    const table = plainTable({
      columns: [
        { heading: 'stage' },
        { heading: 'share (%)', align: 'right' },
        { heading: '95 % interval (%)', align: 'right' },
        { heading: 'your counts', align: 'right' },
        { heading: 'left of 100 eggs', align: 'right' },
      ],
      rows: chain.map(({ stage, mean, own }) => {
        left *= mean;
        return [
          stageName(stage),
          (100 * mean).toFixed(0),
          stage === 'female'
            ? null
            : `${(100 * own.low).toFixed(0)} to ${(100 * own.high).toFixed(0)}`,
          own.own.n > 0 ? `${own.own.x} of ${own.own.n}` : null,
          (100 * left).toFixed(0),
        ];
      }),
    });
    const text = [
      `${need.n} eggs of ${line.name} in one set give at least ${count} ${want} with ${percent(need.probAtN)} chance.`,
      `Plain division says ${plain.naiveN}: about even odds only (${percent(plain.naiveProb)} even if every rate were certain).`,
      '',
      table,
      'Rates are uncertain and each set has its luck: both are in the number.',
      'Several sets need somewhat fewer eggs than one.',
    ].join('\n');
    return { stdout: linesForTerminal(`${text}\n`), stderr: notices };
  },
};
