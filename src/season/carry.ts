import type { Source } from '../text/source.ts';
import { removeIn, setIn, type YamlValue } from '../text/yaml-edit.ts';
import type { YamlPath } from '../text/yaml-limits.ts';
import type { SeasonValues } from './schema.ts';

export type Carry = {
  /** The new season; null: the year after the old one's. */
  readonly year: number | null;
  /** The old season's folder, as a path from the new one. */
  readonly previous: string;
};

/**
 * The text of next season's file: lines, pens, machines, storage, brooders, days off and goals of
 * the old one as the keeper laid them out, comments and all; dates go on by the years between; pens
 * chosen for the season take the place of their line's; the plan is empty.
 * @throws YamlEditRefused when the old file is laid out too unusually to be edited
 */
export function carriedSeason(source: Source, old: SeasonValues, carry: Carry): string {
  const before = Number.parseInt(String(old.season), 10);
  const after = carry.year ?? (Number.isFinite(before) ? before + 1 : null);
  const years = after === null || !Number.isFinite(before) ? 1 : after - before;
  const later = (day: string): string => {
    const year = Number(day.slice(0, 4)) + years;
    // The 29th of February has no like in most years.
    return `${year}-${day.slice(5) === '02-29' ? '02-28' : day.slice(5)}`;
  };
  let text = source.text;
  const set = (path: YamlPath, value: YamlValue) => {
    text = setIn(text, path, value);
  };
  set(['season'], after ?? old.season);
  set(['previous'], [carry.previous]);
  if (Object.keys(old.pens).length + Object.keys(old.next_pens).length > 0)
    set(['pens'], pensOf(old, later));
  old.goals.forEach((goal, index) => {
    set(['goals', index, 'by'], later(goal.by));
  });
  text = removeIn(text, ['days_off', 'dates']);
  text = removeIn(text, ['next_pens']);
  // Birds that nobody pens, scores or enters in the new season are not looked for there.
  text = removeIn(text, ['gone']);
  set(['plan'], []);
  return text;
}

/** The pens of the new season: the chosen ones of a line, else the old ones begun again. */
function pensOf(old: SeasonValues, later: (day: string) => string): Record<string, YamlValue> {
  const chosen = Object.entries(old.next_pens);
  const lines = new Set(chosen.map(([, pen]) => pen.line));
  const plain = (value: object) => JSON.parse(JSON.stringify(value)) as Record<string, YamlValue>;
  const out: Record<string, YamlValue> = {};
  for (const [name, pen] of Object.entries(old.pens)) {
    if (lines.has(pen.line)) continue;
    const { parted: _parted, males_changed: _changed, other_males_until: _until, ...kept } = pen;
    out[name] = plain({ ...kept, joined: later(pen.joined) });
  }
  for (const [name, pen] of chosen) {
    const like = old.pens[name] ?? Object.values(old.pens).find((other) => other.line === pen.line);
    // Without a pen to go by, the middle of February: the keeper puts the day right.
    const joined = like === undefined ? later(`${old.season}-02-15`) : later(like.joined);
    const { line, hens, males, ...birds } = pen;
    out[name] = plain({ line, hens, males, joined, ...birds });
  }
  return out;
}
