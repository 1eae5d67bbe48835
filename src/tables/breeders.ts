/** Breeding pens, lines, birds and next season's pens. */

import type { NextPens } from '../breeders/next-pens.ts';
import type { BreedersReport } from '../breeders/report.ts';
import type { RotationYear } from '../breeders/rotation.ts';
import { there } from '../text/lists.ts';
import { type AnyTable, type Column, tableOf } from './columns.ts';
import { between, counted, fixed, hundredths, percent, range, significant } from './numbers.ts';
import type { Say, Screen, ScreenPart } from './terminal.ts';
import { heads, partNames } from './words.ts';

type PenRow = BreedersReport['pens'][number];
type LineRow = BreedersReport['lines'][number];
type TraitRow = BreedersReport['traits'][number];
type BirdRow = BreedersReport['birds'][number];

/** Birds of a line and sex shown unless all are asked for. */
const FIRST = 12;

const penColumns: readonly Column<PenRow>[] = [
  heads.pen,
  heads.males,
  heads.hens,
  { key: 'hens_per_male', heading: 'hens to a male', kind: 'number', doc: 'hens to a male' },
  {
    key: 'usual_hens',
    kind: 'range',
    doc: 'hens to a male that are usual for the kind',
    priority: 1,
    of: (pen) => ({ low: pen.hens_per_male_low, high: pen.hens_per_male_high }),
  },
  { ...heads.effectiveSize, of: sizeOf },
  {
    key: 'first_fertile',
    heading: 'fertile from',
    kind: 'day',
    doc: 'first day of fertile eggs',
    priority: 1,
  },
  {
    key: 'pure_from',
    kind: 'name',
    doc: 'first day of eggs of these males alone',
    of: (pen) => pen.pure_from ?? 'the start',
  },
];

function sizeOf(one: { readonly effective_size_low: number; readonly effective_size: number }) {
  return { low: one.effective_size_low, high: one.effective_size };
}

const years = (
  key: string,
  heading: string,
  of: (line: LineRow) => number | null,
): Column<LineRow> => ({
  key,
  heading,
  kind: 'number',
  digits: 0,
  unit: 'years',
  doc: 'years of yearly generations until then',
  priority: 1,
  of,
});

const narrowingColumns: readonly Column<LineRow>[] = [
  heads.line,
  heads.males,
  heads.hens,
  { ...heads.effectiveSize, of: sizeOf },
  { ...heads.deltaF, of: (line) => pair(line.delta_f, line.delta_f_high) },
  years('years_to_first', 'to 10 % inbreeding', (line) => line.years_to_first),
  years('years_to_second', 'to 25 % inbreeding', (line) => line.years_to_second),
];

function pair(low: number | null, high: number | null) {
  return low === null || high === null ? null : { low, high };
}

const deltaF = (
  key: string,
  heading: string,
  of: (line: LineRow) => number | null,
): Column<LineRow> => ({
  key,
  heading,
  kind: 'percent',
  doc: 'narrowing a generation, were it so',
  of,
});

const insteadColumns: readonly Column<LineRow>[] = [
  heads.line,
  deltaF('now', 'ΔF as now', (line) => line.delta_f),
  deltaF('one_more_male', 'with one more male', (line) => line.one_more_male.delta_f),
  deltaF('five_more_hens', 'with five more hens', (line) => line.five_more_hens.delta_f),
  deltaF('within_families', 'chosen within families', (line) => line.delta_f_within_families),
];

const traitColumns: readonly Column<TraitRow>[] = [
  { key: 'trait', kind: 'name', doc: 'trait of season.yaml' },
  {
    key: 'heritability',
    kind: 'name',
    doc: 'heritability, and the range of what was found',
    of: (one) =>
      `${one.heritability}\u00a0(${between(String(one.heritability_low), String(one.heritability_high))})`,
  },
  { key: 'compared', heading: 'scores used', kind: 'count', doc: 'scores compared' },
  {
    key: 'peer_groups',
    heading: 'hatches compared',
    kind: 'count',
    doc: 'groups of birds of one hatch, sex and day of scoring',
    priority: 1,
  },
  {
    key: 'spread',
    heading: 'spread among peers',
    kind: 'text',
    doc: 'standard deviation among birds of one hatch',
    of: (one) => (one.spread === null ? null : `${significant(one.spread, 3)}\u00a0${one.unit}`),
  },
];

const parentOf = (bird: BirdRow, name: string | null): string | null =>
  name ?? (bird.parents_shared_out ? `of ${bird.pen}` : null);

const birdColumns: readonly Column<BirdRow>[] = [
  { key: 'bird', kind: 'name', doc: 'name of the bird' },
  {
    key: 'index',
    kind: 'number',
    digits: 2,
    unit: 'sd',
    doc: 'index of the weighted traits, 0 the mean of the founders',
  },
  { key: 'reliability', kind: 'percent', doc: 'how much of the truth the index holds' },
  heads.inbreeding,
  { key: 'father', kind: 'name', doc: 'sire', of: (bird) => parentOf(bird, bird.sire) },
  { key: 'mother', kind: 'name', doc: 'dam', of: (bird) => parentOf(bird, bird.dam) },
];

const ratioSays: Readonly<Record<string, string>> = {
  'too few males': 'more hens to a male than usual. Watch fertility, or add a male.',
  'more males than needed':
    'fewer hens to a male than usual. Males may fight, though each widens the line.',
  'no mating': 'hens or males are missing.',
};

function birdParts(birds: readonly BirdRow[], all: boolean): ScreenPart[] {
  const here = birds.filter((bird) => bird.here && bird.index !== null);
  const keys = [...new Set(here.map(({ line, sex }) => `${line}, ${sex}s`))];
  return keys.map((key) => {
    const own = here.filter(({ line, sex }) => `${line}, ${sex}s` === key);
    const shown = all ? own : own.slice(0, FIRST);
    const rest = own.length - shown.length;
    return {
      heading: `${key}, best first`,
      table: tableOf(birdColumns, shown),
      ...(rest > 0 ? { reasons: [`and ${rest} more: --full`] } : {}),
    };
  });
}

/** Pens and lines, traits and ranking; `all` lists every bird. */
export function breedersScreen(report: BreedersReport, title: string, all: boolean): Screen {
  const bred = report.lines.filter((line) => line.males > 0 && line.hens > 0);
  const entered = report.lines.filter(({ birds }) => birds > 0);
  const ranked = report.traits.length === 0 ? [] : birdParts(report.birds, all);
  return {
    title,
    answer: [breedersAnswer(report.pens, bred)],
    exceptions: report.pens.flatMap((pen): Say[] =>
      pen.ratio === 'fine'
        ? []
        : [{ meaning: 'watch', text: `${pen.pen}: ${ratioSays[pen.ratio]}` }],
    ),
    parts: [
      {
        heading: partNames.pens,
        table: tableOf(penColumns, report.pens),
      },
      { heading: 'Narrowing, a generation', table: tableOf(narrowingColumns, bred) },
      bred.length > 0 && {
        heading: 'ΔF a generation, if you had',
        table: tableOf(insteadColumns, bred),
        reasons: [
          'Effective size is how many birds, equal and unrelated, would narrow the line as fast. The lower figure has one male of each pen sire every chick, the higher all alike; the years take the higher. Generations are yearly. Within families: one son follows each male, one daughter each hen. The usual aim is 1 % or less; a single farm rarely reaches it, so exchange birds with other breeders of the line.',
        ],
      },
      {
        heading: null,
        reasons: [...courseReasons(bred), ...entered.map((line) => kinReason(line, report.birds))],
      },
      report.traits.length === 0 &&
        report.birds.length > 0 && {
          heading: null,
          reasons: [
            'No traits stand in season.yaml, so the birds are not ranked: traybook guide breeding',
          ],
        },
      {
        heading: 'Traits',
        table: tableOf(traitColumns, report.traits),
        lines: report.traits.flatMap(({ trait, left_out }) => {
          const reasons = Object.entries(left_out).map(([why, count]) => `${count} ${why}`);
          return reasons.length === 0
            ? []
            : [{ name: trait, text: `scores left out: ${reasons.join(', ')}` }];
        }),
      },
      ...ranked,
    ],
    notes: ranked.length === 0 ? [] : rankNotes(report),
  };
}

function breedersAnswer(pens: readonly PenRow[], bred: readonly LineRow[]): string {
  if (pens.length === 0) return 'No pens stand in season.yaml.';
  if (bred.length === 0) return 'No pen has both hens and males.';
  return bred
    .map(
      (line) =>
        `${line.line}: ${counted(line.males, 'male')}, ${counted(line.hens, 'hen')}; narrows ${between(hundredths(line.delta_f!), hundredths(line.delta_f_high!))}\u00a0% a generation.`,
    )
    .join(' ');
}

function courseReasons(bred: readonly LineRow[]): string[] {
  return bred
    .filter(({ seasons }) => seasons.length > 1)
    .map(
      (line) =>
        `${line.line}: over ${line.seasons.length} seasons the effective size was ${fixed(line.effective_size_harmonic!, 1)} (harmonic mean), which makes ${percent(line.inbreeding_over_seasons!)} inbreeding since the first.`,
    );
}

function kinReason(line: LineRow, birds: readonly BirdRow[]): string {
  const gone = birds.filter((bird) => bird.line === line.line && !bird.here).length;
  const kinship = line.mean_kinship === null ? 'not known' : percent(line.mean_kinship);
  return `${line.line}: ${counted(line.birds, 'bird')} entered${gone > 0 ? `, ${gone} of them here no more` : ''}; mean inbreeding ${percent(line.mean_inbreeding ?? 0)}, mean kinship ${kinship}, both at least: birds without parents count as unrelated.`;
}

function rankNotes(report: BreedersReport): string[] {
  return there([
    'Each bird is compared with its own hatch and sex on the same day, never with another hatch. The index is in standard deviations of the weighted traits, 0 the mean of the founders; reliability is how much of the truth it holds. Traits count as uncorrelated.',
    report.traits.some(({ sex }) => sex === 'female') &&
      'A trait of hens tells of a cock only through his mother, sisters and daughters: brothers of one mating stand alike in it.',
  ]);
}

const gainText = (gain: NextPens['gain']): string =>
  gain === null ? '-' : `${fixed(gain.estimate, 2)}\u00a0(${range(gain.low, gain.high, 2)})`;

function chosenLines(next: NextPens, names: readonly string[]): NonNullable<ScreenPart['lines']> {
  const { wish, plan } = next;
  const usual = range(wish.hens_per_male_low, wish.hens_per_male_high);
  return plan.pens.map((pen, index) => {
    const each = pen.hens.length / pen.males.length;
    const verdict = each > wish.hens_per_male_high ? ': too few males' : '';
    return {
      name: names[index]!,
      text: `${pen.males.length === 1 ? 'male' : 'males'} ${pen.males.join(' ')}; ${counted(pen.hens.length, 'hen')}, ${fixed(each, 1)} to a male (usual ${usual})${verdict}: ${pen.hens.join(' ')}`,
    };
  });
}

type CurveRow = {
  readonly first: number;
  last: number;
  readonly point: NextPens['curve'][number];
  isChosen: boolean;
};

/** The points of the curve, those that are one plan in one row. */
function curveRows({ curve, point: chosen }: NextPens): CurveRow[] {
  const rows: CurveRow[] = [];
  curve.forEach((point, index) => {
    const before = rows.at(-1);
    if (before?.point.kinship === point.kinship && before.point.index === point.index) {
      before.last = index + 1;
      before.isChosen ||= index === chosen;
    } else rows.push({ first: index + 1, last: index + 1, point, isChosen: index === chosen });
  });
  return rows;
}

const curveColumns: readonly Column<CurveRow>[] = [
  {
    key: 'plan',
    heading: 'choice',
    kind: 'name',
    doc: 'number of the plan',
    of: ({ first, last, isChosen }) => `${range(first, last)}${isChosen ? '\u00a0chosen' : ''}`,
  },
  { ...heads.deltaF, kind: 'percent', of: ({ point }) => point.delta_f },
  {
    key: 'gain',
    heading: 'gain a generation, 95 % interval',
    kind: 'name',
    unit: 'sd',
    doc: 'gain a generation',
    of: ({ point }) => gainText(point.gain),
  },
  {
    key: 'gap',
    heading: 'best there is',
    kind: 'name',
    doc: 'whether it is proven the best, or how far from it',
    of: ({ point }) => (point.proven ? 'proven' : `within ${fixed(point.gap, 2)}\u00a0sd`),
  },
];

/** The chosen pens and what they were weighed against. */
export function nextPensScreen(
  next: NextPens,
  line: string,
  names: readonly string[],
  title: string,
): Screen {
  const { plan, wish, candidates, weighed } = next;
  const kept = { males: wish.pens * wish.males_in_pen, hens: wish.hens };
  const fewer =
    weighed.males < candidates.males || weighed.hens < candidates.hens
      ? ` Of these the best of each family were weighed: ${counted(weighed.males, 'male')} and ${counted(weighed.hens, 'hen')}.`
      : '';
  const several =
    wish.males_in_pen > 1
      ? ` That takes the males of a pen as equal sires, which they are not: if in each pen one sired every chick, it would be up to ${percent(next.delta_f_high)}.`
      : '';
  return {
    title,
    answer: [
      `${line}: ${counted(plan.pens.length, 'pen')} of ${counted(kept.males, 'male')} and ${counted(kept.hens, 'hen')}; ΔF ${percent(next.delta_f)} a generation; the chicks themselves: inbreeding ${percent(plan.matesKinship)}.`,
    ],
    parts: [
      { heading: 'Pens for next season', lines: chosenLines(next, names) },
      { heading: `Gain against narrowing, ${line}`, table: tableOf(curveColumns, curveRows(next)) },
    ],
    notes: [
      `Chosen from ${counted(candidates.males, 'male')} and ${counted(candidates.hens, 'hen')} that are here.${fewer}${several}`,
      next.gain === null
        ? 'No bird of the line is scored on a trait of season.yaml, so these are chosen for width alone.'
        : `Gain ${gainText(next.gain)} standard deviations: the width holds what is not known of the birds and of the heritabilities. ${counted(kept.males, 'male')} of ${candidates.males} is a selection intensity of ${fixed(next.intensity.males, 2)} sd at most, ${counted(kept.hens, 'hen')} of ${candidates.hens} of ${fixed(next.intensity.hens, 2)} sd; choosing by the index alone so brings ${fixed(next.usual_gain, 2)} sd on average.`,
      'No full or half sibs, no parent and child are mated; where fathers were several, an even chance counts as sibs. A bird is here if this season enters, scores or pens it; write who has gone under gone: in season.yaml, or leave it out with --without.',
    ],
  };
}

type RotationRow = {
  readonly season: number;
  readonly from: readonly string[];
  readonly inbreeding: number;
  readonly alone: number;
};

/** The rows of a rotation, year by year. */
export function rotationTable(
  clans: readonly string[],
  course: readonly RotationYear[],
  alone: readonly RotationYear[],
  first: number,
): AnyTable {
  return tableOf<RotationRow>(
    [
      { ...heads.season, kind: 'number', digits: 0 },
      ...clans.map(
        (clan, index): Column<RotationRow> => ({
          key: clan,
          heading: `${clan} from`,
          kind: 'name',
          show: 'people',
          doc: 'pen its males come from',
          of: (row) => row.from[index]!,
        }),
      ),
      {
        key: 'males_from',
        kind: 'data',
        doc: 'for each pen, the pen its males come from',
        schema: { type: 'object', additionalProperties: { type: 'string' } },
        of: (row) => Object.fromEntries(clans.map((clan, index) => [clan, row.from[index]])),
      },
      heads.inbreeding,
      {
        key: 'inbreeding_without',
        heading: 'inbreeding without moving',
        kind: 'percent',
        doc: 'inbreeding if no male changed pens',
        of: (row) => row.alone,
      },
    ],
    course.map((year, index) => ({
      season: first + index,
      from: year.malesFrom.map((from) => clans[from]!),
      inbreeding: year.inbreeding,
      alone: alone[index]!.inbreeding,
    })),
  );
}

/** A rotation over years, clan by clan. */
export function rotationScreen(table: AnyTable, line: string, title: string): Screen {
  const last = table.rows.at(-1) as RotationRow;
  return {
    title,
    answer: [
      `${line}: moving the males each year brings inbreeding to ${percent(last.inbreeding)} by ${last.season}; without moving it would be ${percent(last.alone)}.`,
    ],
    parts: [{ heading: 'Where each pen takes its males from', table }],
    notes: [
      'Daughters stay in the pen of their mothers; young males go to the pen shown, one year after they hatched. Mark chicks by pen. Inbreeding is what to expect of the chicks of that season if all the birds of the first year were unrelated, and the males of a pen sire alike. Rotation puts narrowing off; it does not end it. Keep a spare male a pen.',
    ],
  };
}
