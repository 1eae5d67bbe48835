import { isRest } from '../../records/pen-change.ts';
import type { Pen, Season } from '../../season/model.ts';
import { penOn } from '../../season/pens.ts';
import { hensPerMale } from '../../season/species.ts';
import type { Day } from '../../text/day.ts';
import { type Fault, fault } from '../../text/fault.ts';
import { openPlan } from '../hatch-time.ts';
import { firstFertile, isCarried, pureFrom } from '../laying.ts';
import type { Check } from './check.ts';

/** Eggs of a pen in a recorded or planned set, by the day laid (the day of setting if planned). */
type Used = { set: string; pen: Pen; laid: Day; eggs: number; at: Fault['at'] };

function usedEggs(season: Season): Used[] {
  const out: Used[] = [];
  for (const set of season.sets.values())
    for (const share of set.shares)
      for (const one of share.drawn)
        out.push({ set: set.name, pen: share.pen, laid: one.laid, eggs: one.eggs, at: share.at });
  for (const one of openPlan(season))
    for (const share of one.shares)
      out.push({ set: one.name, pen: share.pen, laid: one.on, eggs: share.eggs, at: one.at });
  return out;
}

/** Joins the eggs of one set and pen into one fault. */
function tell(
  used: readonly Used[],
  make: (pen: Pen, set: string, eggs: number, at: Fault['at']) => Fault,
): Fault[] {
  const sums = new Map<string, Used>();
  for (const one of used) {
    const key = JSON.stringify([one.set, one.pen.name]);
    const same = sums.get(key);
    sums.set(key, { ...one, eggs: one.eggs + (same?.eggs ?? 0) });
  }
  return [...sums.values()].map((one) => make(one.pen, one.set, one.eggs, one.at));
}

/** `pen-not-ready`: eggs laid before the pen's first fertile eggs. */
export const penNotReady: Check = ({ season }) =>
  tell(
    usedEggs(season).filter((one) => one.laid < firstFertile(one.pen)),
    (pen, set, eggs, at) =>
      fault(
        'pen-not-ready',
        at,
        `${set}: ${eggs} eggs of ${pen.name} were laid before ${firstFertile(pen)}; the pen was joined on ${pen.joined}`,
        {
          set,
          pen: pen.name,
          hint: 'a new pen needs some days to good fertility: expect more clear eggs',
        },
      ),
  );

/** `pen-not-pure`: eggs laid while a male no longer there may still be the father. */
export const penNotPure: Check = ({ season }) =>
  tell(
    usedEggs(season).filter((one) => isCarried(one.pen, one.laid)),
    (pen, set, eggs, at) =>
      fault(
        'pen-not-pure',
        at,
        `${set}: ${eggs} eggs of ${pen.name} may be of the males before the change; they are safely pure from ${pureFrom(pen)}`,
        {
          set,
          pen: pen.name,
          hint: 'raise these chicks as layers or table birds, not as breeders',
        },
      ),
  );

/** `too-few-males`: more hens to a male than the species and class allow. */
export const tooFewMales: Check = ({ season }) => {
  const faults: Fault[] = [];
  for (const pen of season.pens.values()) {
    if (pen.hens === 0) continue;
    const most = hensPerMale(pen.line.species, pen.line.class ?? undefined).value.high;
    if (pen.males > 0 && pen.hens / pen.males <= most) continue;
    faults.push(
      fault(
        'too-few-males',
        pen.at,
        pen.males === 0
          ? `${pen.name}: ${pen.hens} hens and no male`
          : `${pen.name}: ${pen.hens} hens to ${pen.males} male${pen.males === 1 ? '' : 's'}; at most ${most} to one for ${pen.line.name}`,
        {
          pen: pen.name,
          severity: pen.males === 0 ? 'error' : 'warning',
          hint: 'watch fertility at the first candling, or add a male',
        },
      ),
    );
  }
  return faults;
};

/** More hens or males gone from a pen than were in it, or more hens at rest. */
export const penChanges: Check = ({ season }) =>
  [...season.pens.values()].flatMap((pen) => {
    const last = pen.changes.at(-1);
    if (last === undefined) return [];
    const { missing } = penOn(pen, last.day);
    const slip = (at: Fault['at'], message: string) =>
      fault('out-of-balance', at, `${pen.name}: ${message}`, {
        pen: pen.name,
        hint: `traybook list pen-change --pen ${pen.name}`,
      });
    return [
      ...(['hens', 'males'] as const)
        .filter((birds) => missing[birds] > 0)
        .map((birds) => slip(last.at, `${missing[birds]} more ${birds} went than were there`)),
      ...pen.changes.flatMap(({ change, birds, day, at }) => {
        const { hens } = penOn(pen, day);
        return isRest(change) && birds > hens
          ? [slip(at, `${birds} hens ${change} on ${day}, and ${hens} were there`)]
          : [];
      }),
    ];
  });
