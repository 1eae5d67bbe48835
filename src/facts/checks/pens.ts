import { isRest } from '../../records/pen-change.ts';
import type { Pen, Season } from '../../season/model.ts';
import { penOn } from '../../season/pens.ts';
import { hensPerMale } from '../../season/species.ts';
import { plural } from '../../tables/numbers.ts';
import type { Day } from '../../text/day.ts';
import { type Fault, fault } from '../../text/fault.ts';
import { gathered } from '../../text/lists.ts';
import { openPlan } from '../hatch-time.ts';
import { firstFertile, isCarried, pureFrom } from '../laying.ts';
import type { Check, Checked } from './check.ts';

/** Eggs of a pen in a recorded or planned set. */
type Used = { readonly set: string; readonly pen: Pen; readonly at: Fault['at'] };

/** The eggs of each set and pen that were laid on such days (of setting if planned), as one. */
function usedEggs(
  season: Season,
  isOne: (pen: Pen, laid: Day) => boolean,
): (Used & { eggs: number })[] {
  const sums = new Map<string, Used & { eggs: number }>();
  const put = (one: Used, laid: Day, eggs: number): void => {
    if (!isOne(one.pen, laid)) return;
    const key = JSON.stringify([one.set, one.pen.name]);
    sums.set(key, { ...one, eggs: eggs + (sums.get(key)?.eggs ?? 0) });
  };
  for (const { name, shares } of season.sets.values())
    for (const { pen, at, drawn } of shares)
      for (const { laid, eggs } of drawn) put({ set: name, pen, at }, laid, eggs);
  for (const { name, shares, on, at } of openPlan(season))
    for (const { pen, eggs } of shares) put({ set: name, pen, at }, on, eggs);
  return [...sums.values()];
}

/** `pen-not-ready`: eggs laid before the pen's first fertile eggs. */
export const penNotReady = gathered(function* ({ season }: Checked): Generator<Fault> {
  for (const { set, pen, eggs, at } of usedEggs(season, (of, laid) => laid < firstFertile(of)))
    yield fault(
      'pen-not-ready',
      at,
      `${set}: ${plural(eggs, 'egg')} of ${pen.name} laid before ${firstFertile(pen)}; the pen was joined on ${pen.joined}`,
      {
        set,
        pen: pen.name,
        hint: 'a new pen needs some days to good fertility: expect more clear eggs',
      },
    );
});

/** `pen-not-pure`: eggs laid while a male no longer there may still be the father. */
export const penNotPure = gathered(function* ({ season }: Checked): Generator<Fault> {
  for (const { set, pen, eggs, at } of usedEggs(season, isCarried))
    yield fault(
      'pen-not-pure',
      at,
      `${set}: ${plural(eggs, 'egg')} of ${pen.name} may be of the males before the change; they are safely pure from ${pureFrom(pen)}`,
      {
        set,
        pen: pen.name,
        hint: 'raise these chicks as layers or table birds, not as breeders',
      },
    );
});

/** `too-few-males`: more hens to a male than the species and class allow. */
export const tooFewMales = gathered(function* ({ season }: Checked): Generator<Fault> {
  for (const { name, line, hens, males, at } of season.pens.values()) {
    const most = hensPerMale(line.species, line.class ?? undefined).value.high;
    if (hens === 0 || (males > 0 && hens / males <= most)) continue;
    yield fault(
      'too-few-males',
      at,
      males === 0
        ? `${name}: ${plural(hens, 'hen')} and no male`
        : `${name}: ${plural(hens, 'hen')} to ${plural(males, 'male')}; at most ${most} to one for ${line.name}`,
      {
        pen: name,
        severity: males === 0 ? 'error' : 'warning',
        hint: 'watch fertility at the first candling, or add a male',
      },
    );
  }
});

/** More hens or males gone from a pen than were in it, or more hens at rest. */
export const penChanges = gathered(function* ({ season }: Checked): Generator<Fault> {
  for (const pen of season.pens.values()) {
    const last = pen.changes.at(-1);
    if (last === undefined) continue;
    const { missing } = penOn(pen, last.day);
    const slip = (at: Fault['at'], message: string) =>
      fault('out-of-balance', at, `${pen.name}: ${message}`, {
        pen: pen.name,
        hint: `traybook list pen-change --pen ${pen.name}`,
      });
    for (const birds of ['hens', 'males'] as const)
      if (missing[birds] > 0)
        yield slip(last.at, `${missing[birds]} more ${birds} went than were there`);
    for (const { change, birds, day, at } of pen.changes) {
      const { hens } = penOn(pen, day);
      if (isRest(change) && birds > hens)
        yield slip(at, `${plural(birds, 'hen')} ${change} on ${day}, and ${hens} there`);
    }
  }
});

export const penChecks: readonly Check[] = [penNotReady, penNotPure, tooFewMales, penChanges];
