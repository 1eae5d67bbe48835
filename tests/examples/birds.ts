// The breeding birds of an invented season: old cocks, young birds banded and weighed at twelve
// weeks, judged in the autumn, and the pens chosen of them for the season after.
import { addDays, type Day } from '../../src/text/day.ts';
import type { Book, Scribe } from './book.ts';
import type { Farm } from './farm.ts';
import type { Reared } from './growing.ts';

const TRAITS = `traits:
  mass_12w: {kind: body-weight, age_days: 84}
  type: {kind: judged, weight: 2}   # head, back, five toes: 1 to 10
  first_egg: {kind: age-at-first-egg, better: less}
`;

/** What the keeper adds to season.yaml, by the name of the farm's folder. */
const BREEDING: Record<string, { sires: Record<string, string>; more: string; end: string }> = {
  finished: {
    sires: { north: '[Bran]', south: '[Cob, Dag]' },
    more: `gone: [B4-7]\n${TRAITS}`,
    // As `traybook breeders --mate --line dorking --write` chose them: a transcript holds it to that.
    end: `next_pens:
  north: {line: dorking, hens: 12, males: 2, sires: [B2-2, Rolf], dams: [B1-3, B2-4, B2-5, B2-7, B4-4, B5-6, B7-6, B7-7, B8-5, B10-5, B10-7, B11-3]}
  south: {line: dorking, hens: 11, males: 2, sires: [B4-2, B10-2], dams: [B1-4, B1-5, B2-3, B2-6, B4-3, B5-3, B5-4, B5-7, B7-5, B10-4, B11-7]}
`,
  },
  // One of the four cocks and two hens did not winter; two more hens came from the layers.
  midseason: { sires: { north: '[B4-2]', south: '[B2-2, Rolf]' }, more: TRAITS, end: '' },
};

/** season.yaml with the birds' names in the pens, the traits, and next season's pens. */
export function withBreeding(farm: Farm): string {
  const breeding = BREEDING[farm.folder];
  if (breeding === undefined) return farm.header;
  let text = farm.header;
  for (const [pen, sires] of Object.entries(breeding.sires))
    text = text.replace(new RegExp(`^(  ${pen}: +{line: [^}]*)}`, 'm'), `$1, sires: ${sires}}`);
  return `${text.replace(/^setters:/m, `${breeding.more}setters:`)}${breeding.end}`;
}

/** How the young of a pen differ from their hatch, in tenths of a standard deviation. */
const MERIT: Record<string, { mass: number; type: number; lay: number }> = {
  north: { mass: 3, type: -2, lay: 0 },
  south: { mass: -2, type: 2, lay: -3 },
};
const WEIGHED_AT = 84;
const JUDGED_AT = 160;

/** Writes birds and scores. */
export function birds(book: Book, farm: Farm, groups: readonly Reared[]): void {
  // Next season's pens are chosen of these: birds of a season still running are not banded yet.
  if (farm.folder !== 'finished') return;
  const scribe = book.scribe(farm.seed + 389);
  const begin = `${farm.season}-01-31`;
  for (const [bird, born] of [
    ['Bran', `${farm.season - 2}-04-11`],
    ['Cob', `${farm.season - 1}-03-28`],
    ['Dag', `${farm.season - 1}-03-28`],
  ] as const)
    scribe.put('bird', begin, { bird, line: 'dorking', sex: 'male', born });
  for (const group of groups) if (group.line === 'dorking') young(scribe, group);
  scribe.put(
    'bird',
    `${farm.season}-09-12`,
    { bird: 'Rolf', line: 'dorking', sex: 'male', born: `${farm.season}-04-02` },
    { note: 'bought in, no kin to ours; three weeks apart first' },
  );
}

/** Every bird of a group that was kept to the autumn. */
function young(scribe: Scribe, group: Reared): void {
  const sexes = [
    ...Array.from({ length: group.cockerels }, () => 'male' as const),
    ...Array.from({ length: group.pullets }, () => 'female' as const),
  ];
  const on = addDays(group.hatched, WEIGHED_AT);
  // A good week or a bad one: it moves the whole hatch, and tells nothing of its parents.
  const week = scribe.some(10, 0.5) * 24;
  sexes.forEach((sex, index) => {
    const bird = `${group.group}-${index + 1}`;
    const pen = group.pens[scribe.some(1, 0.55)]!;
    const merit = MERIT[pen]!;
    scribe.put('bird', `${on}T09:10`, {
      bird,
      line: group.line,
      sex,
      set: group.set,
      pen,
      born: group.hatched,
    });
    const noise = () => scribe.some(36, 0.5) - 18;
    const mass = (sex === 'male' ? 1520 : 1180) + week + 12 * merit.mass + 36 * noise();
    scribe.put('score', `${on}T09:40`, { bird, trait: 'mass_12w', value: mass });
    const type = Math.min(10, Math.max(1, Math.round(6 + (merit.type * 1.6) / 10 + noise() / 2)));
    scribe.put('score', `${addDays(group.hatched, JUDGED_AT)}T15:00`, {
      bird,
      trait: 'type',
      value: type,
    });
    // A trap nest stood in the orchard for the first hatches' pullets.
    if (sex === 'female' && Number(group.group.slice(1)) <= 5) {
      const age = 171 + merit.lay + 3 * noise();
      scribe.put('score', addDays(group.hatched, age) as Day, {
        bird,
        trait: 'first_egg',
        value: age,
      });
    }
  });
}
