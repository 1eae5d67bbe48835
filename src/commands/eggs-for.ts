import { usualAt, type Want } from '../facts/goals.ts';
import { stageWords } from '../facts/stages.ts';
import { eggsFor, layingPens } from '../judge/rates/eggs-for.ts';
import { farmRates } from '../judge/rates/rates.ts';
import { Worlds } from '../judge/rates/worlds.ts';
import { linesForTerminal } from '../text/escape.ts';
import { expectedFound, quoted } from '../text/fault.ts';
import { didYouMean } from '../text/nearest.ts';
import { type CommandModule, wrongWords } from './command.ts';
import { earlierSeasons } from './earlier-seasons.ts';
import { openSeason } from './open.ts';
import { counted, jsonText } from './say.ts';
import { table } from './tables.ts';

const wants: readonly Want[] = ['chicks', 'pullets', 'cockerels', 'birds'];
const DRAWS = 10_000;
const SEED = 1;
const MOST_SETS = 60;

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
      .option('--confidence <share>', 'chance of at least that many, above 0 and below 1', '0.9')
      .option('--sets <number>', 'sets the eggs are spread over', '1');
  },
  async run(context, words, options) {
    const { folder, season, now, notices } = await openSeason(context);
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
    const sets = Number(options.sets);
    if (!Number.isSafeInteger(sets) || sets < 1 || sets > MOST_SETS)
      throw wrongWords(
        expectedFound(
          '--sets',
          `a whole number from 1 to ${MOST_SETS}`,
          quoted(String(options.sets)),
        ),
      );
    const before = await earlierSeasons(folder, season);
    const stderr = `${notices}${before.notices}`;
    const worlds = new Worlds(
      season,
      now.day,
      farmRates(season, before.seasons, now.day),
      DRAWS,
      SEED,
    );
    if (layingPens(worlds, line).length === 0)
      throw wrongWords(`no pen of ${line.name} has hens`, 'add one under pens: of season.yaml');
    const at = usualAt[want];
    const need = eggsFor(worlds, line, { want, at, count, confidence }, sets);
    if (context.json)
      return {
        stdout: jsonText('eggs-for', {
          line: line.name,
          want,
          at,
          count,
          confidence,
          sets,
          eggs: need.eggs,
          probability: need.chance,
          by_pen: need.byPen,
          even_odds: { eggs: need.naive.eggs, probability: need.naive.chance },
          chain: need.chain.map(({ stage, mean, low, high, own, earlier, sources }) => ({
            stage,
            mean,
            low,
            high,
            x: own.x,
            n: own.n,
            earlier_x: earlier.x,
            earlier_n: earlier.n,
            source: sources.join('; '),
          })),
          rate: need.rate,
          draws: DRAWS,
          seed: SEED,
        }),
        stderr,
      };
    const of = ({ x, n }: { x: number; n: number }) => (n > 0 ? `${x} of ${n}` : null);
    let left = 1;
    const chain = table(
      {
        columns: [
          { heading: 'stage' },
          { heading: 'share (%)', align: 'right' },
          { heading: '95 % range', align: 'right' },
          { heading: 'this season', align: 'right' },
          { heading: 'earlier', align: 'right' },
          { heading: 'of 100', align: 'right' },
        ],
        rows: need.chain.map(({ stage, mean, low, high, own, earlier }) => {
          left *= mean;
          return [
            stage === 'male' ? 'male' : stageWords[stage].name,
            (100 * mean).toFixed(0),
            `${(100 * low).toFixed(0)} to ${(100 * high).toFixed(0)}`,
            of(own),
            of(earlier),
            (100 * left).toFixed(0),
          ];
        }),
      },
      context,
    );
    const pens =
      need.byPen.length > 1
        ? [`By hens: ${need.byPen.map(({ pen, eggs }) => `${pen} ${eggs}`).join(', ')}.`]
        : [];
    const text = [
      `${counted(need.eggs, 'egg')} of ${line.name} in ${counted(sets, 'set')}: ${percent(need.chance)} chance of at least ${count} ${want}.`,
      `Plain division says ${need.naive.eggs}: only ${percent(need.naive.chance)} chance.`,
      ...pens,
      '',
      chain,
      'Rates are unsure and each set has its luck: both are in the number.',
      sets === 1
        ? 'Several sets share the luck and need fewer eggs: --sets 4. Eggs are taken as fresh.'
        : 'Eggs are taken as fresh.',
    ].join('\n');
    return { stdout: linesForTerminal(`${text}\n`), stderr };
  },
};
