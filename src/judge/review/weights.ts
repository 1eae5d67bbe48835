import type { Season, Share } from '../../season/model.ts';
import { daysBetween } from '../../text/day.ts';
import { norms } from '../norms.ts';
import { type GroupLoss, type GroupWeighing, groupLoss, humidityFor } from '../weight-loss.ts';

export type ShareLoss = {
  set: string;
  pen: string;
  loss: GroupLoss;
  transferDay: number;
  /** The species' own, percent lost to transfer. */
  target: { low: number; target: number; high: number; source: string };
  finished: boolean;
};

/** Weighings of shares, joined with the mass written when they were set. Days are whole days. */
export function lossesOf(season: Season): ShareLoss[] {
  const out: ShareLoss[] = [];
  for (const set of season.sets.values()) {
    const rows = season.rows.weighing.filter((row) => row.values.set === set.name);
    if (rows.length === 0) continue;
    for (const share of set.shares) {
      const own = rows.filter(
        (row) =>
          (row.values.pen ?? (set.shares.length === 1 ? share.pen.name : null)) === share.pen.name,
      );
      const weighings: GroupWeighing[] = own.map((row) => ({
        day: dayOf(share, row.on.day, row.on.time),
        mass_g: row.values.mass_g,
        eggs: row.values.eggs,
      }));
      if (share.trays.every((t) => t.mass_g !== null)) {
        weighings.push({
          day: 0,
          mass_g: share.trays.reduce((s, t) => s + t.mass_g!, 0),
          eggs: share.eggs,
        });
      }
      const figure = share.pen.line.species.weight_loss_percent;
      const transferDay = share.pen.line.species.transfer_day.value;
      const loss = groupLoss(weighings, transferDay);
      if (loss === null) continue;
      out.push({
        set: set.name,
        pen: share.pen.name,
        loss,
        transferDay,
        target: { ...figure.value, source: figure.source },
        finished: share.stage !== 'in-setter',
      });
    }
  }
  return out;
}

function dayOf(share: Share, day: Share['on']['day'], time: string | null): number {
  const whole = daysBetween(share.on.day, day);
  if (time === null || share.on.time === null) return whole;
  const minutes = (t: string): number => Number(t.slice(0, 2)) * 60 + Number(t.slice(3, 5));
  return whole + (minutes(time) - minutes(share.on.time)) / 1440;
}

/** Advice for eggs still in the setter: what to aim at, given the humidity they had so far. */
export function humidityAdvice(
  one: ShareLoss,
  rh: number | null,
): { aim: number; next: number } | null {
  if (rh === null || one.finished) return null;
  const left = one.transferDay - one.loss.lastDay;
  if (left <= 0) return null;
  const wanted = (one.target.target - one.loss.lost) / left;
  return humidityFor(rh, one.loss.slope, wanted, norms.loss.step_rh_points.value);
}
