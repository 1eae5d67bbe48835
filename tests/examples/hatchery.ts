// The egg's way of an invented season, from the nest to the last opening, with the mess of real
// records: a row entered twice, a candling corrected, an egg that is nowhere.
import { addDays, type Day, daysBetween, daysIn, weekdayOf } from '../../src/text/day.ts';
import type { Book, Cells } from './book.ts';
import type { Farm, Hatched, SetPlan } from './farm.ts';

const DUCK = { candle: [8, 17], transfer: 25, hatch: 28 };
/** Humidity of a hatcher made damp for the hatch, percent: the lowest read, and how far above it. */
const DAMP = { from: 75, over: 6 };
const CHICKEN = { candle: [7], transfer: 18, hatch: 21 };

/** Writes eggs, sets, candlings, transfers, openings and readings; gives back the chicks. */
export function hatchery(book: Book, farm: Farm): Hatched[] {
  const { some, put } = book.scribe(farm.seed);
  // How often the keeper looks into the hatcher moves no egg.
  const looks = book.scribe(farm.seed + 77);
  const { logs } = book;
  const out: Hatched[] = [];
  const entries = new Map<string, string>();

  const stock = new Map<string, { laid: Day; left: number }[]>();
  const lastSet = farm.sets.at(-1)!.on;
  const setOf = new Map<Day, SetPlan[]>();
  for (const one of farm.sets) setOf.set(one.on, [...(setOf.get(one.on) ?? []), one]);

  for (const day of daysIn(farm.firstEggs, addDays(lastSet, 1))) {
    for (const [pen, hens] of Object.entries(farm.hens)) {
      const rate = farm.rates[pen]!;
      const warmth = Math.min(1, 0.75 + daysBetween(farm.firstEggs, day) / 160);
      const laid = some(hens, rate.lay * warmth);
      const kept = some(laid, rate.kept);
      const left = laid - kept;
      const cracked = some(left, 0.3);
      const dirty = some(left - cracked, 0.4);
      const small = some(left - cracked - dirty, 0.5);
      put('eggs', day, {
        pen,
        laid,
        kept,
        small,
        cracked,
        dirty,
        other: left - cracked - dirty - small,
      });
      stock.set(pen, [...(stock.get(pen) ?? []), { laid: day, left: kept }]);
    }
    for (const one of setOf.get(day) ?? []) {
      const facts = one.duck ? DUCK : CHICKEN;
      const evening = `${day}T18:30`;
      const at = (days: number, time: string): string => `${addDays(day, days)}T${time}`;
      for (const [pen, wanted] of Object.entries(one.shares)) {
        const lots = stock.get(pen)!.filter((lot) => daysBetween(lot.laid, day) <= 9);
        let eggs = 0;
        for (const lot of lots) {
          const taken = Math.min(lot.left, wanted - eggs);
          lot.left -= taken;
          eggs += taken;
        }
        if (eggs === 0) continue;
        const rate = farm.rates[pen]!;
        const grams = one.duck ? 78 : 58;
        put('set', evening, {
          set: one.set,
          pen,
          setter: 'cabinet',
          tray: one.tray,
          eggs,
          mass_g: eggs * grams,
        });
        const fertile = some(eggs, rate.fertile);
        const early = some(fertile, rate.early);
        const looksClear = eggs - fertile + some(early, 0.35);
        const ring = early - (looksClear - (eggs - fertile));
        const doubtful =
          farm.mess && one.set === 'D3' && pen === 'south' ? Math.min(2, looksClear) : 0;
        const cracked = farm.mess && one.set === 'D6' && pen === 'north' ? 1 : 0;
        let live = fertile - early - cracked;
        const late = some(live, rate.late);
        const isFirst = pen === Object.keys(one.shares)[0];
        const lookDay =
          facts.candle[0]! + (weekdayOf(addDays(day, facts.candle[0]!)) === 'sun' ? 1 : 0);
        const firstLook = put(
          'candling',
          at(lookDay, '10:15'),
          { set: one.set, pen, clear: looksClear - doubtful, quit: ring, cracked, doubtful },
          doubtful ? { note: 'dark shells; two not sure' } : {},
        );
        if (firstLook) entries.set(`${one.set}/${pen}`, firstLook);
        if (isFirst && eggs > 4)
          put('weighing', at(lookDay, '10:40'), {
            set: one.set,
            pen,
            eggs: live + cracked + doubtful,
            mass_g: Math.round(
              (live + cracked + doubtful) * grams * (1 - (0.12 * lookDay) / facts.transfer),
            ),
          });
        if (one.duck)
          put('candling', at(facts.candle[1]!, '10:20'), { set: one.set, pen, clear: 0, quit: 0 });
        const moved = live + 0;
        put('transfer', at(facts.transfer, '17:40'), {
          set: one.set,
          pen,
          hatcher: one.hatcher,
          moved,
          clear: doubtful,
          quit: 0,
        });
        if (isFirst) {
          put('reading', at(facts.transfer, '20:00'), {
            machine: one.hatcher,
            dry: '37.0',
            rh: DAMP.from + looks.some(DAMP.over, 0.5),
          });
          // The last cleaning is done and not ticked: that is how it is.
          if (one.set !== 'D4')
            put('tick', `${addDays(day, facts.hatch + 2)}`, { task: `${one.set}/clean` });
        }
        live -= late;
        const hatched = some(live, rate.hatch);
        const failed = moved - hatched;
        const pipped = some(failed, 0.35);
        const dead = some(failed - pipped, 0.1);
        const missing =
          farm.mess && one.set === 'D8' && pen === 'south' && failed - pipped - dead > 0 ? 1 : 0;
        const firstTake = some(hatched, 0.8);
        // Every third hatch finds the keeper away until evening; else one look the
        // evening before, through the glass, and three on the hatch day.
        const isAway = Number(one.set.slice(1)) % 3 === 0;
        const noon = isAway ? 0 : looks.some(firstTake, 0.25);
        const five = isAway ? 0 : looks.some(firstTake - noon, 0.5);
        if (!isAway) {
          looks.put(
            'hatch',
            at(facts.hatch - 1, '20:00'),
            { set: one.set, pen, hatched: 0 },
            { note: 'through the glass: none out' },
          );
          looks.put('hatch', at(facts.hatch, '11:30'), { set: one.set, pen, hatched: noon });
          looks.put('hatch', at(facts.hatch, '17:00'), { set: one.set, pen, hatched: five });
        }
        put('hatch', at(facts.hatch, isAway ? '20:30' : '22:00'), {
          set: one.set,
          pen,
          hatched: firstTake - noon - five,
        });
        const weak = some(hatched - firstTake, 0.15);
        out.push({
          set: one.set,
          pen,
          duck: one.duck,
          hatched: addDays(day, facts.hatch),
          sound: hatched - weak,
        });
        put(
          'hatch',
          at(facts.hatch + 1, '09:30'),
          {
            set: one.set,
            pen,
            hatched: hatched - firstTake,
            weak,
            dead,
            pipped,
            unpipped: failed - pipped - dead - missing,
            final: 'yes',
          },
          missing ? { note: 'counted twice; one egg is not there' } : {},
        );
        if (isFirst && looksClear - doubtful > 0)
          put('breakout', at(lookDay, '11:00'), {
            set: one.set,
            pen,
            from: 'clear',
            infertile: Math.min(eggs - fertile, looksClear - doubtful),
            early: Math.max(0, looksClear - doubtful - (eggs - fertile)),
          });
      }
    }
  }
  const firstSet = farm.sets[0]!.on;
  for (const day of daysIn(firstSet, addDays(lastSet, 22))) {
    put('reading', `${day}T07:10`, {
      machine: 'cabinet',
      dry: (37.4 + some(4, 0.5) / 10 - 0.1).toFixed(1),
      rh: 50 + some(10, 0.5),
    });
  }
  if (farm.mess) {
    // The keeper's mess: a row entered twice and withdrawn, a candling corrected next day.
    const twice = logs.find(
      (log) =>
        log.record === 'eggs' && log.cells.pen === 'pond' && log.cells.on === addDays(firstSet, 9),
    );
    if (twice) {
      const own = { ...twice.cells, entry: '', recorded: '', by: '' };
      const again = put('eggs', String(twice.cells.on), { ...own, by: 'tom' } as Cells, {});
      restore(again, twice.cells, '20:05');
      const gone = put('eggs', String(twice.cells.on), { ...own, by: 'ada' } as Cells, {
        amends: again!,
        state: 'void',
        note: 'entered twice',
      });
      restore(gone, twice.cells, '20:30');
    }
    const wrong = logs.find(
      (log) => log.record === 'candling' && log.cells.entry === entries.get('D5/north'),
    );
    if (wrong) {
      const right = { ...wrong.cells };
      const amended = put('candling', String(right.on), {
        ...right,
        amends: String(right.entry),
        note: 'clear and quit were exchanged',
      });
      restore(amended, wrong.cells, '21:10');
      const { clear, quit } = right;
      wrong.cells.clear = quit!;
      wrong.cells.quit = clear!;
    }
  }
  function restore(entry: string | null, like: Cells, time: string): void {
    const row = book.last();
    row.cells.entry = entry!;
    row.cells.recorded = String(like.recorded).replace(/T..:../, `T${time}`);
  }
  return out;
}
