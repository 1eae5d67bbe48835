import { outcomesOf } from '../../judge/review/outcome.ts';
import { readingsOf } from '../../judge/review/readings.ts';
import type { EggSet, Season } from '../../season/model.ts';
import { celsius } from '../../season/weather.ts';
import { figures, fixed, type Units, unitOf } from '../../tables/numbers.ts';
import { type Day, weekdayOf } from '../../text/day.ts';

/** One thing that was done otherwise than in an earlier season. */
export type Differently = {
  /** With its unit. */
  readonly what: string;
  readonly before: string;
  readonly now: string;
};

const mean = (values: readonly number[]): number =>
  values.reduce((s, v) => s + v, 0) / values.length;

/** How a season was kept, thing by thing; what nothing is known of is not in it. */
function facts(season: Season, units: Units): Map<string, string> {
  const degree = unitOf('temperature', units);
  const out = new Map<string, string>();
  const sets = [...season.sets.values()];
  if (sets.length > 0) {
    const days = sets.map((set) => set.on.day).sort();
    out.set('sets', String(sets.length));
    out.set('eggs a set, mean', fixed(mean(sets.map((s) => eggsOf(s)))));
    out.set('first set on (month-day)', days[0]!.slice(5));
    out.set('last set on (month-day)', days.at(-1)!.slice(5));
    out.set('set on (weekdays)', weekdays(days));
    const aged = outcomesOf(season).filter((o) => o.age !== null);
    const eggs = aged.reduce((s, o) => s + o.share.eggs, 0);
    if (eggs > 0)
      out.set(
        'days in store at setting, mean',
        fixed(aged.reduce((s, o) => s + o.share.eggs * o.age!.mean, 0) / eggs, 1),
      );
    const trays = new Set(
      sets.flatMap((set) =>
        set.shares.flatMap((share) =>
          share.trays.flatMap((t) => (t.tray === null ? [] : [`${t.setter} ${t.tray}`])),
        ),
      ),
    );
    if (trays.size > 0) out.set('trays used', String(trays.size));
  }
  for (const line of season.lines.keys()) {
    const pens = [...season.pens.values()].filter((pen) => pen.line.name === line);
    const males = pens.reduce((s, pen) => s + pen.males, 0);
    if (males > 0)
      out.set(
        `hens to a male, ${line}`,
        fixed(pens.reduce((s, pen) => s + pen.hens, 0) / males, 1),
      );
  }
  for (const pen of season.pens.values())
    out.set(
      `pen ${pen.name}`,
      `${pen.hens} ${pen.hens === 1 ? 'hen' : 'hens'}, ${pen.males} ${pen.males === 1 ? 'male' : 'males'}`,
    );
  for (const m of readingsOf(season)) {
    if (m.temperature_c)
      out.set(
        `temperature in ${m.machine}, mean (${degree})`,
        figures(m.temperature_c.mean, 'temperature', units),
      );
    if (m.humidity) out.set(`humidity in ${m.machine}, mean (%)`, fixed(m.humidity.mean));
  }
  const store = season.values.storage;
  if (store?.temperature != null)
    out.set(
      `store set to (${degree})`,
      figures(celsius(store.temperature, season.values.units.temperature), 'temperature', units, 0),
    );
  return out;
}

function eggsOf(set: EggSet): number {
  return set.shares.reduce((s, share) => s + share.eggs, 0);
}

function weekdays(days: readonly Day[]): string {
  const counts = new Map<string, number>();
  for (const day of days) counts.set(weekdayOf(day), (counts.get(weekdayOf(day)) ?? 0) + 1);
  return [...counts]
    .sort((a, b) => b[1] - a[1])
    .map(([day]) => day)
    .join(' ');
}

/** What was done differently now from then; what only one of the seasons tells of is left out. */
export function differentlyFrom(then: Season, now: Season): Differently[] {
  const { units } = now.values;
  const known = facts(then, units);
  return [...facts(now, units)].flatMap(([what, value]): Differently[] => {
    const old = known.get(what);
    return old === undefined || old === value ? [] : [{ what, before: old, now: value }];
  });
}
