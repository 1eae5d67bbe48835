/** What a season's looks and gauges show: review and diagnosis read the same, worked out once. */
import type { Season } from '../season/model.ts';
import { once } from '../text/once.ts';
import { gaugesOf } from './gauges.ts';
import { hatchTimesOf } from './hatch-times.ts';
import { outcomesOf, type ShareOutcome } from './review/outcome.ts';

/** Each is made when it is first asked for. */
export type Seen = {
  readonly outcomes: () => readonly ShareOutcome[];
  readonly times: () => ReturnType<typeof hatchTimesOf>;
  readonly gauges: () => ReturnType<typeof gaugesOf>;
};

export const seenIn = (season: Season): Seen => ({
  outcomes: once(() => outcomesOf(season)),
  times: once(() => hatchTimesOf(season)),
  gauges: once(() => gaugesOf(season)),
});
