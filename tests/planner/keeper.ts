/** A keeper who follows a written plan and writes everything down, up to a day on which the season is cut. */
import type { Written } from '../support/season.ts';
import type { Draw, DrawnFarm } from './farms.ts';
import { dayOf, kindOf, type Lying, number, type PlannedSet, shares } from './rules.ts';

/** What went wrong, and from which day. */
export type Mishap =
  | { readonly what: 'male fails'; readonly pen: string }
  | { readonly what: 'set lost' }
  | { readonly what: 'hatcher closed' }
  | { readonly what: 'order comes in' }
  | { readonly what: 'nothing' };

export type Recorded = { readonly rows: Written[]; readonly lying: Lying[] };

/** Fertility of a pen whose male fails. */
const FAILED = 0.05;

/** What is recorded of a season up to a day, that day left out. */
export function recorded(
  draw: Draw,
  { farm }: DrawnFarm,
  plan: readonly PlannedSet[],
  { until, mishap }: { readonly until: string; readonly mishap: Mishap },
): Recorded {
  const rows: Written[] = [];
  const lying: Lying[] = [];
  const end = number(until);
  const store = new Map<string, { laid: number; eggs: number }[]>();
  for (const [name, pen] of Object.entries(farm.pens)) {
    const { species } = farm.lines[pen.line]!;
    const lots: { laid: number; eggs: number }[] = [];
    store.set(name, lots);
    const first = number(pen.joined!) + kindOf(species).fertility_lag_days.value;
    for (let at = first; at < end; at++) {
      if (pen.parted !== undefined && at >= number(pen.parted)) break;
      const laid = draw.count(pen.hens!, shares[species]!.lay!.mean);
      const kept = draw.count(laid, shares[species]!.kept!.mean);
      rows.push(['eggs', dayOf(at), { pen: name, laid, kept }]);
      lots.push({ laid: at, eggs: kept });
    }
  }
  const sets = [...plan]
    .sort((a, b) => (a.on < b.on ? -1 : 1))
    .filter(({ on }) => number(on) < end);
  sets.forEach((one, i) => {
    const at = number(one.on);
    const { species } = farm.lines[farm.pens[Object.keys(one.shares)[0]!]!.line]!;
    const kind = kindOf(species);
    const holds = farm.setters[one.setter]!.tray_holds[species]!;
    const isLost = mishap.what === 'set lost' && i === sets.length - 1;
    const trays = one.trays.map((tray) => ({ tray, free: holds }));
    const move = at + kind.transfer_day.value;
    let alive = 0;
    for (const [pen, wanted] of Object.entries(one.shares)) {
      const there = store
        .get(pen)!
        .filter((lot) => lot.laid <= at && at - lot.laid <= farm.storage.max_days)
        .reverse();
      let eggs = 0;
      for (const lot of there) {
        const taken = Math.min(lot.eggs, wanted - eggs);
        lot.eggs -= taken;
        eggs += taken;
      }
      if (eggs === 0) continue;
      let rest = eggs;
      for (const place of trays) {
        const here = Math.min(rest, place.free);
        if (here === 0) continue;
        place.free -= here;
        rest -= here;
        rows.push([
          'set',
          one.on,
          { set: one.set, pen, setter: one.setter, tray: place.tray, eggs: here },
        ]);
      }
      const mean = (stage: string) => shares[species]![stage]!.mean;
      const fertile = draw.count(
        eggs,
        isLost
          ? 0.1
          : mishap.what === 'male fails' && mishap.pen === pen
            ? FAILED
            : mean('fertile'),
      );
      const candled = draw.count(fertile, mean('candled'));
      const moved = draw.count(candled, mean('transferred'));
      const hatched = draw.count(moved, mean('hatched'));
      const on = (days: number, row: Written) => {
        if (days < end) rows.push(row);
      };
      const candle = at + kind.candle_days.value[0]!;
      alive += end <= candle ? eggs : end <= move ? candled : moved;
      const name = { set: one.set, pen };
      on(candle, [
        'candling',
        dayOf(candle),
        { ...name, clear: eggs - fertile, quit: fertile - candled },
      ]);
      on(move, [
        'transfer',
        dayOf(move),
        {
          ...name,
          ...(one.hatcher === null ? {} : { hatcher: one.hatcher }),
          moved,
          quit: candled - moved,
        },
      ]);
      const over = at + kind.hatch_window_days.value.high;
      on(over, [
        'hatch',
        dayOf(over),
        { ...name, hatched, unpipped: moved - hatched, final: 'yes' },
      ]);
    }
    // A tray that got no eggs is free.
    const used = trays.flatMap(({ tray, free }) => (free < holds ? [tray] : []));
    if (alive > 0 && end <= at + kind.hatch_window_days.value.high)
      lying.push({ ...one, trays: used, species });
  });
  return { rows, lying };
}
