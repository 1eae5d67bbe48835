import { flockOf, type Group, kindOfLine } from '../facts/birds/groups.ts';
import { flockReport, type GroupReport } from '../flock/flock-report.ts';
import { layReport } from '../flock/lay-report.ts';
import { growing, growthOf } from '../season/brooding.ts';
import type { CautionKey } from '../season/cautions.ts';
import { seenWords } from '../season/figure.ts';
import type { Season } from '../season/model.ts';
import { flockScreen } from '../tables/flock.ts';
import { percent } from '../tables/numbers.ts';
import { quoted } from '../text/fault.ts';
import { didYouMean } from '../text/nearest.ts';
import { type CommandModule, wholeNumber, wrongWords } from './command.ts';
import { openSeason } from './open.ts';
import { answerOf } from './tables.ts';

const USUAL_DAYS = 28;
const MOST_DAYS = 400;

export const command: CommandModule = {
  examples: ['flock', 'flock B1', 'flock --days 56 --json'],
  define(command) {
    command
      .argument('[group]', 'one group, with all that happened to it')
      .option('--days <number>', 'days of feed to come', String(USUAL_DAYS));
  },
  async run(context, words, options) {
    const days = wholeNumber(options.days, '--days', 1, MOST_DAYS);
    const opened = await openSeason(context);
    const { season, now } = opened;
    const { groups } = flockOf(season);
    const name = words[0];
    if (name !== undefined && !groups.has(name))
      throw wrongWords(
        `no group ${quoted(name)}`,
        didYouMean(name, groups.keys()) ?? 'traybook flock lists them',
      );
    const report = flockReport(season, now, days).filter(
      (one) => name === undefined || one.group === name,
    );
    const lay = name === undefined ? layReport(season, now) : [];
    const shown = report.map((one) => groups.get(one.group)!);
    return answerOf(context, opened, {
      name: 'flock',
      json: () => ({ date: now.day, groups: report, pens: lay }),
      screen: (title, { units }) =>
        flockScreen({
          title,
          groups: report,
          lay,
          story: name === undefined ? null : shown[0]!,
          days,
          feedSource: feedSource(season, shown),
          cautions: cautionsOf(season, shown, report),
          timezone: season.values.place.timezone,
          units,
        }),
    });
  },
};

function feedSource(season: Season, groups: readonly Group[]): string {
  const seen = new Set(
    groups.map((group) => seenWords(growthOf(kindOfLine(season, group.line)).feed.seen)),
  );
  const marks = [...seen].filter((one) => one !== '');
  return `Feed is reckoned from tables${marks.length > 0 ? ` (${marks.join(', ')})` : ''}, waste of ${percent(growing.feedWaste.value)} included; weigh your own bags. Sexes are chance: the likely number, and in brackets the least and the most.`;
}

function cautionsOf(
  season: Season,
  groups: readonly Group[],
  report: readonly GroupReport[],
): Set<CautionKey> {
  const cautions = new Set<CautionKey>();
  for (const group of groups) {
    if (group.living === 0) continue;
    if (group.lines.some((line) => line.species.group === 'waterfowl'))
      cautions.add('waterfowl-feed');
    else cautions.add('layer-feed');
    if (group.lines.some((line) => line.species.group === 'turkey')) cautions.add('blackhead');
    if ((group.sexes?.cockerels ?? 0) > 0) cautions.add('slaughter');
  }
  if (report.some((one) => one.ways.table !== undefined)) cautions.add('slaughter');
  if (report.some((one) => one.ways.sold !== undefined || one.ways.given !== undefined))
    cautions.add('sale');
  if (report.some((one) => one.losses.verdict !== 'fine')) cautions.add('disease');
  if (season.rows.treatment.length > 0) {
    cautions.add('medicated-feed');
    cautions.add('withdrawal');
  }
  return cautions;
}
