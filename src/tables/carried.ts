import { wantedWords } from '../facts/goals.ts';
import type { Step } from '../judge/summary/way.ts';
import type { Season } from '../season/model.ts';
import type { SeasonValues } from '../season/schema.ts';
import type { Rate } from './numbers.ts';

/** What a season begun from another one takes for granted, line by line. */
export function carriedWords(
  old: SeasonValues,
  fresh: Season,
  previous: string,
  way: readonly Step[],
): string[] {
  const was = String(old.season);
  const lines: string[] = [];
  const chosen = Object.keys(old.next_pens);
  lines.push(
    chosen.length > 0
      ? `pens as chosen under next_pens: ${chosen.join(', ')}; those of other lines as in ${was}`
      : `pens as in ${was}: ${listed([...fresh.pens.keys()])}`,
  );
  const joined = [...fresh.pens.values()].map((pen) => pen.joined).sort();
  if (joined[0] !== undefined)
    lines.push(
      `joined on the days of ${was}, a year on: ${joined[0]}${joined.at(-1) === joined[0] ? '' : ` to ${joined.at(-1)}`}`,
    );
  lines.push(
    `machines, storage and brooders as in ${was}; its weekly days off too, its single ones not`,
  );
  const learned = way.filter((step) => step.share !== null && step.of !== null);
  lines.push(
    learned.length === 0
      ? `rates from seeds: ${was} holds no counts yet; they come through previous: [${previous}] once it does`
      : `rates learned from ${was} through previous: [${previous}], such as ${learned
          .filter((step) => step.stage === 'fertile' || step.stage === 'hatched')
          .map((step) => `${rateWords[step.stage]} ${counts(step)}`)
          .join(', ')}; none is copied`,
  );
  const overridden = Object.keys(fresh.values.rates);
  if (overridden.length > 0)
    lines.push(`your own rates stand before them, as in ${was}: ${overridden.join(', ')}`);
  for (const goal of fresh.values.goals)
    lines.push(`goal a year on: ${wantedWords(goal, goal.line)} by ${goal.by}`);
  return lines;
}

const rateWords: Readonly<Record<string, string>> = {
  fertile: 'fertile (apparent)',
  hatched: 'hatched of transferred',
};
const counts = (rate: Rate): string => `${rate.count} of ${rate.of}`;
const listed = (names: readonly string[]): string =>
  names.length === 0 ? 'none' : names.join(', ');
