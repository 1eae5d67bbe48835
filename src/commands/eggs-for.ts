import { usualAt, type Want } from '../facts/goals.ts';
import { eggsFor, layingPens } from '../judge/rates/eggs-for.ts';
import { farmRates } from '../judge/rates/rates.ts';
import { Worlds } from '../judge/rates/worlds.ts';
import { chainJson, eggsForScreen } from '../tables/eggs-for.ts';
import { expectedFound, quoted } from '../text/fault.ts';
import { didYouMean } from '../text/nearest.ts';
import { type CommandModule, unexpected, wholeNumber, wrongWords } from './command.ts';
import { openSeasons } from './earlier-seasons.ts';
import { answerOf } from './tables.ts';

const wants: readonly Want[] = ['chicks', 'pullets', 'cockerels', 'birds'];
/** Possible seasons drawn, as many as for a forecast: the answer is right to an egg or two. */
const DRAWS = 4000;
const SEED = 1;
const MOST_SETS = 60;
const MOST_BIRDS = 100_000;

export const command: CommandModule = {
  words: async () => ({ want: wants }),
  examples: [
    'eggs-for 40 --want pullets --of dorking',
    'eggs-for 12 --want chicks --of dorking --confidence 0.8',
  ],
  define(command) {
    command
      .argument('<count>', 'birds wanted')
      .option('--want <kind>', 'chicks, pullets, cockerels or birds; else chicks')
      .option('--of <line>', 'the line; may be left out when there is one')
      .option('--confidence <chance>', 'chance of at least that many, above 0 and below 1', '0.9')
      .option('--sets <number>', 'sets the eggs are spread over', '1');
  },
  async run(context, words, options) {
    const opened = await openSeasons(context);
    const { season, earlier, now } = opened;
    const count = Number(words[0]);
    if (!Number.isSafeInteger(count) || count < 1 || count > MOST_BIRDS)
      throw unexpected('count', `a whole number from 1 to ${MOST_BIRDS}`, words[0]);
    const want = (options.want ?? 'chicks') as Want;
    if (!wants.includes(want))
      throw unexpected(
        '--want',
        `one of ${wants.join(', ')}`,
        want,
        didYouMean(String(want), wants),
      );
    const confidence = Number(options.confidence);
    if (!(confidence > 0 && confidence < 1))
      throw unexpected(
        '--confidence',
        'a number above 0 and below 1',
        options.confidence,
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
    const sets = wholeNumber(options.sets, '--sets', 1, MOST_SETS);
    const rates = farmRates(season, earlier, now.day);
    const worlds = new Worlds(season, now.day, rates, DRAWS, SEED);
    if (layingPens(worlds, line).length === 0)
      throw wrongWords(
        `no pen of ${line.name} has hens or bought eggs`,
        'add one under pens: of season.yaml',
      );
    const at = usualAt[want];
    const need = eggsFor(worlds, line, { want, at, count, confidence }, sets);
    return answerOf(context, opened, {
      name: 'eggs-for',
      json: () => ({
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
        chain: chainJson(need),
        rate: need.rate,
        draws: DRAWS,
        seed: SEED,
      }),
      screen: (title) => eggsForScreen({ line: line.name, want, count, sets, need }, title),
    });
  },
};
