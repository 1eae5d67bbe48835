/** What is poor from the first set on: no change shows, and still it is worse than is usual elsewhere. */
import { logit } from '../model/grid.ts';
import { seeds } from '../model/priors.ts';
import { type Cause, type Finding, isShare } from './finding.ts';

/** Questions of a level. */
const ofLevel: ReadonlySet<Cause> = new Set([
  'low-fertility',
  'egg-quality',
  'early-death',
  'middle-death',
  'late-death',
  'contamination',
  'weak-chicks',
  'handling',
]);

/** The usual range reaches two standard deviations beyond its middle, on the log-odds. */
const REACH = 2 * seeds.levels.least_sd.value;

/** True if nothing changed, but the whole interval lies beyond the range that is usual elsewhere. */
export const isPoor = ({ cause, verdict, unit, low, expected }: Finding): boolean =>
  verdict === 'fine' &&
  ofLevel.has(cause) &&
  isShare(unit) &&
  low !== null &&
  expected !== null &&
  logit(low) > logit(expected) + REACH;
