import type { NextPens } from '../compute/breeders/next-pens.ts';
import type { BreedersReport } from '../compute/breeders/report.ts';
import type { RotationYear } from '../compute/breeders/rotation.ts';
import type { Table } from './table.ts';
import { percent, wrapped } from './words.ts';

type Draw = (table: Table) => string;

const size = (value: number) => value.toFixed(1);
const years = (value: number | null) => (value === null ? null : value.toFixed(0));
const right = (heading: string) => ({ heading, align: 'right' as const });

/** Pens and lines, traits and ranking, as text. Ends with a line feed. */
export function breedersText(report: BreedersReport, draw: Draw, width: number): string {
  const parts: string[] = [];
  const say = (text: string) => parts.push(`${wrapped(text, width)}\n`);
  parts.push(
    `PENS\n${draw({
      columns: [
        { heading: 'pen' },
        right('males'),
        right('hens'),
        { heading: 'hens to a male' },
        right('effective size'),
        { heading: 'fertile from' },
        { heading: 'pure from' },
      ],
      rows: report.pens.map((pen) => [
        pen.pen,
        pen.males,
        pen.hens,
        `${pen.hens_per_male === null ? '-' : size(pen.hens_per_male)} (${pen.hens_per_male_low}–${pen.hens_per_male_high}): ${pen.ratio}`,
        pen.males > 1
          ? `${size(pen.effective_size_low)}–${size(pen.effective_size)}`
          : size(pen.effective_size),
        pen.first_fertile,
        pen.pure_from ?? 'the start',
      ]),
    })}`,
  );
  const bred = report.lines.filter((line) => line.males > 0 && line.hens > 0);
  parts.push(
    `NARROWING, A GENERATION\n${draw({
      columns: [
        { heading: 'line' },
        right('effective size'),
        right('ΔF (%)'),
        right('years to 10 %'),
        right('to 25 %'),
        right('one more male, ΔF (%)'),
        right('five more hens, ΔF (%)'),
      ],
      rows: bred.map((line) => {
        const [first, second] = [line.years_to_first, line.years_to_second];
        const part = (rate: number | null) => (rate === null ? null : (100 * rate).toFixed(1));
        return [
          line.line,
          line.effective_size_low < line.effective_size
            ? `${size(line.effective_size_low)}–${size(line.effective_size)}`
            : size(line.effective_size),
          part(line.delta_f),
          years(first),
          years(second),
          part(line.one_more_male.delta_f),
          part(line.five_more_hens.delta_f),
        ];
      }),
    })}`,
  );
  for (const line of bred.filter(({ seasons }) => seasons.length > 1))
    say(
      `${line.line}: over ${line.seasons.length} seasons the effective size was ${size(line.effective_size_harmonic!)} (harmonic mean), which makes ${percent(line.inbreeding_over_seasons)} inbreeding since the first.`,
    );
  for (const line of report.lines.filter(({ birds }) => birds > 0))
    say(
      `${line.line}: ${line.birds} birds entered, mean inbreeding ${percent(line.mean_inbreeding)}, mean kinship ${percent(line.mean_kinship) ?? '-'}: at least, as birds without parents count as unrelated.`,
    );
  say(
    'Effective size takes parents as unrelated and equally fruitful. Males that share a pen are not equal sires: the lower figure has one of them sire all, the upper all alike. Yearly generations. The usual aim is 1 % or less; a single farm rarely reaches it: exchange birds with other breeders of the line.',
  );
  if (report.traits.length > 0)
    parts.push(
      `TRAITS\n${draw({
        columns: [
          { heading: 'trait' },
          { heading: 'heritability' },
          right('scores used'),
          right('hatches and sexes'),
          { heading: 'spread among peers' },
          { heading: 'left out' },
        ],
        rows: report.traits.map((trait) => [
          trait.trait,
          `${trait.heritability} (${trait.heritability_low}–${trait.heritability_high})`,
          trait.compared,
          trait.peer_groups,
          trait.spread === null ? null : `${trait.spread.toPrecision(3)} ${trait.unit}`,
          Object.entries(trait.left_out)
            .map(([why, count]) => `${count} ${why}`)
            .join(', ') || null,
        ]),
      })}`,
    );
  const ranked = report.birds.filter(({ index }) => index !== null);
  if (ranked.length > 0) {
    parts.push(
      `BIRDS, BEST FIRST\n${draw({
        columns: [
          { heading: 'bird' },
          { heading: 'line' },
          { heading: 'sex' },
          right('index (sd)'),
          right('reliability (%)'),
          right('inbreeding (%)'),
          { heading: 'father' },
          { heading: 'mother' },
        ],
        rows: ranked.map((bird) => [
          bird.bird,
          bird.line,
          bird.sex,
          bird.index!.toFixed(2),
          (100 * bird.reliability!).toFixed(0),
          (100 * bird.inbreeding).toFixed(1),
          bird.sire ?? (bird.parents_shared_out ? 'of the pen' : null),
          bird.dam ?? (bird.parents_shared_out ? 'of the pen' : null),
        ]),
      })}`,
    );
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

/** The chosen pens and what they were weighed against. Ends with a line feed. */
export function nextPensText(
  next: NextPens,
  names: readonly string[],
  draw: Draw,
  width: number,
): string {
  const gain = (one: { estimate: number; low: number; high: number } | null) =>
    one === null
      ? '-'
      : `${one.estimate.toFixed(2)} (${one.low.toFixed(2)} to ${one.high.toFixed(2)})`;
  const { plan } = next;
  return [
    `GAIN AGAINST NARROWING\n${draw({
      columns: [
        { heading: 'plan' },
        right('ΔF (%)'),
        { heading: 'gain a generation (sd, 95 %)' },
        { heading: 'proven best' },
      ],
      rows: next.curve.map((point, index) => [
        `${index + 1}${index === next.point ? ' chosen' : ''}`,
        (100 * point.delta_f).toFixed(1),
        gain(point.gain),
        point.proven ? 'yes' : 'within its bound',
      ]),
    })}`,
    `PENS FOR NEXT SEASON\n${draw({
      columns: [
        { heading: 'pen' },
        { heading: 'male' },
        right('hens'),
        { heading: 'hens by name' },
      ],
      rows: plan.pens.map((pen, index) => [
        names[index]!,
        pen.male,
        pen.hens.length,
        pen.hens.join(' '),
      ]),
    })}`,
    `${wrapped(
      `From ${next.candidates.males} males and ${next.candidates.hens} hens. ΔF ${percent(next.delta_f)} a generation; the chicks themselves: inbreeding ${percent(plan.matesKinship)}. Gain ${gain(next.gain)} standard deviations: the width holds what is not known of the birds and of the heritabilities. Choosing so many from so many by the index alone brings ${next.usual_gain.toFixed(2)} on average. No full or half sibs, no parent and child are mated; where fathers were several, an even chance counts as sibs.`,
      width,
    )}\n`,
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
        ...clans.map((clan) => ({ heading: clan })),
        right('inbreeding (%)'),
        right('without moving (%)'),
      ],
      rows: course.map((year, index) => [
        String(first + index),
        ...year.malesFrom.map((from) => `males of ${clans[from]}`),
        (100 * year.inbreeding).toFixed(1),
        (100 * alone[index]!.inbreeding).toFixed(1),
      ]),
    })}`,
    `${wrapped(
      'Daughters stay in the pen of their mothers, males move as shown; mark chicks by pen. Inbreeding is what to expect of the chicks of that season if founders were unrelated. Rotation puts narrowing off; it does not end it. Keep a spare male a pen.',
      width,
    )}\n`,
  ].join('\n');
}
