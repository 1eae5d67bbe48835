/** Breeding pens, lines, birds and next season's pens as text. */
import type { NextPens } from '../breeders/next-pens.ts';
import type { BreedersReport } from '../breeders/report.ts';
import type { RotationYear } from '../breeders/rotation.ts';
import { percent as percentOf } from './numbers.ts';
import type { Table } from './table.ts';
import { hanging, wrapped } from './wrap.ts';

const percent = (rate: number | null) => (rate === null ? null : percentOf(rate));

type Draw = (table: Table) => string;
type Pens = BreedersReport['pens'];
type Lines = BreedersReport['lines'];
type Birds = BreedersReport['birds'];

/** Birds of a line and sex shown unless all are asked for. */
const FIRST = 12;

const size = (value: number) => value.toFixed(1);
const part = (rate: number | null) => (rate === null ? null : (100 * rate).toFixed(1));
const right = (heading: string) => ({ heading, align: 'right' as const });
const range = (low: number, high: number) =>
  size(low) === size(high) ? size(high) : `${size(low)}–${size(high)}`;
const times = (count: number, word: string) => `${count} ${word}${count === 1 ? '' : 's'}`;

function pensText(pens: Pens, draw: Draw, width: number): string {
  const table = draw({
    columns: [
      { heading: 'pen' },
      right('males'),
      right('hens'),
      right('to a male'),
      right('usual'),
      right('size (birds)'),
      { heading: 'fertile from' },
      { heading: 'pure from' },
    ],
    rows: pens.map((pen) => [
      pen.pen,
      pen.males,
      pen.hens,
      pen.hens_per_male === null ? null : size(pen.hens_per_male),
      `${pen.hens_per_male_low}–${pen.hens_per_male_high}`,
      range(pen.effective_size_low, pen.effective_size),
      pen.first_fertile,
      pen.pure_from ?? 'the start',
    ]),
  });
  const remarks = {
    'too few males': 'more hens to a male than usual: watch fertility, or add a male',
    'more males than needed':
      'fewer hens to a male than usual: males may fight, though each widens the line',
    'no mating': 'hens or males are missing',
  };
  return `PENS\n${table}${pens
    .filter((pen) => pen.ratio !== 'fine')
    .map((pen) => `${hanging(`${pen.pen}: `, remarks[pen.ratio as keyof typeof remarks], width)}\n`)
    .join('')}`;
}

function narrowingText(lines: Lines, draw: Draw): string[] {
  return [
    `NARROWING, A GENERATION\n${draw({
      columns: [
        { heading: 'line' },
        right('males'),
        right('hens'),
        right('size (birds)'),
        right('ΔF (%)'),
        right('to 10 % (years)'),
        right('to 25 % (years)'),
      ],
      rows: lines.map((line) => [
        line.line,
        line.males,
        line.hens,
        range(line.effective_size_low, line.effective_size),
        line.delta_f_high === line.delta_f
          ? part(line.delta_f)
          : `${part(line.delta_f)}–${part(line.delta_f_high)}`,
        line.years_to_first?.toFixed(0) ?? null,
        line.years_to_second?.toFixed(0) ?? null,
      ]),
    })}`,
    `ΔF A GENERATION (%), IF YOU HAD\n${draw({
      columns: [
        { heading: 'line' },
        right('as now'),
        right('one more male'),
        right('five more hens'),
        right('within families'),
      ],
      rows: lines.map((line) => [
        line.line,
        part(line.delta_f),
        part(line.one_more_male.delta_f),
        part(line.five_more_hens.delta_f),
        part(line.delta_f_within_families),
      ]),
    })}`,
  ];
}

function traitsText(traits: BreedersReport['traits'], draw: Draw, width: number): string {
  const table = draw({
    columns: [
      { heading: 'trait' },
      { heading: 'heritability' },
      right('scores used'),
      right('peer groups'),
      { heading: 'spread among peers' },
    ],
    rows: traits.map((trait) => [
      trait.trait,
      `${trait.heritability} (${trait.heritability_low}–${trait.heritability_high})`,
      trait.compared,
      trait.peer_groups,
      trait.spread === null ? null : `${trait.spread.toPrecision(3)} ${trait.unit}`,
    ]),
  });
  const left = traits.flatMap((trait) => {
    const reasons = Object.entries(trait.left_out).map(([why, count]) => `${count} ${why}`);
    return reasons.length === 0
      ? []
      : [`${hanging(`${trait.trait}: `, `scores left out: ${reasons.join(', ')}`, width)}\n`];
  });
  return `TRAITS\n${table}${left.join('')}`;
}

function birdsText(birds: Birds, draw: Draw, all: boolean): string[] {
  const here = birds.filter((bird) => bird.here && bird.index !== null);
  const keys = [...new Set(here.map(({ line, sex }) => `${line}, ${sex}s`))];
  return keys.map((key) => {
    const own = here.filter(({ line, sex }) => `${line}, ${sex}s` === key);
    const shown = all ? own : own.slice(0, FIRST);
    const rest = own.length - shown.length;
    const parent = (bird: Birds[number], name: string | null) =>
      name ?? (bird.parents_shared_out ? `of ${bird.pen}` : null);
    return `${key.toUpperCase()}, BEST FIRST\n${draw({
      columns: [
        { heading: 'bird' },
        right('index (sd)'),
        right('reliability (%)'),
        right('inbreeding (%)'),
        { heading: 'father' },
        { heading: 'mother' },
      ],
      rows: shown.map((bird) => [
        bird.bird,
        bird.index!.toFixed(2),
        (100 * bird.reliability!).toFixed(0),
        (100 * bird.inbreeding).toFixed(1),
        parent(bird, bird.sire),
        parent(bird, bird.dam),
      ]),
    })}${rest > 0 ? `and ${rest} more: --all\n` : ''}`;
  });
}

/** Pens and lines, traits and ranking, as text. Ends with a line feed. */
export function breedersText(
  report: BreedersReport,
  draw: Draw,
  width: number,
  all: boolean,
): string {
  const parts: string[] = [];
  const say = (text: string) => parts.push(said(text, width));
  if (report.pens.length === 0) say('No pens stand in season.yaml.');
  else parts.push(pensText(report.pens, draw, width));
  const bred = report.lines.filter((line) => line.males > 0 && line.hens > 0);
  if (bred.length > 0) {
    parts.push(...narrowingText(bred, draw));
    say(
      'Size is the effective size: how many birds, equal and unrelated, would narrow the line as fast. Males that share a pen are not equal sires: the worse figure has one of them sire every chick, the better all alike; the years take the better. Yearly generations. Within families: one son follows each male, one daughter each hen. The usual aim is 1 % or less; a single farm rarely reaches it: exchange birds with other breeders of the line.',
    );
  }
  for (const line of bred.filter(({ seasons }) => seasons.length > 1))
    say(
      `${line.line}: over ${line.seasons.length} seasons the effective size was ${size(line.effective_size_harmonic!)} (harmonic mean), which makes ${percent(line.inbreeding_over_seasons)} inbreeding since the first.`,
    );
  for (const line of report.lines.filter(({ birds }) => birds > 0)) {
    const gone = report.birds.filter((bird) => bird.line === line.line && !bird.here).length;
    say(
      `${line.line}: ${times(line.birds, 'bird')} entered${gone > 0 ? `, ${gone} of them here no more` : ''}; mean inbreeding ${percent(line.mean_inbreeding)}, mean kinship ${percent(line.mean_kinship) ?? '-'}: at least, as birds without parents count as unrelated.`,
    );
  }
  if (report.traits.length === 0) {
    if (report.birds.length > 0)
      say('No traits stand in season.yaml, so the birds are not ranked: traybook guide breeding');
    return parts.join('\n');
  }
  parts.push(traitsText(report.traits, draw, width));
  const tables = birdsText(report.birds, draw, all);
  parts.push(...tables);
  if (tables.length > 0) {
    say(
      'Each bird is compared with its own hatch and sex on the same day, never with another hatch. The index is in standard deviations of the weighted traits, 0 the mean of the founders; reliability is how much of the truth it holds. Traits count as uncorrelated.',
    );
    if (report.traits.some(({ sex }) => sex === 'female'))
      say(
        'A trait of hens tells of a cock only through his mother, sisters and daughters: brothers of one mating stand alike in it.',
      );
  }
  return parts.join('\n');
}

const gainText = (gain: NextPens['gain']) =>
  gain === null
    ? '-'
    : `${gain.estimate.toFixed(2)} (${gain.low.toFixed(2)} to ${gain.high.toFixed(2)})`;

function chosenText(next: NextPens, names: readonly string[], width: number): string {
  const { wish, plan } = next;
  const [low, high] = [wish.hens_per_male_low, wish.hens_per_male_high];
  return plan.pens
    .map((pen, index) => {
      const each = pen.hens.length / pen.males.length;
      const verdict = each > high ? ': too few males' : '';
      const head = `${names[index]!}: `;
      const lines = [
        `${pen.males.length === 1 ? 'male' : 'males'} ${pen.males.join(' ')}`,
        `${times(pen.hens.length, 'hen')}, ${size(each)} to a male (usual ${low}–${high})${verdict}:`,
        pen.hens.join(' '),
      ];
      return lines
        .map((line, at) => `${hanging(at === 0 ? head : ' '.repeat(head.length), line, width)}\n`)
        .join('');
    })
    .join('');
}

/** The points of the curve, those that are one plan in one row. */
function plansOf({ curve, point: chosen }: NextPens) {
  const rows: {
    first: number;
    last: number;
    point: NextPens['curve'][number];
    isChosen: boolean;
  }[] = [];
  curve.forEach((point, index) => {
    const before = rows.at(-1);
    if (before?.point.kinship === point.kinship && before.point.index === point.index) {
      before.last = index + 1;
      before.isChosen ||= index === chosen;
    } else rows.push({ first: index + 1, last: index + 1, point, isChosen: index === chosen });
  });
  return rows;
}

/** Wraps, and leaves no percent sign alone at the beginning of a line. */
const said = (text: string, width: number) =>
  `${wrapped(text.replaceAll(' %', '\u00a0%'), width).replaceAll('\u00a0', ' ')}\n`;

/** The chosen pens and what they were weighed against. Ends with a line feed. */
export function nextPensText(
  next: NextPens,
  line: string,
  names: readonly string[],
  draw: Draw,
  width: number,
): string {
  const { plan, wish, candidates, weighed } = next;
  const kept = { males: wish.pens * wish.males_in_pen, hens: wish.hens };
  const fewer =
    weighed.males < candidates.males || weighed.hens < candidates.hens
      ? ` Of these the best of each family were weighed: ${times(weighed.males, 'male')} and ${times(weighed.hens, 'hen')}.`
      : '';
  const several =
    wish.males_in_pen > 1
      ? ` That takes the males of a pen as equal sires, which they are not: if in each pen one sired every chick, it would be up to ${percent(next.delta_f_high)}.`
      : '';
  return [
    `GAIN AGAINST NARROWING, ${line.toUpperCase()}\n${draw({
      columns: [
        { heading: 'plan' },
        right('ΔF (%)'),
        { heading: 'gain a generation (sd, 95 %)' },
        { heading: 'best there is' },
      ],
      rows: plansOf(next).map(({ first, last, point, isChosen }) => [
        `${first === last ? first : `${first}–${last}`}${isChosen ? ' chosen' : ''}`,
        part(point.delta_f),
        gainText(point.gain),
        point.proven ? 'proven' : `within ${point.gap.toFixed(2)} sd`,
      ]),
    })}`,
    `PENS FOR NEXT SEASON\n${chosenText(next, names, width)}`,
    said(
      `From ${times(candidates.males, 'male')} and ${times(candidates.hens, 'hen')} that are here.${fewer} ΔF ${percent(next.delta_f)} a generation; the chicks themselves: inbreeding ${percent(plan.matesKinship)}.${several}`,
      width,
    ),
    said(
      next.gain === null
        ? 'No bird of the line is scored on a trait of season.yaml: these are chosen for width alone.'
        : `Gain ${gainText(next.gain)} standard deviations: the width holds what is not known of the birds and of the heritabilities. ${times(kept.males, 'male')} of ${candidates.males} is a selection intensity of ${next.intensity.males.toFixed(2)} sd at most, ${times(kept.hens, 'hen')} of ${candidates.hens} of ${next.intensity.hens.toFixed(2)} sd; choosing by the index alone so brings ${next.usual_gain.toFixed(2)} sd on average.`,
      width,
    ),
    said(
      'No full or half sibs, no parent and child are mated; where fathers were several, an even chance counts as sibs. A bird is here if this season enters, scores or pens it; write who has gone under gone: in season.yaml, or leave it out with --without.',
      width,
    ),
  ].join('\n');
}

/** A rotation over years, clan by clan. Ends with a line feed. */
export function rotationText(
  clans: readonly string[],
  course: readonly RotationYear[],
  alone: readonly RotationYear[],
  first: number,
  draw: Draw,
  width: number,
): string {
  return [
    `WHERE EACH PEN TAKES ITS MALES FROM\n${draw({
      columns: [
        { heading: 'season' },
        ...clans.map((clan) => ({ heading: `${clan} from` })),
        right('inbreeding (%)'),
        right('without moving (%)'),
      ],
      rows: course.map((year, index) => [
        String(first + index),
        ...year.malesFrom.map((from) => clans[from]!),
        part(year.inbreeding),
        part(alone[index]!.inbreeding),
      ]),
    })}`,
    `${wrapped(
      'Daughters stay in the pen of their mothers; young males go to the pen shown, one year after they hatched. Mark chicks by pen. Inbreeding is what to expect of the chicks of that season if all the birds of the first year were unrelated, and the males of a pen sire alike. Rotation puts narrowing off; it does not end it. Keep a spare male a pen.',
      width,
    )}\n`,
  ].join('\n');
}
