/** The page of the guide on alarms: what each means, what to do first, and what settles it. */
import { alarmFigures } from '../facts/machine-bands.ts';
import { cutSteps } from '../facts/power.ts';
import type { AlarmCode } from '../judge/alarms/alarm.ts';
import { alarmRules } from '../judge/alarms/alarms.ts';
import { lossCauses } from '../judge/alarms/bird-rules.ts';
import { cautionLines } from '../season/cautions.ts';
import { counted } from './numbers.ts';

const CHANCE = 'more than chance brings';
const A_TICK = 'or the tick that `today --full` names';

/** When each is told, and what ends it: a code without a line here does not compile. */
const told: Readonly<Record<AlarmCode, { readonly when: string; readonly settled: string }>> = {
  'chicks-waiting': {
    when: 'chicks were taken off and are in no group, longer than their kind bears well',
    settled:
      'the group they went into: `add group`; or the tick of `SET/brood` if they went another way',
  },
  'waterfowl-with-chicks': {
    when: 'ducks or geese and other birds are under one roof',
    settled: 'the move that parts them: `add move`',
  },
  'out-too-early': {
    when: 'birds were moved out before their age, or the nights, allow',
    settled: 'the move back under heat, or the day on which they may be out',
  },
  losses: {
    when: 'losses of one cause reach the number of that cause',
    settled: `a week without another, ${A_TICK}`,
  },
  'too-warm': {
    when: 'a machine is above the band that all the eggs in it share: far above once, or a little on and on',
    settled: 'a reading in band',
  },
  'too-cold': {
    when: 'a machine is below the band that all the eggs in it share: far below once, or a little on and on',
    settled: 'a reading in band. Cold eggs that were set that day are no alarm',
  },
  'power-cut': {
    when: 'the power was off for hours in a machine with eggs',
    settled: 'a reading in band',
  },
  'impossible-reading': {
    when: 'a figure was written that no machine gives: degrees of the other scale, a wet bulb as humidity',
    settled: 'the amended row, or the next reading that can be',
  },
  'dry-wick': {
    when: 'the wet bulb shows what the dry one shows',
    settled: 'a reading with the wet bulb well below the dry one',
  },
  'too-damp': {
    when: 'two readings on end are above the humidity that all the eggs in the machine share',
    settled: 'a reading in band',
  },
  'too-dry': {
    when: 'two readings on end are below the humidity that all the eggs in the machine share',
    settled: 'a reading in band',
  },
  drift: {
    when: 'a machine no longer runs where it ran, even within its band',
    settled:
      'a reading where it ran before, or a calibration; after that its usual figure is learnt anew',
  },
  'early-hatch': {
    when: 'the first chick came long before the first was expected of this set',
    settled: `the closed set, ${A_TICK}`,
  },
  'late-hatch': {
    when: 'no chick is written half a day after the middle of the hatch was expected',
    settled: 'the first chick written; past the end of the hatch a task says what is now true',
  },
  'off-weight': {
    when: 'water lost, carried on to transfer, leaves the range of the kind',
    settled: 'a weighing on course',
  },
  'set-lost': {
    when: 'a whole set gave no chick',
    settled: `a week, ${A_TICK}`,
  },
};

const steps = (all: readonly string[]): string => all.map((step) => `- ${code(step)}`).join('\n');

/** Command lines in a step stand out. */
const code = (text: string): string =>
  text.replace(
    /traybook (?:[a-z-]+|[A-Z]+|\d+)(?: (?:[a-z-]+=?[A-Z]*|[A-Z]+|--[a-z-]+))*/g,
    '`$&`',
  );

/** Every code with what it means, what to do, and what settles it; the action comes first. */
export function alarmsPage(): string {
  const out = [
    '# Alarms',
    '',
    '`today` tells an alarm when the row is written that shows it, and every morning until it is settled:',
    'by what stands under *settled*, by `traybook add tick ID` with the id that `today --full` names, or for good by',
    '`traybook check --accept CODE ABOUT --why TEXT`. An alarm that was settled and shows again is new. What only',
    `follows from a greater one at the same place is not told beside it. Losses are told for ${alarmFigures.runaway_days.value} days.`,
    '',
  ];
  for (const { code: name, means, look } of alarmRules) {
    const { when, settled } = told[name];
    out.push(`## ${name}`, '');
    const first =
      name === 'power-cut'
        ? [...cutSteps, ...look]
        : name === 'impossible-reading'
          ? ['read the machine again', 'mend the row: traybook amend ENTRY COLUMN=N']
          : look;
    if (first.length > 0) out.push(steps(first), '');
    if (name === 'losses')
      for (const [cause, { means: why, look: what, isOfChance }] of Object.entries(lossCauses))
        out.push(
          `*${cause === 'unexplained' ? 'sick, unknown' : cause}*, from ${counted(alarmFigures.cause_birds.value[cause]!, 'bird')} in ${alarmFigures.cause_days.value} days${isOfChance && why !== CHANCE ? ` and ${CHANCE}` : ''}: ${why}.`,
          '',
          steps(cause === 'unexplained' ? cautionLines(['disease']) : what),
          '',
        );
    out.push(`Told when ${when}. It means: ${means}. Settled by: ${settled}.`, '');
  }
  return out.join('\n');
}
