/**
 * The embryo by the day, and what usually ends it, from `seeds/embryo.yaml`. Only the chicken is
 * published day by day; other kinds are scaled by the length of their term (Dupuy et al. 2006, J. Appl.
 * Poult. Res. 15:219: the pace differs, embryos of one stage look nearly alike).
 */
import type * as z from 'zod/mini';
import table from '../../seeds/embryo.yaml';
import { groupedBy } from '../text/lists.ts';
import { figureOf, type Seen } from './figure.ts';
import type { embryoFile } from './knowledge-schema.ts';

const embryo = table as z.infer<typeof embryoFile>;
type Death = (typeof embryo.deaths)[number];

/** One day of incubation; `isScaled` where it is worked out from the chicken's. */
export type EmbryoDay = {
  readonly day: number;
  readonly opened: string;
  readonly isScaled: boolean;
};

export const candlingLooks = embryo.candling;
export const pipping = embryo.pipping;
export const airCell = embryo.air_cell;

/** Where the days of a kind are published: its source and how that was seen; null where nowhere. */
export function publishedDays(kind: string): { source: string; seen: Seen } | null {
  return figureOf(embryo.days, kind);
}

/**
 * What is seen in an opened egg, day by day.
 *
 * @param kind the key of the kind, such as `duck`
 * @param term its days from setting to hatching; of a kind of the table those of the table
 * @returns days in order; those printed for the kind itself stand in place of scaled ones, and the
 *   last two days follow the rule of pipping where the kind has none of its own
 */
export function embryoDays(kind: string, term: number): EmbryoDay[] {
  const chicken = embryo.days.chicken!;
  const own = figureOf(embryo.days, kind)?.seen_by_day ?? [];
  const printed = own.map(({ day, opened }) => ({ day, opened, isScaled: false }));
  const { inside_days_before, shell_days_before } = embryo.pipping;
  const ends: [day: number, opened: string][] = [
    [term - inside_days_before.value, 'pipped inside: breathes in the air cell'],
    [term - shell_days_before.value, 'shell broken'],
    [term, 'hatches'],
  ];
  // In a short term two days of the chicken fall on one.
  const early = groupedBy(chicken.seen_by_day, ({ day }) =>
    Math.round((day * term) / chicken.term),
  );
  const scaled = [...early]
    .filter(([day]) => day < ends[0]![0])
    .map(([day, seen]): (typeof ends)[number] => [day, seen.map((one) => one.opened).join('; ')]);
  const late = printed.find(({ day }) => day > LATE * term)?.day ?? Number.POSITIVE_INFINITY;
  const worked = [...scaled, ...ends]
    .filter(([day]) => day < late && !printed.some((one) => one.day === day))
    .map(([day, opened]) => ({ day, opened, isScaled: true }));
  return [...printed, ...worked].sort((a, b) => a.day - b.day);
}

/** From this part of the term on a kind's own days stand alone: the order of the last steps differs. */
const LATE = 0.8;

/** The ages of death as days of a term, with what is seen and the usual causes. */
export type DeathAt = Death & { readonly firstDay: number; readonly lastDay: number };

/** Every age of death of a kind with this term, in the order of age. */
export function deathsAt(term: number): DeathAt[] {
  return embryo.deaths.map((death) => ({
    ...death,
    firstDay: Math.round(death.from * term) + (death.from === 0 ? 0 : 1),
    lastDay: Math.round(death.to * term),
  }));
}

/** `middle (days 8 to 14): egg tooth and toes, little or no down. Usual causes: …` */
export function deathWords({ stage, firstDay, lastDay, sign, causes }: DeathAt): string {
  const days = lastDay === 0 ? '' : ` (days ${firstDay} to ${lastDay})`;
  return `${stage}${days}: ${sign}. Usual causes: ${causes}`;
}

/**
 * Depth of the air cell from the blunt end, as a part of the egg's length (0 to 1): the cap of an
 * ellipsoid that holds the water lost. The cap of depth h of a half axis a holds
 * (h / 2a)² (3 − h / a) of the whole.
 *
 * @param lost water lost, as a part of the egg's mass at setting (0 to 0.5)
 */
export function airCellDepth(lost: number): number {
  // A gram of water lost is a millilitre; an egg of a gram fills 1 / density millilitres.
  const share = lost * airCell.egg_density.value;
  // 3d² − 2d³ = share, by the sine of a third of an angle.
  return 0.5 - Math.sin(Math.asin(1 - 2 * share) / 3);
}
