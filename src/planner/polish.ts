/** Sets moved by a set day or two, one by one: the simulation judges. */
import { drawnEggs, filledEggs } from './eggs.ts';
import type { Problem, Start } from './problem.ts';
import { eggsIn, haveRoom, warmBeside } from './room.ts';
import { better, isMet, type Seeking, type Tried, tried } from './tried.ts';

/**
 * A plan that is short by more is not worth it; so many simulations at most (bench:plan, middle: 206 programs and
 * 1,211 eggs; 306 and 1,260 with fewer where the plan is met already).
 */
const WORTH_POLISH = 0.015;
const SIMULATIONS = 40;
const STEPS = [-1, 1, -2, 2];

/** The plan after moves that make it better; where it is far short it is left as it is. */
export function polished(
  { p, outlook }: Seeking,
  from: Tried,
  others: readonly Start[],
  wanted: readonly number[],
): Tried {
  if (from.starts.length === 0 || from.short > WORTH_POLISH) return from;
  let best = from;
  let left = SIMULATIONS;
  for (let moved = true; moved && left > 0; ) {
    moved = false;
    for (let i = 0; i < best.starts.length && left > 0; i++)
      for (const step of STEPS) {
        if (left <= 0) break;
        const starts = movedSet(p, best.starts, i, step, others, !isMet(best));
        if (starts === null || !haveRoom(p, [...others, ...starts])) continue;
        left--;
        const plan = tried(p, outlook, starts, wanted);
        if (!better(plan, best)) continue;
        best = plan;
        moved = true;
        break;
      }
  }
  return best;
}

/** The sets with one of them some set days later or earlier; null if that is no day for it, or no place. */
function movedSet(
  p: Problem,
  starts: readonly Start[],
  i: number,
  step: number,
  others: readonly Start[],
  isShort: boolean,
): Start[] | null {
  const start = starts[i]!;
  const { setDays } = p.calendars[start.calendar]!;
  const day = setDays[setDays.indexOf(start.day) + step];
  if (day === undefined) return null;
  const eggs = new Map(
    [...start.eggs].filter(([pool]) => {
      const { to, closed } = p.pools[pool]!;
      return day <= to && !closed.has(day);
    }),
  );
  const { calendar } = start;
  if (start.hatcher >= 0 && warmBeside(p, calendar, start.hatcher, day, others) <= 0) return null;
  const moved = starts.map((one, k) => (k === i ? { ...one, day, eggs } : one));
  moved.sort((a, b) => a.day - b.day);
  const drawn = drawnEggs(p, moved);
  const filled = isShort ? filledEggs(p, drawn, others) : drawn;
  return filled.some((one) => eggsIn(one) < p.calendars[calendar]!.leastEggs) ? null : filled;
}
