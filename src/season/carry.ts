import { parseDocument } from 'yaml';
import type { Source } from '../text/source.ts';
import type { SeasonValues } from './schema.ts';

export type Carry = {
  /** The new season; null: the year after the old one's. */
  readonly year: number | null;
  /** The old season's folder, as a path from the new one. */
  readonly previous: string;
};

/**
 * The text of next season's file: lines, pens, machines, storage, brooders, days off and goals of
 * the old one with its comments; dates go on by the years between; the plan is empty.
 */
export function carriedSeason(source: Source, old: SeasonValues, carry: Carry): string {
  const document = parseDocument(source.text);
  const before = typeof old.season === 'number' ? old.season : Number.parseInt(old.season, 10);
  const after = carry.year ?? (Number.isFinite(before) ? before + 1 : null);
  const years = after === null || !Number.isFinite(before) ? 1 : after - before;
  const later = (day: string): string => {
    const year = Number(day.slice(0, 4)) + years;
    // The 29th of February has no like in most years.
    return `${year}-${day.slice(5) === '02-29' ? '02-28' : day.slice(5)}`;
  };
  document.set('season', after ?? old.season);
  document.set('previous', document.createNode([carry.previous], { flow: true }));
  for (const [name, pen] of Object.entries(old.pens)) {
    document.setIn(['pens', name, 'joined'], later(pen.joined));
    for (const key of ['parted', 'males_changed', 'other_males_until'])
      document.deleteIn(['pens', name, key]);
  }
  carryNextPens(document, old, later);
  old.goals.forEach((goal, index) => {
    document.setIn(['goals', index, 'by'], later(goal.by));
  });
  if (document.hasIn(['days_off', 'dates'])) document.deleteIn(['days_off', 'dates']);
  // Birds that nobody pens, scores or enters in the new season are not looked for there.
  document.delete('gone');
  document.set('plan', document.createNode([]));
  return document.toString({ lineWidth: 0 });
}

/** Pens chosen for the season take the place of the old ones of their line. */
function carryNextPens(
  document: ReturnType<typeof parseDocument>,
  old: SeasonValues,
  later: (day: string) => string,
): void {
  const chosen = Object.entries(old.next_pens);
  if (chosen.length === 0) return;
  const lines = new Set(chosen.map(([, pen]) => pen.line));
  const before = Object.entries(old.pens).filter(([, pen]) => lines.has(pen.line));
  for (const [name] of before) document.deleteIn(['pens', name]);
  for (const [name, pen] of chosen) {
    const like = old.pens[name] ?? before.find(([, other]) => other.line === pen.line)?.[1];
    // Without a pen to go by, the middle of February: the keeper puts the day right.
    const joined = like === undefined ? later(`${old.season}-02-15`) : later(like.joined);
    document.setIn(['pens', name], document.createNode({ ...pen, joined }, { flow: true }));
  }
  document.delete('next_pens');
}
